//! Installation, trigger, sensors, coils and the worksheets.

mod answers;
mod coil;
mod first_start;
mod installation;
mod light;
mod pages;
mod pictures;
mod sender;
mod throttle;
mod timing_light;
mod true_tdc;

use eframe::egui::{self, Rect, UiBuilder, pos2, vec2};

use self::answers::Part;
use self::pictures::Pictures;
use crate::window::kit::theme::engine_sheet_sizes::ENGINE_SIZES;
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::{color, hairline};
use crate::window::state::engine_state::Page;
use crate::window::state::outbox::Outbox;
use crate::window::views::curve_editor::{CurveEditor, CurveOf, CurveSpec};
use crate::window::views::form;
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
        pages::show(ui, view, outbox, Rect::from_min_max(whole.min, pos2(whole.right(), rule)));
        ui.painter().hline(whole.x_range(), rule, hairline(color(view.theme.palette.rule)));
        let body = Rect::from_min_max(pos2(whole.left(), rule + HAIRLINE), whole.max);
        let mut ui = ui.new_child(UiBuilder::new().max_rect(body));
        let page = view.screen.engine.page;
        form::page(&mut ui, view.theme, page.name(), |ui| match page {
            Page::Installation => self.installation(ui, view, outbox),
            _ => worksheet(ui, view, outbox, page),
        });
    }

    /// The wheel's picture stands beside the trigger's fields, or right below them in a single column.
    fn installation(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let count = form::columns_that_fit(ui.available_width(), 3);
        if count == 2 {
            form::columns(ui, 2, |ui, column| match column {
                0 => {
                    installation::trigger_rows(ui, view, outbox);
                    installation::channel_rows(ui, view, outbox);
                }
                _ => self.pictures.show(ui, view, outbox),
            });
            ui.add_space(form::FORM_SIZES.section_gap);
        }
        form::columns_of(ui, &widths(ui.available_width(), count), |ui, column| match (count, column) {
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
            (3, _) => {
                self.pictures.show(ui, view, outbox);
                self.coils(ui, view, outbox);
            }
            (2, 0) => {
                installation::engine_rows(ui, view, outbox);
                self.coils(ui, view, outbox);
            }
            (2, _) => {
                installation::load_rows(ui, view, outbox);
                installation::sender_rows(ui, view, outbox);
                installation::project_rows(ui, view, outbox);
            }
            (_, _) => {
                installation::engine_rows(ui, view, outbox);
                installation::channel_rows(ui, view, outbox);
                installation::trigger_rows(ui, view, outbox);
                self.pictures.show(ui, view, outbox);
                installation::load_rows(ui, view, outbox);
                installation::sender_rows(ui, view, outbox);
                self.coils(ui, view, outbox);
                installation::project_rows(ui, view, outbox);
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

/// Widths of the columns of the installation: of three, the two with rows alone are as wide as a row, and the pictures have
/// the rest.
fn widths(whole: f32, count: usize) -> Vec<f32> {
    #[expect(clippy::cast_precision_loss, reason = "up to three")]
    let gaps = form::FORM_SIZES.column_gap * (count - 1) as f32;
    #[expect(clippy::cast_precision_loss, reason = "up to three")]
    let each = (whole - gaps) / count as f32;
    if count < 3 {
        return vec![each; count];
    }
    let of_rows = each.min(form::FORM_SIZES.most_row);
    vec![of_rows, of_rows, whole - gaps - 2.0 * of_rows]
}

/// A worksheet in three columns: what is asked, the picture, the verdict. In two the verdict stands above the picture, and
/// in one all below each other.
fn worksheet(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, page: Page) {
    let (whole, gap) = (ui.available_width(), form::FORM_SIZES.column_gap);
    let rest = whole - ENGINE_SIZES.asked_width - gap;
    if whole >= ENGINE_SIZES.picture_from {
        // In a wide window the figures stay near their names, and the picture takes the rest; lines of text stay short.
        let least = if page == Page::FirstStart { 0.0 } else { rest - gap - ENGINE_SIZES.most_verdict };
        let picture = ((rest - gap) * ENGINE_SIZES.picture_share).max(least).round();
        let widths = [ENGINE_SIZES.asked_width, picture, rest - gap - picture];
        return form::columns_of(ui, &widths, |ui, column| match column {
            0 => ask(ui, view, outbox, page),
            1 => answer(ui, view, outbox, page, Part::Picture),
            _ => answer(ui, view, outbox, page, Part::Verdict),
        });
    }
    let count = form::columns_that_fit(whole, 2);
    let widths = [ENGINE_SIZES.asked_width, rest];
    let widths = if count == 2 { &widths[..] } else { &[whole][..] };
    form::columns_of(ui, widths, |ui, column| {
        if column == 0 {
            ask(ui, view, outbox, page);
        }
        if column + 1 == count {
            answer(ui, view, outbox, page, Part::Verdict);
            answer(ui, view, outbox, page, Part::Picture);
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

fn answer(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, page: Page, part: Part) {
    match page {
        Page::Installation => {}
        Page::FirstStart => first_start::answer(ui, view, part),
        Page::TimingLight => timing_light::answer(ui, view, outbox, part),
        Page::Light => light::answer(ui, view, part),
        Page::TrueTdc => true_tdc::answer(ui, view, outbox, part),
        Page::Throttle => throttle::answer(ui, view, outbox, part),
        Page::Sender => sender::answer(ui, view, outbox, part),
        Page::Coil => coil::answer(ui, view, outbox, part),
    }
}
