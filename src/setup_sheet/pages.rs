//! Filling pages: running head and foot, full-width parts, and parts in columns.

use std::collections::VecDeque;

use super::Paper;
use super::piece::{Piece, ink};
use super::rows::Rows;
use super::sizes;
use crate::drawing::{Point, Scene};
use crate::lettering::{Weight, shortened};
use crate::picture::{Lettering, Plate};
use crate::wording::{Unit, with_unit, written};

/// Pages that are filled from top to bottom.
pub(super) struct Pages {
    paper: Paper,
    name: String,
    locked: Option<f64>,
    plates: Vec<Plate>,
    /// The last page is filled down to here.
    y: f32,
}

/// A part in a column.
#[derive(Clone, Debug)]
pub(super) enum Part {
    /// A piece that must not be split, and `None` once it is on a page.
    Whole(Option<Piece>),
    /// Rows that may be split, and the last (page, column) that has some of them: the rest continues in a later
    /// column or page.
    Rows(Rows, Option<(usize, usize)>),
}

impl From<Piece> for Part {
    fn from(piece: Piece) -> Self {
        Self::Whole(Some(piece))
    }
}

impl From<Rows> for Part {
    fn from(rows: Rows) -> Self {
        Self::Rows(rows, None)
    }
}

impl Part {
    fn take(&mut self, place: (usize, usize), column: f32, height: f32) -> Option<Piece> {
        match self {
            Self::Whole(piece) => piece.take_if(|piece| piece.height <= height),
            Self::Rows(_, Some(before)) if place < *before => None,
            Self::Rows(rows, before) => {
                let piece = rows.take(column, height)?;
                *before = Some(place);
                Some(piece)
            }
        }
    }

    fn is_done(&self) -> bool {
        match self {
            Self::Whole(piece) => piece.is_none(),
            Self::Rows(rows, _) => rows.is_empty(),
        }
    }

    fn whole(self, column: f32) -> Piece {
        match self {
            Self::Whole(piece) => piece.unwrap_or_default(),
            Self::Rows(rows, _) => rows.whole(column),
        }
    }
}

/// Pieces with the column and the height at which each stands, in reading order; and in which order the parts that are
/// done with them were taken out of those that waited.
#[derive(Default)]
struct Placed {
    pieces: Vec<(usize, f32, Piece)>,
    done: Vec<usize>,
}

/// Rows over the whole width that are no higher than this are kept together.
const LOW: f32 = 150.0;
/// Columns that end within so many points of the best are even.
const EVEN_WITHIN: f32 = 2.0;

/// Height of the bars that mark a locked-timing copy.
const LOCKED_BAR: f32 = 20.0;
/// Space above the bar at the foot, in addition to that of every page.
const LOCKED_WHITE: f32 = 6.0;

impl Pages {
    pub(super) fn new(paper: Paper, name: &str, locked: Option<f64>) -> Self {
        let mut pages = Self { paper, name: name.to_owned(), locked, plates: Vec::new(), y: 0.0 };
        pages.next();
        pages
    }

    /// Starts a page, complete with its head.
    pub(super) fn next(&mut self) {
        let (width, height) = self.paper.size();
        let mut plate = Plate {
            width,
            height,
            paper: ink().paper,
            description: String::new(),
            scene: Scene::default(),
            texts: Vec::new(),
        };
        self.y = sizes::MARGIN.1;
        if let Some(deg) = self.locked {
            let bar = locked_bar(deg, self.width());
            bar.onto(&mut plate, (sizes::MARGIN.0, 18.0));
            bar.onto(&mut plate, (sizes::MARGIN.0, height - sizes::MARGIN.2 + 2.0));
            self.y += LOCKED_BAR - 8.0;
        }
        self.plates.push(plate);
    }

    fn is_fresh(&self) -> bool {
        self.y <= self.top()
    }

