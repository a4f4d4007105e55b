//! Measured points over the surface, as pins: the head at the point's own degrees, a stem to the surface at its place, and
//! its interval along the stem. What the surface hides is hidden, but for the heads.

use glam::DVec3;

use super::labels::square;
use super::marks::{ACTIVE_RADIUS, Found};
use super::{Marks, Relief};
use crate::drawing::whisker::{WIDTH as WHISKER, WhiskerEnd, draw_bar, draw_end, whisker};
use crate::drawing::{
    Color, Label, Palette, Point, PointPlaces, Projector, Rect, Scene, Shape, draw_measured, label_box, nearest,
};
use crate::project::MeasuredPoint;

/// A head as it was drawn last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PinHead {
    /// Which of the points of [`Marks`] it is.
    pub index: usize,
    /// What it takes with its rim.
    pub place: Rect,
}

/// Side of a head, and the rim that sets it off from the surface.
const HEAD: f32 = 9.0;
const HEAD_RIM: f32 = 1.2;
/// Width of a stem, and of the ground on both sides of it.
const STEM: f32 = 1.3;
const STEM_RIM: f32 = 0.9;
/// Opacity of that ground.
const RIM_ALPHA: u8 = 170;
/// Dashes of a stem that goes down into the body from a foot that is seen.
const INSIDE_DASHES: (f32, f32) = (2.0, 2.0);
/// Radius of the dot where a stem meets the surface; a shorter stem has none.
const FOOT: f32 = 1.7;
/// Heads that moved farther from their place than this have a line to it.
const MOVED: f32 = 1.0;
/// Distance and width of the ring round the head under the pointer.
const HOVERED: (f32, f32) = (3.0, 1.5);
/// A stem is looked at for what hides it at every so many points, up to so many times.
const LOOK_EVERY: f32 = 4.0;
const MOST_LOOKS: f32 = 24.0;

impl Relief {
    /// The heads of the measured points, as they were drawn last.
    pub fn pin_heads(&self) -> &[PinHead] {
        &self.heads
    }

    /// The measured point whose head is nearest to a place, if one is at most `radius` away.
    pub fn pick_pin(&self, at: Point, radius: f32) -> Option<usize> {
        let middles: Vec<Point> = self.heads.iter().map(|head| head.place.center()).collect();
        nearest(&middles, at, radius).and_then(|head| self.heads.get(head)).map(|head| head.index)
    }

    /// Finds places for the heads: where the points are, or beside that where labels, the handle, marks of findings or
    /// other heads are.
    pub(super) fn place_heads(&mut self, projector: &Projector, marks: &Marks<'_>, found: &[Found], labels: &[Label]) {
        self.heads.clear();
        if marks.points.is_empty() {
            return;
        }
        let handle = marks.active.and_then(|cell| self.vertex(cell)).map(|at| projector.project(at));
        let mut kept: Vec<Rect> = labels.iter().map(label_box).collect();
        kept.extend(handle.map(|at| square(at, 2.0 * ACTIVE_RADIUS)));
        kept.extend(found.iter().map(|found| found.place));
        let everywhere = Rect { left: f32::MIN / 4.0, top: f32::MIN / 4.0, width: f32::MAX, height: f32::MAX };
        let mut places = PointPlaces::new(HEAD + 2.0 * HEAD_RIM, everywhere, kept, Vec::new());
        for (index, point) in marks.points.iter().enumerate().filter(|(_, point)| point.is_over(&self.table)) {
            let at = projector.project(self.head_of(point));
            self.heads.extend(places.place(at).map(|place| PinHead { index, place }));
        }
    }

    fn head_of(&self, point: &MeasuredPoint) -> DVec3 {
        self.model.point(point.speed_rpm, point.load, point.advance_deg)
    }

    /// Draws stems and intervals, then all heads, so that no stem crosses a head.
    pub(super) fn draw_pins(&self, projector: &Projector, marks: &Marks<'_>, scene: &mut Scene) {
        let palette = self.look.palette();
        let of = |head: &PinHead| marks.points.get(head.index).map(|point| (*head, point));
        for (head, point) in self.heads.iter().filter_map(of) {
            self.draw_stem(projector, (point, head), palette, scene);
        }
        for (head, point) in self.heads.iter().filter_map(of) {
            let place = square(head.place.center(), HEAD);
            draw_measured(&place, point.in_use, palette.ink, palette.paper, HEAD_RIM, scene);
            if marks.hovered_point == Some(head.index) {
                let (radius, outline_width) = (HEAD / 2.0 + HOVERED.0, HOVERED.1);
                let (fill, outline) = (Color::default(), palette.ink_secondary);
                scene.shapes.push(Shape::Dot { at: head.place.center(), radius, fill, outline, outline_width });
            }
        }
    }

