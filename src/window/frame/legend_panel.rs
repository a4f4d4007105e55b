//! What the marks on cells, points and lines mean, each drawn as it appears there.

use eframe::egui::{
    self, Painter, Pos2, Rect, Role, ScrollArea, Sense, Shape, Stroke, StrokeKind, Vec2, WidgetInfo, pos2, vec2,
};

use crate::checks::Severity;
use crate::drawing::{CellMarks, Scene, draw_cross, draw_measured};
use crate::window::kit::marks;
use crate::window::kit::patterns::{self, Pattern};
use crate::window::kit::scene_painter::{self, point, pos, viewport};
use crate::window::kit::theme::frame_sizes::{HOVERED_SAMPLE, RING_SAMPLES, ROW_GAP, SAMPLE, SAMPLE_ROOM};
use crate::window::kit::theme::kit_sizes::{
    CHANGED_DOT, CHANGED_INSET, CHART, FAINT, HAIRLINE, HELD_MARK, LINE_GAP, MARK,
};
use crate::window::kit::theme::view_sizes::{BAND_DASHES, PROPOSED_VERTEX_DASHES, PROPOSED_VERTEX_SIDE};
use crate::window::kit::theme::{color, hairline, severity_ink, strong_label};
use crate::window::state::MarksPlace;
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::views::command_buttons::panel_head;
use crate::window::views::form::assumed;
use crate::window::views::measured;
use crate::window::views::slices::held_corners;
use crate::window::views::view::View;

/// A mark.
#[derive(Clone, Copy)]
enum Mark {
    Severity(Severity),
    Held,
    Changed,
    Proposed,
    ProposedVertex,
    Cursor,
    Selected,
    Hovered,
    HeldPoint,
    Handle,
    HoveredVertex,
    Ring,
    SpotHeight,
    Ceiling,
    Band,
    FreePoint,
    Base,
    Comb,
    ProposedLine,
    Point(bool),
    PointInterval,
    Badge,
    Unchanged,
    Measured,
    Bound,
    Running,
    Done,
    Assumed,
}

/// Marks that appear in one place; `None` if every sheet has it.
struct Part {
    name: &'static str,
    place: Option<MarksPlace>,
    marks: &'static [(Mark, &'static str)],
}

/// The marks by where they appear.
const PARTS: &[Part] = &[
    Part {
        name: "What was found",
        place: None,
        marks: &[
            (Mark::Severity(Severity::Error), "an error: harms the engine, or cannot go on"),
            (Mark::Severity(Severity::Warning), "a warning: probably wrong, look into it"),
            (Mark::Severity(Severity::Note), "a note: worth knowing"),
        ],
    },
    Part {
        name: "In the grid",
        place: Some(MarksPlace::OwnGrid),
        marks: &[
            (Mark::Held, "held: no tool moves this cell"),
            (Mark::Changed, "changed from the base"),
            (Mark::Proposed, "only proposed: a click or Enter applies it"),
        ],
    },
    Part {
        name: "In every grid",
        place: Some(MarksPlace::Grid),
        marks: &[
            (Mark::Selected, "selected"),
            (Mark::Cursor, "the cursor: keys start here"),
            (Mark::Hovered, "under the pointer, in whichever view"),
        ],
    },
    Part {
        name: "On the surface",
        place: Some(MarksPlace::Surface),
        marks: &[
            (Mark::Handle, "the cursor's cell: drag it to lift"),
            (Mark::HoveredVertex, "under the pointer, in whichever view"),
            (Mark::Ring, "moves along with a lift, the larger the farther"),
            (Mark::SpotHeight, "a peak or a hole, with its degrees"),
            (Mark::ProposedVertex, "only proposed: a click or Enter applies it"),
            (Mark::Ceiling, "the ceiling: full-load line less trims; a bold line where the table rises through it"),
            (Mark::Band, "how sure: the truth lies between two such nets about nine times in ten"),
        ],
    },
    Part {
        name: "On the slices",
        place: Some(MarksPlace::Slices),
        marks: &[
            (Mark::FreePoint, "a cell: drag it up or down"),
            (Mark::HeldPoint, "a held cell"),
            (Mark::Base, "the base"),
            (Mark::Comb, "the comb: how much the line bends here, as fairing sees it"),
            (Mark::ProposedLine, "only proposed; the thin line is what is"),
        ],
    },
    Part {
        name: "Measured points",
        place: Some(MarksPlace::Measured),
        marks: &[
            (Mark::Point(true), "measured: the pointer over it tells what; in the grid beside digits, never over them"),
            (Mark::Point(false), "measured, but not in use"),
            (Mark::PointInterval, "its 95 % interval; an open end fades"),
        ],
    },
    Part {
        name: "On the curves",
        place: Some(MarksPlace::Curves),
        marks: &[(Mark::FreePoint, "a point: drag it, or type its numbers"), (Mark::Base, "the base")],
    },
    Part {
        name: "In the differences",
        place: Some(MarksPlace::Differences),
        marks: &[
            (Mark::Badge, "a region of changes, by its number in the list"),
            (Mark::SpotHeight, "a peak or a hole, with its degrees"),
        ],
    },
    Part {
        name: "In the effect of the trims",
        place: Some(MarksPlace::Trimmed),
        marks: &[(Mark::Unchanged, "the trims change nothing here")],
    },
    Part {
        name: "On the bars",
        place: Some(MarksPlace::Bars),
        marks: &[
            (Mark::Measured, "what was measured"),
            (Mark::Bound, "what is allowed: its foot points to what is not; drag it"),
        ],
    },
    Part {
        name: "In the slice of a remedy",
        place: Some(MarksPlace::Remedy),
        marks: &[(Mark::FreePoint, "a cell as it would be"), (Mark::Base, "as it is")],
    },
    Part {
        name: "In the bytes",
        place: Some(MarksPlace::Bytes),
        marks: &[(Mark::Changed, "differs from the file compared with")],
    },
    Part {
        name: "From the rig",
        place: Some(MarksPlace::Run),
        marks: &[(Mark::Running, "where the run on the rig is at present")],
    },
    Part {
        name: "On the worksheets",
        place: Some(MarksPlace::Worksheets),
        marks: &[(Mark::Done, "done, or as it should be")],
    },
    Part {
        name: "In the fields",
        place: Some(MarksPlace::Fields),
        marks: &[(Mark::Assumed, "assumed: nobody has confirmed it")],
    },
];

