//! Hatches and patterns over the ground of a cell or a swatch: fine lines and dots that go on from one cell to the next.

use std::ops::Range;

use eframe::egui::{Color32, Mesh, Pos2, Rect, Vec2, pos2, vec2};

use crate::window::kit::theme::kit_sizes::{HAIRLINE, PATTERN_DOT, PATTERN_STEP, SLANTED_STEP};

/// What is drawn over a ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pattern {
    /// Nothing.
    Plain,
    /// Lines rising at 45°: what is not known, and nothing else.
    Hatch,
    /// Dots.
    Dots,
    /// Few dots.
    FewDots,
    /// Level lines.
    Level,
    /// Level lines in pairs.
    LevelPairs,
    /// Upright lines.
    Upright,
    /// Lines falling at 45°.
    Falling,
    /// Lines falling at 45° in pairs.
    FallingPairs,
    /// Level and upright lines.
    Net,
}

/// Adds a pattern over a rectangle to a mesh; the box of a number is kept free.
pub fn add(mesh: &mut Mesh, rect: Rect, free: Option<Rect>, pattern: Pattern, ink: Color32) {
    let mut lines = |normal: Vec2, step: f32, pair: bool| {
        let offsets = corners(rect).map(|corner| corner.to_vec2().dot(normal));
        let low = offsets.into_iter().fold(f32::INFINITY, f32::min);
        let high = offsets.into_iter().fold(f32::NEG_INFINITY, f32::max);
        let seconds = if pair { PATTERN_STEP / 2.0 } else { 0.0 };
        for at in multiples(low - step, high, step) {
            for offset in [at, at + seconds].into_iter().take(if pair { 2 } else { 1 }) {
                // In the middle of a pixel, where lines along the axes are sharp.
                line(mesh, (rect, free), normal, offset + HAIRLINE / 2.0, ink);
            }
        }
    };
    let (level, upright) = (Vec2::DOWN, Vec2::RIGHT);
    match pattern {
        Pattern::Plain => {}
        Pattern::Hatch => lines(upright + level, SLANTED_STEP, false),
        Pattern::Falling => lines(upright - level, SLANTED_STEP, false),
        Pattern::FallingPairs => lines(upright - level, 2.0 * SLANTED_STEP, true),
        Pattern::Level => lines(level, PATTERN_STEP, false),
        Pattern::LevelPairs => lines(level, 2.0 * PATTERN_STEP, true),
        Pattern::Upright => lines(upright, PATTERN_STEP, false),
        Pattern::Net => {
            lines(level, PATTERN_STEP, false);
            between_level_lines(mesh, (rect, free), ink);
        }
        Pattern::Dots => dots(mesh, (rect, free), PATTERN_STEP, ink),
        Pattern::FewDots => dots(mesh, (rect, free), 2.0 * PATTERN_STEP, ink),
    }
}

/// Upright lines that stop at level ones: ink upon ink would be darker, and look like a part of a digit.
fn between_level_lines(mesh: &mut Mesh, (rect, free): (Rect, Option<Rect>), ink: Color32) {
    for y in multiples(rect.top() - PATTERN_STEP, rect.bottom(), PATTERN_STEP) {
        let below = rect.with_min_y(rect.top().max(y + HAIRLINE)).with_max_y(rect.bottom().min(y + PATTERN_STEP));
        for x in multiples(rect.left(), rect.right(), PATTERN_STEP).filter(|_| below.is_positive()) {
            line(mesh, (below, free), Vec2::RIGHT, x + HAIRLINE / 2.0, ink);
        }
    }
}

fn corners(rect: Rect) -> [Pos2; 4] {
    [rect.left_top(), rect.right_top(), rect.right_bottom(), rect.left_bottom()]
}

/// The multiples of a step within a range; they are the same for all cells.
fn multiples(low: f32, high: f32, step: f32) -> impl Iterator<Item = f32> {
    let first = (low / step).ceil() * step;
    let mut at = first - step;
    std::iter::from_fn(move || {
        at += step;
        (at <= high).then_some(at)
    })
}

