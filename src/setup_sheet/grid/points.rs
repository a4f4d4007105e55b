//! The measured points on the printed grid, clear of its digits and marks.

use super::{Band, CellSign, LARGEST_MARK, PrintedMarks};
use crate::drawing::{CellSpace, PointPlaces, Rect};
use crate::setup_sheet::piece::{around, ink};

impl Band<'_> {
    /// Draws the points of these columns, clear of `kept`, what digits and marks take; returns the boxes that contours keep
    /// clear of.
    pub(super) fn points(&mut self, marks: &PrintedMarks, kept: &[Rect]) -> Vec<Rect> {
        if marks.points.is_empty() {
            return Vec::new();
        }
        let (width, height) = self.layout.cell;
        let (left, right) = (self.layout.x(0), self.layout.x(self.columns.len()));
        let within = Rect { left, top: self.top, width: right - left, height: self.layout.y(self.rows()) };
        let tallest = crate::lettering::CAPITAL * self.layout.digits;
        let side = LARGEST_MARK.min(height - tallest - 2.0 * super::DIGITS_BESIDE);
        let mut places = PointPlaces::new(side, within, kept.to_vec(), Vec::new());
        let space = CellSpace::new(self.table);
        let mut boxes = Vec::new();
        for point in marks.points.iter().filter(|point| point.is_over(self.table)) {
            let at = self.place(space.from_axes((point.speed_rpm, point.load)));
            let is_of_band = (left..=right).contains(&at.x) && at.x < right + width / 2.0;
            if let Some(place) = is_of_band.then(|| places.place(at)).flatten() {
                self.piece.scene.shapes.extend(CellSign::Measured(point.in_use).shapes(place, ink().ink));
                boxes.push(around(place, (1.0, 1.0)));
            }
        }
        boxes
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::super::{PrintedMarks, grid};
    use super::*;
    use crate::checks::run;
    use crate::drawing::Shape;
    use crate::project::{MeasuredPoint, Project, SAMPLES};
    use crate::setup_sheet::piece::letters;

    fn with_points(project: &Project) -> Project {
        let table = project.advance.table();
        let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
        let point = |at: usize| {
            let (speed, load) = (at * 3 % (speeds.len() - 1), at * 5 % (loads.len() - 1));
            let share = f64::from(u8::try_from(at).unwrap()) / 8.0;
            let between = |list: &[f64], place: usize| list[place] + (list[place + 1] - list[place]) * share;
            let (speed_rpm, load) = (between(speeds, speed), between(loads, load));
            let name = format!("P{at}");
            Arc::new(MeasuredPoint {
                name,
                speed_rpm,
                load,
                advance_deg: 20.0,
                in_use: true,
                ..MeasuredPoint::default()
            })
        };
        project.edit(|parts| parts.evidence.points = (0..8).map(point).collect()).unwrap()
    }

    #[test]
    fn points_are_on_paper_once_each_clear_of_digits_and_in_the_key() {
        for sample in SAMPLES {
            let bare = sample.project().unwrap();
            let project = with_points(&bare);
            let pieces = |project: &Project| {
                let marks = PrintedMarks::of(project, None, &run(&bare));
                grid(project, &marks, (523.0, 750.0))
            };
            let told = |project: &Project| {
                pieces(project).iter().flat_map(|piece| &piece.texts).filter(|text| text.text == "measured").count()
            };
            assert_eq!((told(&project), told(&bare)), (1, 0), "{}", sample.name);
            let mut rings = 0;
            for piece in pieces(&project) {
                let numbers: Vec<Rect> = piece.texts.iter().map(letters).collect();
                for shape in &piece.scene.shapes {
                    let Shape::Dot { at, radius, outline_width, .. } = *shape else { continue };
                    let is_ring = outline_width > 0.0 && radius > 1.5;
                    rings += usize::from(is_ring);
                    let reach = radius + outline_width / 2.0 - 0.02;
                    let covers = |number: &&Rect| {
                        let middle = number.center();
                        (middle.x - at.x).abs() < reach + number.width / 2.0
                            && (middle.y - at.y).abs() < reach + number.height / 2.0
                    };
                    assert_eq!(numbers.iter().find(covers), None, "{}: {shape:?}", sample.name);
                }
            }
            // Once more in the key, where notes have a ring as well; on the grid there may be notes too.
            let is_ring = |shape: &&Shape| matches!(shape, Shape::Dot { outline_width, radius, .. } if *outline_width > 0.0 && *radius > 1.5);
            let notes: usize =
                pieces(&bare).iter().map(|piece| piece.scene.shapes.iter().filter(is_ring).count()).sum();
            assert_eq!(rings, 8 + 1 + notes, "{}", sample.name);
        }
    }
}
