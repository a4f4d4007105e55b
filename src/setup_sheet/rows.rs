//! A part that may be split: rows below a heading, which continue in the next column or on the next page.

use std::collections::VecDeque;

use super::piece::Piece;
use super::sizes;

/// Rows that need less height than this are not put alone at the foot of a column.
const LEAST: f32 = 28.0;

/// Rows whose total height is at most this are kept together.
const SHORT: f32 = 84.0;

/// Rows below a heading.
#[derive(Clone, Debug)]
pub(super) struct Rows {
    title: String,
    /// The heads of the columns, repeated wherever the rows continue.
    head: Piece,
    rows: VecDeque<Row>,
    is_begun: bool,
}

/// A row, and whether the next one must stand below it in the same column.
#[derive(Clone, Debug)]
struct Row {
    piece: Piece,
    keeps_next: bool,
}

impl Rows {
    pub(super) fn new(title: &str) -> Self {
        Self { title: title.to_owned(), head: Piece::default(), rows: VecDeque::new(), is_begun: false }
    }

    pub(super) fn with_head(title: &str, head: Piece) -> Self {
        Self { head, ..Self::new(title) }
    }

    pub(super) fn push(&mut self, row: Piece) {
        self.rows.push_back(Row { piece: row, keeps_next: false });
    }

    /// Adds a row that never stands at the foot of a column, parted from the next one.
    pub(super) fn push_kept(&mut self, row: Piece) {
        self.rows.push_back(Row { piece: row, keeps_next: true });
    }

    pub(super) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// All rows in one piece.
    pub(super) fn whole(mut self, room: f32) -> Piece {
        self.take(room, f32::MAX).unwrap_or_else(|| Piece::headed(&self.title, room))
    }

    /// As many rows as the height allows, below the heading; `None` if that is too few to start or continue
    /// with.
    pub(super) fn take(&mut self, room: f32, height: f32) -> Option<Piece> {
        let mut piece = self.heading(room);
        let count = self.fitting(height - piece.height - self.head.height);
        let is_short = piece.height + self.head.height + self.height_of(self.rows.len()) <= SHORT;
        if is_short && !self.is_begun && count < self.rows.len() {
            return None;
        }
        if count < self.rows.len() && self.height_of(count) < LEAST || count == 0 {
            return None;
        }
        self.stack(&mut piece, 0.0, count);
        Some(piece)
    }

    /// Rows in columns of a width next to each other below one heading, as even as possible; `None` if the
    /// height is enough for too few of them.
    pub(super) fn take_columns(&mut self, room: f32, column: f32, columns: usize, height: f32) -> Option<Piece> {
        if self.rows.is_empty() {
            return None;
        }
        let mut piece = self.heading(room);
        let most = height - piece.height - self.head.height;
        let rows = self.height_of(self.rows.len());
        #[expect(clippy::cast_precision_loss, reason = "a few columns")]
        let mut even = rows / columns as f32;
        while even < most && !self.holds(even, columns) {
            even += 1.0;
        }
        let even = even.min(most);
        if self.height_of(self.fitting(even)) < LEAST && !self.holds(even, columns) {
            return None;
        }
        let top = piece.height;
        let mut lowest = top;
        for index in 0..columns {
            let count = self.fitting(even);
            #[expect(clippy::cast_precision_loss, reason = "a few columns")]
            let x = index as f32 * (column + sizes::GUTTER);
            piece.height = top;
            if count > 0 {
                self.stack(&mut piece, x, count);
            }
            lowest = lowest.max(piece.height);
        }
        piece.height = lowest;
        Some(piece)
    }

    fn heading(&self, room: f32) -> Piece {
        if self.is_begun { Piece::continued(&self.title, room) } else { Piece::headed(&self.title, room) }
    }

    /// Height of the first `count` rows.
    fn height_of(&self, count: usize) -> f32 {
        self.rows.iter().take(count).map(|row| row.piece.height).sum()
    }

    /// How many rows fit into a height.
    fn fitting(&self, height: f32) -> usize {
        fitting(self.rows.iter(), height)
    }

