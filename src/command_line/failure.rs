//! Why a job failed: bad usage or bad input, all of it exit code 2.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

use crate::compare::{Refusal, ThresholdError, Unfinished};
use crate::document::{ExportError, OpenError, SaveError};
use crate::image::{DecodeError, FileError};
use crate::interchange::{
    FillingFileError, MeasuredFileError, ReadingsFileError, RunFileError, StreamError, SweepFileError, TableFileError,
    WriteError,
};
use crate::picture::{PictureError, PngError};
use crate::project::{Fault, LockedTimingError, NewProjectError, PathError, ReadError, TreeError};
use crate::rig::{RunError, SettingsError};
use crate::setup_sheet::SheetError;
use crate::shaping::ShapingError;
use crate::table::{AxisError, RangeError};
use crate::watch::Stopped;
use crate::wording;
use crate::worksheet::{FillingRefusal, WorksheetError};

/// Why a job failed. Nothing was written.
#[derive(Debug, Error)]
pub(super) enum Failure {
    /// The arguments on the command line do not fit together.
    #[error("{0}; see sparkloft {1} --help")]
    Usage(String, &'static str),
    /// A project file cannot be read.
    #[error(transparent)]
    Open(#[from] OpenError),
    /// A file cannot be written.
    #[error(transparent)]
    Save(#[from] SaveError),
    /// A window or another job has the file open that is to be written.
    #[error(
        "{}: a window or another job has this file open; nothing was written: close it there, or write to another file",
        .0.display()
    )]
    InUse(PathBuf),
    /// Such a new project is impossible.
    #[error(transparent)]
    New(#[from] NewProjectError),
    /// A range that selects nothing.
    #[error(transparent)]
    Range(#[from] RangeError),
    /// A tool refuses.
    #[error(transparent)]
    Shaping(#[from] ShapingError),
    /// Breakpoints that do not make an axis.
    #[error("--new-{axis}: {reason}")]
    NewAxis {
        /// `speed` or `load`.
        axis: &'static str,
        /// What is wrong.
        reason: AxisError,
    },
    /// The changed project would be invalid.
    #[error(transparent)]
    Fault(#[from] Fault),
    /// The locked-timing copy cannot be made.
    #[error(transparent)]
    LockedTiming(#[from] LockedTimingError),
    /// A project that was never exported has no last export to compare with.
    #[error("{}: nothing was exported from this project yet; the window's Export sheet remembers what it writes", .0.display())]
    NeverExported(PathBuf),
    /// A field cannot be set.
    #[error(transparent)]
    Field(#[from] PathError),
    /// Two tables cannot be compared.
    #[error(transparent)]
    NotComparable(#[from] Refusal),
    /// Not a threshold for regions.
    #[error(transparent)]
    Threshold(#[from] ThresholdError),
    /// The unit's view of the image cannot be computed.
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
    /// A file does not contain a table.
    #[error("{}: {source}{}", .path.display(), naming(.source.is_about_marks()))]
    TableFile {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: TableFileError,
    },
    /// A load in a table file that the project's kind of load does not allow.
    #[error("{}: line {line}: {fault}", .path.display())]
    Load {
        /// The file.
        path: PathBuf,
        /// Its line, counted from 1.
        line: usize,
        /// The load and the range.
        fault: Fault,
    },
    /// A table cannot be written in this way.
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
    /// A file does not contain a run, and there is no built-in run of that name.
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
    /// A file does not contain timing-light readings.
    #[error("{}: {source}{}", .path.display(), naming(.source.is_about_marks()))]
    Readings {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: ReadingsFileError,
    },
    /// A file does not contain measured points.
    #[error("{}: {source}{}", .path.display(), naming(.source.is_about_marks()))]
    MeasuredFile {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: MeasuredFileError,
    },
    /// A file does not contain readings of timing sweeps.
    #[error("{}: {source}{}", .path.display(), naming(.source.is_about_marks()))]
    SweepReadings {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: SweepFileError,
    },
    /// A file is no log of throttle and pressure.
    #[error("{}: {source}{}", .path.display(), naming(.source.is_about_marks()))]
    FillingFile {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: FillingFileError,
    },
    /// A log tells no filling.
    #[error("{}: {reason}", .path.display())]
    Filling {
        /// The file.
        path: PathBuf,
        /// Why.
        reason: FillingRefusal,
    },
    /// A file describes no distributor.
    #[error("{}: {reason}", .path.display())]
    Distributor {
        /// The file.
        path: PathBuf,
        /// Where and why.
        reason: wording::Refusal,
    },
    /// Something that cannot be done, as a person reads it.
    #[error("{0}")]
    Refused(wording::Refusal),
    /// A worksheet has no answer, or its answer cannot be applied.
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
    /// Where a sample is to be written there is a file that differs from it, perhaps an edited sample.
    #[error(
        "{}: this file is there already and is not the sample as it comes; choose another folder, or give --replace",
        .path.display()
    )]
    SampleExists {
        /// The file.
        path: PathBuf,
    },
    /// A file does not contain an image of the project's layout.
    #[error("{}: {source}", .path.display())]
    ImageFile {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: FileError,
    },
    /// An image does not make a project, or cannot be compared.
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
    /// A table read back from disk differs from what was written.
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
    /// The setup sheet cannot be made.
    #[error(transparent)]
    Sheet(#[from] SheetError),
    /// There is no base of that name.
    #[error("there is no snapshot '{name}' and no such file; {snapshots}")]
    NoSuchBase {
        /// What was asked for.
        name: String,
        /// The snapshots that there are, in a sentence.
        snapshots: String,
    },
    /// A mistake in this program.
    #[error("the program contradicts itself: {0}")]
    Internal(String),
}

/// Advice on how to read a file whose marks are ambiguous.
const fn naming(asks: bool) -> &'static str {
    if asks { "; or say what stands before decimals with --decimal-mark point or --decimal-mark comma" } else { "" }
}

/// Advice on how to read an image with a wrong checksum.
const fn accepting(source: &DecodeError, can_accept: bool) -> &'static str {
    match source {
        DecodeError::Checksum(_) if can_accept => "; --accept-wrong-checksum reads it all the same",
        _ => "",
    }
}

impl From<wording::Refusal> for Failure {
    fn from(refusal: wording::Refusal) -> Self {
        Self::Refused(refusal)
    }
}

/// Never happens: nobody watches over a job.
impl From<Stopped> for Failure {
    fn from(error: Stopped) -> Self {
        Self::Internal(error.to_string())
    }
}

impl From<TreeError> for Failure {
    fn from(error: TreeError) -> Self {
        Self::Internal(error.to_string())
    }
}

/// Never happens: nothing stops a job, and every project that exists can be turned into a tree.
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
