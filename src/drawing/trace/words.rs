//! What is said in the lanes, and where words may stand there: neither on a curve nor upon other words.

use super::{COMMANDED, ERROR, LINE_WIDTH, Trace, TraceSpec};
use crate::drawing::label_room::{label_box, overlaps};
use crate::drawing::plot::{LINE, words_over};
use crate::drawing::{Label, Palette, Point, Rect, Scene, Shape};
use crate::wording::{Unit, given};

/// Words in a lane stand so far from its ends.
const WORDS_INSET: f32 = 4.0;

impl Trace {
    /// The speeds above which sparks are cut, with words.
    pub(super) fn limits(&self, spec: &TraceSpec<'_>) -> impl Iterator<Item = (f64, String)> + use<> {
        let (over, launch) = (&spec.driven.parts.limits.over_speed, &spec.driven.parts.limits.launch);
        let switched = spec.driven.run.rows().iter().any(|row| row.launch);
        let limits = [
            (over.enabled, over.cuts_at_rpm, "cuts at"),
            (launch.enabled && switched, launch.cuts_at_rpm, "launch cuts at"),
        ];
        let top_rpm = self.speed.range.1;
        let shown = limits.into_iter().filter(move |limit| limit.0 && limit.1 < top_rpm);
        shown.map(|(_, rpm, words)| (rpm, format!("{words} {}", given(rpm, Unit::Rpm))))
    }

    /// Says what lines and rings are, and which side of the error is which, where no curve runs.
    pub(super) fn write_words(&self, spec: &TraceSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let (left, right) = (self.time.screen.0 + WORDS_INSET, self.time.screen.1 - WORDS_INSET);
        let mut taken = Taken::between(scene, self.time.screen);
        let mut put = |words: &str, places: &[(f32, f32)], scene: &mut Scene| {
            let at_ends = places.iter().flat_map(|&(y, down)| [(left, 0.0, y, down), (right, 1.0, y, down)]);
            let label = |(x, along, y, down)| words_over(Point::new(x, y), (along, down), words, palette);
            taken.put(at_ends.map(label), scene);
        };
        for (rpm, words) in self.limits(spec) {
            let y = self.speed.to_screen(rpm);
            put(&words, &[(y + 1.0, 0.0), (y - 2.0, 1.0)], scene);
        }
        let ends = |row: usize| [(self.rows[row].rect.top + 1.0, 0.0), (self.rows[row].bottom() - 1.0, 1.0)];
        if spec.driven.record.detail().is_some() {
            put("line: commanded · rings: sparks", &ends(COMMANDED), scene);
        }
        put("late above", &self.above_no_error(), scene);
    }

    /// Heights on which words stand over the line of no error: first those that no line of the scale runs through. In a low
    /// lane they stand on the line of no error.
    fn above_no_error(&self) -> Vec<(f32, f32)> {
        let zero = self.error.to_screen(0.0);
        let lines: Vec<f32> = self.error.ticks.iter().map(|tick| self.error.to_screen(tick.value)).collect();
        let top = self.rows[ERROR].rect.top;
        let lowest = (top + 1.0 + LINE).min(zero - LINE_WIDTH);
        let between = lines.iter().map(|y| y - 1.0).filter(|y| (lowest..zero).contains(y));
        let is_clear = |foot: &f32| !lines.iter().any(|&y| y > foot - LINE + 2.0 && y < *foot);
        let mut feet: Vec<f32> = std::iter::once(lowest).chain(between).collect();
        feet.sort_by(|a, b| is_clear(b).cmp(&is_clear(a)).then(a.total_cmp(b)));
        feet.into_iter().map(|foot| (foot, 1.0)).collect()
    }
}

/// The boxes of what is drawn in a trace and must stay readable: curves, rings, marks and words.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Taken(Vec<Rect>);

impl Taken {
    /// What a scene has between two places along the screen.
    pub fn between(scene: &Scene, (left, right): (f32, f32)) -> Self {
        let shapes = scene.shapes.iter().filter_map(shape_box);
        let boxes = shapes.chain(scene.labels.iter().map(label_box));
        Self(boxes.filter(|own| own.left <= right && own.left + own.width >= left).collect())
    }

    /// Whether there is nothing in a place.
    pub fn is_free(&self, place: &Rect) -> bool {
        !self.0.iter().any(|own| overlaps(own, place))
    }

    /// Adds the first of some labels that is in nobody's way to a scene, or the very first.
    pub(super) fn put(&mut self, labels: impl IntoIterator<Item = Label>, scene: &mut Scene) {
        let labels: Vec<Label> = labels.into_iter().collect();
        let free = labels.iter().find(|label| self.is_free(&label_box(label)));
        if let Some(label) = free.or(labels.first()) {
            self.0.push(label_box(label));
            scene.labels.push(label.clone());
        }
    }
}

/// The box of a curve, a ring or a mark; guides, scales and dashes may run behind words.
fn shape_box(shape: &Shape) -> Option<Rect> {
    let around = |corners: &[(f32, f32)]| {
        let (&(x, y), rest) = corners.split_first()?;
        let (low, high) = rest.iter().fold(((x, y), (x, y)), |(low, high), &(x, y)| {
            ((low.0.min(x), low.1.min(y)), (high.0.max(x), high.1.max(y)))
        });
        Some(Rect { left: low.0, top: low.1, width: high.0 - low.0, height: high.1 - low.1 })
    };
    match *shape {
        Shape::Line { from, to, width, .. } if width == LINE_WIDTH => around(&[(from.x, from.y), (to.x, to.y)]),
        Shape::Line { .. } => None,
        Shape::Dot { at, radius, .. } => around(&[(at.x - radius, at.y - radius), (at.x + radius, at.y + radius)]),
        Shape::Triangle { at: [a, b, c], .. } => around(&[(a.x, a.y), (b.x, b.y), (c.x, c.y)]),
    }
}
