//! Writing a table file.

use thiserror::Error;

use crate::interchange::lines::Separator;
use crate::interchange::number::DecimalMark;
use crate::interchange::sheet::{LoadOrder, Sheet, Style};
use crate::table::Table;

/// How a table file is written. The default is what [`super::read_table`] reads back to the same bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WriteOptions {
    /// What stands between fields.
    pub separator: Separator,
    /// What stands before decimals; a comma needs a tab or `;` as separator.
    pub mark: DecimalMark,
    /// Which way the loads run.
    pub loads: LoadOrder,
    /// Speeds down and loads across.
    pub transposed: bool,
    /// Whether breakpoints are written; otherwise cells alone.
    pub breakpoints: bool,
    /// Cells rounded to so many decimals; `None` writes every digit that counts.
    pub decimals: Option<u8>,
}

impl Default for WriteOptions {
    fn default() -> Self {
        Self {
            separator: Separator::Comma,
            mark: DecimalMark::Point,
            loads: LoadOrder::Up,
            transposed: false,
            breakpoints: true,
            decimals: None,
        }
    }
}

/// Why a table cannot be written so.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum WriteError {
    /// A decimal comma between separating commas.
    #[error("a decimal comma needs a tab or ';' as separator")]
    CommaTwice,
}

/// The table as text, rows ended by CR LF as RFC 4180 wants.
///
/// # Errors
/// [`WriteError`] when separator and decimal mark are both a comma.
pub fn write_table(table: &Table, options: &WriteOptions) -> Result<String, WriteError> {
    if options.separator == Separator::Comma && options.mark == DecimalMark::Comma {
        return Err(WriteError::CommaTwice);
    }
    let sheet = Sheet::of(table, &table.block(), options.loads);
    let sheet = if options.transposed { sheet.transposed() } else { sheet };
    let style = Style {
        separator: options.separator,
        mark: options.mark,
        breakpoints: options.breakpoints,
        decimals: options.decimals,
        line_end: "\r\n",
        proves_mark: options.separator != Separator::Comma,
    };
    Ok(sheet.render(&style))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interchange::read_table;
    use crate::interchange::samples::any_table;
    use crate::table::Axis;
    use proptest::prelude::*;

    fn table() -> Table {
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        let values = vec![10.0, 12.25, 14.0, 8.5, 9.0, -0.04];
        Table::new(axis(&[800.0, 1500.0, 2500.5]), axis(&[20.0, 60.0]), values).unwrap()
    }

    fn written(options: WriteOptions) -> String {
        write_table(&table(), &options).unwrap()
    }

    #[test]
    fn writes_the_plain_form() {
        let text = "load / speed_rpm,800,1500,2500.5\r\n20,10,12.25,14\r\n60,8.5,9,-0.04\r\n";
        assert_eq!(written(WriteOptions::default()), text);
    }

    #[test]
    fn writes_every_option() {
        let options = WriteOptions {
            separator: Separator::Semicolon,
            mark: DecimalMark::Comma,
            loads: LoadOrder::Down,
            transposed: true,
            breakpoints: true,
            decimals: Some(1),
        };
        let text = "speed_rpm / load;60;20\r\n800;8,5;10,0\r\n1500;9,0;12,3\r\n2500,5;0,0;14,0\r\n";
        assert_eq!(written(options), text);
        let options = WriteOptions { breakpoints: false, separator: Separator::Tab, ..WriteOptions::default() };
        assert_eq!(written(options), "10\t12.25\t14\r\n8.5\t9\t-0.04\r\n");
    }

    #[test]
    fn refuses_two_meanings_of_a_comma() {
        let options = WriteOptions { mark: DecimalMark::Comma, ..WriteOptions::default() };
        assert_eq!(write_table(&table(), &options), Err(WriteError::CommaTwice));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn reads_back_to_the_same_bits(table in any_table(), choice in 0..4_usize) {
            let (separator, mark) = [
                (Separator::Comma, DecimalMark::Point),
                (Separator::Tab, DecimalMark::Point),
                (Separator::Tab, DecimalMark::Comma),
                (Separator::Semicolon, DecimalMark::Comma),
            ][choice];
            let text = write_table(&table, &WriteOptions { separator, mark, ..WriteOptions::default() }).unwrap();
            let file = read_table(text.as_bytes()).unwrap();
            let bits = |table: &Table| {
                let all = [table.speed().breakpoints(), table.load().breakpoints(), table.values()].concat();
                all.into_iter().map(f64::to_bits).collect::<Vec<_>>()
            };
            prop_assert_eq!(bits(file.table()), bits(&table));
            prop_assert_eq!(file.table(), &table);
        }
    }
}