    fn draw_stem(
        &self,
        projector: &Projector,
        (point, head): (&MeasuredPoint, PinHead),
        palette: &Palette,
        scene: &mut Scene,
    ) {
        let place = |deg: f64| self.model.point(point.speed_rpm, point.load, deg);
        let (foot, top) = (place(self.table.lookup(point.speed_rpm, point.load)), self.head_of(point));
        let [foot_at, top_at] = [foot, top].map(|at| projector.project(at));
        let is_foot_seen = self.is_visible(projector, foot);
        let ground = palette.paper.with_alpha(RIM_ALPHA);
        if top.z < foot.z && is_foot_seen && projector.downward() >= 0.0 {
            scene.dashed(&[foot_at, top_at], INSIDE_DASHES, STEM, palette.ink);
        }
        let seen = self.seen_along(projector, foot, top);
        for (width, ink) in [(STEM + 2.0 * STEM_RIM, ground), (STEM, palette.ink)] {
            seen.iter().for_each(|&(from, to)| scene.line(from, to, width, ink));
        }
        if is_foot_seen && foot_at.distance(top_at) > HEAD / 2.0 {
            let (fill, outline) = (palette.ink, ground);
            scene.shapes.push(Shape::Dot { at: foot_at, radius: FOOT, fill, outline, outline_width: STEM_RIM });
        }
        if top_at.distance(head.place.center()) > MOVED {
            scene.line(top_at, head.place.center(), STEM, palette.ink);
        }
        for (end, upwards) in whisker(point).into_iter().flatten().zip([-1.0, 1.0]) {
            match end {
                WhiskerEnd::Open if self.is_visible(projector, top) => {
                    let away = projector.project(place(point.advance_deg + upwards));
                    draw_end(top_at, away, true, palette.ink, scene);
                }
                WhiskerEnd::Open => {}
                WhiskerEnd::Deg(deg) => self.draw_whisker(projector, top, place(deg), palette, scene),
            }
        }
    }

    fn draw_whisker(&self, projector: &Projector, top: DVec3, end: DVec3, palette: &Palette, scene: &mut Scene) {
        let seen = self.seen_along(projector, top, end);
        for &(from, to) in &seen {
            scene.line(from, to, WHISKER, palette.ink);
        }
        let [top_at, end_at] = [top, end].map(|at| projector.project(at));
        let length = top_at.distance(end_at);
        if length > HEAD / 2.0 && self.is_visible(projector, end) {
            draw_bar(end_at, ((end_at.x - top_at.x) / length, (end_at.y - top_at.y) / length), palette.ink, scene);
        }
    }

