//! Lists of facts, tables of rows, and curves as strips of numbers.

use super::piece::{Piece, ink, rule, width};
use super::rows::Rows;
use super::sizes;
use crate::lettering::wrapped;
use crate::wording::rounded;

/// How the texts of a column are aligned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Align {
    /// At the left edge, broken if too long.
    Left,
    /// By their decimal points.
    Decimal,
}

/// A column of a table.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    pub(super) title: &'static str,
    pub(super) align: Align,
}

pub(super) const fn left(title: &'static str) -> Column {
    Column { title, align: Align::Left }
}

pub(super) const fn decimal(title: &'static str) -> Column {
    Column { title, align: Align::Decimal }
}

/// Space between two columns, and the least width of a column whose texts are broken.
const GAP: f32 = 6.0;
/// If there is room to spare, at most this much space.
const WIDEST_GAP: f32 = 26.0;
const LEAST: f32 = 40.0;
/// Where the values of a list of facts begin at most, as a share of its width; the least space before them; how many
/// lines a value may have there, and the indent of one that has more.
const VALUES_AT: f32 = 0.54;
const FACT_GAP: f32 = 8.0;
const MOST_BESIDE: usize = 3;
const FACT_INDENT: f32 = 8.0;

/// Lines of 'Label … value'. Values stand below each other beside the labels; one that would take many lines there
/// stands below its label.
pub(super) fn facts(title: &str, rows: &[(String, String)], room: f32) -> Piece {
    let mut piece = Piece::headed(title, room);
    let widest = rows.iter().map(|(label, _)| width(label, sizes::BODY)).fold(0.0, f32::max);
    let at = (widest + FACT_GAP).min(room * VALUES_AT);
    let broken = |value: &str, room: f32| -> Vec<String> {
        value.split('\n').flat_map(|line| wrapped(line, sizes::BODY, room)).collect()
    };
    for (label, value) in rows {
        let labels = wrapped(label, sizes::BODY, at - 4.0);
        let values = broken(value, room - at);
        if values.len() > MOST_BESIDE {
            let lines = piece.lines(0.0, std::slice::from_ref(label), ink().ink_secondary);
            piece.height += lines;
            piece.height += piece.lines(FACT_INDENT, &broken(value, room - FACT_INDENT), ink().ink);
        } else {
            let label = piece.lines(0.0, &labels, ink().ink_secondary);
            piece.height += piece.lines(at, &values, ink().ink).max(label);
        }
        piece.height += 0.4;
    }
    piece
}

/// A table whose heads are repeated wherever it continues.
pub(super) fn table(title: &str, columns: &[Column], rows: &[Vec<String>], room: f32) -> Rows {
    let layout = Layout::new(columns, rows, room);
    let mut parts = Rows::with_head(title, layout.heads());
    for row in rows {
        let mut piece = Piece::default();
        layout.row(row, &mut piece);
        piece.height = layout.height(row);
        let y = piece.height - 0.9;
        piece.line((0.0, y), (room, y), sizes::HAIRLINE, rule());
        parts.push(piece);
    }
    parts
}

/// How many decimals show every value as it is: at least `least`, at most three.
pub(super) fn decimals_for(values: &[f64], least: usize) -> usize {
    let shows = |decimals: &usize| values.iter().all(|&value| (rounded(value, *decimals) - value).abs() < 1e-9);
    (least..=3).find(shows).unwrap_or(3)
}

/// Widths of a table's columns.
struct Layout<'a> {
    columns: &'a [Column],
    widths: Vec<f32>,
    gap: f32,
    /// For each column, the widest part after the decimal point, including the point.
    fractions: Vec<f32>,
}

fn split_number(text: &str) -> (&str, &str) {
    text.split_at(
        text.find('.')
            .unwrap_or_else(|| text.find(|c: char| !(c.is_ascii_digit() || "−+".contains(c))).unwrap_or(text.len())),
    )
}

