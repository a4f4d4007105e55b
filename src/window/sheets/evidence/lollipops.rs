//! By how much the choice of each sweep lies above or below the table, sorted: where the engine asks for more or for less.

use eframe::egui::{self, Align2, Id, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use super::frames::{gather_or_look, point, show_focus};
use super::kept::{Frame, Kept};
use crate::drawing::{CHART, nice_step};
use crate::window::kit::theme::evidence_sizes::EVIDENCE_SIZES;
use crate::window::kit::theme::kit_sizes::STRONG;
use crate::window::kit::theme::{color, hairline};
use crate::window::state::outbox::Outbox;
use crate::window::views::surface::heading;
use crate::window::views::view::View;
use crate::wording::{Unit, point as place_words, quantity, rounded, settle, signed, signed_quantity};

/// The least that the scale shows to either side, degrees.
const LEAST_DEG: f64 = 2.0;

/// One sweep against the table.
struct Lollipop<'a> {
    frame: &'a Frame,
    /// Choice less table.
    off_deg: f64,
    /// The interval of the choice less the table; `None` at an end that is open.
    whisker: (Option<f64>, Option<f64>),
}

/// Draws them into a rectangle.
pub(super) fn show(
    ui: &mut Ui,
    rect: Rect,
    (kept, chosen): (&Kept, Option<&Frame>),
    view: &View<'_>,
    outbox: &mut Outbox,
) {
    let theme = view.theme;
    let line = rect.with_max_y(rect.top() + theme.small_target);
    heading(ui, line, "Choice less table", "° · sorted · whisker: 95 %", theme);
    let sticks = sorted(kept, view);
    let inside = Rect::from_min_max(line.left_bottom(), rect.max);
    let plot = inside
        .with_min_x(inside.left() + EVIDENCE_SIZES.outer.x * 0.8)
        .with_max_y(inside.bottom() - EVIDENCE_SIZES.places_height);
    if sticks.is_empty() || plot.height() < EVIDENCE_SIZES.places_height {
        let words = if sticks.is_empty() { "No sweep has a choice that lies on the table." } else { "" };
        ui.painter().text(
            inside.left_top() + vec2(0.0, theme.gap),
            Align2::LEFT_TOP,
            words,
            theme.body_font(),
            color(theme.palette.ink_secondary),
        );
        return;
    }
    let reach = sticks.iter().map(|stick| stick.off_deg.abs()).fold(LEAST_DEG, f64::max);
    let step = nice_step(2.0 * reach, 5);
    let full = (reach / step).ceil() * step;
    scale(ui, plot, full, step, view);
    #[expect(clippy::cast_precision_loss, reason = "a few hundred sweeps")]
    let each = (plot.width() / sticks.len() as f32).min(EVIDENCE_SIZES.lollipop.0);
    for (at, stick) in sticks.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a few hundred sweeps")]
        let left = plot.left() + at as f32 * each;
        let column = Rect::from_x_y_ranges(left..=left + each, plot.top()..=inside.bottom());
        let is_chosen = chosen.is_some_and(|chosen| chosen.key == stick.frame.key);
        lollipop(ui, (plot, column), (stick, full, is_chosen), view, outbox);
    }
}

fn sorted<'a>(kept: &'a Kept, view: &View<'_>) -> Vec<Lollipop<'a>> {
    let choice = view.screen.evidence.choice;
    let stick = |frame: &'a Frame| {
        let (deg, table_deg) = (frame.choice_deg(choice)?, frame.table_deg?);
        let (low, high) = frame.choice_interval(choice);
        let off = |end: Option<f64>| end.map(|end| end - table_deg);
        Some(Lollipop { frame, off_deg: settle(deg - table_deg), whisker: (off(low), off(high)) })
    };
    let mut all: Vec<Lollipop<'_>> = kept.frames.iter().filter_map(stick).collect();
    all.sort_by(|a, b| a.off_deg.total_cmp(&b.off_deg));
    all
}

fn y(plot: Rect, full: f64, deg: f64) -> f32 {
    #[expect(clippy::cast_possible_truncation, reason = "a share")]
    let share = (deg / full).clamp(-1.0, 1.0) as f32;
    plot.center().y - share * plot.height() / 2.0
}

