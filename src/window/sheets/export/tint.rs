//! How the parts of an image look: a tint and a pattern each, so that neither colour nor pattern says it alone.

use eframe::egui::{Color32, Painter, Rect, pos2};

use super::kept::Kind;
use crate::window::kit::theme::engine_sheet_sizes::HATCH_DOT;
use crate::window::kit::theme::{Theme, color, hairline};

/// The tint of a kind.
pub(super) fn tint(theme: &Theme, kind: Kind) -> Color32 {
    let [table, breakpoints, curve, number, checksum] = theme.palette.image_parts;
    color(match kind {
        Kind::Table => table,
        Kind::Breakpoints => breakpoints,
        Kind::Curve => curve,
        Kind::Number => number,
        Kind::Checksum => checksum,
    })
}

/// Draws the pattern of a kind: a table is plain, breakpoints are upright lines, curves slanted ones, single numbers dots, a
/// checksum crossed lines.
pub(super) fn hatch(painter: &Painter, theme: &Theme, rect: Rect, kind: Kind) {
    let painter = painter.with_clip_rect(rect.intersect(painter.clip_rect()));
    let stroke = hairline(color(theme.palette.contour_minor));
    let step = theme.export.hatch;
    // The pattern hangs on the screen, not on the part, so that it does not crawl while parts are moved.
    let first = |from: f32| (from / step).floor() * step;
    let columns = |from: f32, to: f32| {
        let mut x = first(from);
        std::iter::from_fn(move || {
            x += step;
            (x <= to + step).then_some(x - step)
        })
    };
    let slanted = |rises: bool| {
        let height = rect.height();
        for x in columns(rect.left() - height, rect.right()) {
            let (low, high) = (pos2(x, rect.bottom()), pos2(x + height, rect.top()));
            let ends = if rises { [low, high] } else { [pos2(low.x, high.y), pos2(high.x, low.y)] };
            painter.line_segment(ends, stroke);
        }
    };
    match kind {
        Kind::Table => {}
        Kind::Breakpoints => columns(rect.left(), rect.right()).for_each(|x| {
            painter.vline(x, rect.y_range(), stroke);
        }),
        Kind::Curve => slanted(true),
        Kind::Number => {
            for x in columns(rect.left(), rect.right()) {
                for y in columns(rect.top(), rect.bottom()) {
                    painter.circle_filled(pos2(x + step / 2.0, y + step / 2.0), HATCH_DOT, stroke.color);
                }
            }
        }
        Kind::Checksum => {
            slanted(true);
            slanted(false);
        }
    }
}

/// Paints a part: tint, pattern, outline.
pub(super) fn part(painter: &Painter, theme: &Theme, rect: Rect, kind: Kind) {
    painter.rect_filled(rect, 0.0, tint(theme, kind));
    hatch(painter, theme, rect, kind);
}
