//! What the marks in the frames mean, in one line below them.

use eframe::egui::{self, Align2, Rect, Stroke, Ui, pos2, vec2};

use crate::drawing::CHART;
use crate::window::kit::patterns::{self, Pattern};
use crate::window::kit::theme::color;
use crate::window::kit::theme::evidence_sizes::EVIDENCE_SIZES;
use crate::window::views::view::View;

/// The marks, the ones that matter most first: what does not fit is left out at the end.
#[derive(Clone, Copy, PartialEq)]
enum Mark {
    Reading,
    LeftOut,
    Knock,
    Choice,
    Table,
    Best,
    Flat,
    NotRead,
}

const MARKS: [(Mark, &str); 8] = [
    (Mark::Reading, "reading"),
    (Mark::LeftOut, "left out"),
    (Mark::Knock, "knock"),
    (Mark::Choice, "choice"),
    (Mark::Table, "table"),
    (Mark::Best, "best torque, 95 %"),
    (Mark::Flat, "within 1 %"),
    (Mark::NotRead, "not read"),
];

pub(super) fn show(ui: &Ui, rect: Rect, has_gaps: bool, view: &View<'_>) {
    let (theme, size) = (view.theme, EVIDENCE_SIZES.key_mark);
    let ink = color(theme.palette.ink_secondary);
    let mut left = rect.left() + EVIDENCE_SIZES.outer.x;
    for (mark, word) in MARKS {
        if mark == Mark::NotRead && !has_gaps {
            continue;
        }
        let galley = ui.painter().layout_no_wrap(word.to_owned(), theme.small_font(), ink);
        let width = size.x + theme.gap / 2.0 + galley.size().x;
        if left + width > rect.right() {
            break;
        }
        let place = Align2::LEFT_CENTER.align_size_within_rect(size, rect.with_min_x(left));
        paint(ui, place, mark, view);
        let at = pos2(place.right() + theme.gap / 2.0, rect.center().y - galley.size().y / 2.0);
        ui.painter().galley(at, galley, ink);
        left += width + theme.margin;
    }
}

fn paint(ui: &Ui, place: Rect, mark: Mark, view: &View<'_>) {
    let palette = view.theme.palette;
    let (ink, paper, at) = (color(palette.ink), color(palette.paper), place.center());
    let painter = ui.painter();
    match mark {
        Mark::Reading => _ = painter.circle_filled(at, EVIDENCE_SIZES.dot, ink),
        Mark::LeftOut => _ = painter.circle(at, EVIDENCE_SIZES.dot, paper, Stroke::new(CHART.outline, ink)),
        Mark::Knock => _ = painter.text(at, Align2::CENTER_CENTER, "×", view.theme.body_font(), ink),
        Mark::Choice => {
            let half = place.height() / 2.0;
            let corners = vec![at - vec2(0.0, half), at + vec2(half, half), at + vec2(-half, half)];
            painter.add(egui::Shape::convex_polygon(corners, ink, Stroke::NONE));
        }
        Mark::Table => {
            let stroke = Stroke::new(CHART.guide, ink);
            painter.vline(at.x, place.y_range(), stroke);
            let tip = pos2(at.x + place.height() * 0.7, place.top() + place.height() * 0.25);
            painter.line_segment([pos2(at.x, place.top()), tip], stroke);
            painter.line_segment([tip, pos2(at.x, place.top() + place.height() * 0.5)], stroke);
        }
        Mark::Best => _ = painter.hline(place.x_range(), at.y, Stroke::new(EVIDENCE_SIZES.dot, ink)),
        Mark::Flat | Mark::NotRead => {
            let mut mesh = egui::Mesh::default();
            patterns::add(&mut mesh, place, None, Pattern::Hatch, color(palette.hatch));
            painter.add(egui::Shape::mesh(mesh));
            let rule =
                Stroke::new(CHART.guide, color(if mark == Mark::Flat { palette.rule } else { palette.rule_strong }));
            painter.rect_stroke(place, 0.0, rule, egui::StrokeKind::Inside);
        }
    }
}