    /// Whether all rows fit into that many columns of a height.
    fn holds(&self, height: f32, columns: usize) -> bool {
        let mut done = 0;
        for _ in 0..columns {
            done += fitting(self.rows.iter().skip(done), height);
        }
        done == self.rows.len()
    }

    /// Adds the heads and the next rows below the present content.
    fn stack(&mut self, piece: &mut Piece, x: f32, count: usize) {
        let y = piece.height;
        piece.put(&self.head, (x, y));
        piece.height += self.head.height;
        for row in self.rows.drain(..count) {
            let y = piece.height;
            piece.put(&row.piece, (x, y));
            piece.height += row.piece.height;
        }
        self.is_begun = true;
    }
}

/// How many rows fit into a height without parting those that belong together.
fn fitting<'a>(rows: impl Iterator<Item = &'a Row>, height: f32) -> usize {
    let (mut end, mut count) = (0.0, 0);
    for (index, row) in rows.enumerate() {
        end += row.piece.height;
        if end > height + 0.01 {
            break;
        }
        if !row.keeps_next {
            count = index + 1;
        }
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup_sheet::piece::ink;

    fn rows(count: usize) -> Rows {
        let mut rows = Rows::new("things");
        for index in 0..count {
            let mut row = Piece { height: 10.0, ..Piece::default() };
            row.text((0.0, 0.0), format!("row {index}"), 8.0, ink().ink);
            rows.push(row);
        }
        rows
    }

    fn texts(piece: &Piece) -> Vec<&str> {
        piece.texts.iter().map(|text| text.text.as_str()).collect()
    }

    #[test]
    fn rows_go_on_below_a_heading_that_says_so() {
        let mut rows = rows(17);
        assert!(rows.take(200.0, 30.0).is_none());
        let first = rows.take(200.0, 70.0).unwrap();
        assert!(first.height <= 70.0);
        assert_eq!(texts(&first), ["things", "row 0", "row 1", "row 2", "row 3", "row 4"]);
        let second = rows.take(200.0, 150.0).unwrap();
        assert_eq!(texts(&second)[..2], ["things, continued", "row 5"]);
        assert!(second.height <= 150.0 && rows.is_empty());
    }

    #[test]
    fn a_short_list_stays_together() {
        let mut few = rows(6);
        assert!(few.take(200.0, 60.0).is_none());
        assert_eq!(texts(&few.take(200.0, 100.0).unwrap()).len(), 7);
    }

    #[test]
    fn a_subheading_goes_where_its_text_goes() {
        let mut many = Rows::new("things");
        for index in 0..30 {
            let row = Piece { height: 10.0, ..Piece::default() };
            if index == 4 { many.push_kept(row) } else { many.push(row) }
        }
        // Room for five rows: the fifth belongs to the sixth.
        let head = Piece::headed("things", 200.0).height;
        assert_eq!(many.take(200.0, head + 50.0).unwrap().height, head + 40.0);
        assert_eq!(many.take(200.0, head + 50.0).unwrap().height, head + 50.0);
    }

    #[test]
    fn columns_are_even() {
        let mut many = rows(10);
        let piece = many.take_columns(320.0, 90.0, 3, 300.0).unwrap();
        assert!(many.is_empty());
        let at = |x: f32| piece.texts.iter().skip(1).filter(|text| text.at.x == x).count();
        assert_eq!((at(0.0), at(90.0 + sizes::GUTTER), at(2.0 * (90.0 + sizes::GUTTER))), (4, 4, 2));
        let mut many = rows(30);
        let part = many.take_columns(320.0, 90.0, 3, 80.0).unwrap();
        assert!(part.height <= 80.0 && !many.is_empty());
        assert!(rows(30).take_columns(320.0, 90.0, 3, 30.0).is_none());
        let all: Vec<Piece> = std::iter::from_fn(|| many.take_columns(320.0, 90.0, 3, 200.0)).take(9).collect();
        let count = |piece: &Piece| texts(piece).iter().filter(|text| text.starts_with("row")).count();
        assert_eq!(count(&part) + all.iter().map(count).sum::<usize>(), 30);
    }
}
