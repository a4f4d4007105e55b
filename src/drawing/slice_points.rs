//! Measured points on a slice: those within half a row of its line, each with its interval.

use std::sync::Arc;

use super::whisker::{WIDTH, WhiskerEnd, draw_end, whisker};
use super::{ChartFrame, Color, Palette, Point, Rect, Scene, Shape, draw_measured};
use crate::project::MeasuredPoint;
use crate::shaping::Along;
use crate::table::{Axis, Table};

/// Side of the mark of a point: it is seen round the handle of a cell that has just these degrees.
const SIDE: f32 = 10.0;
const RIM: f32 = 0.8;
/// A point so far from the line of a slice, in rows or columns, is still shown with it.
const NEAR: f64 = 0.5;
/// Distance and width of the ring round the point under the pointer.
const HOVERED: (f32, f32) = (3.0, 1.5);

/// A measured point on a slice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlicePoint {
    /// Which of the points that were given it is.
    pub index: usize,
    /// Its place along the slice, and its degrees.
    pub at: (f64, f64),
    /// Its interval, if anything is known of it.
    pub whisker: Option<[WhiskerEnd; 2]>,
    /// Whether tools and checks go by it.
    pub is_in_use: bool,
    /// Whether the pointer is over it.
    pub is_hovered: bool,
}

/// The points within half a row, or half a column, of a line of a table: of a row for a slice along speed.
pub fn points_near(points: &[Arc<MeasuredPoint>], table: &Table, along: Along, line: usize) -> Vec<SlicePoint> {
    let over = points.iter().enumerate().filter(|(_, point)| point.is_over(table));
    let near = over.filter_map(|(index, point)| {
        let (place, off) = match along {
            Along::Speed => (point.speed_rpm, off_line(table.load(), point.load, line)),
            Along::Load => (point.load, off_line(table.speed(), point.speed_rpm, line)),
        };
        (off <= NEAR).then(|| SlicePoint {
            index,
            at: (place, point.advance_deg),
            whisker: whisker(point),
            is_in_use: point.in_use,
            is_hovered: false,
        })
    });
    near.collect()
}

/// How many rows or columns a place on an axis is from one of them.
#[expect(clippy::cast_precision_loss, reason = "at most 63")]
fn off_line(axis: &Axis, at: f64, line: usize) -> f64 {
    let place = axis.locate(at);
    (place.index as f64 + place.fraction - line as f64).abs()
}

impl SlicePoint {
    /// Where it is seen; `None` beyond the degrees that the slice shows.
    pub fn seen(&self, frame: &ChartFrame) -> Option<Point> {
        let (low, high) = frame.up.range;
        (low..=high).contains(&self.at.1).then(|| frame.place(self.at))
    }

    /// Draws the interval, which ends with the slice.
    pub(super) fn draw_whisker(&self, frame: &ChartFrame, palette: &Palette, scene: &mut Scene) {
        let (Some(at), Some(ends)) = (self.seen(frame), self.whisker) else { return };
        let (low, high) = frame.up.range;
        for (end, upwards) in ends.into_iter().zip([-1.0, 1.0]) {
            let shown = |deg: f64| frame.place((self.at.0, deg));
            match end {
                WhiskerEnd::Open => draw_end(at, shown(self.at.1 + upwards), true, palette.ink, scene),
                WhiskerEnd::Deg(deg) if (low..=high).contains(&deg) => {
                    draw_end(at, shown(deg), false, palette.ink, scene);
                }
                WhiskerEnd::Deg(deg) => scene.line(at, shown(deg.clamp(low, high)), WIDTH, palette.ink),
            }
        }
    }

