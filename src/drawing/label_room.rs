//! Room for labels: no label covers another, and a line that would run through one is interrupted there.

use super::{Label, Point, Rect};

/// Height of a line of small text, and the width of its widest usual characters (digits and capitals), in
/// points: labels are nowhere larger, on the screen or on paper.
pub(super) const LINE: f32 = 13.0;
const CHARACTER: f32 = 6.7;
/// Space around a label, in points.
const AIR: f32 = 1.5;

/// The estimated width of a text, rather too wide than too narrow.
pub(super) fn text_width(text: &str) -> f32 {
    #[expect(clippy::cast_precision_loss, reason = "a few characters")]
    let width = text.chars().count() as f32 * CHARACTER;
    width
}

/// The box of a label, rather too wide than too narrow.
pub fn label_box(label: &Label) -> Rect {
    let width = text_width(&label.text);
    let (left, top) = (label.at.x - width * label.anchor.0, label.at.y - LINE * label.anchor.1);
    Rect { left, top, width, height: LINE }
}

/// The space that is taken already: boxes of labels, and lines that labels should avoid.
#[derive(Clone, Debug, Default)]
pub struct LabelRoom {
    taken: Vec<Rect>,
    lines: Vec<(Point, Point)>,
}

impl LabelRoom {
    /// The room left by some labels.
    pub fn beside<'a>(labels: impl IntoIterator<Item = &'a Label>) -> Self {
        Self { taken: labels.into_iter().map(label_box).collect(), lines: Vec::new() }
    }

    /// Marks a line through these points as one that labels should avoid.
    pub fn add_line(&mut self, points: &[Point]) {
        self.lines.extend(points.windows(2).map(|pair| (pair[0], pair[1])));
    }

    /// Keeps a place free of labels, whatever is there already.
    pub fn keep(&mut self, place: Rect) {
        self.taken.push(place);
    }

    /// Whether a place touches nothing that is taken.
    pub fn is_free(&self, place: &Rect) -> bool {
        !self.taken.iter().any(|taken| overlaps(place, taken))
    }

    /// Takes the first of these places that touches neither a label nor a line, else the first that touches no
    /// label; `None` if every place touches a label.
    pub fn take(&mut self, places: impl IntoIterator<Item = Rect>) -> Option<(usize, Rect)> {
        let free: Vec<(usize, Rect)> =
            places.into_iter().enumerate().filter(|(_, place)| self.is_free(place)).collect();
        let crossed = |place: &Rect| self.lines.iter().any(|&(from, to)| crosses(from, to, place));
        let found = free.iter().find(|(_, place)| !crossed(place)).or_else(|| free.first()).copied();
        self.taken.extend(found.map(|(_, place)| place));
        found
    }

    /// Puts the label at the first of these places that is free, and takes that place.
    pub fn label(&mut self, label: Label, places: impl IntoIterator<Item = Point>) -> Option<Label> {
        let at: Vec<Point> = places.into_iter().collect();
        let boxes: Vec<Rect> = at.iter().map(|&at| label_box(&Label { at, ..label.clone() })).collect();
        let (place, _) = self.take(boxes)?;
        Some(Label { at: *at.get(place)?, ..label })
    }
}

/// The pieces of a vertical line that do not run through a label.
pub fn beside_labels(x: f32, (top, bottom): (f32, f32), labels: &[Label]) -> Vec<(f32, f32)> {
    let boxes = labels.iter().map(label_box);
    let mut crossed: Vec<(f32, f32)> = boxes
        .filter(|taken| (taken.left - AIR..=taken.left + taken.width + AIR).contains(&x))
        .map(|taken| (taken.top, taken.top + taken.height))
        .collect();
    crossed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut from, mut pieces) = (top, Vec::new());
    for (start, end) in crossed {
        if start > from {
            pieces.push((from, start.min(bottom)));
        }
        from = from.max(end);
    }
    if from < bottom {
        pieces.push((from, bottom));
    }
    pieces.retain(|(from, to)| to > from);
    pieces
}

/// Whether two boxes come closer to each other than the space around labels.
pub(super) fn overlaps(one: &Rect, other: &Rect) -> bool {
    one.left < other.left + other.width + AIR
        && other.left < one.left + one.width + AIR
        && one.top < other.top + other.height
        && other.top < one.top + one.height
}

