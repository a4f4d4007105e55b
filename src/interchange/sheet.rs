//! Numbers in rows as delimited text: what files and the clipboard have in common.

use super::lines::{Separator, push_text_field};
use super::marks::is_ambiguous;
use super::number::DecimalMark;
use crate::table::{Block, Table};
use crate::wording::{fixed_ascii, shortest};

/// In which order the load rows are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum LoadOrder {
    /// The lowest load first.
    #[default]
    Up,
    /// The highest load first.
    Down,
}

/// A block of a table as it will be in a text: breakpoints along the top and down the side, cells between them.
pub(super) struct Sheet {
    top: Vec<f64>,
    side: Vec<f64>,
    cells: Vec<Vec<f64>>,
    corner: &'static str,
}

/// How a sheet is written.
pub(super) struct Style {
    pub(super) separator: Separator,
    pub(super) mark: DecimalMark,
    pub(super) breakpoints: bool,
    pub(super) decimals: Option<u8>,
    pub(super) line_end: &'static str,
    /// Whether a zero is appended where a mark might otherwise be taken for a thousands separator, so that no
    /// reader has to ask.
    pub(super) proves_mark: bool,
}

impl Sheet {
    /// The cells of a block that lies in the table.
    pub(super) fn of(table: &Table, block: &Block, order: LoadOrder) -> Self {
        let mut loads: Vec<usize> = block.loads.clone().collect();
        if order == LoadOrder::Down {
            loads.reverse();
        }
        let side = loads.iter().map(|&load| table.load().breakpoints()[load]).collect();
        let cells = loads.iter().map(|&load| table.row(load)[block.speeds.clone()].to_vec()).collect();
        let top = table.speed().breakpoints()[block.speeds.clone()].to_vec();
        Self { top, side, cells, corner: "load / speed_rpm" }
    }

    /// The same with speeds down the side and loads along the top.
    pub(super) fn transposed(self) -> Self {
        let column = |index: usize| self.cells.iter().filter_map(|row| row.get(index).copied()).collect();
        let cells = (0..self.top.len()).map(column).collect();
        Self { cells, top: self.side, side: self.top, corner: "speed_rpm / load" }
    }

    /// The text, with every row ended.
    pub(super) fn render(&self, style: &Style) -> String {
        let separator = char::from(style.separator.byte()).to_string();
        let mut rows = Vec::with_capacity(self.cells.len() + 1);
        if style.breakpoints {
            let mut corner = Vec::new();
            push_text_field(&mut corner, self.corner);
            let corner = String::from_utf8_lossy(&corner).into_owned();
            let top = self.top.iter().map(|&x| style.number(x, None));
            rows.push(std::iter::once(corner).chain(top).collect::<Vec<_>>().join(&separator));
        }
        for (side, row) in self.side.iter().zip(&self.cells) {
            let side = style.breakpoints.then(|| style.number(*side, None));
            let cells = row.iter().map(|&z| style.number(z, style.decimals));
            rows.push(side.into_iter().chain(cells).collect::<Vec<_>>().join(&separator));
        }
        rows.into_iter().flat_map(|row| [row, style.line_end.to_owned()]).collect()
    }
}

impl Style {
    fn number(&self, value: f64, decimals: Option<u8>) -> String {
        let mut text = decimals.map_or_else(|| shortest(value), |decimals| fixed_ascii(value, decimals.into()));
        if self.proves_mark && decimals.is_none() && is_ambiguous(&text) {
            text.push('0');
        }
        match self.mark {
            DecimalMark::Point => text,
            DecimalMark::Comma => text.replace('.', ","),
        }
    }
}
