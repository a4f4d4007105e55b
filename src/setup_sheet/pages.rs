//! Pages being filled: running head and foot, full-width parts, and parts in two columns.

use super::Paper;
use super::piece::{Piece, ink};
use super::sizes;
use crate::drawing::Scene;
use crate::lettering::shortened;
use crate::picture::{Lettering, Plate};
use crate::table::shortest;

/// Pages being filled from top to bottom.
pub(super) struct Pages {
    paper: Paper,
    name: String,
    locked: Option<f64>,
    plates: Vec<Plate>,
    /// Down to here the last page is full.
    y: f32,
    landscape: bool,
}

/// Height of the bars that mark a copy with locked timing.
const LOCKED_BAR: f32 = 20.0;

impl Pages {
    pub(super) fn new(paper: Paper, name: &str, locked: Option<f64>) -> Self {
        let mut pages = Self { paper, name: name.to_owned(), locked, plates: Vec::new(), y: 0.0, landscape: false };
        pages.next();
        pages
    }

    /// Begins a page; its head stands there already.
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

    /// Pages from here on lie on their side, or stand again; begins one where that changes.
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

    /// White beside the page; a lying page holds a large table and has less.
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
        (self.width() - sizes::GUTTER) / 2.0
    }

    /// What is left of the page.
    pub(super) fn room(&self) -> f32 {
        self.bottom() - self.y
    }

    /// Room on a page with nothing on it.
    pub(super) fn whole(&self) -> f32 {
        self.bottom() - self.top()
    }

    /// A part over the whole width, on the next page if this one has no room for it.
    pub(super) fn full(&mut self, piece: &Piece) {
        if piece.height > self.room() && !self.is_fresh() {
            self.next();
        }
        self.put(piece, 0.0, self.y);
        self.y += piece.height + sizes::BETWEEN;
    }

    /// Parts in two columns, each in the one that ends higher; the longer column decides where it goes on.
    pub(super) fn columns(&mut self, pieces: &[Piece]) {
        let mut ends = [self.y; 2];
        let right = self.column() + sizes::GUTTER;
        for piece in pieces {
            let side = self.side(&ends, piece.height).unwrap_or_else(|| {
                if ends != [self.top(); 2] {
                    self.next();
                    ends = [self.y; 2];
                }
                0
            });
            self.put(piece, if side == 0 { 0.0 } else { right }, ends[side]);
            ends[side] += piece.height + sizes::BETWEEN;
        }
        self.y = ends[0].max(ends[1]);
    }

    /// Whether parts in two columns, and one below them over the whole width, end on this page.
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

    /// The column that ends higher and has room, or the other one.
    fn side(&self, ends: &[f32; 2], height: f32) -> Option<usize> {
        let higher = usize::from(ends[1] < ends[0] - 1.0);
        [higher, 1 - higher].into_iter().find(|&side| ends[side] + height <= self.bottom())
    }

    fn bottom(&self) -> f32 {
        self.page_height() - sizes::MARGIN.2
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
    let text = format!("LOCKED TIMING {}° – for the timing light only – NOT A MAP TO DRIVE WITH", shortest(deg));
    bar.texts.push(
        Lettering::new(
            crate::drawing::Point::new(width / 2.0, LOCKED_BAR / 2.0 - 1.0),
            (0.5, 0.5),
            text,
            10.0,
            ink().paper,
        )
        .strong(),
    );
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
        pages.columns(&[tall(300.0), tall(200.0), tall(120.0), tall(700.0)]);
        pages.turn(true);
        pages.full(&tall(10.0));
        let plates = pages.finish();
        assert_eq!(plates.len(), 4);
        assert!(plates[3].width > plates[3].height && plates[0].width < plates[0].height);
        let foot = |plate: &Plate| plate.texts.last().unwrap().text.clone();
        assert_eq!(plates.iter().map(foot).collect::<Vec<_>>(), [1, 2, 3, 4].map(|n| format!("page {n} of 4")));
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