fn scale(ui: &Ui, plot: Rect, full: f64, step: f64, view: &View<'_>) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let mut deg = -full;
    while deg <= full + step / 2.0 {
        let at = ui.painter().round_to_pixel_center(y(plot, full, deg));
        let is_zero = deg.abs() < step / 2.0;
        let stroke = if is_zero { Stroke::new(STRONG, color(palette.ink)) } else { hairline(color(palette.rule)) };
        ui.painter().hline(plot.x_range(), at, stroke);
        let text = if is_zero { "0".to_owned() } else { signed(deg, crate::drawing::decimals(step)) };
        ui.painter().text(
            pos2(plot.left() - theme.gap, at),
            Align2::RIGHT_CENTER,
            text,
            theme.small_font(),
            color(palette.ink_secondary),
        );
        deg += step;
    }
}

fn lollipop(
    ui: &mut Ui,
    (plot, column): (Rect, Rect),
    (stick, full, is_chosen): (&Lollipop<'_>, f64, bool),
    view: &View<'_>,
    outbox: &mut Outbox,
) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let frame = stick.frame;
    let response = ui.interact(column, Id::unique(("lollipop", &frame.key)), Sense::click());
    let state = &view.screen.evidence;
    if is_chosen {
        ui.painter().rect_filled(column, 0.0, color(palette.selection));
    } else if response.hovered() || state.pointed.as_ref() == Some(&frame.key) {
        ui.painter().rect_filled(column, 0.0, color(palette.field_hover));
    }
    let x = ui.painter().round_to_pixel_center(column.center().x);
    let at = |deg: f64| y(plot, full, deg);
    let (ink, paper) = (color(palette.ink), color(palette.paper));
    ui.painter().vline(x, at(0.0)..=at(stick.off_deg), Stroke::new(CHART.thin, ink));
    whisker(ui, x, plot, (stick, full), view);
    let is_open = frame.is_open();
    let fill = if is_open { paper } else { ink };
    ui.painter().circle(pos2(x, at(stick.off_deg)), EVIDENCE_SIZES.head, fill, Stroke::new(CHART.outline, ink));
    if frame.is_limited_by_knock() {
        ui.painter().text(
            pos2(x, at(stick.off_deg)),
            Align2::CENTER_CENTER,
            "×",
            theme.small_font(),
            if is_open { ink } else { paper },
        );
    }
    if column.width() >= EVIDENCE_SIZES.lollipop.1 {
        let lines = [quantity(rounded(frame.speed_rpm, 0), Unit::None), quantity(rounded(frame.load, 0), Unit::None)];
        let ink = color(if is_chosen { palette.ink } else { palette.ink_secondary });
        for (line, text) in lines.into_iter().enumerate() {
            let (first, second) = EVIDENCE_SIZES.place_lines;
            let top = plot.bottom() + if line == 0 { first } else { second };
            ui.painter().text(pos2(column.center().x, top), Align2::CENTER_TOP, text, theme.small_font(), ink);
        }
    }
    show_focus(ui, &response, column, view);
    let unit = view.project.sensors.load.unit();
    let words = || {
        format!(
            "{}: {} of the table",
            place_words(rounded(frame.speed_rpm, 0), rounded(frame.load, 1), unit),
            signed_quantity(rounded(stick.off_deg, 1), Unit::Degree),
        )
    };
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_chosen, words()));
    if response.hovered() {
        point(view, Some((frame, frame.choice_deg(state.choice))), outbox);
    }
    if response.clicked() {
        gather_or_look(ui, frame, outbox);
    }
}

/// The interval beside the stick; an open end runs to the edge of the plot with an arrow.
fn whisker(ui: &Ui, x: f32, plot: Rect, (stick, full): (&Lollipop<'_>, f64), view: &View<'_>) {
    let ink = color(view.theme.palette.ink);
    let half = EVIDENCE_SIZES.whisker;
    let stroke = Stroke::new(CHART.thin, ink);
    for (end, open) in [(stick.whisker.0, -full), (stick.whisker.1, full)] {
        let to = y(plot, full, end.unwrap_or(open));
        ui.painter().vline(x, y(plot, full, stick.off_deg)..=to, stroke);
        if end.is_some_and(|deg| deg.abs() <= full) {
            ui.painter().hline(x - half..=x + half, to, stroke);
        } else {
            let back = if to < plot.center().y { 2.0 * half } else { -2.0 * half };
            let tip = egui::Shape::convex_polygon(
                vec![pos2(x, to), pos2(x - half, to + back), pos2(x + half, to + back)],
                ink,
                Stroke::NONE,
            );
            ui.painter().add(tip);
        }
    }
}