/// The part of the line `normal · p = offset` inside a rectangle, without the part in the free one.
fn line(mesh: &mut Mesh, (rect, free): (Rect, Option<Rect>), normal: Vec2, offset: f32, ink: Color32) {
    let length = normal.length_sq();
    let along = vec2(-normal.y, normal.x);
    let start = (normal * (offset / length)).to_pos2();
    let Some(inside) = within(rect, start, along) else { return };
    let hole = free.and_then(|free| within(free, start, along)).unwrap_or(inside.end..inside.end);
    let (hole_start, hole_end) = (hole.start.clamp(inside.start, inside.end), hole.end.clamp(inside.start, inside.end));
    for (from, to) in [(inside.start, hole_start), (hole_end, inside.end)] {
        if to - from > HAIRLINE / length.sqrt() {
            stroke(mesh, start + along * from, start + along * to, ink);
        }
    }
}

/// Which multiples of a direction from a point lie in a rectangle.
fn within(rect: Rect, from: Pos2, along: Vec2) -> Option<Range<f32>> {
    let (mut low, mut high) = (f32::NEG_INFINITY, f32::INFINITY);
    for (at, step, (least, most)) in
        [(from.x, along.x, (rect.left(), rect.right())), (from.y, along.y, (rect.top(), rect.bottom()))]
    {
        if step == 0.0 {
            if at < least || at > most {
                return None;
            }
            continue;
        }
        let (a, b) = ((least - at) / step, (most - at) / step);
        (low, high) = (low.max(a.min(b)), high.min(a.max(b)));
    }
    (low < high).then_some(low..high)
}

/// A hairline with soft edges.
fn stroke(mesh: &mut Mesh, from: Pos2, to: Pos2, ink: Color32) {
    let Some(base) = u32::try_from(mesh.vertices.len()).ok() else { return };
    let side = (to - from).normalized().rot90() * HAIRLINE;
    for (at, color) in [(from, ink), (to, ink)] {
        mesh.colored_vertex(at + side, Color32::TRANSPARENT);
        mesh.colored_vertex(at, color);
        mesh.colored_vertex(at - side, Color32::TRANSPARENT);
    }
    for k in 0..2 {
        mesh.add_triangle(base + k, base + k + 1, base + k + 3);
        mesh.add_triangle(base + k + 1, base + k + 4, base + k + 3);
    }
}

fn dots(mesh: &mut Mesh, (rect, free): (Rect, Option<Rect>), step: f32, ink: Color32) {
    let inside = rect.shrink(PATTERN_DOT);
    for y in multiples(inside.top(), inside.bottom() - PATTERN_DOT, step) {
        // Every second row stands in by half a step.
        let shift = if (y / step).round().rem_euclid(2.0) >= 1.0 { (step / 2.0).floor() } else { 0.0 };
        for x in multiples(inside.left() - shift, inside.right() - PATTERN_DOT - shift, step) {
            let dot = Rect::from_min_size(pos2(x + shift, y), Vec2::splat(PATTERN_DOT));
            if free.is_none_or(|free| !free.intersects(dot)) {
                mesh.add_colored_rect(dot, ink);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RECT: Rect = Rect { min: pos2(100.0, 40.0), max: pos2(136.0, 62.0) };
    const ALL: [Pattern; 9] = [
        Pattern::Hatch,
        Pattern::Dots,
        Pattern::FewDots,
        Pattern::Level,
        Pattern::LevelPairs,
        Pattern::Upright,
        Pattern::Falling,
        Pattern::FallingPairs,
        Pattern::Net,
    ];

    fn mesh(pattern: Pattern, free: Option<Rect>) -> Mesh {
        let mut mesh = Mesh::default();
        add(&mut mesh, RECT, free, pattern, Color32::BLACK);
        mesh
    }

    #[test]
    fn patterns_stay_in_their_cell_differ_and_keep_its_number_free() {
        let free = Rect::from_center_size(RECT.center(), vec2(24.0, 12.0));
        let mut seen: Vec<Vec<Pos2>> = Vec::new();
        for pattern in ALL {
            let (whole, open) = (mesh(pattern, None), mesh(pattern, Some(free)));
            let inked = |mesh: &Mesh| -> Vec<Pos2> {
                let solid = mesh.vertices.iter().filter(|vertex| vertex.color == Color32::BLACK);
                solid.map(|vertex| vertex.pos).collect()
            };
            let places = inked(&whole);
            assert!(places.len() >= 8, "{pattern:?}: {}", places.len());
            assert!(places.iter().all(|at| RECT.expand(0.01).contains(*at)), "{pattern:?}");
            assert!(inked(&open).iter().all(|at| !free.shrink(0.01).contains(*at)), "{pattern:?}");
            assert!(!seen.contains(&places), "{pattern:?}");
            seen.push(places);
        }
        assert!(mesh(Pattern::Plain, None).is_empty());
    }
}