    /// Draws the mark.
    pub(super) fn draw(&self, frame: &ChartFrame, palette: &Palette, scene: &mut Scene) {
        let Some(at) = self.seen(frame) else { return };
        let place = Rect { left: at.x - SIDE / 2.0, top: at.y - SIDE / 2.0, width: SIDE, height: SIDE };
        draw_measured(&place, self.is_in_use, palette.ink, palette.paper, RIM, scene);
        if self.is_hovered {
            let (radius, outline_width) = (SIDE / 2.0 + HOVERED.0, HOVERED.1);
            let (fill, outline) = (Color::default(), palette.ink_secondary);
            scene.shapes.push(Shape::Dot { at, radius, fill, outline, outline_width });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Look, Slice, SliceMarks, SliceSpec};
    use crate::project::PointBound;
    use crate::wording::Unit;

    fn table() -> Table {
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        Table::from_fn(axis(&[1000.0, 2000.0, 6000.0]), axis(&[20.0, 40.0, 100.0]), |_, _| 20.0).unwrap()
    }

    fn point(speed_rpm: f64, load: f64) -> Arc<MeasuredPoint> {
        let (low_deg, high_deg) = (Some(23.0), Some(26.0));
        MeasuredPoint { speed_rpm, load, advance_deg: 24.5, low_deg, high_deg, ..MeasuredPoint::default() }.into()
    }

    #[test]
    fn points_within_half_a_row_are_near() {
        let points = [point(1500.0, 40.0), point(1500.0, 30.0), point(3000.0, 70.0), point(3000.0, 71.0)];
        let near =
            |along, line| points_near(&points, &table(), along, line).iter().map(|near| near.index).collect::<Vec<_>>();
        assert_eq!(near(Along::Speed, 1), [0, 1, 2], "half of the narrow row below, half of the wide one above");
        assert_eq!(near(Along::Speed, 2), [2, 3]);
        assert_eq!(near(Along::Load, 0), [0, 1]);
        assert_eq!(near(Along::Load, 1), [0, 1, 2, 3]);
        assert_eq!(points_near(&[point(6001.0, 40.0)], &table(), Along::Speed, 1), [], "beyond the axes");
        let [first, ..] = points_near(&points, &table(), Along::Load, 0)[..] else { panic!() };
        assert_eq!(first.at, (40.0, 24.5));
    }

    #[test]
    fn marks_and_intervals_stay_within_the_slice() {
        let line = [(1000.0, 20.0), (6000.0, 22.0)];
        let rect = Rect { left: 0.0, top: 0.0, width: 400.0, height: 200.0 };
        let spec = SliceSpec {
            points: &line,
            base: &[],
            value_range: (15.0, 25.0),
            scale_stands: true,
            now: &[],
            active: None,
            hovered: None,
            selected: &[],
            units: (Unit::Rpm, Unit::Degree),
            look: Look::Light,
            rect,
        };
        let slice = Slice::new(&spec).unwrap();
        let most = MeasuredPoint { bound: PointBound::AtMost, low_deg: None, ..(*point(3000.0, 40.0)).clone() };
        let far = MeasuredPoint { advance_deg: 70.0, low_deg: None, high_deg: None, ..(*point(2000.0, 40.0)).clone() };
        let points = points_near(&[point(1500.0, 40.0), most.into(), far.into()], &table(), Along::Speed, 1);
        let shapes = |points: &[SlicePoint]| {
            let mut scene = Scene::default();
            slice.draw_with(&spec, &SliceMarks { points, ..SliceMarks::default() }, &mut scene);
            scene.shapes
        };
        let bare = shapes(&[]);
        let drawn: Vec<Shape> = shapes(&points).into_iter().filter(|shape| !bare.contains(shape)).collect();
        let marks =
            drawn.iter().filter(|shape| matches!(shape, Shape::Dot { outline_width, .. } if *outline_width > 0.0));
        assert_eq!(marks.count(), 2, "one ring for each that the slice shows");
        let plot = slice.frame.plot();
        for shape in &drawn {
            if let Shape::Line { from, to, .. } = shape {
                assert!(plot.contains(*from) && plot.contains(*to), "{shape:?} leaves {plot:?}");
            }
        }
        let uprights = drawn.iter().filter(|shape| matches!(shape, Shape::Line { from, to, .. } if from.x == to.x));
        // Two ends of the first, of which one is cut, the upper end of the second and four pieces of its open one.
        assert_eq!(uprights.count(), 2 + 1 + 4);
        assert_eq!(points[2].seen(&slice.frame), None);
    }
}