/// The marks that the open sheet can show.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    panel_head(ui, view, outbox, "Marks", Command::Marks);
    let (theme, places) = (view.theme, view.screen.sheet.row().marks);
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = ROW_GAP;
        for part in PARTS.iter().filter(|part| part.place.is_none_or(|place| places.contains(&place))) {
            ui.add_space(theme.gap);
            strong_label(ui, part.name, theme.heading_font());
            for &(mark, words) in part.marks {
                line(ui, view, words, |painter, rect| paint(painter, rect, mark, view));
            }
            let beyond = (part.place == Some(MarksPlace::Measured)).then(|| measured::beyond_words(view)).flatten();
            if let Some(words) = beyond {
                line(ui, view, &words, |_, _| {});
            }
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
    // No digits are in the sample.
    let places = CellMarks { cell: viewport(rect), digits: viewport(Rect::from_center_size(middle, Vec2::ZERO)) };
    match mark {
        Mark::Severity(severity) => {
            let place = Rect::from_center_size(middle, MARK);
            painter.add(marks::severity(place, severity, color(severity_ink(theme, severity))));
        }
        Mark::Held => {
            cell();
            painter.add(marks::held(places.held(HELD_MARK).map(pos), ink));
        }
        Mark::Changed => {
            cell();
            painter.add(marks::changed(pos(places.changed(CHANGED_DOT, CHANGED_INSET, CHANGED_INSET)), ink));
        }
        Mark::Proposed => {
            let stroke = Stroke::new(theme.proposed_width, color(palette.proposed));
            painter.extend(Shape::dashed_line(&closed(rect.shrink(HAIRLINE)), stroke, CHART.dashes.0, CHART.dashes.1));
        }
        Mark::ProposedVertex => proposed_vertex(painter, rect, view),
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
        Mark::HoveredVertex => {
            painter.circle_stroke(middle, HOVERED_SAMPLE.0, Stroke::new(HOVERED_SAMPLE.1, second));
            painter.circle_filled(middle, HOVERED_SAMPLE.1, second);
        }
        Mark::SpotHeight => {
            let mut scene = Scene::default();
            draw_cross(point(middle), palette.ink, palette.paper, &mut scene);
            scene_painter::paint(painter, &scene, theme);
        }
        Mark::Ceiling => ceiling(painter, rect, ink, second),
        Mark::Band => {
            for place in [rect.with_max_y(middle.y), rect.with_min_y(middle.y)] {
                dashes(painter, place, Stroke::new(CHART.thin, ink), BAND_DASHES);
            }
        }
        Mark::Done => marks::tick(painter, Rect::from_center_size(middle, MARK), Stroke::new(CHART.main, ink)),
        Mark::Assumed => assumed::outline(painter, theme, rect),
        Mark::Ring => ring(painter, middle, view),
        Mark::FreePoint => {
            through(painter, rect, ink);
            painter.circle(middle, CHART.radii.0, color(palette.handle), Stroke::new(CHART.outline, ink));
        }
        Mark::HeldPoint => {
            through(painter, rect, ink);
            painter.circle(middle, CHART.radii.0, color(palette.handle), Stroke::new(CHART.outline, ink));
            painter.add(marks::held(held_corners(middle), ink));
        }
        Mark::Base => dashes(painter, rect, Stroke::new(CHART.thin, color(palette.base_line)), CHART.dashes),
        Mark::Comb => comb(painter, rect, view),
        Mark::ProposedLine => {
            dashes(painter, rect, Stroke::new(CHART.main, color(palette.proposed)), CHART.proposed_dashes)
        }
        Mark::Point(is_in_use) => measured_point(painter, middle, is_in_use, view),
        Mark::PointInterval => point_interval(painter, rect, view),
        Mark::Badge => {
            painter.circle(middle, theme.compare.badge_radius, color(palette.paper), hairline(ink));
            painter.text(middle, egui::Align2::CENTER_CENTER, "1", theme.small_font(), ink);
        }
        Mark::Measured => measured(painter, rect, view),
        Mark::Bound => bound(painter, rect, view),
        Mark::Unchanged => marks::nil(painter, middle, second),
        Mark::Running => marks::running_point(painter, middle, view.theme),
    }
}

