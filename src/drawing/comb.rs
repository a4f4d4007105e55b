//! The curvature comb of a slice: at each breakpoint a thin line across the curve, as long as the curve is bent there.
//! It stands on the outer side of the bend, so that a bump sticks out and a hollow hangs down.

use super::chart::CHART;
use super::chart::axis::nice_step;
use super::{Palette, Point, Scene};
use crate::wording::{Unit, with_unit, written};

/// Teeth are told in degrees for this many points.
const TOLD_POINTS: f64 = 10.0;
/// A point as near to the edge as this takes no more room from the other teeth, in points; its own is cut off there.
pub(super) const LEAST_ROOM: f32 = 10.0;
/// Bends are not enlarged beyond this, in degrees for so many points: rounding to a usual step would look like bumps.
const FINEST_DEG: f64 = 0.05;
/// How far a tooth leans at most, as a share of the way to the next point.
const MOST_LEAN: f32 = 0.45;
/// Shorter teeth are left out, in points.
const SHORTEST: f32 = 0.5;

/// How long the teeth of a comb are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CombScale {
    /// Degrees per squared mean spacing for a tooth of ten points.
    deg: f64,
}

impl CombScale {
    /// The scale of a round number of degrees at which the longest tooth nearly fills `room` (above 0), in points. For
    /// bends as from [`bends`](crate::shaping::bends).
    pub fn fitting(bends: &[f64], room: f32) -> Self {
        Self::within(bends.iter().map(|&bend| (bend, room)))
    }

    /// The same where each bend has a room of its own.
    pub(super) fn within(teeth: impl Iterator<Item = (f64, f32)>) -> Self {
        let needed = teeth.map(|(bend, room)| bend.abs() * TOLD_POINTS / f64::from(room.max(1.0)));
        let least = needed.fold(0.0, f64::max);
        Self { deg: if least > FINEST_DEG { nice_step(least, 1) } else { FINEST_DEG } }
    }

    /// '10 px = 0.5°/spacing²', with whatever a point is called.
    pub fn text(self, unit: &str) -> String {
        format!("{} {unit} = {}", written(TOLD_POINTS), with_unit(&written(self.deg), Unit::DegreePerSpacing2))
    }

    /// The length of a tooth in points; below zero for a hollow.
    #[expect(clippy::cast_possible_truncation, reason = "screen points are f32")]
    fn length(self, bend: f64) -> f32 {
        (-bend * TOLD_POINTS / self.deg) as f32
    }
}

/// The bends of a slice's points, and the scale of their teeth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comb<'a> {
    /// How bent the line is at each point, in degrees.
    pub bends: &'a [f64],
    /// How long that makes a tooth.
    pub scale: CombScale,
}

impl Comb<'_> {
    /// Draws the teeth of points on the screen, and a line along their tips; what would stand beyond the heights from
    /// `top` to `bottom` is cut off.
    pub(super) fn draw(&self, points: &[Point], (top, bottom): (f32, f32), palette: &Palette, scene: &mut Scene) {
        let mut line = |from: Point, to: Point| {
            if let Some((from, to)) = cut(from, to, (top, bottom)) {
                scene.line(from, to, CHART.guide, palette.comb);
            }
        };
        let tips: Vec<Option<Point>> = (0..points.len()).map(|index| self.tip(points, index)).collect();
        for (&foot, tip) in points.iter().zip(&tips) {
            if let Some(tip) = tip {
                line(foot, *tip);
            }
        }
        let ends: Vec<(Point, bool)> =
            points.iter().zip(&tips).map(|(&foot, tip)| (tip.unwrap_or(foot), tip.is_some())).collect();
        for pair in ends.windows(2).filter(|pair| pair[0].1 || pair[1].1) {
            line(pair[0].0, pair[1].0);
        }
    }

    /// Where the tooth of a point ends, if it has one. It stands across the curve, but leans no further than almost half
    /// way to the next point: teeth that crossed could not be told apart. Its length is the same however it leans.
    fn tip(&self, points: &[Point], index: usize) -> Option<Point> {
        let [before, at, after] = [index.checked_sub(1)?, index, index + 1].map(|index| points.get(index).copied());
        let (before, at, after) = (before?, at?, after?);
        let length = self.scale.length(*self.bends.get(index)?);
        if length.is_nan() || length.abs() < SHORTEST {
            return None;
        }
        // Upwards, across the direction halfway between those of both neighbours.
        let (to, from) = (direction(before, at), direction(at, after));
        let (x, y) = (to.0 + from.0, to.1 + from.1);
        let room = MOST_LEAN * (at.x - before.x).min(after.x - at.x);
        let aside = (y / x.hypot(y).max(f32::EPSILON) * length).clamp(-room, room);
        let up = (length * length - aside * aside).max(0.0).sqrt().copysign(length);
        Some(Point::new(at.x + aside, at.y - up))
    }
}

/// From one point to another, at length 1.
fn direction(from: Point, to: Point) -> (f32, f32) {
    let size = from.distance(to).max(f32::EPSILON);
    ((to.x - from.x) / size, (to.y - from.y) / size)
}

