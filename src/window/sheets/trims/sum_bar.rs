//! The sum of a cell's advance as a bar: each part a stretch that begins where the one before ends, to the right for what
//! adds and to the left for what takes away.

use eframe::egui::{Color32, Mesh, Painter, Rect, Shape, StrokeKind, pos2};

use super::sum_words::{Part, Source};
use crate::drawing::{ColorMap, Ground, nice_step, round_range};
use crate::project::{Project, Trim};
use crate::window::kit::patterns::{self, Pattern};
use crate::window::kit::theme::table_sheet_sizes::TRIMS_SIZES;
use crate::window::kit::theme::{Theme, color, hairline};

/// About so many steps are marked along the bar, and its ends are rounded to about so many.
const STEPS: usize = 4;
const ROUNDED_TO: usize = 12;

/// Degrees at both ends of a stretch, in the order in which it is added.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    pub source: Source,
    pub from_deg: f64,
    pub to_deg: f64,
}

/// The stretches of parts, and that of their sum, which begins at 0.
pub(super) fn stretches(parts: &[Part]) -> Vec<Stretch> {
    let mut end_deg = 0.0;
    let stretch = |part: &Part| {
        let from_deg = if part.source == Source::Sum { 0.0 } else { end_deg };
        end_deg = from_deg + part.deg;
        Stretch { source: part.source, from_deg, to_deg: end_deg }
    };
    parts.iter().map(stretch).collect()
}

/// The range of degrees along the bar: 0, the table, and what trims and limits can make of it at any temperature, so that
/// nothing moves along it when a condition changes.
pub(super) fn range(project: &Project) -> (f64, f64) {
    let (low, high) = project.advance.table().extremes();
    let trims = [&project.trims.coolant, &project.trims.air].map(most_of);
    let (less, more) = trims.into_iter().fold((0.0, 0.0), |(less, more), trim| (less + trim.0, more + trim.1));
    let limits = &project.limits;
    let eased_deg = if limits.over_speed.enabled { limits.over_speed.eases_by_deg } else { 0.0 };
    let margin_deg = project.safety_margin.degrees.values().iter().copied().fold(0.0, f64::max);
    let margin_deg = if project.safety_margin.enabled { margin_deg } else { 0.0 };
    let lowest_deg = (low + less).min(limits.cranking.advance_deg) - eased_deg - margin_deg;
    let ends = [0.0, lowest_deg, high + more, limits.cranking.advance_deg];
    let fold = |pick: fn(f64, f64) -> f64| ends.into_iter().fold(0.0, pick);
    round_range((fold(f64::min), fold(f64::max)), 0.0, ROUNDED_TO)
}

/// The most that a trim takes away and adds.
fn most_of(trim: &Trim) -> (f64, f64) {
    if !trim.enabled {
        return (0.0, 0.0);
    }
    let weight = trim.weight.values().iter().copied().fold(0.0, f64::max);
    let ends = |pick: fn(f64, f64) -> f64| trim.degrees.values().iter().copied().fold(0.0, pick) * weight;
    (ends(f64::min), ends(f64::max))
}

/// The bar's place across, and its range of degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Across {
    pub left: f32,
    pub right: f32,
    pub range: (f64, f64),
}

impl Across {
    /// Where a number of degrees stands; at the end it is beyond.
    pub(super) fn x(&self, deg: f64) -> f32 {
        let (low, high) = self.range;
        #[expect(clippy::cast_possible_truncation, reason = "0..=1")]
        let share = ((deg - low) / (high - low)).clamp(0.0, 1.0) as f32;
        self.left + (self.right - self.left) * share
    }

    /// The numbers that are marked along it.
    pub(super) fn marks(&self) -> Vec<f64> {
        let (low, high) = self.range;
        let step = nice_step(high - low, STEPS);
        let first = (low / step).ceil() * step;
        std::iter::successors(Some(first), |at| Some(at + step)).take_while(|at| *at <= high + step / 1e6).collect()
    }

    /// Paints the marks from the first line to the last; zero stands out.
    pub(super) fn paint_marks(&self, painter: &Painter, (top, bottom): (f32, f32), theme: &Theme) {
        for mark in self.marks() {
            let ink = if mark == 0.0 { theme.palette.rule_strong } else { theme.palette.rule };
            painter.vline(painter.round_to_pixel_center(self.x(mark)), top..=bottom, hairline(color(ink)));
        }
    }

