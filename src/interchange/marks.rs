//! The decimal mark of a text: determined once from all its numbers, and then applied to all of them.

use thiserror::Error;

use super::lines::Separator;
use super::number::{DecimalMark, NumberError, Reading, Thousands, parse_number, read_number};
use super::records::Record;
use super::table_file::Place;
use crate::wording::written;

/// A mark may separate thousands or decimals, and no other number of the text tells which. Only the author
/// knows.
#[derive(Clone, Debug, PartialEq, Error)]
#[error(
    "{place}: the mark may part thousands or decimals, and no other number tells which; write {} there, or {}",
    written(self.as_thousands()), self.plainly()
)]
pub struct AskMark {
    /// The first such number.
    pub place: Place,
    /// Its value if the mark is a decimal point.
    pub point: f64,
    /// Its value if the mark is a decimal comma.
    pub comma: f64,
}

/// Why a field is not a valid number of its text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum FieldFault {
    /// It is not a number at all.
    #[error(transparent)]
    Number(#[from] NumberError),
    /// A decimal comma while commas also separate the fields.
    #[error("a decimal comma needs a tab or ';' as separator, found in the first row")]
    CommaTwice,
    /// Decimal commas and decimal points in one text.
    #[error("its decimal mark differs from line {first_line}; write all numbers with a point or all with a comma")]
    MixedMarks {
        /// The line with the first kind.
        first_line: usize,
    },
    /// The first mark comes later in a long stream than the part that was searched for it.
    #[error("no number before it has a decimal mark, so that nothing tells what this one is")]
    Late,
}

impl FieldFault {
    /// Whether the problem is a mark that may separate thousands or decimals, which only the author knows.
    pub const fn is_about_marks(&self) -> bool {
        !matches!(self, Self::Number(_))
    }
}

impl AskMark {
    /// The mark in question.
    pub fn mark(&self) -> DecimalMark {
        if self.place.text.contains(',') { DecimalMark::Comma } else { DecimalMark::Point }
    }

    /// The value if the mark is a decimal mark.
    pub fn as_decimal(&self) -> f64 {
        match self.mark() {
            DecimalMark::Point => self.point,
            DecimalMark::Comma => self.comma,
        }
    }

    /// The value if the mark separates thousands.
    pub fn as_thousands(&self) -> f64 {
        match self.mark() {
            DecimalMark::Point => self.comma,
            DecimalMark::Comma => self.point,
        }
    }

    /// The value with decimals, written without ambiguity.
    fn plainly(&self) -> String {
        format!("{}0", self.place.text.trim())
    }
}

/// Whether a number could be read both with thousands and with decimals.
pub(super) fn is_ambiguous(text: &str) -> bool {
    matches!(read_number(text), Ok(Reading::Ambiguous { .. }))
}

/// The search for the first number that reveals the decimal mark of the text.
#[derive(Debug)]
pub(super) struct MarkSearch {
    commas_part: bool,
    question: Option<AskMark>,
}

impl MarkSearch {
    /// Starts without a result.
    pub(super) fn new(separator: Separator) -> Self {
        Self { commas_part: separator == Separator::Comma, question: None }
    }

    /// Looks at the next field; returns how to read numbers once a field proves it.
    pub(super) fn look(&mut self, text: &str, place: impl FnOnce() -> Place) -> Option<Numbers> {
        match read_number(text) {
            // If commas separate the fields, a point is a decimal point; only a comma inside quotes is
            // ambiguous.
            Ok(Reading::Ambiguous { .. }) if self.commas_part && !text.contains(',') => None,
            Ok(Reading::Ambiguous { point, comma }) => {
                self.question.get_or_insert_with(|| AskMark { place: place(), point, comma });
                None
            }
            Ok(Reading::Parsed { mark: Some(DecimalMark::Comma), .. }) if self.commas_part => Some(Numbers::Point),
            Ok(Reading::Parsed { mark: Some(mark), .. }) => Some(Numbers::Proven(Some((mark, place().line)))),
            _ => None,
        }
    }

    /// How to read numbers if no field proved it.
    ///
    /// # Errors
    /// [`AskMark`] if every mark may separate thousands.
    pub(super) fn end(self) -> Result<Numbers, AskMark> {
        match self.question {
            Some(question) => Err(question),
            None if self.commas_part => Ok(Numbers::Point),
            None => Ok(Numbers::Proven(None)),
        }
    }
}

/// How the numbers of one text are read.
#[derive(Clone, Copy, Debug)]
pub(super) enum Numbers {
    /// Commas separate the fields, and no number tells more: a point is a decimal point.
    Point,
    /// The decimal mark that a number proved, and the first line with it; the other mark may separate
    /// thousands. `None` if no number has a mark.
    Proven(Option<(DecimalMark, usize)>),
    /// The decimal mark as named by the user; the other mark may separate thousands.
    Named(DecimalMark, Separator),
}

impl Numbers {
    /// How to read the numbers in these fields.
    ///
    /// # Errors
    /// [`AskMark`] if every mark may separate thousands.
    pub(super) fn find<'a>(
        separator: Separator,
        answer: Option<DecimalMark>,
        fields: impl Iterator<Item = (&'a Record, usize)>,
    ) -> Result<Self, AskMark> {
        if let Some(mark) = answer {
            return Ok(Self::Named(mark, separator));
        }
        let mut search = MarkSearch::new(separator);
        for (record, field) in fields {
            if let Some(found) = search.look(record.text(field), || Place::of(record, field)) {
                return Ok(found);
            }
        }
        search.end()
    }

