//! What the drawings over time have in common: rows with a name and a scale, filled areas, texts.

use super::{Color, Label, LabelRole, Look, Palette, Point, Rect, Scene, Shape};
use crate::project::Parts;
use crate::rig::{Motion, Record, Run, Settings};

/// Width of the column with the rows' names and scales.
pub(super) const NAMES_WIDTH: f32 = 150.0;
/// Room at the right end for half of a scale's number.
pub(super) const RIGHT: f32 = 16.0;
/// Height of a line of small text, and the mean width of its characters, for texts that must not touch.
pub(super) const LINE: f32 = 15.0;
pub(super) const CHARACTER: f32 = 6.0;

/// A run that was driven on the rig, as drawings need it.
#[derive(Clone, Copy, Debug)]
pub struct DrivenRun<'a> {
    /// The installation.
    pub parts: &'a Parts,
    /// The run.
    pub run: &'a Run,
    /// How the crank turns.
    pub motion: &'a Motion,
    /// What was recorded during it.
    pub record: &'a Record,
    /// The rig's settings, whose faults are marked.
    pub settings: &'a Settings,
}

/// How and where it is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// Colours.
    pub look: Look,
    /// Where to draw, including names and numbers.
    pub rect: Rect,
    /// Whether the names of the rows are drawn as well.
    pub names: bool,
}

/// One row of a drawing over time.
#[derive(Clone, Debug, PartialEq)]
pub struct TraceRow {
    /// What it shows.
    pub name: String,
    /// Its unit or the second line of its name.
    pub remark: String,
    /// Where it is plotted, without its name.
    pub rect: Rect,
}

impl TraceRow {
    pub(super) fn new(name: impl Into<String>, remark: impl Into<String>, rect: Rect) -> Self {
        Self { name: name.into(), remark: remark.into(), rect }
    }

    /// Where its name is written.
    pub fn name_rect(&self) -> Rect {
        Rect { left: self.rect.left - NAMES_WIDTH, width: NAMES_WIDTH, ..self.rect }
    }

    /// The y of its lower edge.
    pub(super) fn bottom(&self) -> f32 {
        self.rect.top + self.rect.height
    }

    /// Writes its name and remark as labels, for pictures; the window writes them with its own fonts.
    pub(super) fn write_name(&self, palette: &Palette, scene: &mut Scene) {
        let left = self.rect.left - NAMES_WIDTH;
        let is_low = self.rect.height < 2.0 * LINE;
        let y = if is_low { self.rect.top + self.rect.height / 2.0 } else { self.rect.top + LINE / 2.0 };
        text(scene, Point::new(left, y), (0.0, 0.5), self.name.clone(), palette.ink);
        if !self.remark.is_empty() && !is_low {
            text(scene, Point::new(left, y + LINE), (0.0, 0.5), self.remark.clone(), palette.ink_secondary);
        }
    }
}

/// Adds a text, in the primary or the secondary ink.
pub(super) fn text(scene: &mut Scene, at: Point, anchor: (f32, f32), text: impl Into<String>, color: Color) {
    let halo = Color::default();
    scene.labels.push(Label { at, anchor, text: text.into(), role: LabelRole::Tick, color, halo });
}

/// Adds a text with a halo in the paper's colour, to be read over lines.
pub(super) fn text_over(scene: &mut Scene, at: Point, anchor: (f32, f32), text: impl Into<String>, palette: &Palette) {
    scene.labels.push(words_over(at, anchor, text, palette));
}

/// A text with a halo in the paper's colour.
pub(super) fn words_over(at: Point, anchor: (f32, f32), text: impl Into<String>, palette: &Palette) -> Label {
    let (color, halo) = (palette.ink_secondary, palette.paper);
    Label { at, anchor, text: text.into(), role: LabelRole::Contour, color, halo }
}

/// Adds a filled rectangle.
pub(super) fn fill(scene: &mut Scene, rect: Rect, color: Color) {
    let (right, bottom) = (rect.left + rect.width, rect.top + rect.height);
    let corners = [
        Point::new(rect.left, rect.top),
        Point::new(right, rect.top),
        Point::new(right, bottom),
        Point::new(rect.left, bottom),
    ];
    let [a, b, c, d] = corners;
    scene.shapes.push(Shape::Triangle { at: [a, b, c], colors: [color; 3] });
    scene.shapes.push(Shape::Triangle { at: [a, c, d], colors: [color; 3] });
}

/// A small triangle with its tip at a place, to mark an instant; it points down, or up if `size` is negative.
pub(super) fn pointer(scene: &mut Scene, tip: Point, size: f32, color: Color) {
    let corners =
        [tip, Point::new(tip.x - size.abs() * 0.7, tip.y - size), Point::new(tip.x + size.abs() * 0.7, tip.y - size)];
    scene.shapes.push(Shape::Triangle { at: corners, colors: [color; 3] });
}
