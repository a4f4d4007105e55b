//! Lines of the sheet: texts in columns, links, arrows; and those with the difference in figures, and what lies outside the
//! comparison.

use eframe::egui::{self, Align, Button, Layout, Rect, Response, RichText, Role, UiBuilder, WidgetInfo, pos2, vec2};

use crate::compare::{Extreme, TableComparison, UNWEIGHTED_NOTE};
use crate::window::kit::theme::table_sheet_sizes::LINK_PADDING;
use crate::window::kit::theme::{Theme, color, label_in_middle};
use crate::window::sheets::compare::comparing::Compared;
use crate::window::sheets::compare::names;
use crate::window::views::view::View;
use crate::wording::{Unit, step_decimals, with_unit};

/// A text in a rectangle, cut in its middle where there is no room, with the whole text as tooltip.
pub(super) fn text(ui: &mut egui::Ui, rect: Rect, align: Align, text: RichText) -> Response {
    let layout = match align {
        Align::Max => Layout::right_to_left(Align::Center),
        _ => Layout::left_to_right(Align::Center),
    };
    let mut inner = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout));
    label_in_middle(&mut inner, text)
}

/// A button that looks like a word, at the right end of a rectangle; `name` says what it does.
pub(super) fn link(ui: &mut egui::Ui, rect: Rect, word: &str, name: &str, theme: &Theme) -> Response {
    let mut inner = ui.new_child(UiBuilder::new().max_rect(rect).layout(Layout::right_to_left(Align::Center)));
    inner.spacing_mut().button_padding = LINK_PADDING;
    let button = Button::new(RichText::new(word).color(color(theme.palette.ink)).underline()).frame(false);
    let response = inner.add(button);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    response
}

/// A column of a line.
pub(super) fn column(line: Rect, left: f32, width: f32) -> Rect {
    Rect::from_min_size(pos2(line.left() + left, line.top()), vec2(width.max(0.0), line.height()))
}

/// A line of a list: all of the width, so high.
pub(super) fn line(ui: &mut egui::Ui, height: f32) -> Rect {
    ui.allocate_exact_size(vec2(ui.available_width(), height), egui::Sense::hover()).0
}

/// Second-rank text.
pub(super) fn second(text: impl Into<String>, theme: &Theme) -> RichText {
    RichText::new(text).color(color(theme.palette.ink_secondary))
}

/// Small second-rank text.
pub(super) fn small(text: impl Into<String>, theme: &Theme) -> RichText {
    second(text, theme).size(theme.small)
}

/// Draws the figures and the extremes one above the other; right of them, from `split` on, how far the figures can be
/// trusted and what was not compared.
pub(super) fn show_figures(
    ui: &mut egui::Ui,
    view: &View<'_>,
    (compared, table): (&Compared, &TableComparison),
    split: f32,
) {
    let theme = view.theme;
    let whole = ui.max_rect();
    let height = theme.compare.small_line_height;
    let part = |left: f32, right: f32, row: f32| {
        Rect::from_min_size(pos2(left, whole.top() + row * height), vec2((right - left).max(0.0), height))
    };
    let digits = step_decimals(compared.edited().step_deg);
    // The figures are read first: what explains them gives way.
    let words = table.figures.words(digits);
    let needed = ui.painter().layout_no_wrap(words.clone(), theme.body_font(), color(theme.palette.ink)).size().x;
    let split_of_figures = split.max(whole.left() + needed.ceil() + theme.margin);
    let figures = second(words, theme);
    let end = split - theme.gap;
    let outside: Vec<String> = table.delta.not_compared().iter().map(ToString::to_string).collect();
    let outside = if outside.is_empty() { None } else { Some(format!("{}.", outside.join("; "))) };
    let tooltip = format!("{}\n{UNWEIGHTED_NOTE}", extremes(compared, table));
    text(ui, part(whole.left(), split_of_figures - theme.gap, 0.0), Align::Min, figures).on_hover_text(tooltip);
    let beside = part(split_of_figures, whole.right(), 0.0);
    let note =
        ui.painter().layout_no_wrap(UNWEIGHTED_NOTE.into(), theme.small_font(), color(theme.palette.ink)).size().x;
    // The note is there whole or in the tooltip alone.
    let note = (note <= beside.width()).then(|| UNWEIGHTED_NOTE.to_owned());
    if whole.height() < 2.0 * height {
        // What is missing from the figures comes before how they are to be read.
        if let Some(told) = outside.or(note) {
            text(ui, beside, Align::Min, small(told, theme));
        }
        return;
    }
    text(ui, part(whole.left(), end, 1.0), Align::Min, small(extremes(compared, table), theme));
    if let Some(note) = note {
        text(ui, beside, Align::Min, small(note, theme));
    }
    if let Some(outside) = outside {
        text(ui, part(split, whole.right(), 1.0), Align::Min, small(outside, theme));
    }
}

fn extremes(compared: &Compared, table: &TableComparison) -> String {
    let tell = |what: &str, extreme: Option<Extreme>| {
        let extreme = extreme?;
        let deg = with_unit(&names::delta(extreme.deg, compared.edited().step_deg), Unit::Degree);
        Some(format!("largest {what} {deg} at {}", names::place(compared, (extreme.speed_rpm, extreme.load))))
    };
    let told = [tell("rise", table.figures.largest_rise), tell("fall", table.figures.largest_fall)];
    let told: Vec<String> = told.into_iter().flatten().collect();
    if told.is_empty() { "no point rises or falls".into() } else { told.join(" · ") }
}