    /// The decimal mark; `None` if no number needs one.
    pub(super) fn mark(self) -> Option<DecimalMark> {
        match self {
            Self::Point => Some(DecimalMark::Point),
            Self::Proven(proven) => proven.map(|(mark, _)| mark),
            Self::Named(mark, _) => Some(mark),
        }
    }

    /// Reads one field.
    pub(super) fn read(self, text: &str) -> Result<f64, FieldFault> {
        let plainly = |mark| parse_number(text, mark, Thousands::Blank);
        let parted = |mark| parse_number(text, mark, Thousands::BlankOrMark);
        let has_comma = text.contains(',');
        match self {
            Self::Point | Self::Named(DecimalMark::Comma, Separator::Comma) if has_comma => Err(FieldFault::CommaTwice),
            Self::Point => Ok(plainly(DecimalMark::Point)?),
            Self::Named(mark, _) => Ok(parted(mark)?),
            Self::Proven(None) => match read_number(text)? {
                Reading::Parsed { value, mark: None } => Ok(value),
                // The first number with a mark comes after all the rows that were searched for one.
                _ => Err(FieldFault::Late),
            },
            Self::Proven(Some((mark, first_line))) => match parted(mark) {
                Ok(value) => Ok(value),
                Err(_) if parted(mark.other()).is_ok() => Err(FieldFault::MixedMarks { first_line }),
                Err(error) => Err(error.into()),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn find(fields: &[&str]) -> Result<Numbers, AskMark> {
        let record = Record { line: 7, fields: fields.iter().map(|&field| field.to_owned()).collect() };
        Numbers::find(Separator::Tab, None, (0..fields.len()).map(|field| (&record, field)))
    }

    #[test]
    fn marks_that_may_part_thousands_throughout_are_asked_for() {
        for (texts, thousands, decimal) in
            [(&["a", "12", "1,000", "2,500"][..], 1000.0, 1.0), (&["\u{2212}12.500"], -12500.0, -12.5)]
        {
            let asked = find(texts).unwrap_err();
            assert_eq!((asked.as_thousands(), asked.as_decimal()), (thousands, decimal));
        }
        let told = find(&["12", "1,000"]).unwrap_err().to_string();
        assert_eq!(
            told,
            "line 7, column 2 ('1,000'): the mark may part thousands or decimals, and no other number tells which; \
             write 1000 there, or 1,0000"
        );
    }

    #[test]
    fn one_number_proves_the_mark_of_all() {
        for proof in ["1,5", "0,125", "1234,567", ",5", "5,", "1,0000", "1,250e2"] {
            let numbers = find(&["1,000", proof]).unwrap();
            assert_eq!(numbers.mark(), Some(DecimalMark::Comma), "{proof}");
            assert_eq!(numbers.read("1,000"), Ok(1.0), "{proof}");
            assert_eq!(numbers.read("1.000"), Ok(1000.0), "{proof}");
            assert_eq!(numbers.read("1.5"), Err(FieldFault::MixedMarks { first_line: 7 }), "{proof}");
        }
        let numbers = find(&["1,000", "12.5"]).unwrap();
        assert_eq!((numbers.read("1,000"), numbers.read("12,345.5")), (Ok(1000.0), Ok(12_345.5)));
        assert_eq!(numbers.read("1,5"), Err(FieldFault::MixedMarks { first_line: 7 }));
    }

    #[test]
    fn thousands_tell_the_mark_where_they_can() {
        for (proof, mark) in [
            ("1,234.5", DecimalMark::Point),
            ("1.234,5", DecimalMark::Comma),
            ("1,234,567", DecimalMark::Point),
            ("1.234.567", DecimalMark::Comma),
        ] {
            assert_eq!(find(&["1,000", proof]).unwrap().mark(), Some(mark), "{proof}");
        }
    }

    #[test]
    fn between_commas_a_quoted_comma_is_read_where_something_tells() {
        let find = |fields: &[&str]| {
            let record = Record { line: 3, fields: fields.iter().map(|&field| field.to_owned()).collect() };
            Numbers::find(Separator::Comma, None, (0..fields.len()).map(|field| (&record, field)))
        };
        assert_eq!(find(&["1,000", "12.5"]).unwrap().read("1,000"), Ok(1000.0));
        assert_eq!(find(&["1,000", "12"]).unwrap_err().as_thousands(), 1000.0);
        assert_eq!(find(&["12.500", "12"]).unwrap().read("12.500"), Ok(12.5));
        assert_eq!(find(&["0,5", "12"]).unwrap().read("0,5"), Err(FieldFault::CommaTwice));
    }

    #[test]
    fn an_answer_lets_the_other_mark_part_thousands() {
        let point = Numbers::Named(DecimalMark::Point, Separator::Tab);
        assert_eq!(
            (point.read("1,000"), point.read("12.500"), point.read("1,234,567.5")),
            (Ok(1e3), Ok(12.5), Ok(1_234_567.5))
        );
        assert!(matches!(point.read("0,125"), Err(FieldFault::Number(NumberError::NotANumber))));
        let comma = Numbers::Named(DecimalMark::Comma, Separator::Semicolon);
        assert_eq!((comma.read("1,000"), comma.read("12.500")), (Ok(1.0), Ok(12500.0)));
        let between_commas = Numbers::Named(DecimalMark::Comma, Separator::Comma);
        assert_eq!(between_commas.read("1,5"), Err(FieldFault::CommaTwice));
    }
}
