//! What files of measurements have in common: a load column that may say its unit, and numbers held against the ranges of
//! the project's catalogue.

use thiserror::Error;

use super::records::Record;
use crate::project::{FieldKind, LoadKind, Tree, field};

/// A row that cannot be used, with its line and column.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("line {line}: {column}: {reason}")]
pub struct RowFault {
    /// Which line, counted from 1.
    pub line: usize,
    /// The column's name.
    pub column: String,
    /// What is wrong there, and what to do.
    pub reason: String,
}

impl RowFault {
    pub(super) fn new(line: usize, column: &str, reason: impl Into<String>) -> Self {
        Self { line, column: column.into(), reason: reason.into() }
    }
}

/// A field that cannot be used, before its line is known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Unfit {
    pub(super) column: &'static str,
    pub(super) reason: String,
}

/// Loads in a unit that is not the project's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error(
    "line 1: the loads of '{column}' are in {}, those of the project in {}; nothing converts one into the other",
    .file.unit(), .project.unit()
)]
pub struct OtherLoadUnit {
    /// The column's name.
    pub column: &'static str,
    /// What the file's loads are.
    pub file: LoadKind,
    /// What the project's loads are.
    pub project: LoadKind,
}

/// Which column has the loads.
#[derive(Clone, Copy, Debug)]
pub(super) struct LoadColumn {
    pub(super) name: &'static str,
}

const PLAIN: &str = "load";
const KINDS: [LoadKind; 2] = [LoadKind::Throttle, LoadKind::Pressure];

impl LoadColumn {
    /// The one that does not say its unit.
    pub(super) const PLAIN: Self = Self { name: PLAIN };

    /// The name of a column with loads of that kind.
    pub(super) const fn with_unit(load: LoadKind) -> &'static str {
        match load {
            LoadKind::Throttle => "load_pct",
            LoadKind::Pressure => "load_kpa",
        }
    }

    pub(super) fn is_one(column: &str) -> bool {
        column == PLAIN || KINDS.into_iter().any(|kind| column == Self::with_unit(kind))
    }

    /// What loads a file's column says that it has, for a project of any kind of load; `None` where it does not say.
    pub(super) fn kind_said(header: Option<&Record>) -> Option<LoadKind> {
        let is_plain = is_named(header, PLAIN);
        KINDS.into_iter().find(|kind| !is_plain && is_named(header, Self::with_unit(*kind)))
    }

    /// The column in the first row of a file: `load`, or one that names its unit. A file with none is to have `load`.
    pub(super) fn find(header: Option<&Record>, load: LoadKind) -> Result<Self, OtherLoadUnit> {
        let own = [PLAIN, Self::with_unit(load)].into_iter().find(|name| is_named(header, name));
        match (own, Self::kind_said(header)) {
            (Some(name), _) => Ok(Self { name }),
            (None, Some(file)) => Err(OtherLoadUnit { column: Self::with_unit(file), file, project: load }),
            (None, None) => Ok(Self::PLAIN),
        }
    }
}

/// Whether the first row of a file has a column of that name.
fn is_named(header: Option<&Record>, name: &str) -> bool {
    header.is_some_and(|header| header.fields.iter().any(|field| field.trim() == name))
}

/// Why a text does not fit the field with that pattern.
pub(super) fn too_long(text: &str, pattern: &str) -> Option<String> {
    field(pattern)?.kind.refusal(&Tree::Text(text.to_owned()))
}

/// Why a number does not fit the field with that pattern; a load's range is that of its kind.
pub(super) fn out_of_range(value: Option<f64>, (column, pattern): (&str, &str), load: LoadKind) -> Option<String> {
    let kind = if LoadColumn::is_one(column) {
        let (low, high) = load.range();
        Some(FieldKind::Number { unit: load.unit(), low, high })
    } else {
        field(pattern).map(|field| field.kind)
    };
    kind.zip(value).and_then(|(kind, value)| kind.refusal(&Tree::Number(value)))
}
