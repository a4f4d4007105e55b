//! Installation, trigger, sensors, coils and the worksheets.

mod answers;
mod coil;
mod first_start;
mod installation;
mod light;
mod pictures;
mod sender;
mod throttle;
mod timing_light;
mod true_tdc;

use eframe::egui::{self, Rect, UiBuilder, pos2, vec2};

use self::pictures::Pictures;
use crate::window::kit::theme::engine_sheet_sizes::ENGINE_SIZES;
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::{color, elided, hairline};
use crate::window::state::engine_state::{EngineMessage, Page};
use crate::window::state::outbox::Outbox;
use crate::window::views::curve_editor::{CurveEditor, CurveOf, CurveSpec};
use crate::window::views::form::{self, choice};
use crate::window::views::view::View;

pub use timing_light::paste as paste_readings;

/// What the sheet's views keep for speed.
pub struct EngineSheet {
    pictures: Pictures,
    dwell: CurveEditor,
}

impl Default for EngineSheet {
    fn default() -> Self {
        Self { pictures: Pictures::default(), dwell: CurveEditor::new(CurveOf::Dwell) }
    }
}

/// A tooltip as the rows have it.
fn tip(response: &egui::Response, text: &str) {
    egui::Tooltip::for_enabled(response).width(form::FORM_SIZES.tip_width).show(|ui| ui.label(text));
}

impl EngineSheet {
    /// Draws the sheet.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let whole = ui.available_rect_before_wrap();
        let rule = whole.top() + ENGINE_SIZES.pages_height;
        pages(ui, view, outbox, Rect::from_min_max(whole.min, pos2(whole.right(), rule)));
        ui.painter().hline(whole.x_range(), rule, hairline(color(view.theme.palette.rule)));
        let body = Rect::from_min_max(pos2(whole.left(), rule + HAIRLINE), whole.max);
        let mut ui = ui.new_child(UiBuilder::new().max_rect(body));
        let page = view.screen.engine.page;
        form::page(&mut ui, view.theme, page.name(), |ui| match page {
            Page::Installation => self.installation(ui, view, outbox),
            _ => worksheet(ui, view, outbox, page),
        });
    }

    fn installation(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let count = form::columns_that_fit(ui.available_width(), 3);
        form::columns(ui, count, |ui, column| match (count, column) {
            (3, 0) => {
                installation::engine_rows(ui, view, outbox);
                installation::channel_rows(ui, view, outbox);
                installation::project_rows(ui, view, outbox);
            }
            (3, 1) => {
                installation::trigger_rows(ui, view, outbox);
                installation::load_rows(ui, view, outbox);
                installation::sender_rows(ui, view, outbox);
            }
            (2, 0) => {
                installation::engine_rows(ui, view, outbox);
                installation::channel_rows(ui, view, outbox);
                installation::load_rows(ui, view, outbox);
                installation::sender_rows(ui, view, outbox);
                installation::project_rows(ui, view, outbox);
            }
            (1, _) => {
                self.pictures.show(ui, view, outbox);
                installation::engine_rows(ui, view, outbox);
                installation::channel_rows(ui, view, outbox);
                installation::trigger_rows(ui, view, outbox);
                installation::load_rows(ui, view, outbox);
                installation::sender_rows(ui, view, outbox);
                self.coils(ui, view, outbox);
                installation::project_rows(ui, view, outbox);
            }
            (_, _) => {
                self.pictures.show(ui, view, outbox);
                if count == 2 {
                    installation::trigger_rows(ui, view, outbox);
                }
                self.coils(ui, view, outbox);
            }
        });
    }

    fn coils(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        form::heading(ui, view.theme, "Coil and battery");
        installation::coil_rows(ui, view, outbox);
        ui.add_space(form::FORM_SIZES.section_gap);
        let (rect, _) =
            ui.allocate_exact_size(vec2(ui.available_width(), ENGINE_SIZES.dwell_height), egui::Sense::hover());
        let sensors = &view.project.sensors;
        let mut spec = CurveSpec::new("Dwell", 4.0);
        spec.reach = Some((sensors.lowest_battery_v, sensors.highest_battery_v));
        if let Some(words) = self.dwell.show(ui, rect, view, outbox, &spec) {
            outbox.point_at(view.screen, words);
        }
    }
}

/// The names of the pages, to go from one to another.
fn pages(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    let inner =
        rect.shrink2(vec2(view.theme.margin, (ENGINE_SIZES.pages_height - form::FORM_SIZES.field_height) / 2.0));
    let words = Page::ALL.map(Page::name);
    let now = Page::ALL.iter().position(|page| *page == view.screen.engine.page);
    let tooltip = format!(
        "{}\nTab goes from one page to the next, Space opens it.",
        Page::ALL.map(|page| format!("{}: {}", page.name(), page.tooltip())).join("\n")
    );
    let choice = choice::Choice { key: "engine pages", name: "Page", words: &words, now, tooltip: &tooltip };
    if let Some(page) = choice::show(ui, view.theme, inner, &choice).and_then(|taken| Page::ALL.get(taken)) {
        outbox.send(EngineMessage::Open(*page));
    }
    let left = inner.left() + choice::row_width(ui, view.theme, &words) + form::FORM_SIZES.column_gap;
    assumed(ui, view, Rect::from_min_max(pos2(left, inner.top()), inner.max));
}

/// How many values nobody has confirmed, and how that is done.
fn assumed(ui: &mut egui::Ui, view: &View<'_>, rect: Rect) {
    let Some(words) = crate::checks::assumed_words(view.project) else { return };
    let told = format!("{words}: outlined with dashes. A click on the word, or Enter in the field, confirms one.");
    let ink = color(view.theme.palette.ink_secondary);
    elided(ui, rect, told.as_str(), view.theme.small_font()).paint(ui, egui::Align::Max, ink);
    let response = ui.interact(rect, egui::Id::unique("values assumed"), egui::Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, &told));
    response.on_hover_text(told.clone());
}

/// A worksheet: what is asked at the left, the answer beside it, or below where there is no room.
fn worksheet(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, page: Page) {
    let whole = ui.available_width();
    let rest = whole - ENGINE_SIZES.asked_width - form::FORM_SIZES.column_gap;
    let count = form::columns_that_fit(whole, 2);
    let widths = [ENGINE_SIZES.asked_width, rest];
    let widths = if count == 2 { &widths[..] } else { &[whole][..] };
    form::columns_of(ui, widths, |ui, column| {
        if column == 0 {
            ask(ui, view, outbox, page);
        }
        if column + 1 == count {
            answer(ui, view, outbox, page);
        }
    });
}

fn ask(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, page: Page) {
    match page {
        Page::Installation => {}
        Page::FirstStart => first_start::ask(ui, view, outbox),
        Page::TimingLight => timing_light::ask(ui, view, outbox),
        Page::Light => light::ask(ui, view, outbox),
        Page::TrueTdc => true_tdc::ask(ui, view, outbox),
        Page::Throttle => throttle::ask(ui, view, outbox),
        Page::Sender => sender::ask(ui, view, outbox),
        Page::Coil => coil::ask(ui, view, outbox),
    }
}

fn answer(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, page: Page) {
    match page {
        Page::Installation => {}
        Page::FirstStart => first_start::answer(ui, view),
        Page::TimingLight => timing_light::answer(ui, view, outbox),
        Page::Light => light::answer(ui, view),
        Page::TrueTdc => true_tdc::answer(ui, view, outbox),
        Page::Throttle => throttle::answer(ui, view, outbox),
        Page::Sender => sender::answer(ui, view, outbox),
        Page::Coil => coil::answer(ui, view, outbox),
    }
}