impl<'a> Layout<'a> {
    fn new(columns: &'a [Column], rows: &[Vec<String>], room: f32) -> Self {
        let of = |index: usize, measure: &dyn Fn(&str) -> f32| {
            rows.iter().filter_map(|row| row.get(index)).map(|text| measure(text)).fold(0.0, f32::max)
        };
        let mut fractions = Vec::new();
        let mut widths = Vec::new();
        for (index, column) in columns.iter().enumerate() {
            let fraction = of(index, &|text| width(split_number(text).1, sizes::BODY));
            let natural = match column.align {
                Align::Left => of(index, &|text| width(text, sizes::BODY)),
                Align::Decimal => of(index, &|text| width(split_number(text).0, sizes::BODY)) + fraction,
            };
            fractions.push(fraction);
            widths.push(natural.max(width(column.title, sizes::BODY)));
        }
        let mut layout = Self { columns, widths, gap: GAP, fractions };
        layout.shrink(room);
        layout
    }

    /// Takes the excess width from the widest columns of text.
    fn shrink(&mut self, room: f32) {
        #[expect(clippy::cast_precision_loss, reason = "a few columns")]
        let gaps = (self.columns.len().saturating_sub(1)) as f32;
        let spare = room - self.widths.iter().sum::<f32>();
        self.gap = (spare / gaps.max(1.0)).clamp(GAP, WIDEST_GAP);
        let gaps = gaps * self.gap;
        for _ in 0..self.columns.len() * 4 {
            let excess = self.widths.iter().sum::<f32>() + gaps - room;
            if excess <= 0.01 {
                return;
            }
            let texts = self.columns.iter().zip(&mut self.widths).filter(|(column, _)| column.align == Align::Left);
            let Some((_, widest)) = texts.max_by(|a, b| a.1.total_cmp(b.1)) else {
                return;
            };
            *widest = (*widest - excess.min(*widest * 0.4)).max(LEAST);
        }
    }

    fn heads(&self) -> Piece {
        let mut piece = Piece::default();
        let mut x = 0.0;
        for (column, &width) in self.columns.iter().zip(&self.widths) {
            match column.align {
                Align::Left => piece.text((x, piece.height), column.title, sizes::BODY, ink().ink_secondary),
                Align::Decimal => {
                    piece.text_to((x + width, piece.height), column.title, sizes::BODY, ink().ink_secondary);
                }
            }
            x += width + self.gap;
        }
        piece.height += sizes::BODY * sizes::LEADING + 1.0;
        piece
    }

    fn broken(&self, index: usize, text: &str) -> Vec<String> {
        match (self.columns.get(index), self.widths.get(index)) {
            (Some(Column { align: Align::Left, .. }), Some(&room)) => wrapped(text, sizes::BODY, room + 0.1),
            _ => vec![text.to_owned()],
        }
    }

    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    fn height(&self, row: &[String]) -> f32 {
        let lines = row.iter().enumerate().map(|(index, text)| self.broken(index, text).len()).max();
        lines.unwrap_or(1) as f32 * sizes::BODY * sizes::LEADING + 1.6
    }

    fn row(&self, row: &[String], piece: &mut Piece) {
        let mut x = 0.0;
        for (index, text) in row.iter().enumerate() {
            let (Some(column), Some(&room)) = (self.columns.get(index), self.widths.get(index)) else {
                return;
            };
            let mut y = piece.height;
            for line in self.broken(index, text) {
                match column.align {
                    Align::Left => piece.text((x, y), line, sizes::BODY, ink().ink),
                    Align::Decimal => {
                        let own = width(split_number(&line).1, sizes::BODY);
                        let point = x + room - self.fractions.get(index).copied().unwrap_or(0.0);
                        piece.text_to((point + own, y), line, sizes::BODY, ink().ink);
                    }
                }
                y += sizes::BODY * sizes::LEADING;
            }
            x += room + self.gap;
        }
    }
}

