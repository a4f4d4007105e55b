//! Heights in numbers: on contour lines, and at peaks and holes.

use super::marks::Found;
use super::{Marks, Relief};
use crate::drawing::label_room::text_width;
use crate::drawing::mark_shapes::{CROSS_SIDE, draw_cross};
use crate::drawing::{Contour, Label, LabelRole, LabelRoom, Point, Projector, Rect, Scene};
use crate::wording::{Unit, at_most, with_unit, written};

/// A major contour line seen shorter than this has no label, and labels keep this distance; the same of minor ones.
const MAJOR_ROOM: f32 = 46.0;
const MINOR_ROOM: f32 = 84.0;
/// The next lines must be so far away that a label on a minor line covers none of them, points.
const CLEAR: f32 = 10.0;
/// Where along a line a label may stand.
const SHARES: [f64; 7] = [0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9];

/// Degrees have at most so many decimals here.
const DECIMALS: usize = 1;
/// How far the middle of a number stands beside its mark, without half its width, how much lower if need be, and how far
/// above or below the mark.
const BESIDE: f32 = 5.0;
const LOWER: f32 = 5.0;
const ABOVE: f32 = 11.0;
/// Marks keep this distance.
const APART: f32 = 40.0;
/// Room that the handle takes.
const HANDLE: f32 = 14.0;

impl Relief {
    /// Degrees where they are seen and find room: on major contour lines, at peaks and holes, on minor contour lines.
    pub(super) fn label_heights(&self, projector: &Projector, marks: &Marks<'_>, found: &[Found], scene: &mut Scene) {
        let mut room = LabelRoom::beside(&scene.labels);
        self.take_marks(projector, marks, found, &mut room);
        let mut taken: Vec<Point> = Vec::new();
        self.label_lines(true, projector, &mut room, &mut taken, scene);
        self.draw_spots(projector, &mut room, &mut taken, scene);
        self.label_lines(false, projector, &mut room, &mut taken, scene);
    }

    /// Keeps the places of the handle, of findings and of measured points, which no label may cover.
    fn take_marks(&self, projector: &Projector, marks: &Marks<'_>, found: &[Found], room: &mut LabelRoom) {
        let seen = |cell| self.vertex(cell).map(|point| projector.project(point));
        let handle = marks.active.and_then(seen).map(|at| square(at, HANDLE));
        let heads = self.pin_heads().iter().map(|head| head.place);
        for place in handle.into_iter().chain(found.iter().map(|found| found.place)).chain(heads) {
            room.keep(place);
        }
    }

    fn label_lines(
        &self,
        major: bool,
        projector: &Projector,
        room: &mut LabelRoom,
        taken: &mut Vec<Point>,
        scene: &mut Scene,
    ) {
        let palette = self.look.palette();
        let distance = if major { MAJOR_ROOM } else { MINOR_ROOM };
        for line in self.lines.iter().filter(|line| line.major == major) {
            let Some(at) = self.place_on(line, distance, projector, taken) else {
                continue;
            };
            let label = Label {
                at,
                anchor: (0.5, 0.5),
                text: with_unit(&written(line.level), Unit::Degree),
                role: LabelRole::Contour,
                color: palette.ink,
                halo: palette.paper.with_alpha(190),
            };
            if let Some(label) = room.label(label, [at]) {
                taken.push(at);
                scene.labels.push(label);
            }
        }
    }

    /// Where on a line a label is seen that keeps its distance from others, and from other lines where it is a minor one.
    fn place_on(&self, line: &Contour, distance: f32, projector: &Projector, taken: &[Point]) -> Option<Point> {
        let seen = |&(speed, load): &(f64, f64)| projector.project(self.model.point(speed, load, line.level));
        let points: Vec<Point> = line.points.iter().map(seen).collect();
        if points.windows(2).map(|pair| pair[0].distance(pair[1])).sum::<f32>() < distance {
            return None;
        }
        let span = |(low, high): (f64, f64)| 1.0 / (high - low);
        let scale = (span(self.model.speed), span(self.model.load));
        SHARES.into_iter().find_map(|share| {
            let anchor = line.anchor(share, scale);
            let point = self.model.point(anchor.at.0, anchor.at.1, line.level);
            let at = projector.project(point);
            let is_free = taken.iter().all(|other| other.distance(at) > distance)
                && (line.major || self.is_clear_of_lines(line, anchor.at, anchor.along, projector));
            (is_free && self.is_visible(projector, point)).then_some(at)
        })
    }

    /// Whether the surface rises and falls so little beside a place on a line that no other line is near.
    fn is_clear_of_lines(
        &self,
        line: &Contour,
        (speed, load): (f64, f64),
        along: (f64, f64),
        projector: &Projector,
    ) -> bool {
        const PROBE: f64 = 0.01;
        let Some(levels) = self.levels else {
            return true;
        };
        let (width, depth) = (self.model.speed.1 - self.model.speed.0, self.model.load.1 - self.model.load.0);
        let (x, y) = (along.0 / width, along.1 / depth);
        let length = x.hypot(y).max(f64::MIN_POSITIVE);
        let beside = |by: f64| (speed - y / length * by * width, load + x / length * by * depth);
        let seen = |(speed, load): (f64, f64)| {
            projector.project(self.model.point(speed, load, self.table.lookup(speed, load)))
        };
        let per_point = f64::from(seen(beside(-PROBE)).distance(seen(beside(PROBE)))) / (2.0 * PROBE);
        let reach = f64::from(CLEAR) / per_point.max(1.0);
        [-reach, reach].into_iter().all(|by| {
            let (speed, load) = beside(by);
            (self.table.lookup(speed, load) - line.level).abs() < levels.step
        })
    }

    /// Marks and numbers of the spot heights that are seen and find room, those that stand out most first.
    fn draw_spots(&self, projector: &Projector, room: &mut LabelRoom, taken: &mut Vec<Point>, scene: &mut Scene) {
        let palette = self.look.palette();
        let mut marked: Vec<Point> = Vec::new();
        for spot in &self.spots {
            let Some(point) = self.vertex(spot.cell) else {
                continue;
            };
            let at = projector.project(point);
            let mark = square(at, CROSS_SIDE);
            let is_apart = marked.iter().all(|other| other.distance(at) > APART);
            if !is_apart || !room.is_free(&mark) || !self.is_visible(projector, point) {
                continue;
            }
            let text = with_unit(&at_most(spot.deg, DECIMALS), Unit::Degree);
            let aside = BESIDE + text_width(&text) / 2.0;
            let beside = |right: f32, down: f32| Point::new(at.x + right, at.y + down);
            let level = [beside(aside, 0.0), beside(-aside, 0.0)];
            let others = [beside(aside, LOWER), beside(-aside, LOWER), beside(0.0, -ABOVE), beside(0.0, ABOVE)];
            let label = Label {
                at,
                anchor: (0.5, 0.5),
                text,
                role: LabelRole::Spot,
                color: palette.ink,
                halo: palette.paper.with_alpha(190),
            };
            let Some(label) = room.label(label, level.into_iter().chain(others)) else {
                continue;
            };
            room.keep(mark);
            marked.push(at);
            taken.push(label.at);
            scene.labels.push(label);
            draw_cross(at, palette.ink, palette.paper.with_alpha(200), scene);
        }
    }
}

/// A square around a point.
pub(super) fn square(middle: Point, side: f32) -> Rect {
    Rect { left: middle.x - side / 2.0, top: middle.y - side / 2.0, width: side, height: side }
}
