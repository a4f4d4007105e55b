//! The coils: their currents, their sparks, the dead centres of these, and coil events that were left out; and
//! the wheel as the unit saw it.

use super::super::chart::CHART;
use super::super::label_room::text_width;
use super::super::plot::{CHARACTER, LINE, pointer, text, text_over};
use super::super::trace::band_color;
use super::super::{Palette, Point, Scene, Shape};
use super::{LINE_WIDTH, Strip, StripSpec, WAVE};
use crate::rig::{Coil, CoilEnd, Revolution, What};
use crate::wording::{Unit, figure, fixed, quantity};

const SPARK_WIDTH: f32 = 2.6;
/// How many straight pieces approximate the curve of a current.
const PIECES: u16 = 24;
/// Half the side of the cross that marks a cut.
const CROSS: f32 = 5.0;

impl Strip {
    pub(super) fn draw_charge(&self, coil: &Coil, spec: &StripSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let Some(row) = self.rows.get(coil.channel + 1) else { return };
        let (base, top) = (self.base(row), row.rect.top + LINE * 0.7);
        let (left, right) = self.along.screen;
        let place = |(ms, current_a): (f64, f64)| {
            let time_s = coil.from.0 + ms / 1e3;
            let x = self.x((time_s, spec.driven.motion.crank_deg(time_s)));
            #[expect(clippy::cast_possible_truncation, reason = "a share of the row")]
            let share = (current_a / self.most_a) as f32;
            Point::new(x.clamp(left, right), base - (base - top) * share)
        };
        let curve: Vec<Point> = coil.current_curve(&spec.driven.parts.coil, PIECES).into_iter().map(place).collect();
        let color = band_color(spec.frame.look).with_alpha(120);
        for pair in curve.windows(2).filter(|pair| pair[1].x > pair[0].x) {
            let (below, beside) = (Point::new(pair[0].x, base), Point::new(pair[1].x, base));
            scene.shapes.push(Shape::Triangle { at: [pair[0], pair[1], beside], colors: [color; 3] });
            scene.shapes.push(Shape::Triangle { at: [pair[0], beside, below], colors: [color; 3] });
        }
        for pair in curve.windows(2).filter(|pair| pair[1].x > pair[0].x) {
            scene.line(pair[0], pair[1], LINE_WIDTH, palette.ink);
        }
        self.draw_commanded(coil, spec, (top, base), palette, scene);
        self.draw_end(coil, curve.last().copied(), base, palette, scene);
        if row.rect.height > 60.0 {
            let (from, to) = (self.x(coil.from).max(left), self.x(coil.to).min(right));
            let words = format!("dwell {}", figure(coil.dwell_ms(), Unit::Millisecond));
            if coil.end != CoilEnd::Beyond && to - from > 10.0 * CHARACTER {
                text(scene, Point::new(f32::midpoint(from, to), base + 1.0), (0.5, 0.0), words, palette.ink_secondary);
            }
        }
    }

    /// Draws a dashed line with a hollow arrow head where the spark was commanded; it lies under that of the spark itself
    /// unless the two are apart.
    fn draw_commanded(
        &self,
        coil: &Coil,
        spec: &StripSpec<'_>,
        (top, base): (f32, f32),
        palette: &Palette,
        scene: &mut Scene,
    ) {
        let CoilEnd::Spark { actual_deg, .. } = coil.end else { return };
        let crank_deg = coil.to.1 + actual_deg - coil.commanded_deg;
        let Some(time_s) = spec.driven.motion.time_s(crank_deg) else { return };
        let (x, (left, right)) = (self.x((time_s, crank_deg)), self.along.screen);
        if !(left..=right).contains(&x) {
            return;
        }
        let ends = [Point::new(x, top), Point::new(x, base + 4.0)];
        scene.dashed(&ends, CHART.dashes, LINE_WIDTH, palette.ink);
        let corners =
            [(0.0, 9.0), (-4.5, 3.0), (4.5, 3.0), (0.0, 9.0)].map(|(right, down)| Point::new(x + right, base + down));
        corners.windows(2).for_each(|pair| scene.line(pair[0], pair[1], 1.0, palette.ink));
    }