    fn top(&self) -> f32 {
        sizes::MARGIN.1 + if self.locked.is_some() { LOCKED_BAR - 8.0 } else { 0.0 }
    }

    /// Width between the margins.
    pub(super) fn width(&self) -> f32 {
        self.paper.size().0 - 2.0 * sizes::MARGIN.0
    }

    /// Width of one of the columns.
    pub(super) fn column(&self) -> f32 {
        self.one_of(sizes::COLUMNS)
    }

    /// Width of one of that many columns.
    pub(super) fn one_of(&self, columns: usize) -> f32 {
        #[expect(clippy::cast_precision_loss, reason = "a few columns")]
        let columns = columns as f32;
        (self.width() - sizes::GUTTER * (columns - 1.0)) / columns
    }

    /// The height that is left on the page.
    pub(super) fn room(&self) -> f32 {
        self.bottom() - self.y
    }

    /// The height available on an empty page.
    pub(super) fn whole(&self) -> f32 {
        self.bottom() - self.top()
    }

    /// Adds a part over the whole width, on the next page if it does not fit on this one.
    pub(super) fn full(&mut self, piece: &Piece) {
        if piece.height > self.room() && !self.is_fresh() {
            self.next();
        }
        self.put(piece, 0.0, self.y);
        self.y += piece.height + sizes::BETWEEN;
    }

    /// Adds rows over the whole width in that many columns, page by page.
    pub(super) fn full_rows(&mut self, mut rows: Rows, columns: usize) {
        let (width, column) = (self.width(), self.one_of(columns));
        let whole = rows.clone().take_columns(width, column, columns, f32::MAX);
        if let Some(whole) = whole.filter(|whole| whole.height <= LOW) {
            return self.full(&whole);
        }
        while !rows.is_empty() {
            match rows.take_columns(width, column, columns, self.room()) {
                Some(piece) => self.full(&piece),
                None if self.is_fresh() => return self.full(&rows.whole(width)),
                None => self.next(),
            }
        }
    }

    /// Fills the rest of this page, but for a height at its foot, with those parts that fit whole; returns the others.
    pub(super) fn fill(&mut self, parts: Vec<Part>, below: f32) -> Vec<Part> {
        let mut waiting = VecDeque::from(parts);
        let bottom = self.bottom() - below;
        let placed = self.even(&waiting, bottom).unwrap_or_else(|| self.place(&mut waiting.clone(), bottom));
        for index in &placed.done {
            waiting.remove(*index);
        }
        self.take(placed);
        waiting.into()
    }

    /// Adds parts in columns, which are filled from left to right. What does not fit any more waits for the next page,
    /// and parts after it may fill the rest of this one. Where all that is left fits, the columns end about even.
    pub(super) fn columns(&mut self, parts: Vec<Part>) {
        let mut waiting = VecDeque::from(parts);
        while !waiting.is_empty() {
            if let Some(placed) = self.even(&waiting, self.bottom()) {
                return self.take(placed);
            }
            let placed = self.place(&mut waiting, self.bottom());
            if placed.pieces.is_empty() && self.is_fresh() {
                // Taller than a page: it is better to run over its foot than to lose it.
                let piece = waiting.pop_front().map(|part| part.whole(self.column()));
                self.take(Placed {
                    pieces: piece.into_iter().map(|piece| (0, self.y, piece)).collect(),
                    done: Vec::new(),
                });
            } else {
                self.take(placed);
                self.next();
            }
        }
    }

    /// Parts in columns down to a height; those that are done are taken out of what waits.
    fn place(&self, waiting: &mut VecDeque<Part>, bottom: f32) -> Placed {
        let mut ends = [self.y; sizes::COLUMNS];
        let mut placed = Placed::default();
        loop {
            let found = (0..waiting.len()).find_map(|index| {
                let (column, piece) = self.fit(&ends, waiting.get_mut(index)?, bottom)?;
                Some((index, column, piece))
            });
            let Some((index, column, piece)) = found else {
                return placed;
            };
            if waiting.get(index).is_some_and(Part::is_done) {
                waiting.remove(index);
                placed.done.push(index);
            }
            let end = ends.get_mut(column).map(|end| std::mem::replace(end, *end + piece.height + sizes::BETWEEN));
            placed.pieces.extend(end.map(|end| (column, end, piece)));
        }
    }

