//! Why a job failed: bad usage or bad input, all of it exit code 2.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

use crate::compare::{Refusal, ThresholdError, Unfinished};
use crate::document::{ExportError, OpenError, SaveError};
use crate::image::{DecodeError, FileError};
use crate::interchange::{ReadingsFileError, RunFileError, StreamError, TableFileError, WriteError};
use crate::picture::{PictureError, PngError};
use crate::project::{Fault, LockedTimingError, NewProjectError, PathError, ReadError, TreeError};
use crate::rig::{RunError, SettingsError};
use crate::setup_sheet::SheetError;
use crate::shaping::ShapingError;
use crate::table::{AxisError, RangeError};
use crate::worksheet::WorksheetError;

/// Why a job failed. Nothing was written.
#[derive(Debug, Error)]
pub(super) enum Failure {
    /// The words on the command line do not fit together.
    #[error("{0}; see sparkloft {1} --help")]
    Usage(String, &'static str),
    /// A project file cannot be read.
    #[error(transparent)]
    Open(#[from] OpenError),
    /// A file cannot be written.
    #[error(transparent)]
    Save(#[from] SaveError),
    /// A window or another job keeps the file that is to be written.
    #[error(
        "{}: a window or another job has this file open; nothing was written: close it there, or write to another file",
        .0.display()
    )]
    InUse(PathBuf),
    /// There can be no such new project.
    #[error(transparent)]
    New(#[from] NewProjectError),
    /// A range that selects nothing.
    #[error(transparent)]
    Range(#[from] RangeError),
    /// A tool refuses.
    #[error(transparent)]
    Shaping(#[from] ShapingError),
    /// Breakpoints that are none.
    #[error("--new-{axis}: {reason}")]
    NewAxis {
        /// `speed` or `load`.
        axis: &'static str,
        /// What is wrong.
        reason: AxisError,
    },
    /// The changed project would be none.
    #[error(transparent)]
    Fault(#[from] Fault),
    /// The locked-timing copy cannot be made.
    #[error(transparent)]
    LockedTiming(#[from] LockedTimingError),
    /// A project that was never exported has no such base.
    #[error("{}: nothing was exported from this project yet; the window's Export sheet remembers what it writes", .0.display())]
    NeverExported(PathBuf),
    /// A field cannot be set.
    #[error(transparent)]
    Field(#[from] PathError),
    /// Two tables cannot be compared.
    #[error(transparent)]
    NotComparable(#[from] Refusal),
    /// No threshold for regions.
    #[error(transparent)]
    Threshold(#[from] ThresholdError),
    /// What a unit makes of the image cannot be told.
    #[error("what a unit makes of the image cannot be told: {0}")]
    Unit(Box<DecodeError>),
    /// A file other than a project cannot be read.
    #[error("{}: the file cannot be read: {source}", .path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A file holds no table.
    #[error("{}: {source}{}", .path.display(), naming(.source.is_about_marks()))]
    TableFile {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: TableFileError,
    },
    /// A load in a table file that the project's load cannot have.
    #[error("{}: line {line}: {fault}", .path.display())]
    Load {
        /// The file.
        path: PathBuf,
        /// Its line, counted from 1.
        line: usize,
        /// The load and the range.
        fault: Fault,
    },
    /// A table cannot be written so.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// Points cannot be looked up.
    #[error("{}: {source}{}", .path.display(), naming(.source.is_about_marks()))]
    Points {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: StreamError,
    },
    /// A file holds no run, and there is none built in of that name.
    #[error("{}: {source}{}", .path.display(), naming(.source.is_about_marks()))]
    RunFile {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: RunFileError,
    },
    /// A built-in run does not fit the project.
    #[error(transparent)]
    Run(#[from] RunError),
    /// A setting of the rig is out of range.
    #[error(transparent)]
    Settings(#[from] SettingsError),
    /// A file holds no timing-light readings.
    #[error("{}: {source}{}", .path.display(), naming(.source.is_about_marks()))]
    Readings {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: ReadingsFileError,
    },
    /// A worksheet has no answer, or its answer is not applied.
    #[error(transparent)]
    Worksheet(#[from] WorksheetError),
    /// An output cannot be written.
    #[error("{}: the file cannot be written: {source}", .path.display())]
    Output {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Samples that were edited stand where the samples are to go.
    #[error(
        "{}: this file is there already and is not the sample as it comes; choose another folder, or give --replace",
        .path.display()
    )]
    SampleExists {
        /// The file.
        path: PathBuf,
    },
    /// A file holds no image of the project's layout.
    #[error("{}: {source}", .path.display())]
    ImageFile {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: FileError,
    },
    /// An image makes no project, or cannot be compared.
    #[error("{}: {source}{}", .path.display(), accepting(.source, *.can_accept))]
    Decode {
        /// The file.
        path: PathBuf,
        /// Why.
        source: DecodeError,
        /// Whether there is an option to accept a wrong checksum.
        can_accept: bool,
    },
    /// An image cannot be exported.
    #[error(transparent)]
    Export(#[from] ExportError),
    /// A table read back from the disk is another one.
    #[error("{}: what is read back from the disk is not what was written; write to another place", .path.display())]
    ReadBack {
        /// The file.
        path: PathBuf,
    },
    /// The picture cannot be made.
    #[error(transparent)]
    Picture(#[from] PictureError),
    /// A picture cannot be a PNG.
    #[error(transparent)]
    Png(#[from] PngError),
    /// The sheet cannot be made.
    #[error(transparent)]
    Sheet(#[from] SheetError),
    /// No base of that name.
    #[error("there is no snapshot '{name}' and no such file; {snapshots}")]
    NoSuchBase {
        /// What was asked for.
        name: String,
        /// The snapshots there are, in a sentence.
        snapshots: String,
    },
    /// A mistake in this program.
    #[error("the program contradicts itself: {0}")]
    Internal(String),
}

/// The way to read a file whose marks do not tell what they are.
const fn naming(asks: bool) -> &'static str {
    if asks { "; or say what stands before decimals with --decimal-mark point or --decimal-mark comma" } else { "" }
}

/// The way to read an image whose checksum does not fit.
const fn accepting(source: &DecodeError, can_accept: bool) -> &'static str {
    match source {
        DecodeError::Checksum(_) if can_accept => "; --accept-wrong-checksum reads it all the same",
        _ => "",
    }
}

impl From<TreeError> for Failure {
    fn from(error: TreeError) -> Self {
        Self::Internal(error.to_string())
    }
}

/// Nobody stops a job, and projects that exist have a form.
impl From<Unfinished> for Failure {
    fn from(error: Unfinished) -> Self {
        Self::Internal(error.to_string())
    }
}

impl From<serde_json::Error> for Failure {
    fn from(error: serde_json::Error) -> Self {
        Self::Internal(error.to_string())
    }
}

impl From<ReadError> for Failure {
    fn from(error: ReadError) -> Self {
        Self::Internal(error.to_string())
    }
}
