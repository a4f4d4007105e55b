//! The sum of the selected cell's advance: a line for each part with its bar, its degrees and why. Where a part comes from
//! lights up under the pointer, and a click goes there.

use eframe::egui::{
    Align, Align2, CursorIcon, Rect, Response, Role, Sense, StrokeKind, Ui, UiBuilder, WidgetInfo, pos2, vec2,
};

use super::effect;
use super::sum_bar::{self, Across, Stretch};
use super::sum_words::{Home, Part, Source, in_a_line, parts};
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::table_sheet_sizes::{ROW_GROUND, TRIMS_SIZES};
use crate::window::kit::theme::{Theme, color, elided, hairline, strong_text};
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::Sheet;
use crate::window::views::curve_editor::point_id;
use crate::window::views::surface::heading;
use crate::window::views::view::View;
use crate::window::views::{form, grid, grip};
use crate::wording::{Unit, settle, with_unit, written};

/// What became of the parts in this frame.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Asked {
    /// The part under the pointer, or with the keyboard focus.
    pub lit: Option<Source>,
    /// The one whose curve on this sheet is to be seen.
    pub to: Option<Source>,
}

/// The height for the heading and the usual parts.
pub(super) fn height(theme: &Theme) -> f32 {
    TRIMS_SIZES.controls_height + TRIMS_SIZES.usual_lines * line_height(theme)
}

/// The greatest height of a line, which is a target.
fn line_height(theme: &Theme) -> f32 {
    TRIMS_SIZES.line_height.max(theme.small_target)
}

/// Draws the sum into a place.
pub(super) fn show(ui: &mut Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) -> Asked {
    let sizes = &TRIMS_SIZES;
    let cell = view.screen.selection.cursor;
    let place = (cell, grip::place(view, cell));
    let parts = parts(view.project, &view.screen.trims, place, &effect::breakdown(view, cell));
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("contributions"));
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), sizes.controls_height));
    let why = sizes.why_width.min(rect.width() * sizes.why_share);
    let left = rect.left() + sizes.bar_start;
    let right = (rect.right() - why - view.theme.margin).min(left + sizes.most_bar).max(left + sizes.least_bar);
    let across = Across { left, right, range: sum_bar::range(view.project) };
    let told = ui.interact(head.with_min_x(left), ui.scope_id().with("sum"), Sense::hover());
    let words = format!("Sum at the cell: {}", in_a_line(&parts));
    told.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    // In a low window the lines need the room of the heading.
    let body = if rect.height() < head.height() + sizes.usual_lines * sizes.low_line {
        rect
    } else {
        heading(&mut ui, head.with_max_x(left - view.theme.gap), "Sum at the cell", "", view.theme);
        scale(&ui, head, &across, view);
        rect.with_min_y(head.bottom())
    };
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    let count = parts.len() as f32;
    // Only where there are more parts than usual are the lines lower.
    let line_height = (body.height() / sizes.usual_lines.max(count)).min(line_height(view.theme)).floor();
    lines(&mut ui, body.with_max_y(body.top() + line_height * count), &parts, &across, view, outbox)
}

/// The degrees along the bars.
fn scale(ui: &Ui, head: Rect, across: &Across, view: &View<'_>) {
    let ink = color(view.theme.palette.ink_secondary);
    for mark in across.marks() {
        let text = with_unit(&written(settle(mark)), Unit::Degree);
        let at = pos2(across.x(mark), head.bottom());
        ui.painter().text(at, Align2::CENTER_BOTTOM, text, view.theme.small_font(), ink);
    }
}

fn lines(ui: &mut Ui, body: Rect, parts: &[Part], across: &Across, view: &View<'_>, outbox: &mut Outbox) -> Asked {
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    let height = body.height() / parts.len().max(1) as f32;
    let mut asked = Asked::default();
    let stretches = sum_bar::stretches(parts);
    let places: Vec<Rect> = std::iter::successors(Some(body.with_max_y(body.top() + height)), |line| {
        Some(line.translate(vec2(0.0, height)))
    })
    .take(parts.len())
    .collect();
    for (part, place) in parts.iter().zip(&places) {
        let response = ground(ui, *place, part, view);
        if response.hovered() || response.has_focus() {
            asked.lit = Some(part.source);
        }
        if response.clicked() {
            go(ui, part.source, outbox);
            asked.to = Some(part.source);
        }
    }
    across.paint_marks(ui.painter(), (body.top(), body.bottom()), view.theme);
    for ((part, place), stretch) in parts.iter().zip(&places).zip(&stretches) {
        line_of(ui, *place, part, (across, stretch), view);
    }
    asked
}