    /// All parts in columns that end about even; `None` if not all of them fit.
    fn even(&self, parts: &VecDeque<Part>, bottom: f32) -> Option<Placed> {
        let fits = |bottom: f32| {
            let mut waiting = parts.clone();
            let placed = self.place(&mut waiting, bottom);
            waiting.is_empty().then_some(placed)
        };
        let mut best = fits(bottom)?;
        let (mut low, mut high) = (self.y, bottom);
        while high - low > EVEN_WITHIN {
            let middle = f32::midpoint(low, high);
            match fits(middle) {
                Some(placed) => (best, high) = (placed, middle),
                None => low = middle,
            }
        }
        Some(best)
    }

    /// The piece of a part that fits, and in which column.
    fn fit(&self, ends: &[f32; sizes::COLUMNS], part: &mut Part, bottom: f32) -> Option<(usize, Piece)> {
        let (width, page) = (self.column(), self.plates.len());
        let mut columns = ends.iter().enumerate();
        columns.find_map(|(column, end)| Some((column, part.take((page, column), width, bottom - end)?)))
    }

    /// Puts pieces into their columns on this page.
    fn take(&mut self, placed: Placed) {
        let step = self.column() + sizes::GUTTER;
        let mut end = self.y;
        for (column, top, piece) in placed.pieces {
            #[expect(clippy::cast_precision_loss, reason = "a few columns")]
            let x = column as f32 * step;
            self.put(&piece, x, top);
            end = end.max(top + piece.height + sizes::BETWEEN);
        }
        self.y = end;
    }

    fn bottom(&self) -> f32 {
        self.paper.size().1 - sizes::MARGIN.2 - if self.locked.is_some() { LOCKED_WHITE } else { 0.0 }
    }

    fn put(&mut self, piece: &Piece, x: f32, y: f32) {
        if let Some(page) = self.plates.last_mut() {
            piece.onto(page, (sizes::MARGIN.0 + x, y));
        }
    }

    /// The pages with their feet.
    pub(super) fn finish(mut self) -> Vec<Plate> {
        if self.is_fresh() && self.plates.len() > 1 {
            self.plates.pop();
        }
        let count = self.plates.len();
        for (index, page) in self.plates.iter_mut().enumerate() {
            let (left, right) = (sizes::MARGIN.0, page.width - sizes::MARGIN.0);
            let y = page.height - sizes::MARGIN.2 + if self.locked.is_some() { 25.0 } else { 16.0 };
            let mut foot = Piece::default();
            let color = ink().ink_secondary;
            if self.locked.is_none() {
                foot.line((left, y - 5.0), (right, y - 5.0), sizes::HAIRLINE, color);
            }
            let name = shortened(&self.name, Weight::Regular, sizes::BODY, (right - left) * 0.6);
            foot.text((left, y), format!("{name} · Sparkloft setup sheet"), sizes::BODY, color);
            foot.text_to((right, y), format!("page {} of {count}", index + 1), sizes::BODY, color);
            foot.onto(page, (0.0, 0.0));
            page.description = format!("{}, page {} of {count}", self.name, index + 1);
        }
        self.plates
    }
}

