//! Filling pages: running head and foot, full-width parts, and parts in two columns.

use std::collections::VecDeque;

use super::Paper;
use super::piece::{Piece, ink};
use super::rows::{Rows, SHORT};
use super::sizes;
use crate::drawing::{Point, Scene};
use crate::lettering::shortened;
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
    landscape: bool,
}

/// A part in a column.
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

/// Height of the bars that mark a locked-timing copy.
const LOCKED_BAR: f32 = 20.0;
/// Space above the bar at the foot, in addition to that of every page.
const LOCKED_WHITE: f32 = 6.0;

impl Pages {
    pub(super) fn new(paper: Paper, name: &str, locked: Option<f64>) -> Self {
        let mut pages = Self { paper, name: name.to_owned(), locked, plates: Vec::new(), y: 0.0, landscape: false };
        pages.next();
        pages
    }

    /// Starts a page, complete with its head.
    pub(super) fn next(&mut self) {
        let (short, long) = self.paper.size();
        let (width, height) = if self.landscape { (long, short) } else { (short, long) };
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
            let bar = locked_bar(deg, width - 2.0 * self.margin());
            bar.onto(&mut plate, (self.margin(), 20.0));
            bar.onto(&mut plate, (self.margin(), height - sizes::MARGIN.2 + 2.0));
            self.y += LOCKED_BAR - 8.0;
        }
        self.plates.push(plate);
    }

    /// Switches to landscape or back to portrait; starts a page if that is a change.
    pub(super) fn turn(&mut self, landscape: bool) {
        if self.landscape != landscape {
            self.landscape = landscape;
            if self.is_fresh() {
                self.plates.pop();
            }
            self.next();
        }
    }

    fn is_fresh(&self) -> bool {
        self.y <= self.top()
    }

    fn top(&self) -> f32 {
        sizes::MARGIN.1 + if self.locked.is_some() { LOCKED_BAR - 8.0 } else { 0.0 }
    }

    fn page_height(&self) -> f32 {
        let (short, long) = self.paper.size();
        if self.landscape { short } else { long }
    }

    /// Margin at the sides; a landscape page holds a large table and has less.
    fn margin(&self) -> f32 {
        if self.landscape { sizes::LYING_MARGIN } else { sizes::MARGIN.0 }
    }

    /// Width between the margins.
    pub(super) fn width(&self) -> f32 {
        let (short, long) = self.paper.size();
        (if self.landscape { long } else { short }) - 2.0 * self.margin()
    }

    /// Width of one of two columns.
    pub(super) fn column(&self) -> f32 {
        self.one_of(2)
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
        if let Some(whole) = whole.filter(|whole| whole.height <= SHORT) {
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

    /// Adds parts in two columns, each in the one that ends higher. What does not fit any more waits for the
    /// next page, and parts after it may fill the rest of this one.
    pub(super) fn columns(&mut self, parts: Vec<Part>) {
        let mut ends = [self.y; 2];
        let mut waiting = VecDeque::from(parts);
        while !waiting.is_empty() {
            let found = (0..waiting.len()).find_map(|index| {
                let (side, piece) = self.fit(&ends, waiting.get_mut(index)?)?;
                Some((index, side, piece))
            });
            let Some((index, side, piece)) = found else {
                if ends == [self.top(); 2] {
                    // Taller than a page: it is better to run over its foot than to lose it.
                    let piece = waiting.pop_front().map(|part| part.whole(self.column()));
                    ends[0] += piece.as_ref().map_or(0.0, |piece| piece.height + sizes::BETWEEN);
                    piece.iter().for_each(|piece| self.put(piece, 0.0, self.y));
                } else {
                    self.next();
                    ends = [self.y; 2];
                }
                continue;
            };
            let right = self.column() + sizes::GUTTER;
            self.put(&piece, if side == 0 { 0.0 } else { right }, ends[side]);
            ends[side] += piece.height + sizes::BETWEEN;
            if waiting.get(index).is_some_and(Part::is_done) {
                waiting.remove(index);
            }
        }
        self.y = ends[0].max(ends[1]);
    }

    /// The piece of a part that fits, and in which column.
    fn fit(&self, ends: &[f32; 2], part: &mut Part) -> Option<(usize, Piece)> {
        let higher = usize::from(ends[1] < ends[0] - 1.0);
        let (column, page) = (self.column(), self.plates.len());
        let sides = [higher, 1 - higher].into_iter();
        sides.filter_map(|side| Some((side, part.take((page, side), column, self.bottom() - ends[side])?))).next()
    }

    /// Whether parts in two columns, and one below them over the whole width, fit on this page.
    pub(super) fn hold(&self, pieces: &[Piece], below: &Piece) -> bool {
        let mut ends = [self.y; 2];
        for piece in pieces {
            let Some(side) = self.side(&ends, piece.height) else {
                return false;
            };
            ends[side] += piece.height + sizes::BETWEEN;
        }
        ends[0].max(ends[1]) + below.height <= self.bottom()
    }

    /// The column that ends higher if it has room, otherwise the other one if it has.
    fn side(&self, ends: &[f32; 2], height: f32) -> Option<usize> {
        let higher = usize::from(ends[1] < ends[0] - 1.0);
        [higher, 1 - higher].into_iter().find(|&side| ends[side] + height <= self.bottom())
    }

    fn bottom(&self) -> f32 {
        self.page_height() - sizes::MARGIN.2 - if self.locked.is_some() { LOCKED_WHITE } else { 0.0 }
    }

    fn put(&mut self, piece: &Piece, x: f32, y: f32) {
        let margin = self.margin();
        if let Some(page) = self.plates.last_mut() {
            piece.onto(page, (margin + x, y));
        }
    }

    /// The pages with their feet.
    pub(super) fn finish(mut self) -> Vec<Plate> {
        if self.is_fresh() && self.plates.len() > 1 {
            self.plates.pop();
        }
        let count = self.plates.len();
        for (index, page) in self.plates.iter_mut().enumerate() {
            let margin = if page.width > page.height { sizes::LYING_MARGIN } else { sizes::MARGIN.0 };
            let (left, right) = (margin, page.width - margin);
            let y = page.height - sizes::MARGIN.2 + if self.locked.is_some() { 25.0 } else { 16.0 };
            let mut foot = Piece::default();
            let color = ink().ink_secondary;
            if self.locked.is_none() {
                foot.line((left, y - 5.0), (right, y - 5.0), sizes::HAIRLINE, color);
            }
            let name = shortened(&self.name, sizes::SMALL, (right - left) * 0.6);
            foot.text((left, y), format!("{name} · Sparkloft setup sheet"), sizes::SMALL, color);
            foot.text_to((right, y), format!("page {} of {count}", index + 1), sizes::SMALL, color);
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
        pages.columns(vec![tall(300.0).into(), tall(200.0).into(), tall(120.0).into(), tall(700.0).into()]);
        pages.turn(true);
        pages.full(&tall(10.0));
        let plates = pages.finish();
        assert_eq!(plates.len(), 4);
        assert!(plates[3].width > plates[3].height && plates[0].width < plates[0].height);
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
        pages.columns(vec![tall(150.0).into(), rows.into()]);
        let plates = pages.finish();
        assert_eq!(plates.len(), 2);
        let begun = plates[0].texts.iter().find(|text| text.text == "list").unwrap();
        assert!(begun.at.x > 200.0);
        assert!(plates[0].texts.iter().all(|text| text.text != "list, continued"));
        assert!(plates[1].texts.iter().any(|text| text.text == "list, continued"));
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