fn ceiling(painter: &Painter, rect: Rect, ink: egui::Color32, hatch: egui::Color32) {
    let mut mesh = egui::Mesh::default();
    patterns::add(&mut mesh, rect, None, Pattern::Hatch, hatch);
    painter.add(Shape::mesh(mesh));
    painter.rect_stroke(rect, 0.0, hairline(ink), StrokeKind::Inside);
}

fn ring(painter: &Painter, middle: Pos2, view: &View<'_>) {
    let (accent, handle) = (color(view.theme.palette.accent), color(view.theme.palette.handle));
    for (at, radius) in RING_SAMPLES {
        painter.circle(middle + vec2(at, 0.0), radius, accent, Stroke::new(FAINT, handle));
    }
}

fn comb(painter: &Painter, rect: Rect, view: &View<'_>) {
    let palette = view.theme.palette;
    let foot = rect.left_bottom() + vec2(rect.width() / 2.0, -HAIRLINE);
    let tip = pos2(foot.x, rect.top());
    let ends = [rect.left_bottom(), rect.right_bottom()].map(|end| end - vec2(0.0, HAIRLINE));
    for [from, to] in [[foot, tip], [ends[0], tip], [tip, ends[1]]] {
        painter.line_segment([from, to], hairline(color(palette.comb)));
    }
    painter.line_segment(ends, Stroke::new(CHART.main, color(palette.ink)));
}

fn measured_point(painter: &Painter, middle: Pos2, is_in_use: bool, view: &View<'_>) {
    let palette = view.theme.palette;
    let mut scene = Scene::default();
    let place = viewport(Rect::from_center_size(middle, Vec2::splat(MARK.y)));
    draw_measured(&place, is_in_use, palette.ink, palette.paper, 0.0, &mut scene);
    scene_painter::paint(painter, &scene, view.theme);
}

fn point_interval(painter: &Painter, rect: Rect, view: &View<'_>) {
    let stroke = hairline(color(view.theme.palette.ink));
    painter.vline(rect.center().x, rect.y_range(), stroke);
    for end in [rect.center_top(), rect.center_bottom()] {
        painter.hline(end.x - HELD_MARK / 2.0..=end.x + HELD_MARK / 2.0, end.y, stroke);
    }
    measured_point(painter, rect.center(), true, view);
}

fn proposed_vertex(painter: &Painter, rect: Rect, view: &View<'_>) {
    let palette = view.theme.palette;
    through(painter, rect, color(palette.ink));
    let stroke = Stroke::new(view.theme.proposed_width, color(palette.proposed));
    let square = Rect::from_center_size(rect.center(), Vec2::splat(PROPOSED_VERTEX_SIDE));
    let (dash, gap) = PROPOSED_VERTEX_DASHES;
    painter.extend(Shape::dashed_line(&closed(square), stroke, dash, gap));
}

fn measured(painter: &Painter, rect: Rect, view: &View<'_>) {
    let palette = view.theme.palette;
    marks::track(painter, rect, color(palette.rule));
    marks::measured(painter, rect.with_max_x(rect.center().x), color(palette.ink_secondary));
}

fn bound(painter: &Painter, rect: Rect, view: &View<'_>) {
    let palette = view.theme.palette;
    marks::track(painter, rect, color(palette.rule));
    marks::bound(painter, rect.center(), true, color(palette.ink));
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
