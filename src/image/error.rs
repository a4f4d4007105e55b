//! Why a project does not make an image, and why an image does not make a project.

use thiserror::Error;

use super::number::physical_range;
use super::{ChecksumMismatch, Place, Raw, stored_words};
use crate::project::{AdvanceError, CellType, Fault, Item, PathError, TreeError};
use crate::shaping::ShapingError;
use crate::table::{AxisError, CurveError};
use crate::wording::{Unit, bounds, written};

/// A value that rounding moves out of its range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PastRange {
    /// The project's value.
    pub value: f64,
    /// What the unit would read.
    pub rounded: f64,
    /// The range of the project's field.
    pub range: (f64, f64),
    /// The unit of all of these.
    pub unit: Unit,
}

/// Why a project does not make an image. Every message names the item.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ImageError {
    /// A value that the item's type cannot hold.
    #[error(
        "'{item}'{place}: {value} would be the raw value {raw}, but {cell} holds {range} with this scale and offset; choose a larger type or another scale",
        value = written(*.value), raw = written(*.raw), cell = cell_name(*.cell), range = bounds(*.range, Unit::None)
    )]
    OutOfRange {
        /// The item.
        item: String,
        /// Where in it.
        place: Place,
        /// The project's value.
        value: f64,
        /// The raw value that it would be, before rounding.
        raw: f64,
        /// The item's type.
        cell: CellType,
        /// The physical values it can hold.
        range: (f64, f64),
    },
    /// A value that rounding moves out of the range that a project may have.
    #[error(
        "'{item}'{place}: {} becomes {} in the image, which is outside {} and could not be read back; choose a scale \
         that does not step past it, or move the value",
        stored_words(.past.value, .past.unit), stored_words(.past.rounded, .past.unit), bounds(.past.range, .past.unit)
    )]
    PastRange {
        /// The item.
        item: String,
        /// Where in it.
        place: Place,
        /// The numbers.
        past: Box<PastRange>,
    },
    /// Values that are consistent only before they are rounded.
    #[error(
        "rounded to counts, the values make no project, and the image could not be read back: {why}; choose a finer scale, \
         or move the values apart"
    )]
    Unreadable {
        /// The error of reading it.
        why: Box<DecodeError>,
    },
    /// Two breakpoints of an axis that become the same count: no unit could interpolate between them.
    #[error(
        "'{item}': breakpoints {lower} and {upper} both become the raw value {raw}; move them apart or choose a finer scale",
        lower = written(*.lower), upper = written(*.upper)
    )]
    BreakpointsMeet {
        /// The item.
        item: String,
        /// The lower breakpoint.
        lower: f64,
        /// The upper breakpoint.
        upper: f64,
        /// What both become.
        raw: Raw,
    },
    /// A field that the project does not have.
    #[error("'{item}': the project has no field '{path}'; name another one or take the item out")]
    NoField {
        /// The item.
        item: String,
        /// The path asked for.
        path: String,
    },
    /// A field that is not a single number, or an optional one that is not set.
    #[error("'{item}': '{path}' is {what}; an item holds one number, a yes or no, or one of a list of names")]
    NotANumber {
        /// The item.
        item: String,
        /// The path.
        path: String,
        /// What it is instead.
        what: &'static str,
    },
    /// Values and their axis have different sizes.
    #[error(
        "'{item}' has {points} {of}, but no axis item has as many ('{axis_item}' has {axis_points}); give both the same size"
    )]
    SizesDiffer {
        /// The item with the values.
        item: String,
        /// Its size.
        points: usize,
        /// Along what.
        of: &'static str,
        /// The first item that holds that axis.
        axis_item: String,
        /// Its size.
        axis_points: usize,
    },
    /// The project's axis cannot be brought to the unit's own number of breakpoints.
    #[error("'{item}': {points} breakpoints cannot be spread over the project's axis: {error}; choose another size")]
    UnitAxis {
        /// The item.
        item: String,
        /// The unit's number of breakpoints.
        points: usize,
        /// Why.
        error: AxisError,
    },
    /// The table cannot be looked up at the unit's breakpoints.
    #[error("'{item}': the table cannot be brought to the unit's breakpoints: {error}")]
    Resample {
        /// The item.
        item: String,
        /// Why.
        error: ShapingError,
    },
    /// A cell that something is folded into leaves the range of advance.
    #[error("folded into the table: {why}; fold less, or change the cell")]
    Folding {
        /// What is wrong.
        why: String,
    },
    /// A project that cannot be read by field; never for a project that exists.
    #[error(transparent)]
    Tree(#[from] TreeError),
}