/// The part of a line between two heights, if there is one.
fn cut(from: Point, to: Point, (top, bottom): (f32, f32)) -> Option<(Point, Point)> {
    if from.y.max(to.y) < top || from.y.min(to.y) > bottom {
        return None;
    }
    let within = |point: Point, other: Point| {
        let y = point.y.clamp(top, bottom);
        if y == point.y { point } else { Point::new(point.lerp(other, (y - point.y) / (other.y - point.y)).x, y) }
    };
    Some((within(from, to), within(to, from)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Look, Shape};
    use proptest::prelude::*;

    fn lines(points: &[Point], comb: &Comb<'_>) -> Vec<(Point, Point)> {
        let mut scene = Scene::default();
        comb.draw(points, (-1e3, 1e3), Look::Light.palette(), &mut scene);
        let line = |shape: &Shape| match *shape {
            Shape::Line { from, to, .. } => (from, to),
            _ => panic!("{shape:?}"),
        };
        scene.shapes.iter().map(line).collect()
    }

    #[test]
    fn teeth_are_told_in_round_degrees() {
        let text = |bends: &[f64], room| CombScale::fitting(bends, room).text("px");
        assert_eq!(text(&[0.0, -1.3, 0.4], 30.0), "10 px = 0.5°/spacing²");
        assert_eq!(text(&[2.0], 40.0), "10 px = 0.5°/spacing²");
        assert_eq!(text(&[2.1], 40.0), "10 px = 1°/spacing²");
        assert_eq!(text(&[0.0, 1e-12], 40.0), "10 px = 0.05°/spacing²");
        assert_eq!(text(&[], 40.0), "10 px = 0.05°/spacing²");
    }

    #[test]
    fn a_hump_sticks_out_and_flat_parts_have_nothing() {
        let points = [0.0, 10.0, 20.0, 30.0, 40.0, 50.0].map(|x| Point::new(x, if x == 40.0 { 90.0 } else { 100.0 }));
        let comb = Comb { bends: &[0.0, 0.0, 1e-9, 0.0, -1.0, 0.0], scale: CombScale { deg: 0.5 } };
        let (hump, tip) = (points[4], Point::new(40.0, 70.0));
        assert_eq!(lines(&points, &comb), [(hump, tip), (points[3], tip), (tip, points[5])]);
        let hollow = Comb { bends: &[0.0, 0.0, 0.0, 0.0, 0.5, 0.0], ..comb };
        assert_eq!(lines(&points, &hollow)[0], (hump, Point::new(40.0, 100.0)));
        assert_eq!(lines(&points, &Comb { bends: &[0.0; 6], ..comb }), []);
        assert_eq!(lines(&points[..1], &Comb { bends: &[3.0], ..comb }), []);
    }

    proptest! {
        #[test]
        fn the_longest_tooth_nearly_fills_its_room(most in 0.3..60.0_f64, room in 12.0_f32..80.0) {
            let length = CombScale::fitting(&[0.1, -most], room).length(-most);
            prop_assert!(length <= room * 1.0001 && (length >= room * 0.39 || most * 10.0 < 0.1 * f64::from(room)));
        }

        #[test]
        fn teeth_have_their_length_stand_across_the_curve_where_there_is_room_and_never_cross(
            steps in proptest::collection::vec((2.0_f32..60.0, 0.0_f32..100.0, -3.0..3.0), 3..12),
        ) {
            let mut x = 0.0;
            let points: Vec<Point> = steps.iter().map(|&(step, y, _)| { x += step; Point::new(x, y) }).collect();
            let bends: Vec<f64> = steps.iter().map(|&(.., bend)| bend).collect();
            let comb = Comb { bends: &bends, scale: CombScale { deg: 0.5 } };
            let tips: Vec<Option<Point>> = (0..points.len()).map(|index| comb.tip(&points, index)).collect();
            prop_assert_eq!((tips[0], tips[points.len() - 1]), (None, None), "the ends have no difference");
            for (index, tip) in tips.iter().enumerate() {
                let Some(tip) = *tip else { continue };
                let foot = points[index];
                prop_assert!((f64::from(foot.distance(tip)) - bends[index].abs() * 20.0).abs() < 1e-2);
                prop_assert!((tip.y > foot.y) == (bends[index] > 0.0), "a hollow hangs down");
                let room = (foot.x - points[index - 1].x).min(points[index + 1].x - foot.x) * MOST_LEAN;
                let along = |to: Point| {
                    let (a, b) = (direction(foot, tip), direction(foot, to));
                    a.0 * b.0 + a.1 * b.1
                };
                let is_level = (along(points[index - 1]) - along(points[index + 1])).abs() < 1e-2;
                prop_assert!(is_level || (tip.x - foot.x).abs() > room * 0.99, "{:?} {:?}", foot, tip);
            }
            let ends: Vec<f32> = tips.iter().zip(&points).map(|(tip, foot)| tip.unwrap_or(*foot).x).collect();
            prop_assert!(ends.windows(2).all(|pair| pair[0] < pair[1]), "tips keep the order of their points");
        }

        #[test]
        fn what_stands_beyond_the_plot_is_cut_off_where_it_leaves_it(ys in proptest::array::uniform2(-50.0_f32..150.0)) {
            let (from, to) = (Point::new(0.0, ys[0]), Point::new(40.0, ys[1]));
            let on_line = |at: Point| (ys[0] + (ys[1] - ys[0]) * at.x / 40.0 - at.y).abs() < 1e-2;
            match cut(from, to, (0.0, 100.0)) {
                None => prop_assert!(ys.iter().all(|y| *y < 0.0) || ys.iter().all(|y| *y > 100.0)),
                Some((a, b)) => {
                    prop_assert!(on_line(a) && on_line(b) && a.x <= b.x);
                    prop_assert!([a, b].iter().all(|at| (0.0..=100.0).contains(&at.y)));
                    let is_whole = ys.iter().all(|y| (0.0..=100.0).contains(y));
                    prop_assert_eq!((a, b) == (from, to), is_whole);
                }
            }
        }
    }
}
