//! What the marks on cells, points and lines mean, each drawn as it appears there.

use eframe::egui::{
    self, Painter, Pos2, Rect, RichText, Role, ScrollArea, Sense, Shape, Stroke, StrokeKind, Vec2, WidgetInfo, pos2,
    vec2,
};

use crate::checks::Severity;
use crate::project::Origin;
use crate::window::kit::marks;
use crate::window::kit::theme::frame_sizes::{
    CHANGED_SAMPLE, ORIGIN_SAMPLE, RING_SAMPLES, ROW_GAP, SAMPLE, SAMPLE_ROOM,
};
use crate::window::kit::theme::kit_sizes::{CHART, CHART_SIZES, FAINT, HAIRLINE, LINE_GAP, MARK};
use crate::window::kit::theme::view_sizes::{CHANGED_DOT, HELD_MARK, PROPOSED_VERTEX_DASHES, PROPOSED_VERTEX_SIDE};
use crate::window::kit::theme::{color, hairline, severity_ink, strong_label};
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::views::command_buttons::panel_head;
use crate::window::views::view::View;

/// A mark.
#[derive(Clone, Copy)]
enum Mark {
    Held,
    Changed,
    Warning,
    Error,
    Note,
    Proposed,
    ProposedVertex,
    Cursor,
    Selected,
    Hovered,
    HeldPoint,
    Handle,
    Ring,
    FreePoint,
    Base,
    ProposedLine,
    Badge,
    Unchanged,
    Running,
}

/// The marks by where they appear.
const PARTS: [(&str, &[(Mark, &str)]); 6] = [
    (
        "In the grid",
        &[
            (Mark::Held, "held: no tool moves this cell"),
            (Mark::Changed, "changed from the base"),
            (Mark::Error, "a check found an error here"),
            (Mark::Warning, "a check has a warning here"),
            (Mark::Note, "a check has a note here"),
            (Mark::Proposed, "only proposed: a click or Enter applies it"),
            (Mark::Selected, "selected"),
            (Mark::Cursor, "the cursor: keys start here"),
            (Mark::Hovered, "under the pointer, in whichever view"),
        ],
    ),
    (
        "On the surface",
        &[
            (Mark::Handle, "the cursor's cell: drag it to lift"),
            (Mark::Ring, "moves along with a lift, the larger the farther"),
            (Mark::Error, "a check found an error at this vertex"),
            (Mark::Warning, "a check has a warning at this vertex"),
            (Mark::ProposedVertex, "only proposed: a click or Enter applies it"),
        ],
    ),
    (
        "On the slices",
        &[
            (Mark::FreePoint, "a cell: drag it up or down"),
            (Mark::HeldPoint, "a held cell"),
            (Mark::Base, "the base"),
            (Mark::ProposedLine, "only proposed; the thin line is what is"),
        ],
    ),
    ("On Compare", &[(Mark::Badge, "a region of changes, by its number in the list")]),
    ("On Trims", &[(Mark::Unchanged, "the trims change nothing here")]),
    ("On Advance and Rig", &[(Mark::Running, "where the run on the rig is at present")]),
];

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    panel_head(ui, view, outbox, "Marks", Command::Marks);
    let theme = view.theme;
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = ROW_GAP;
        for (part, list) in PARTS {
            ui.add_space(theme.gap);
            strong_label(ui, part, theme.heading_font());
            for &(mark, words) in list {
                line(ui, view, words, |painter, rect| paint(painter, rect, mark, view));
            }
        }
        ui.add_space(theme.gap);
        strong_label(ui, "Where a value came from", theme.heading_font());
        let keys = view.keys.tooltip(Command::ToggleOrigins);
        ui.label(RichText::new(keys).size(theme.small).color(color(theme.palette.ink_secondary)));
        for origin in Origin::ALL {
            let ink = color(theme.palette.ink);
            line(ui, view, origin.name(), |painter, rect| {
                let at = rect.left_bottom() + ORIGIN_SAMPLE;
                painter.text(at, egui::Align2::LEFT_BOTTOM, origin.letter(), theme.small_font(), ink);
            });
        }
    });
}

fn line(ui: &mut egui::Ui, view: &View<'_>, words: &str, sample: impl FnOnce(&Painter, Rect)) {
    let theme = view.theme;
    let galley = ui.painter().layout(
        words.to_owned(),
        theme.body_font(),
        color(theme.palette.ink),
        (ui.available_width() - SAMPLE_ROOM).max(1.0),
    );
    let height = galley.size().y.max(SAMPLE.y) + LINE_GAP;
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
    sample(ui.painter(), Rect::from_center_size(pos2(rect.left() + SAMPLE.x / 2.0, rect.center().y), SAMPLE));
    let at = pos2(rect.left() + SAMPLE_ROOM, rect.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, color(theme.palette.ink));
}

