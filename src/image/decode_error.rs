//! Why an image makes no project.

use thiserror::Error;

use super::checksum::ChecksumMismatch;
use super::error::ImageError;
use super::number::Raw;
use crate::project::{AdvanceError, Fault, PathError};
use crate::table::{AxisError, CurveError};
use crate::wording::written;

/// Why an image makes no project.
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
    /// Damage, or another layout.
    #[error(transparent)]
    Checksum(#[from] ChecksumMismatch),
    /// A floating-point number that is none.
    #[error("'{item}' at address {address:X} holds {raw}, which is no finite number")]
    NotFinite {
        /// The item.
        item: String,
        /// Where.
        address: u64,
        /// What stands there.
        raw: Raw,
    },
    /// Breakpoints that are no axis.
    #[error("'{item}' holds no axis: {error}; the image was made by another layout, or was never filled")]
    Axis {
        /// The item.
        item: String,
        /// Why not.
        error: AxisError,
    },
    /// Breakpoints without values, of another number than the project's.
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
    /// Points that are no curve.
    #[error("'{item}' holds no curve: {error}")]
    Curve {
        /// The item.
        item: String,
        /// Why not.
        error: CurveError,
    },
    /// Cells that are no advance table.
    #[error("'{item}' holds no advance table: {error}; the image was made by another layout, or was never filled")]
    Advance {
        /// The item.
        item: String,
        /// Why not.
        error: AdvanceError,
    },
    /// A number that stands for no name.
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
    /// Fields whose values cannot be.
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