    /// The parts of an upright line that nothing hides.
    fn seen_along(&self, projector: &Projector, from: DVec3, to: DVec3) -> Vec<(Point, Point)> {
        let length = projector.project(from).distance(projector.project(to));
        if length < 1.0 {
            return Vec::new();
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1..=24")]
        let looks = (length / LOOK_EVERY).ceil().clamp(1.0, MOST_LOOKS) as u32;
        let at = |step: f64| from.lerp(to, step / f64::from(looks));
        let mut seen: Vec<(Point, Point)> = Vec::new();
        let mut goes_on = false;
        for step in (0..looks).map(f64::from) {
            let is_seen = self.is_visible(projector, at(step + 0.5));
            let end = projector.project(at(step + 1.0));
            match seen.last_mut().filter(|_| goes_on && is_seen) {
                Some(last) => last.1 = end,
                None if is_seen => seen.push((projector.project(at(step)), end)),
                None => {}
            }
            goes_on = is_seen;
        }
        seen
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::drawing::{BaseStyle, Camera, Fill, Levels, Look, ModelBox, ReliefSpec, Tint, View};
    use crate::table::{Axis, Cell, Table};
    use crate::wording::Unit;
    use proptest::prelude::*;

    const VIEWPORT: Rect = Rect { left: 0.0, top: 0.0, width: 520.0, height: 440.0 };

    /// Level but for a wall across the middle of the loads.
    fn table() -> Table {
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        let wall = |_: f64, load: f64| if load == 50.0 { 40.0 } else { 10.0 };
        Table::from_fn(axis(&[1000.0, 4000.0, 7000.0]), axis(&[0.0, 40.0, 50.0, 60.0, 100.0]), wall).unwrap()
    }

    fn relief(table: &Table) -> Relief {
        Relief::new(&ReliefSpec {
            table,
            base: None,
            model: ModelBox::around(table, None),
            look: Look::Light,
            fill: Fill::Layer(Tint::advance(table, table.extremes())),
            base_style: BaseStyle::Wire,
            levels: Some(Levels::over(10.0, 40.0)),
            sheer: None,
            load_unit: Unit::Percent,
        })
    }

    fn point(speed_rpm: f64, load: f64, advance_deg: f64) -> Arc<MeasuredPoint> {
        MeasuredPoint { speed_rpm, load, advance_deg, in_use: true, ..MeasuredPoint::default() }.into()
    }

    /// The lines that points add to a view.
    fn lines(points: &[Arc<MeasuredPoint>], view: View) -> (Relief, Vec<(Point, Point, f32)>) {
        let (table, mut scene, mut bare) = (table(), Scene::default(), Scene::default());
        let mut relief = relief(&table);
        let projector = Camera::view(view).projector(relief.model(), &VIEWPORT);
        relief.draw(&projector, &Marks::default(), &mut bare);
        relief.draw(&projector, &Marks { points, ..Marks::default() }, &mut scene);
        let ink = Look::Light.palette().ink;
        let added = scene.shapes.iter().filter(|shape| !bare.shapes.contains(shape));
        let lines = added.filter_map(|shape| match *shape {
            Shape::Line { from, to, width, color } if color == ink => Some((from, to, width)),
            _ => None,
        });
        (relief, lines.collect())
    }

    #[test]
    fn a_stem_is_seen_before_the_wall_hidden_behind_it_and_dashed_inside_the_body() {
        let length = |lines: &[(Point, Point, f32)]| lines.iter().map(|(from, to, _)| from.distance(*to)).sum::<f32>();
        let (_, before) = lines(&[point(4000.0, 20.0, 25.0)], View::Front);
        let (_, behind) = lines(&[point(4000.0, 80.0, 25.0)], View::Front);
        assert!(length(&before) > 60.0 && behind.is_empty(), "{before:?} {behind:?}");
        let (_, over) = lines(&[point(4000.0, 80.0, 50.0)], View::Front);
        assert!(length(&over) > 20.0 && length(&over) < length(&before), "only what rises above the wall: {over:?}");
        let (_, inside) = lines(&[point(4000.0, 20.0, 2.0)], View::ThreeQuarter);
        assert!(inside.len() > 3 && inside.iter().all(|(from, to, _)| from.distance(*to) < 2.5), "{inside:?}");
    }

    #[test]
    fn every_head_within_the_axes_can_be_picked_even_behind_a_wall() {
        let points = [point(4000.0, 80.0, 25.0), point(7001.0, 80.0, 25.0), point(1000.0, 0.0, 30.0)];
        let (relief, _) = lines(&points, View::Front);
        let heads: Vec<usize> = relief.pin_heads().iter().map(|head| head.index).collect();
        assert_eq!(heads, [0, 2]);
        for head in relief.pin_heads() {
            assert_eq!(relief.pick_pin(head.place.center(), 6.0), Some(head.index));
        }
        assert_eq!(relief.pick_pin(Point::new(-50.0, -50.0), 6.0), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        /// From any side, and where many are at one place.
        #[test]
        fn heads_cover_neither_labels_nor_each_other(
            (azimuth_deg, elevation_deg) in (0.0..360.0, 0.0..=90.0),
            places in prop::collection::vec((0_u8..4, 0_u8..4, 5.0..45.0), 1..12),
        ) {
            let table = table();
            let mut relief = relief(&table);
            let camera = Camera { azimuth_deg, elevation_deg, ..Camera::default() };
            let projector = camera.projector(relief.model(), &VIEWPORT);
            let at = |&(x, y, deg): &(u8, u8, f64)| point(1000.0 + 2000.0 * f64::from(x), 33.0 * f64::from(y), deg);
            let points: Vec<_> = places.iter().map(at).collect();
            let mut scene = Scene::default();
            let marks = Marks { points: &points, active: Some(Cell::new(1, 1)), ..Marks::default() };
            relief.draw(&projector, &marks, &mut scene);
            let overlap = |one: &Rect, other: &Rect| {
                one.left + 0.1 < other.left + other.width && other.left + 0.1 < one.left + one.width
                    && one.top + 0.1 < other.top + other.height && other.top + 0.1 < one.top + one.height
            };
            let heads: Vec<Rect> = relief.pin_heads().iter().map(|head| head.place).collect();
            prop_assert_eq!(heads.len(), points.len());
            for (index, head) in heads.iter().enumerate() {
                for label in &scene.labels {
                    prop_assert!(!overlap(head, &label_box(label)), "{head:?} covers '{}'", label.text);
                }
                prop_assert!(!heads[..index].iter().any(|other| overlap(head, other)), "{head:?}");
            }
        }
    }
}