    /// Paints a stretch in its line, and the line on to the next one.
    pub(super) fn paint(&self, painter: &Painter, line: Rect, stretch: &Stretch, is_last: bool, theme: &Theme) {
        let palette = theme.palette;
        let half = TRIMS_SIZES.bar_height / 2.0;
        let [from, to] = [stretch.from_deg, stretch.to_deg].map(|deg| painter.round_to_pixel_center(self.x(deg)));
        let y = line.center().y - half..=line.center().y + half;
        let bar = Rect::from_x_y_ranges(from.min(to)..=from.max(to), y);
        if bar.width() > 0.0 {
            let (fill, pattern) = look(stretch, theme);
            let mut mesh = Mesh::default();
            mesh.add_colored_rect(bar, fill);
            patterns::add(&mut mesh, bar, None, pattern, color(palette.ink));
            painter.add(Shape::mesh(mesh));
            painter.rect_stroke(bar, 0.0, hairline(color(palette.ink)), StrokeKind::Middle);
        }
        if !is_last {
            let next = pos2(to, line.bottom() + line.height() / 2.0 - half);
            painter.line_segment([pos2(to, bar.bottom()), next], hairline(color(palette.ink_secondary)));
        }
    }
}

/// The ground and the pattern of a stretch: the sum is full, what adds has upright lines, what takes away slanted ones.
fn look(stretch: &Stretch, theme: &Theme) -> (Color32, Pattern) {
    let palette = theme.palette;
    let map = ColorMap::new(palette.look, Ground::Grid);
    match stretch.source {
        Source::Sum => (color(palette.ink), Pattern::Plain),
        source if source.is_whole() => (color(palette.field_pressed), Pattern::Plain),
        _ if stretch.to_deg > stretch.from_deg => (color(map.diverging(1.0)), Pattern::Upright),
        _ => (color(map.diverging(-1.0)), Pattern::Falling),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{effect, sum_words};
    use super::*;
    use crate::project::SAMPLES;
    use crate::spark::Evaluation;
    use crate::window::state::trims_state::TrimsState;

    /// Each stretch begins where the one before ends, and the last ends where the sum does, within the range.
    #[test]
    fn stretches_lead_from_nothing_to_the_commanded_advance() {
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            let (low, high) = range(&project);
            for (coolant_c, air_c) in [(-40.0, 70.0), (20.0, 45.0), (90.0, 25.0), (118.0, -20.0)] {
                let state = TrimsState { coolant_c, air_c, ..TrimsState::default() };
                for cell in project.advance.table().cells() {
                    let breakdown = Evaluation::new(&project).lookup(&effect::conditions(&project, &state, cell));
                    let parts = sum_words::parts(&project, &state, (cell, String::new()), &breakdown);
                    let all = stretches(&parts);
                    let (sum, added) = all.split_last().unwrap();
                    assert_eq!((sum.from_deg, sum.to_deg), (0.0, breakdown.commanded_deg));
                    assert_eq!(added[0].from_deg, 0.0);
                    assert!(added.windows(2).all(|two| two[0].to_deg == two[1].from_deg));
                    assert!((added.last().unwrap().to_deg - sum.to_deg).abs() < 1e-9, "{} {cell:?}", sample.name);
                    let inside = |deg: f64| (low - 1e-9..=high + 1e-9).contains(&deg);
                    assert!(inside(sum.to_deg), "{} {cell:?}: {} of {low}..{high}", sample.name, sum.to_deg);
                }
            }
        }
    }

    #[test]
    fn what_limits_and_margin_take_away_is_within_the_range() {
        let project = SAMPLES[0].project().unwrap();
        let low = project.advance.table().extremes().0;
        let eased = project.edit(|parts| {
            parts.limits.over_speed.enabled = true;
            parts.limits.over_speed.eases_by_deg = low + 7.0;
        });
        assert!(range(&eased.unwrap()).0 <= -7.0);
    }

    #[test]
    fn the_range_stands_still_whatever_the_conditions_and_has_zero_among_its_marks() {
        for sample in SAMPLES {
            let across = Across { left: 0.0, right: 200.0, range: range(&sample.project().unwrap()) };
            assert!(across.marks().contains(&0.0) && across.marks().len() >= 2, "{:?}", across.marks());
            assert!(across.x(0.0) < across.x(10.0) && across.x(1e3) == 200.0);
        }
    }
}