/// Adds a curve as pairs of numbers one below the other, in as many strips as its points need.
pub(super) fn strips(piece: &mut Piece, names: (&str, &str), points: &[(String, String)], room: f32) {
    let size = sizes::BODY;
    let lead = width(names.0, sizes::BODY).max(width(names.1, sizes::BODY)) + 8.0;
    let widest = points.iter().map(|(at, value)| width(at, size).max(width(value, size))).fold(0.0, f32::max) + 7.0;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
    let count = (((room - lead) / widest) as usize).max(1);
    let line_height = size * sizes::LEADING;
    for strip in points.chunks(count) {
        let y = piece.height;
        let end = |place: usize| {
            #[expect(clippy::cast_precision_loss, reason = "at most 64")]
            let place = place as f32;
            lead + (place + 1.0) * widest
        };
        piece.text((0.0, y + 0.8), names.0, sizes::BODY, ink().ink_secondary);
        for (place, (at, _)) in strip.iter().enumerate() {
            piece.text_to((end(place) - 3.0, y), at, size, ink().ink_secondary);
        }
        piece.text((0.0, y + line_height + 0.8), names.1, sizes::BODY, ink().ink_secondary);
        for (place, (_, value)) in strip.iter().enumerate() {
            piece.text_to((end(place) - 3.0, y + line_height), value, size, ink().ink);
        }
        let middle = y + line_height;
        piece.line((lead, middle), (end(strip.len() - 1), middle), sizes::HAIRLINE, rule());
        piece.height += 2.0 * line_height + 4.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(count: usize) -> Vec<Vec<String>> {
        (0..count)
            .map(|k| {
                vec![
                    format!("name {k}"),
                    format!("{}.{k}", 10 - k),
                    "a long remark that is broken into lines ".repeat(3),
                ]
            })
            .collect()
    }

    const COLUMNS: [Column; 3] = [left("name"), decimal("value °"), left("remark")];

    #[test]
    fn decimal_points_stand_below_each_other() {
        let rows = [["−3.5"], ["12.25"], ["7"]].map(|row| row.map(String::from).to_vec());
        let piece = &table("t", &[decimal("x")], &rows, 200.0).whole(200.0);
        let point = |text: &str| {
            let text = piece.texts.iter().find(|other| other.text == text).unwrap();
            let whole = text.bounds();
            whole.left + width(split_number(&text.text).0, sizes::BODY)
        };
        assert!((point("−3.5") - point("12.25")).abs() < 0.01 && (point("7") - point("12.25")).abs() < 0.01);
    }

    #[test]
    fn long_texts_are_broken_and_long_tables_go_on() {
        let mut rows = table("things", &COLUMNS, &rows(9), 200.0);
        let pieces: Vec<Piece> = std::iter::from_fn(|| rows.take(200.0, 160.0)).take(9).collect();
        assert!(pieces.len() > 1);
        for piece in &pieces {
            assert!(piece.height <= 161.0);
            assert!(piece.texts.iter().all(|text| text.bounds().left + text.width() <= 200.5), "{piece:?}");
            assert!(piece.texts.iter().any(|text| text.text == "remark"));
        }
        assert_eq!(pieces[1].texts[0].text, "things, continued");
        let all: String = pieces.iter().flat_map(|piece| &piece.texts).map(|text| text.text.as_str()).collect();
        assert!((0..9).all(|k| all.contains(&format!("name {k}"))));
    }

    #[test]
    fn values_are_shown_as_they_are() {
        assert_eq!(decimals_for(&[1.0, 2.5], 1), 1);
        assert_eq!(decimals_for(&[1.25, 2.5], 1), 2);
        assert_eq!((decimals_for(&[1.0 / 3.0], 1), decimals_for(&[], 1)), (3, 1));
    }

    #[test]
    fn strips_hold_every_point() {
        let points: Vec<(String, String)> = (0..30).map(|k| (format!("{k}"), format!("{k}.5"))).collect();
        let mut piece = Piece::default();
        strips(&mut piece, ("°C", "°"), &points, 200.0);
        assert_eq!(piece.texts.iter().filter(|text| text.text.ends_with(".5")).count(), 30);
        assert!(piece.texts.iter().all(|text| text.bounds().left + text.width() <= 200.5));
    }
}