/// Whether a line runs through a box: whether the parts of it between the box's sides in both directions
/// overlap.
fn crosses(from: Point, to: Point, place: &Rect) -> bool {
    let mut span = (0.0_f32, 1.0_f32);
    let sides = [
        (from.x, to.x - from.x, place.left, place.left + place.width),
        (from.y, to.y - from.y, place.top, place.top + place.height),
    ];
    for (start, by, low, high) in sides {
        if by.abs() < f32::EPSILON {
            if start < low || start > high {
                return false;
            }
            continue;
        }
        let (a, b) = ((low - start) / by, (high - start) / by);
        span = (span.0.max(a.min(b)), span.1.min(a.max(b)));
    }
    span.0 <= span.1
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::drawing::{Color, LabelRole};

    fn label(x: f32, y: f32, text: &str) -> Label {
        let (color, halo) = (Color::default(), Color::default());
        Label { at: Point::new(x, y), anchor: (0.5, 0.5), text: text.into(), role: LabelRole::Tick, color, halo }
    }

    #[test]
    fn the_box_is_as_wide_as_the_letters_or_wider() {
        for text in ["8000", "0", "−20.5°", "gap 18°", "15.0 V", "TDC 1, 4", "cuts at 7400"] {
            let width = crate::lettering::width(text, crate::lettering::Weight::Regular) * 11.0;
            let taken = label_box(&label(0.0, 0.0, text)).width;
            assert!(taken >= width && taken < width * 1.4 + 4.0, "{text}: {taken} {width}");
        }
    }

    #[test]
    fn a_line_breaks_at_the_labels_it_would_cross() {
        let labels = [label(50.0, 30.0, "gap 18°"), label(90.0, 60.0, "spark 27.2°")];
        assert_eq!(beside_labels(50.0, (0.0, 100.0), &labels), [(0.0, 23.5), (36.5, 100.0)]);
        assert_eq!(beside_labels(10.0, (0.0, 100.0), &labels), [(0.0, 100.0)]);
        assert_eq!(beside_labels(50.0, (25.0, 34.0), &labels), []);
    }

    #[test]
    fn a_label_goes_where_no_line_runs_and_at_worst_where_no_label_is() {
        let mut room = LabelRoom::beside(&[label(0.0, 0.0, "8000")]);
        room.add_line(&[Point::new(0.0, 20.0), Point::new(100.0, 20.0)]);
        let places = || [Point::new(5.0, 5.0), Point::new(50.0, 20.0), Point::new(50.0, 40.0)];
        assert_eq!(room.label(label(0.0, 0.0, "0"), places()).unwrap().at, Point::new(50.0, 40.0));
        assert_eq!(room.label(label(0.0, 0.0, "0"), places()).unwrap().at, Point::new(50.0, 20.0));
        assert_eq!(room.label(label(0.0, 0.0, "0"), places()), None);
    }

    proptest! {
        #[test]
        fn labels_that_found_room_never_touch(
            asked in prop::collection::vec((0.0_f32..300.0, 0.0_f32..200.0, "[0-9]{1,6}"), 1..20),
        ) {
            let mut room = LabelRoom::default();
            let put: Vec<Label> = asked
                .iter()
                .filter_map(|(x, y, text)| {
                    room.label(label(*x, *y, text), [0.0, 12.0, 24.0].map(|down| Point::new(*x, y + down)))
                })
                .collect();
            for (at, one) in put.iter().enumerate() {
                for other in &put[at + 1..] {
                    prop_assert!(!overlaps(&label_box(one), &label_box(other)), "{:?} {:?}", one, other);
                }
            }
        }

        #[test]
        fn the_pieces_of_a_line_cross_no_label(x in 0.0_f32..200.0, ys in prop::collection::vec(0.0_f32..200.0, 0..6)) {
            let labels: Vec<Label> = ys.iter().map(|&y| label(100.0, y, "gap 18°")).collect();
            for (from, to) in beside_labels(x, (0.0, 200.0), &labels) {
                prop_assert!(from < to);
                let middle = Point::new(x, f32::midpoint(from, to));
                prop_assert!(labels.iter().all(|label| !label_box(label).contains(middle)));
            }
        }
    }
}