/// What can be pointed at, with its ground.
fn ground(ui: &Ui, rect: Rect, part: &Part, view: &View<'_>) -> Response {
    let (theme, name) = (view.theme, part.source.name());
    let leads = part.source.home().is_some();
    let sense = if leads { Sense::click() } else { Sense::hover() };
    let response = ui.interact(rect, ui.scope_id().with(name), sense);
    let words = format!("{name}: {}, {}", part.degrees, part.why);
    let role = if leads { Role::Button } else { Role::Label };
    response.widget_info(|| WidgetInfo::labeled(role, true, &words));
    let all = rect.expand2(vec2(ROW_GROUND.x, 0.0));
    if leads && (response.hovered() || response.has_focus()) {
        ui.painter().rect_filled(all, theme.radius, color(theme.palette.field_hover));
    }
    if response.has_focus() {
        ui.painter().rect_stroke(all, theme.radius, hairline(color(theme.palette.ink)), StrokeKind::Inside);
    }
    if leads { response.on_hover_cursor(CursorIcon::PointingHand) } else { response }
}

/// What a click on a part does, for the status line.
pub(super) fn leads_to(source: Source) -> Option<String> {
    let name = source.name();
    Some(match source.home()? {
        Home::Table => format!("{name}: click to go to the cell on Advance"),
        Home::Curve(_) => format!("{name}: click to go to its curve"),
        Home::LimitCurve(_) | Home::LimitField(_) => format!("{name}: click to go to it on Limits & outputs"),
    })
}

/// Gives the keyboard focus to the point of the curve that was asked for that is nearest to the temperature; once the
/// curve is drawn, since whatever is not clicked gives it up.
pub(super) fn arrive(ui: &Ui, asked: Asked, view: &View<'_>) {
    let Some((source, Home::Curve(of))) = asked.to.and_then(|source| Some((source, source.home()?))) else { return };
    let state = &view.screen.trims;
    let at_c = if source == Source::Coolant { state.coolant_c } else { state.air_c };
    let points = of.curve(view.project).axis().breakpoints().iter().enumerate();
    let nearest = points.min_by(|(_, a), (_, b)| (*a - at_c).abs().total_cmp(&(*b - at_c).abs()));
    let id = point_id(of, nearest.map_or(0, |(index, _)| index));
    ui.memory_mut(|memory| memory.request_focus(id));
}

/// Goes to the sheet where a part is changed, if that is another one.
fn go(ui: &Ui, source: Source, outbox: &mut Outbox) {
    let (id, sheet) = match source.home() {
        Some(Home::Table) => (grid::id(), Sheet::Advance),
        Some(Home::LimitCurve(of)) => (point_id(of, 0), Sheet::Limits),
        Some(Home::LimitField(path)) => (form::id(path), Sheet::Limits),
        Some(Home::Curve(_)) | None => return,
    };
    ui.memory_mut(|memory| memory.request_focus(id));
    outbox.run(Command::Sheet(sheet));
}

fn line_of(ui: &Ui, rect: Rect, part: &Part, (across, stretch): (&Across, &Stretch), view: &View<'_>) {
    let (palette, theme, sizes) = (view.theme.palette, view.theme, &TRIMS_SIZES);
    let (middle, is_sum) = (rect.center().y, part.source == Source::Sum);
    let [name_at, number_at] = [pos2(rect.left(), middle), pos2(rect.left() + sizes.number_end, middle)];
    let (font, ink) = (theme.body_font(), color(palette.ink));
    if is_sum {
        let y = ui.painter().round_to_pixel_center(rect.top() + HAIRLINE);
        ui.painter().hline(rect.left()..=number_at.x, y, hairline(color(palette.rule_strong)));
        strong_text(ui.painter(), name_at, Align2::LEFT_CENTER, part.source.name(), font.clone(), ink);
        strong_text(ui.painter(), number_at, Align2::RIGHT_CENTER, part.degrees.clone(), font, ink);
    } else {
        ui.painter().text(name_at, Align2::LEFT_CENTER, part.source.name(), font.clone(), ink);
        ui.painter().text(number_at, Align2::RIGHT_CENTER, &part.degrees, font, ink);
    }
    across.paint(ui.painter(), rect, stretch, is_sum, theme);
    let room = rect.with_min_x((across.right + theme.margin).min(rect.right()));
    elided(ui, room, &part.why, theme.small_font()).paint(ui, Align::Min, color(palette.ink_secondary));
}
