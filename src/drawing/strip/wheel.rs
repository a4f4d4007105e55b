//! The wheel as the unit saw it: its edges, its gap, the faults that were put in.

use super::super::plot::{pointer, text, text_over};
use super::super::{Palette, Point, Scene};
use super::{LINE_WIDTH, Strip, StripSpec, WAVE};
use crate::wording::quantity;

impl Strip {
    /// Each edge that the unit saw, half a pitch high, half low; the gap is named where it is.
    pub(super) fn draw_wheel(&self, spec: &StripSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let row = &self.rows[0].rect;
        let (high, low) = (row.top + 2.0, row.top + 2.0 + WAVE);
        let (left, right) = self.along.screen;
        let half_deg = spec.driven.parts.trigger.wheel.pitch_deg() / 2.0;
        let edges = &spec.revolution.edges;
        let mut from = left;
        for (at, &edge) in edges.iter().enumerate() {
            let rises = self.x(edge).clamp(left, right);
            let ends = edge.1 + half_deg;
            let falls = self.x((spec.driven.motion.time_s(ends).unwrap_or(edge.0), ends));
            let next = edges.get(at + 1).map_or(right, |&next| f32::midpoint(self.x(edge), self.x(next)));
            let falls = falls.min(next).clamp(rises, right);
            scene.line(Point::new(from, low), Point::new(rises, low), LINE_WIDTH, palette.ink);
            scene.line(Point::new(rises, low), Point::new(rises, high), LINE_WIDTH, palette.ink);
            scene.line(Point::new(rises, high), Point::new(falls, high), LINE_WIDTH, palette.ink);
            scene.line(Point::new(falls, high), Point::new(falls, low), LINE_WIDTH, palette.ink);
            from = falls;
        }
        scene.line(Point::new(from, low), Point::new(right, low), LINE_WIDTH, palette.ink);
        self.name_gaps(spec, low, palette, scene);
        self.name_faults(spec, low, palette, scene);
    }

    fn name_gaps(&self, spec: &StripSpec<'_>, low: f32, palette: &Palette, scene: &mut Scene) {
        let gap_deg = spec.driven.parts.trigger.wheel.gap_deg();
        let (first, last) = spec.revolution.turn.deg;
        let mut reference_deg = 360.0 * ((first + gap_deg) / 360.0).ceil();
        while reference_deg <= last {
            let middle_deg = reference_deg - gap_deg / 2.0;
            if let Some(time_s) = spec.driven.motion.time_s(middle_deg) {
                let at = Point::new(self.x((time_s, middle_deg)), low + 2.0);
                text(scene, at, (0.5, 0.0), format!("gap {}", quantity(gap_deg, "°")), palette.ink_secondary);
            }
            reference_deg += 360.0;
        }
    }

    fn name_faults(&self, spec: &StripSpec<'_>, low: f32, palette: &Palette, scene: &mut Scene) {
        let (from_s, to_s) = spec.revolution.turn.time_s;
        let faults = spec.driven.settings;
        for (times, words) in [(&faults.dropped_at_s, "edge dropped"), (&faults.extra_at_s, "extra edge")] {
            for &time_s in times.iter().filter(|&&time_s| (from_s..=to_s).contains(&time_s)) {
                let x = self.x((time_s, spec.driven.motion.crank_deg(time_s)));
                pointer(scene, Point::new(x, low + 1.0), -6.0, palette.warning);
                text_over(scene, Point::new(x + 7.0, low + 2.0), (0.0, 0.0), words, palette);
            }
        }
    }
}
