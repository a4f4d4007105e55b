//! The key of the printed grid: what its lines and marks mean.

use super::grid::PrintedMarks;
use super::piece::{Piece, ink, width};
use super::sizes;
use crate::checks::Severity;
use crate::drawing::{Color, Levels, Point, Rect, Scene, Shape, draw_measured_lined};
use crate::lettering::wrapped;
use crate::project::Project;
use crate::wording::{Unit, with_unit, written};

/// Width of the key where it stands beside the grid.
pub(super) const WIDTH: f32 = 90.0;
/// Height that a key below the grid takes at most.
pub(super) const BELOW: f32 = 2.0 * LINE + APART.0;
/// Width of the signs, and the size of one.
const SIGNS: f32 = 14.0;
const SIDE: f32 = 4.8;
const LINE: f32 = sizes::BODY * sizes::LEADING;
/// Space between two entries, one below the other and beside each other.
const APART: (f32, f32) = (3.0, 14.0);

/// Width of the line of a hollow sign.
const STROKE: f32 = 0.62;

/// A sign in a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CellSign {
    /// A filled corner at the upper left: the cell is held.
    Corner,
    /// A filled dot: the cell differs from the base.
    Dot,
    /// Something was found there.
    Found(Severity),
    /// Something was measured near; whether that is in use.
    Measured(bool),
}

impl CellSign {
    /// The shapes of the sign, in a colour, as large as a rectangle.
    pub(super) fn shapes(self, rect: Rect, color: Color) -> Vec<Shape> {
        match self {
            Self::Corner => {
                let Rect { left, top, width, height } = rect;
                let at = [Point::new(left, top), Point::new(left + width, top), Point::new(left, top + height)];
                vec![Shape::Triangle { at, colors: [color; 3] }]
            }
            Self::Dot => {
                let radius = rect.width.min(rect.height) / 2.0;
                vec![Shape::Dot { at: rect.center(), radius, fill: color, outline: color, outline_width: 0.0 }]
            }
            Self::Measured(is_in_use) => {
                let mut scene = Scene::default();
                draw_measured_lined(&rect, STROKE, is_in_use, (color, ink().paper), 0.0, &mut scene);
                scene.shapes
            }
            Self::Found(severity) => {
                let mut scene = Scene::default();
                severity.shape().draw_lined(&rect, STROKE, color, ink().paper, 0.0, &mut scene);
                scene.shapes
            }
        }
    }
}

/// What an entry of the key shows.
#[derive(Clone, Copy, Debug)]
enum Sample {
    Sign(CellSign),
    /// A contour: its width and opacity.
    Line((f32, u8)),
    Nothing,
}

/// A sample of a sign or line, and what it means.
#[derive(Clone, Debug)]
pub(super) struct Entry(Sample, String);

/// The entries for a table; without levels there are no contours.
pub(super) fn entries(project: &Project, marks: &PrintedMarks, levels: Option<&Levels>) -> Vec<Entry> {
    let degrees = |deg: f64| with_unit(&written(deg), Unit::Degree);
    let mut entries = match levels {
        Some(levels) => vec![
            Entry(Sample::Line(super::grid::MINOR), format!("equal advance, every {}", degrees(levels.step))),
            Entry(Sample::Line(super::grid::MAJOR), format!("every {}", degrees(levels.major_step()))),
        ],
        None => vec![Entry(Sample::Nothing, "Every cell is the same.".into())],
    };
    entries.push(Entry(Sample::Sign(CellSign::Corner), "held: tools skip it".into()));
    if marks.has_base() {
        let base = project.snapshots.last().map_or_else(String::new, |base| format!(" '{}'", base.name));
        entries.push(Entry(Sample::Sign(CellSign::Dot), format!("changed from the base{base}")));
    }
    let found = Severity::ALL
        .map(|severity| Entry(Sample::Sign(CellSign::Found(severity)), format!("{} found here", severity.name())));
    entries.extend(found);
    let table = project.advance.table();
    for (is_in_use, words) in [(true, "measured"), (false, "measured, not in use")] {
        if marks.points.iter().any(|point| point.in_use == is_in_use && point.is_over(table)) {
            entries.push(Entry(Sample::Sign(CellSign::Measured(is_in_use)), words.into()));
        }
    }
    entries
}

impl Entry {
    /// The entry in lines no wider than a room.
    fn piece(&self, room: f32) -> Piece {
        let mut piece = Piece::default();
        let middle = LINE * 0.47;
        match self.0 {
            Sample::Sign(sign) => {
                let side = if sign == CellSign::Dot { SIDE * super::grid::DOT } else { SIDE };
                let rect = Rect { left: 4.0 - side / 2.0, top: middle - side / 2.0, width: side, height: side };
                piece.scene.shapes.extend(sign.shapes(rect, ink().ink));
            }
            Sample::Line((width, alpha)) => {
                piece.line((0.0, middle), (9.0, middle), width, ink().ink.with_alpha(alpha));
            }
            Sample::Nothing => {}
        }
        let indent = if matches!(self.0, Sample::Nothing) { 0.0 } else { SIGNS };
        let height = piece.lines(indent, &wrapped(&self.1, sizes::BODY, room - indent), ink().ink_secondary);
        piece.height = height;
        piece
    }
}

/// The key as a narrow column.
pub(super) fn beside(entries: &[Entry]) -> Piece {
    let mut key = Piece::default();
    for entry in entries {
        let piece = entry.piece(WIDTH);
        let y = key.height;
        key.put(&piece, (0.0, y));
        key.height += piece.height + APART.0;
    }
    key
}

/// The key in lines as wide as the grid.
pub(super) fn below(entries: &[Entry], room: f32) -> Piece {
    let mut key = Piece { height: APART.0, ..Piece::default() };
    let mut x = 0.0;
    for entry in entries {
        let own = (SIGNS + width(&entry.1, sizes::BODY) + 1.0).min(room);
        if x > 0.0 && x + own > room {
            (x, key.height) = (0.0, key.height + LINE);
        }
        let piece = entry.piece(own);
        let y = key.height;
        key.put(&piece, (x, y));
        x += own + APART.1;
    }
    key.height += LINE;
    key
}