/// Draws a mark in the middle of its sample, those of the grid in a cell.
fn paint(painter: &Painter, rect: Rect, mark: Mark, view: &View<'_>) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let (ink, second, accent) = (color(palette.ink), color(palette.ink_secondary), color(palette.accent));
    let middle = rect.center();
    let cell = || painter.rect_stroke(rect, 0.0, hairline(color(palette.rule_strong)), StrokeKind::Inside);
    let severity = |severity| {
        let place = Rect::from_center_size(middle, MARK);
        marks::severity(place, severity, color(severity_ink(theme, severity)))
    };
    match mark {
        Mark::Held => {
            cell();
            held_corner(painter, rect.left_top(), ink);
        }
        Mark::Changed => {
            cell();
            marks::dot(painter, rect.right_top() + CHANGED_SAMPLE, CHANGED_DOT, ink);
        }
        Mark::Error => _ = painter.add(severity(Severity::Error)),
        Mark::Warning => _ = painter.add(severity(Severity::Warning)),
        Mark::Note => _ = painter.add(severity(Severity::Note)),
        Mark::Proposed => {
            let stroke = Stroke::new(theme.proposed_width, color(palette.proposed));
            painter.extend(Shape::dashed_line(&closed(rect.shrink(HAIRLINE)), stroke, CHART.dashes.0, CHART.dashes.1));
        }
        Mark::ProposedVertex => {
            through(painter, rect, ink);
            let stroke = Stroke::new(theme.proposed_width, color(palette.proposed));
            let square = Rect::from_center_size(middle, Vec2::splat(PROPOSED_VERTEX_SIDE));
            let (dash, gap) = PROPOSED_VERTEX_DASHES;
            painter.extend(Shape::dashed_line(&closed(square), stroke, dash, gap));
        }
        Mark::Selected => {
            let stroke = Stroke::new(theme.selection_width, accent);
            painter.rect_stroke(rect, 0.0, stroke, StrokeKind::Inside);
        }
        Mark::Cursor => {
            painter.rect_stroke(rect.shrink(HAIRLINE), 0.0, Stroke::new(CHART.outline, ink), StrokeKind::Inside);
        }
        Mark::Hovered => {
            painter.rect_stroke(rect, 0.0, hairline(second), StrokeKind::Inside);
        }
        Mark::Handle => {
            painter.circle(middle, CHART.radii.1, color(palette.handle), Stroke::new(CHART.main, ink));
        }
        Mark::Ring => {
            for (at, radius) in RING_SAMPLES {
                painter.circle(middle + vec2(at, 0.0), radius, accent, Stroke::new(FAINT, color(palette.handle)));
            }
        }
        Mark::FreePoint => {
            through(painter, rect, ink);
            painter.circle(middle, CHART.radii.0, color(palette.handle), Stroke::new(CHART.outline, ink));
        }
        Mark::HeldPoint => {
            through(painter, rect, ink);
            let square = Rect::from_center_size(middle, Vec2::splat(2.0 * CHART_SIZES.held.0));
            let stroke = Stroke::new(CHART_SIZES.held_outline, ink);
            painter.rect(square, 0.0, color(palette.handle), stroke, StrokeKind::Middle);
        }
        Mark::Base => dashes(painter, rect, Stroke::new(CHART.thin, color(palette.base_line)), CHART.dashes),
        Mark::ProposedLine => {
            dashes(painter, rect, Stroke::new(CHART.main, color(palette.proposed)), CHART.proposed_dashes)
        }
        Mark::Badge => {
            painter.circle(middle, theme.compare.badge_radius, color(palette.paper), hairline(ink));
            painter.text(middle, egui::Align2::CENTER_CENTER, "1", theme.small_font(), ink);
        }
        Mark::Unchanged => marks::nil(painter, middle, second),
        Mark::Running => marks::running_point(painter, middle, view.theme),
    }
}

fn held_corner(painter: &Painter, corner: Pos2, ink: egui::Color32) {
    let points = vec![corner, corner + vec2(HELD_MARK, 0.0), corner + vec2(0.0, HELD_MARK)];
    painter.add(Shape::convex_polygon(points, ink, Stroke::NONE));
}

fn through(painter: &Painter, rect: Rect, ink: egui::Color32) {
    painter.hline(rect.x_range(), rect.center().y, Stroke::new(CHART.main, ink));
}

fn dashes(painter: &Painter, rect: Rect, stroke: Stroke, (dash, gap): (f32, f32)) {
    painter.extend(Shape::dashed_line(&[rect.left_center(), rect.right_center()], stroke, dash, gap));
}

fn closed(rect: Rect) -> [Pos2; 5] {
    [rect.left_top(), rect.right_top(), rect.right_bottom(), rect.left_bottom(), rect.left_top()]
}
