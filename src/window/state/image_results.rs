//! Images as the screen knows them: what is to be written, and the results of writing, comparing and reading.

use std::path::{Path, PathBuf};

use crate::image::{Comparison, OutputFormat, RecordWidth};
use crate::project::Project;
use crate::wording::Refusal;

/// What is to be written, chosen before the path is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ImageFiles {
    /// The formats; the user chooses the path of the first one's file, the other files go next to it.
    pub formats: Vec<OutputFormat>,
    /// Data bytes in a record.
    pub width: RecordWidth,
    /// The name proposed, without an ending.
    pub name: String,
    /// Why they are written although the checks find errors; `None` if they find none.
    pub despite_errors: Option<String>,
}

impl ImageFiles {
    /// The paths of all files, given that of the first.
    pub fn paths(&self, first: &Path) -> Vec<(OutputFormat, PathBuf)> {
        let path = |format: OutputFormat| first.with_extension(format.ending());
        self.formats.iter().map(|&format| (format, path(format))).collect()
    }
}

/// Files that were written and read back.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenFiles {
    /// The project that was written.
    pub project: Project,
    /// Where: the folder's path.
    pub folder: String,
    /// A line for each file: its name, format and size.
    pub lines: Vec<String>,
    /// The names of the files.
    pub names: Vec<String>,
    /// The checksum by name.
    pub checksum: String,
    /// Why they were written although the checks found errors.
    pub despite_errors: Option<String>,
    /// Remarks about it.
    pub remarks: Vec<String>,
}

/// How a file differs from the project.
#[derive(Clone, Debug, PartialEq)]
pub struct CompareFound {
    /// What it was compared with.
    pub project: Project,
    /// The file.
    pub path: PathBuf,
    /// The format and the differences, or why there is no comparison.
    pub found: Result<(&'static str, Comparison), Refusal>,
    /// What is known about exports that were broken off in its folder.
    pub broken: Vec<String>,
}

/// A file whose values are to be taken over.
#[derive(Clone, Debug, PartialEq)]
pub struct ImageRead {
    /// The file.
    pub path: PathBuf,
    /// What it was read into.
    pub into: Project,
    /// What it holds, or why it cannot be read.
    pub read: Result<Box<ImageValues>, ImageRefusal>,
}

/// An image that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct ImageValues {
    /// The project with its values.
    pub project: Project,
    /// The format's name.
    pub format: &'static str,
    /// How many cells differ.
    pub cells: usize,
    /// The paths of other fields that differ.
    pub fields: Vec<String>,
    /// Remarks.
    pub remarks: Vec<String>,
}

/// Why an image cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ImageRefusal {
    /// In words, with the line or the item.
    pub words: String,
    /// Whether it is the checksum alone, which the user may accept by name.
    pub is_checksum: bool,
}