impl ImageError {
    pub(super) fn out_of_range(item: &Item, place: Place, value: f64, raw: f64) -> Self {
        Self::OutOfRange { item: item.name.clone(), place, value, raw, cell: item.cell, range: physical_range(item) }
    }

    /// The item it names.
    pub fn item(&self) -> Option<&str> {
        match self {
            Self::OutOfRange { item, .. }
            | Self::PastRange { item, .. }
            | Self::BreakpointsMeet { item, .. }
            | Self::NoField { item, .. }
            | Self::NotANumber { item, .. }
            | Self::SizesDiffer { item, .. }
            | Self::UnitAxis { item, .. }
            | Self::Resample { item, .. } => Some(item),
            Self::Unreadable { .. } | Self::Folding { .. } | Self::Tree(_) => None,
        }
    }
}

/// Why an image does not make a project.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum DecodeError {
    /// Not as many bytes as the layout says.
    #[error("the image has {given} bytes, but the layout {expected}; it was made by another layout or is cut short")]
    Size {
        /// How many bytes were given.
        given: usize,
        /// How many the layout has.
        expected: u32,
    },
    /// The image is damaged, or has another layout.
    #[error(transparent)]
    Checksum(#[from] ChecksumMismatch),
    /// A floating-point number that is NaN or infinite.
    #[error("'{item}' at address {address:X} holds {raw}, which is no finite number")]
    NotFinite {
        /// The item.
        item: String,
        /// Where.
        address: u64,
        /// What stands there.
        raw: Raw,
    },
    /// Breakpoints that do not make an axis.
    #[error("'{item}' holds no axis: {error}; the image was made by another layout, or was never filled")]
    Axis {
        /// The item.
        item: String,
        /// Why not.
        error: AxisError,
    },
    /// Breakpoints without values, and not as many as the project has.
    #[error(
        "'{item}' holds {points} breakpoints, but the project has {own} and the image no values for them; add an item for the values"
    )]
    AxisAlone {
        /// The item.
        item: String,
        /// How many it holds.
        points: usize,
        /// How many the project has.
        own: usize,
    },
    /// Points that do not make a curve.
    #[error("'{item}' holds no curve: {error}")]
    Curve {
        /// The item.
        item: String,
        /// Why not.
        error: CurveError,
    },
    /// Cells that do not make an advance table.
    #[error("'{item}' holds no advance table: {error}; the image was made by another layout, or was never filled")]
    Advance {
        /// The item.
        item: String,
        /// Why not.
        error: AdvanceError,
    },
    /// A number that no name stands for.
    #[error("'{item}' is {number}, which stands for no value of '{path}': counted from 0 they are {choices}", number = written(*.number))]
    NoSuchChoice {
        /// The item.
        item: String,
        /// What it holds.
        number: f64,
        /// The field.
        path: String,
        /// The names, in order.
        choices: String,
    },
    /// Values that a field does not allow.
    #[error("the image holds a value that cannot be: {0}")]
    Field(#[from] PathError),
    /// Values that do not fit together.
    #[error("the image holds values that do not fit together: {0}")]
    Fault(#[from] Fault),
    /// The project read cannot be put back into an image.
    #[error("the project read makes no image: {0}")]
    Image(Box<ImageError>),
}

impl From<ImageError> for DecodeError {
    fn from(error: ImageError) -> Self {
        Self::Image(Box::new(error))
    }
}

/// The name of a type as the project file writes it.
pub const fn cell_name(cell: CellType) -> &'static str {
    match cell {
        CellType::U8 => "u8",
        CellType::I8 => "i8",
        CellType::U16 => "u16",
        CellType::I16 => "i16",
        CellType::U32 => "u32",
        CellType::I32 => "i32",
        CellType::F32 => "f32",
    }
}