fn locked_bar(deg: f64, width: f32) -> Piece {
    let mut bar = Piece::default();
    bar.bar((0.0, 0.0), (width, LOCKED_BAR - 2.0), ink().ink);
    let text = format!(
        "LOCKED TIMING {} – for the timing light only – NOT A MAP TO DRIVE WITH",
        with_unit(&written(deg), Unit::Degree)
    );
    let middle = Point::new(width / 2.0, LOCKED_BAR / 2.0 - 1.0);
    bar.texts.push(Lettering::new(middle, (0.5, 0.5), text, 11.0, ink().paper));
    bar
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tall(height: f32) -> Piece {
        let mut piece = Piece::headed("x", 100.0);
        piece.height = height;
        piece
    }

    #[test]
    fn what_does_not_fit_goes_to_the_next_page_and_feet_count_them() {
        let mut pages = Pages::new(Paper::A4, "car", None);
        pages.full(&tall(500.0));
        pages.full(&tall(400.0));
        pages.columns([300.0, 200.0, 120.0, 700.0].map(|height| tall(height).into()).into());
        pages.full(&tall(100.0));
        let plates = pages.finish();
        assert_eq!(plates.len(), 4);
        let foot = |plate: &Plate| plate.texts.last().unwrap().text.clone();
        assert_eq!(plates.iter().map(foot).collect::<Vec<_>>(), [1, 2, 3, 4].map(|n| format!("page {n} of 4")));
    }

    #[test]
    fn what_fits_fills_the_page_before_what_does_not() {
        let mut pages = Pages::new(Paper::A4, "car", None);
        pages.full(&tall(500.0));
        pages.columns(vec![tall(240.0).into(), tall(600.0).into(), tall(200.0).into()]);
        let plates = pages.finish();
        assert_eq!(plates.len(), 2);
        let headings = |plate: &Plate| plate.texts.iter().filter(|text| text.text == "x").count();
        assert_eq!(plates.iter().map(headings).collect::<Vec<_>>(), [3, 1]);
    }

    #[test]
    fn rows_go_on_to_the_right_or_overleaf_never_back() {
        let mut pages = Pages::new(Paper::A4, "car", None);
        pages.full(&tall(400.0));
        let mut rows = Rows::new("list");
        (0..20).for_each(|_| rows.push(Piece { height: 20.0, ..Piece::default() }));
        pages.columns(vec![tall(330.0).into(), tall(150.0).into(), rows.into()]);
        let plates = pages.finish();
        assert_eq!(plates.len(), 1);
        let places = |page: usize, title: &str| -> Vec<f32> {
            plates[page].texts.iter().filter(|text| text.text == title).map(|text| text.at.x).collect()
        };
        let begun = places(0, "list");
        assert!(begun.len() == 1 && (200.0..350.0).contains(&begun[0]), "{begun:?}");
        let gone_on = places(0, "list, continued");
        assert!(gone_on.len() == 1 && gone_on[0] > 350.0, "{gone_on:?}");
    }

    #[test]
    fn the_last_columns_end_even() {
        let mut pages = Pages::new(Paper::A4, "car", None);
        pages.columns([100.0; 6].map(|height| tall(height).into()).into());
        let plates = pages.finish();
        let tops: Vec<f32> = plates[0].texts.iter().filter(|text| text.text == "x").map(|text| text.at.y).collect();
        assert_eq!(tops.iter().filter(|top| **top == tops[0]).count(), 3, "{tops:?}");
    }

    #[test]
    fn a_page_is_filled_above_what_stands_at_its_foot() {
        let mut pages = Pages::new(Paper::A4, "car", None);
        let parts = [300.0, 300.0, 300.0, 300.0, 200.0].map(|height| tall(height).into());
        let left = pages.fill(parts.into(), 300.0);
        assert_eq!(left.len(), 2);
        pages.full(&tall(290.0));
        assert_eq!(pages.finish().len(), 1);
    }

    #[test]
    fn locked_timing_is_on_every_page_twice() {
        let mut pages = Pages::new(Paper::Letter, "car", Some(10.0));
        pages.full(&tall(500.0));
        pages.full(&tall(500.0));
        for plate in pages.finish() {
            assert_eq!(plate.texts.iter().filter(|text| text.text.starts_with("LOCKED TIMING 10°")).count(), 2);
        }
    }
}
