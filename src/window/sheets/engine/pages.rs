//! The pages of the sheet as the steps of the job, each with a tick where it is done and the word 'open' where it is not.

use eframe::egui::{self, Align2, Id, Rect, Role, Sense, Stroke, WidgetInfo, pos2, vec2};

use crate::project::Project;
use crate::window::kit::marks;
use crate::window::kit::theme::engine_sheet_sizes::{ENGINE_SIZES, PAGE_SIZES};
use crate::window::kit::theme::kit_sizes::{CHART, HAIRLINE};
use crate::window::kit::theme::{Theme, color, elided, hairline, ring, strong_text};
use crate::window::state::engine_state::{EngineMessage, Page};
use crate::window::state::outbox::Outbox;
use crate::window::views::form::{self, choice};
use crate::window::views::view::View;
use crate::worksheet::Unproved;

/// Whether the step of a page is done; `None` for a page that only answers a question. What has no record of its own
/// counts as done with what it is there for: a value that somebody has confirmed, a zero that is proved.
fn is_done(page: Page, project: &Project) -> Option<bool> {
    let confirmed = |paths: &[&str]| Some(!paths.iter().any(|path| project.is_assumed(path)));
    match page {
        Page::Installation => Some(project.assumed.is_empty()),
        Page::Throttle => confirmed(&["sensors.throttle"]),
        Page::Sender => confirmed(&["sensors.coolant", "sensors.air"]),
        Page::Coil => confirmed(&["coil"]),
        Page::TrueTdc | Page::FirstStart => Some(Unproved::of(project).is_empty()),
        Page::TimingLight => Some(Unproved::of(project).is_empty() && project.typed_readings.is_empty()),
        Page::Light => None,
    }
}

/// What the tick of a page means, or what is missing.
fn told(page: Page, done: Option<bool>) -> &'static str {
    match (done, page) {
        (None, _) => "",
        (Some(true), Page::TrueTdc | Page::FirstStart | Page::TimingLight) => "Done: the zero is proved.",
        (Some(true), _) => "Done: nothing here is assumed any more.",
        (Some(false), Page::TrueTdc | Page::FirstStart) => "Open: the zero is not proved yet.",
        (Some(false), Page::TimingLight) => "Open: the zero is not proved yet, or readings are typed and not applied.",
        (Some(false), _) => "Open: values here came with the new project, and nobody has confirmed them.",
    }
}

/// The names of the pages, to go from one to another, and at the right end what is assumed.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    let theme = view.theme;
    let inner = rect.shrink2(vec2(theme.margin, (ENGINE_SIZES.pages_height - theme.field_height) / 2.0));
    let widths = Page::ALL.map(|page| width(ui, theme, page, is_done(page, view.settled())));
    let right = if widths.iter().sum::<f32>() <= inner.width() + PAGE_SIZES.padding {
        row(ui, view, outbox, inner, &widths)
    } else {
        list(ui, view, outbox, inner)
    };
    assumed(ui, view, inner.with_min_x(right + form::FORM_SIZES.gap));
}

fn width(ui: &egui::Ui, theme: &Theme, page: Page, done: Option<bool>) -> f32 {
    let text = |text: &str, font| ui.painter().layout_no_wrap(text.to_owned(), font, egui::Color32::BLACK).size().x;
    let state = match done {
        None => 0.0,
        Some(true) => PAGE_SIZES.tick.x + PAGE_SIZES.before_state,
        Some(false) => text(OPEN, theme.small_font()) + PAGE_SIZES.before_state,
    };
    // Emphasised text is wider.
    (text(page.name(), theme.heading_font()) + HAIRLINE + state).ceil() + 2.0 * PAGE_SIZES.padding
}

const OPEN: &str = "open";

