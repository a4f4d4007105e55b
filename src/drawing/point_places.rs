//! Where the marks of measured points stand: at their places, or next to them where digits, labels or other marks are.

use super::{Point, Rect};

/// How many widths of a mark it may move aside.
const MOST_ASIDE: u8 = 3;
/// Among more things than this nearby there is no place that hides none of them.
const CROWD: usize = 80;

/// The places of marks, one after the other. None stands on what is kept free, nor on another as long as there is room.
#[derive(Clone, Debug)]
pub struct PointPlaces {
    /// Side of the square that a mark takes.
    side: f32,
    /// Marks stay within.
    within: Rect,
    /// What no mark may cover: digits, labels.
    kept: Vec<Rect>,
    /// What it does not cover if it can help it: other marks.
    marked: Vec<Rect>,
}

impl PointPlaces {
    /// For marks that take squares of `side`, within a rectangle; `kept` is what they never cover, `marked` what they cover
    /// only in a crowd.
    pub fn new(side: f32, within: Rect, kept: Vec<Rect>, marked: Vec<Rect>) -> Self {
        Self { side, within, kept, marked }
    }

    /// The place of the next mark: at a point if that is clear, else the nearest clear one above or below, or farther
    /// aside. `None` if what is never covered leaves no room.
    pub fn place(&mut self, at: Point) -> Option<Rect> {
        let reach = self.side * (1.5 + f32::from(MOST_ASIDE));
        let around = self.square(Point::new(at.x, at.y), 2.0 * reach);
        let near = |list: &[Rect]| -> Vec<Rect> { list.iter().filter(|one| overlap(one, &around)).copied().collect() };
        let (kept, marked) = (near(&self.kept), near(&self.marked));
        let is_crowded = kept.len() + marked.len() > CROWD;
        let all = if is_crowded { kept.clone() } else { [&kept[..], &marked[..]].concat() };
        let found = self.nearest(at, &all).or_else(|| self.nearest(at, &kept))?;
        self.marked.push(found);
        Some(found)
    }

    fn square(&self, middle: Point, side: f32) -> Rect {
        Rect { left: middle.x - side / 2.0, top: middle.y - side / 2.0, width: side, height: side }
    }

    /// The place nearest to a point that touches none of these.
    fn nearest(&self, at: Point, taken: &[Rect]) -> Option<Rect> {
        let half = self.side / 2.0;
        let mut best: Option<(f32, Rect)> = None;
        let steps = (0..=MOST_ASIDE).flat_map(|step| [f32::from(step), -f32::from(step)]);
        for aside in steps.map(|step| step * self.side) {
            let x = at.x + aside;
            let edges = taken.iter().flat_map(|one| [one.top - half, one.top + one.height + half]);
            for y in std::iter::once(at.y).chain(edges) {
                let away = aside.abs() + (y - at.y).abs();
                let place = self.square(Point::new(x, y), self.side);
                let is_nearer = best.is_none_or(|(least, _)| away < least);
                if is_nearer && self.is_within(&place) && !taken.iter().any(|one| overlap(one, &place)) {
                    best = Some((away, place));
                }
            }
        }
        best.map(|(_, place)| place)
    }

    fn is_within(&self, place: &Rect) -> bool {
        let Rect { left, top, width, height } = self.within;
        place.left >= left - ROUNDING
            && place.top >= top - ROUNDING
            && place.left + place.width <= left + width + ROUNDING
            && place.top + place.height <= top + height + ROUNDING
    }
}

const ROUNDING: f32 = 0.01;

fn overlap(one: &Rect, other: &Rect) -> bool {
    one.left + ROUNDING < other.left + other.width
        && other.left + ROUNDING < one.left + one.width
        && one.top + ROUNDING < other.top + other.height
        && other.top + ROUNDING < one.top + one.height
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const WITHIN: Rect = Rect { left: 0.0, top: -8.0, width: 240.0, height: 168.0 };

    fn places(kept: Vec<Rect>) -> PointPlaces {
        PointPlaces::new(8.0, WITHIN, kept, Vec::new())
    }

    #[test]
    fn a_mark_keeps_its_place_or_goes_just_above_or_below() {
        let digits = Rect { left: 30.0, top: 40.0, width: 20.0, height: 10.0 };
        let mut places = places(vec![digits]);
        let middle = |place: Option<Rect>| place.map(|place| place.center());
        assert_eq!(middle(places.place(Point::new(70.0, 45.0))), Some(Point::new(70.0, 45.0)));
        assert_eq!(middle(places.place(Point::new(40.0, 44.0))), Some(Point::new(40.0, 36.0)));
        assert_eq!(middle(places.place(Point::new(33.0, 48.0))), Some(Point::new(33.0, 54.0)));
    }

    #[test]
    fn digits_come_before_a_crowd_of_points() {
        let digits = Rect { left: 30.0, top: 40.0, width: 20.0, height: 10.0 };
        let mut places = places(vec![digits]);
        for _ in 0..200 {
            let place = places.place(Point::new(40.0, 45.0)).unwrap();
            assert!(!overlap(&place, &digits));
        }
        let all = PointPlaces::new(8.0, WITHIN, vec![WITHIN], Vec::new()).place(Point::new(40.0, 45.0));
        assert_eq!(all, None);
    }

    proptest! {
        /// In cells of any size whose rows leave room for a mark, wherever points lie.
        #[test]
        fn no_point_touches_digits_or_another_point(
            (width, height) in (26.0_f32..52.0, 16.4_f32..40.0),
            tall in 7.0_f32..9.0,
            share in 0.3_f32..0.8,
            points in proptest::collection::vec((0.0_f32..5.0, 0.0_f32..3.0), 1..14),
            clustered in any::<bool>(),
        ) {
            let side = 8.0_f32.min(height - tall);
            let digits = |column: u8, row: u8| Rect {
                left: (f32::from(column) + (1.0 - share) / 2.0) * width,
                top: (f32::from(row) + 0.5) * height - tall / 2.0,
                width: width * share,
                height: tall,
            };
            let digits: Vec<Rect> = (0..6).flat_map(|column| (0..4).map(move |row| (column, row)))
                .map(|(column, row)| digits(column, row)).collect();
            let within = Rect { left: 0.0, top: -8.0, width: 6.0 * width, height: 4.0 * height + 8.0 };
            let mut places = PointPlaces::new(side, within, digits.clone(), Vec::new());
            let mut stood: Vec<Rect> = Vec::new();
            for (column, row) in points {
                // Some lie on breakpoints, all at one place.
                let (column, row) = if clustered { (2.0, 1.0) } else { (column, row) };
                let at = Point::new((column + 0.5) * width, (row + 0.5) * height);
                let place = places.place(at).unwrap();
                let away = place.center().distance(at);
                prop_assert!(digits.iter().all(|one| !overlap(one, &place)), "{place:?} covers digits");
                prop_assert!(stood.iter().all(|one| !overlap(one, &place)), "{place:?} covers a point");
                prop_assert!(away <= 5.0 * side, "{away} away");
                stood.push(place);
            }
        }
    }
}
