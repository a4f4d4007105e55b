//! The measured points in pictures.

use std::sync::Arc;

use super::Plate;
use super::views::PictureSpec;
use crate::drawing::{CellSpace, Point, PointPlaces, Rect, draw_measured};
use crate::project::MeasuredPoint;
use crate::wording::count;

/// Side of a mark among numbers.
const SIDE: f32 = 8.0;
/// What numbers keep clear at their sides, and above and below where there is room.
const AIR: f32 = 1.0;

impl<'a> PictureSpec<'a> {
    /// The points to show.
    pub(super) fn points(&self) -> &'a [Arc<MeasuredPoint>] {
        if self.shows_points { &self.project.evidence.points } else { &[] }
    }

    /// What is said of them in the heading: ' · rings: measured, broken: not in use, 2 beyond the axes'; nothing if there are
    /// none.
    pub(super) fn point_words(&self) -> String {
        let points = self.points();
        if points.is_empty() {
            return String::new();
        }
        let (over, beyond): (Vec<_>, Vec<_>) =
            points.iter().partition(|point| point.is_over(self.project.advance.table()));
        let idle = if over.iter().all(|point| point.in_use) { "" } else { ", broken: not in use" };
        let beyond = match beyond.len() {
            0 => String::new(),
            many => format!(", {many} beyond the axes"),
        };
        if over.is_empty() {
            return format!(" · {} beyond the axes", count(points.len(), "measured point"));
        }
        format!(" · rings: measured{idle}{beyond}")
    }
}

/// Draws the points over the cells of a table, clear of its numbers: `cells` is the rectangle of all cells, `cell` the size of
/// one.
pub(super) fn among_numbers(spec: &PictureSpec<'_>, plate: &mut Plate, cells: Rect, cell: (f32, f32)) {
    let table = spec.project.advance.table();
    let over: Vec<_> = spec.points().iter().filter(|point| point.is_over(table)).collect();
    if over.is_empty() {
        return;
    }
    let numbers: Vec<Rect> = plate
        .texts
        .iter()
        .map(|text| {
            let bounds = text.bounds();
            let tall = crate::lettering::CAPITAL * text.size;
            let top = bounds.top + (bounds.height - tall) / 2.0;
            Rect { left: bounds.left - AIR, top, width: bounds.width + 2.0 * AIR, height: tall }
        })
        .collect();
    let between = cell.1 - numbers.iter().map(|number| number.height).fold(0.0, f32::max);
    let side = SIDE.min(between);
    let air = ((between - side) / 2.0).clamp(0.0, AIR);
    let airy = |number: Rect| Rect { top: number.top - air, height: number.height + 2.0 * air, ..number };
    let mut places = PointPlaces::new(side, cells, numbers.into_iter().map(airy).collect(), Vec::new());
    let (space, palette) = (CellSpace::new(table), spec.look.palette());
    for point in over {
        let (column, row) = space.from_axes((point.speed_rpm, point.load));
        #[expect(clippy::cast_possible_truncation, reason = "places in a table, at most 63")]
        let (column, row) = (column as f32, row as f32);
        let bottom = cells.top + cells.height;
        let at = Point::new(cells.left + (column + 0.5) * cell.0, bottom - (row + 0.5) * cell.1);
        if let Some(place) = places.place(at) {
            draw_measured(&place, point.in_use, palette.ink, palette.paper, 0.0, &mut plate.scene);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Layer, Look, Shape, View};
    use crate::picture::{SliceLine, Subject, grid_size, plate};
    use crate::project::{Project, SAMPLES};

    fn with_points(project: &Project) -> Project {
        let table = project.advance.table();
        let (speed, load) = (table.speed(), table.load());
        let at = |name: &str, speed_rpm: f64, load: f64, in_use: bool| {
            let (low_deg, high_deg) = (Some(22.0), Some(26.0));
            let point =
                MeasuredPoint { name: name.into(), speed_rpm, load, advance_deg: 24.0, ..MeasuredPoint::default() };
            Arc::new(MeasuredPoint { low_deg, high_deg, in_use, ..point })
        };
        let middle = load.breakpoints()[load.len() / 2];
        let points = vec![
            at("on a cell", speed.breakpoints()[2], middle, true),
            at("beside it", speed.breakpoints()[2] + 30.0, middle, true),
            at("idle", speed.breakpoints()[3], load.first(), false),
            at("beyond", speed.last() + 100.0, middle, true),
        ];
        project.edit(|parts| parts.evidence.points = points).unwrap()
    }

    fn spec(project: &Project, subject: Subject, size: (f32, f32)) -> PictureSpec<'_> {
        let (layer, range, look) = (Layer::Advance, None, Look::Light);
        PictureSpec { project, base: None, subject, layer, range, look, size, shows_points: true }
    }

    #[test]
    fn points_stand_clear_of_the_numbers_of_every_sample() {
        for sample in SAMPLES {
            let project = with_points(&sample.project().unwrap());
            let table = project.advance.table();
            let spec = spec(&project, Subject::Grid, grid_size(table.speed().len(), table.load().len()));
            let drawn = plate(&spec).unwrap();
            let without = plate(&PictureSpec { shows_points: false, ..spec }).unwrap();
            let marks = drawn.scene.shapes.iter().skip(without.scene.shapes.len());
            let rings: Vec<(Point, f32)> = marks
                .filter_map(|shape| match *shape {
                    Shape::Dot { at, radius, outline_width: 0.0, fill, .. } if fill == spec.look.palette().paper => {
                        Some((at, radius))
                    }
                    _ => None,
                })
                .collect();
            assert_eq!(rings.len(), 3, "{}", sample.name);
            for (at, radius) in rings {
                for text in &drawn.texts {
                    let bounds = text.bounds();
                    let tall = crate::lettering::CAPITAL * text.size;
                    let across = (at.x - bounds.center().x).abs() < radius + bounds.width / 2.0 - 0.02;
                    let down = (at.y - bounds.center().y).abs() < radius + tall / 2.0 - 0.02;
                    assert!(!(across && down), "{}: a ring covers {}", sample.name, text.text);
                }
            }
            let told = " · rings: measured, broken: not in use, 1 beyond the axes";
            assert!(drawn.description.ends_with(told), "{}: {}", sample.name, drawn.description);
        }
    }

    #[test]
    fn surfaces_and_slices_show_them_and_a_project_without_any_is_as_it_was() {
        let bare = SAMPLES[0].project().unwrap();
        let project = with_points(&bare);
        for subject in
            [Subject::Surface(View::ThreeQuarter), Subject::Surface(View::Plan), Subject::Slice(SliceLine::MiddleRow)]
        {
            let of = |project, shows_points| {
                plate(&PictureSpec { shows_points, ..spec(project, subject, (720.0, 540.0)) }).unwrap()
            };
            let dots =
                |plate: &Plate| plate.scene.shapes.iter().filter(|shape| matches!(shape, Shape::Dot { .. })).count();
            assert!(dots(&of(&project, true)) > dots(&of(&project, false)), "{subject:?}");
            assert_eq!(of(&bare, true), of(&bare, false), "{subject:?}");
        }
    }
}