    /// Draws the spark as a strong line with an arrow head, or a note that there was none.
    fn draw_end(&self, coil: &Coil, end: Option<Point>, base: f32, palette: &Palette, scene: &mut Scene) {
        let Some(end) = end.filter(|_| coil.end != CoilEnd::Beyond) else { return };
        scene.line(Point::new(end.x, end.y), Point::new(end.x, base), LINE_WIDTH, palette.ink);
        let words = match coil.end {
            CoilEnd::Spark { actual_deg, .. } => {
                scene.line(Point::new(end.x, end.y - 4.0), Point::new(end.x, base + 4.0), SPARK_WIDTH, palette.ink);
                pointer(scene, Point::new(end.x, base + 9.0), 7.0, palette.ink);
                let (actual, commanded) = (fixed(actual_deg, 1), fixed(coil.commanded_deg, 1));
                let meant = if actual == commanded { String::new() } else { format!(", commanded {commanded}°") };
                format!("spark {actual}°{meant}")
            }
            CoilEnd::LetDown => "let down, no spark".to_owned(),
            CoilEnd::Beyond => return,
        };
        // To the left of the line, or if there is no room, to its right.
        let has_room = end.x - self.along.screen.0 > 12.0 * CHARACTER;
        let (x, side) = if has_room { (end.x - 5.0, 1.0) } else { (end.x + 5.0, 0.0) };
        text(scene, Point::new(x, end.y - 3.0), (side, 1.0), words, palette.ink);
    }

    pub(super) fn draw_dead_centres(&self, spec: &StripSpec<'_>, palette: &Palette, scene: &mut Scene) {
        for &(channel, instant) in &spec.revolution.dead_centres {
            let (Some(row), Some(coil)) = (self.rows.get(channel + 1), spec.driven.parts.engine.channels.get(channel))
            else {
                continue;
            };
            let x = self.x(instant);
            let ends = [Point::new(x, row.rect.top + 2.0), Point::new(x, self.base(row) + 4.0)];
            scene.dashed(&ends, CHART.dashes, CHART.thin, palette.ink_secondary);
            let [a, b] = coil.cylinders;
            // There is no room for the name at the right end; the same dead centre was named a revolution
            // earlier.
            if self.along.screen.1 - x < 10.0 * CHARACTER {
                continue;
            }
            // Placed low: the words of a spark are above, and there is no current between spark and dead
            // centre.
            let at = Point::new(x + 4.0, self.base(row) - 2.0);
            text(scene, at, (0.0, 1.0), format!("TDC {a}, {b}"), palette.ink_secondary);
        }
    }

    /// Draws a cross where a coil event was left out, with the reason.
    pub(super) fn draw_cuts(&self, spec: &StripSpec<'_>, palette: &Palette, scene: &mut Scene) {
        for event in &spec.revolution.others {
            let words = match event.what {
                What::Cut { state, .. } => state.words(),
                What::Skip { .. } => "skipped: no time to charge",
                _ => continue,
            };
            let Some(row) = event.what.channel().and_then(|channel| self.rows.get(channel + 1)) else { continue };
            let (x, y) = (self.x((event.time_s, event.crank_deg)), self.base(row) - CROSS - 2.0);
            let at = |right: f32, down: f32| Point::new(x + right * CROSS, y + down * CROSS);
            scene.line(at(-1.0, -1.0), at(1.0, 1.0), 2.0, palette.ink);
            scene.line(at(-1.0, 1.0), at(1.0, -1.0), 2.0, palette.ink);
            text(scene, Point::new(x + CROSS + 4.0, y), (0.0, 0.5), words, palette.ink);
        }
    }
}

/// '7.4 A, 101.2 mJ stored' of the channel's last spark.
pub(super) fn spark_words(revolution: &Revolution, channel: usize) -> String {
    let mut own = revolution.coils.iter().rev().filter(|coil| coil.channel == channel);
    let end = own.find_map(|coil| match coil.end {
        CoilEnd::Spark { current_a, energy_mj, .. } => Some((current_a, energy_mj)),
        _ => None,
    });
    end.map_or_else(
        || "no spark".to_owned(),
        |(current_a, energy_mj)| {
            format!("{}, {} stored", figure(current_a, Unit::Ampere), figure(energy_mj, Unit::Millijoule))
        },
    )
}

impl Strip {
    /// Draws each edge that the unit saw, high for half a pitch and then low; the gap is named where it is.
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
                let words = format!("gap {}", quantity(gap_deg, Unit::Degree));
                if let Some(x) = self.room_for_gap(spec, self.x((time_s, middle_deg)), text_width(&words) / 2.0) {
                    text(scene, Point::new(x, low + 2.0), (0.5, 0.0), words, palette.ink_secondary);
                }
            }
            reference_deg += 360.0;
        }
    }

    /// Where the name of a gap has its middle: inside the plot, and not where the line of a found or lost position would
    /// run through it; `None` if there is no such place at the gap.
    fn room_for_gap(&self, spec: &StripSpec<'_>, x: f32, half: f32) -> Option<f32> {
        let (left, right) = self.along.screen;
        let x = x.max(left + half).min(right - half);
        let is_crossed = spec.revolution.others.iter().any(|event| {
            let at = self.x((event.time_s, event.crank_deg));
            matches!(event.what, What::Sync | What::SyncLost(_)) && (at - x).abs() < half
        });
        (!is_crossed).then_some(x)
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