/// Side by side: the open page underlined. Returns where they end.
fn row(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, inner: Rect, widths: &[f32]) -> f32 {
    let (theme, palette) = (view.theme, view.theme.palette);
    let mut left = inner.left() - PAGE_SIZES.padding;
    for (page, width) in Page::ALL.into_iter().zip(widths) {
        let rect = Rect::from_min_size(pos2(left, inner.top()), vec2(*width, inner.height()));
        left = rect.right();
        let is_now = page == view.screen.engine.page;
        let done = is_done(page, view.settled());
        let response = ui.interact(rect, Id::unique(("engine page", page.name())), Sense::click());
        let name = format!("Page: {}", page.name());
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, is_now, &name));
        if let Some(done) = done {
            let state = if done { "done" } else { OPEN };
            ui.ctx().accesskit_node_builder(response.id, |node| node.set_description(state));
        }
        let radius = theme.inner_radius();
        if response.hovered() {
            ui.painter().rect_filled(rect.shrink(HAIRLINE), radius, color(palette.field_hover));
        }
        if response.has_focus() {
            let stroke = ring(color(palette.ink));
            ui.painter().rect_stroke(rect.shrink(HAIRLINE), radius, stroke, egui::StrokeKind::Inside);
        }
        let ink = color(if is_now { palette.ink } else { palette.ink_secondary });
        let at = pos2(rect.left() + PAGE_SIZES.padding, rect.center().y);
        let written = if is_now {
            strong_text(ui.painter(), at, Align2::LEFT_CENTER, page.name(), theme.heading_font(), ink)
        } else {
            ui.painter().text(at, Align2::LEFT_CENTER, page.name(), theme.body_font(), ink)
        };
        if is_now {
            let y = ui.painter().round_to_pixel_center(written.bottom() + HAIRLINE);
            ui.painter().hline(written.x_range(), y, hairline(ink));
        }
        state_of(ui, theme, pos2(written.right() + PAGE_SIZES.before_state, rect.center().y), done);
        let state = told(page, done);
        super::tip(&response, format!("{}\n{state}", page.tooltip()).trim_end());
        if response.clicked() {
            outbox.send(EngineMessage::Open(page));
        }
    }
    left
}

/// A tick, or the word for what is not done.
fn state_of(ui: &egui::Ui, theme: &Theme, at: egui::Pos2, done: Option<bool>) {
    let ink = color(theme.palette.ink_secondary);
    match done {
        None => {}
        Some(true) => {
            let place = Rect::from_min_size(at - vec2(0.0, PAGE_SIZES.tick.y / 2.0), PAGE_SIZES.tick);
            marks::tick(ui.painter(), place, Stroke::new(CHART.outline, color(theme.palette.ink)));
        }
        Some(false) => {
            ui.painter().text(at, Align2::LEFT_CENTER, OPEN, theme.small_font(), ink);
        }
    }
}

/// As a list that opens, where they have no room side by side. Returns where it ends.
fn list(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, inner: Rect) -> f32 {
    let words = Page::ALL.map(|page| match is_done(page, view.settled()) {
        None => page.name().to_owned(),
        Some(done) => format!("{}: {}", page.name(), if done { "done" } else { OPEN }),
    });
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let now = Page::ALL.iter().position(|page| *page == view.screen.engine.page);
    let tooltip = Page::ALL.map(|page| format!("{}: {}", page.name(), page.tooltip())).join("\n");
    let choice = choice::Choice { key: "engine pages", name: "Page", words: &words, now, tooltip: &tooltip };
    let width = choice::list_width(ui, view.theme, &words).min(inner.width());
    let place = inner.with_max_x(inner.left() + width);
    if let Some(page) = choice::show(ui, view.theme, place, &choice).and_then(|taken| Page::ALL.get(taken)) {
        outbox.send(EngineMessage::Open(*page));
    }
    place.right()
}

/// How many values nobody has confirmed, and how that is done, as far as there is room.
fn assumed(ui: &egui::Ui, view: &View<'_>, rect: Rect) {
    let Some(words) = crate::checks::assumed_words(view.project) else { return };
    let told = format!("{words}: outlined with dashes. A click on the word, or Enter in the field, confirms one.");
    let ink = color(view.theme.palette.ink_secondary);
    let long = elided(ui, rect, told.as_str(), view.theme.small_font());
    let shown = if long.is_cut() { elided(ui, rect, words, view.theme.small_font()) } else { long };
    shown.paint(ui, egui::Align::Max, ink);
    let response = ui.interact(rect, Id::unique("values assumed"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &told));
    response.on_hover_text(told.clone());
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    #[test]
    fn a_step_is_done_when_nothing_of_it_is_assumed_and_the_last_when_the_zero_is_proved() {
        let new = NewProject { name: "t".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let project = new.create().unwrap();
        let done = |project: &Project| Page::ALL.map(|page| is_done(page, project));
        assert!(done(&project).iter().all(|done| *done != Some(true)), "{:?}", done(&project));
        let confirmed = project.edit(|parts| parts.assumed.clear()).unwrap();
        for page in [Page::Installation, Page::Throttle, Page::Sender, Page::Coil] {
            assert_eq!(is_done(page, &confirmed), Some(true), "{page:?}");
        }
        for page in [Page::TrueTdc, Page::FirstStart, Page::TimingLight] {
            assert_eq!(is_done(page, &confirmed), Some(false), "{page:?}");
        }
    }
}
