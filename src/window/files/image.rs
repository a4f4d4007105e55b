//! Images: written and read back, compared, read. All of it off the frame.

use std::path::{Path, PathBuf};

use super::file_name;
use crate::document::{Exported, broken_sets, export_files, read_bounded};
use crate::image::{
    Comparison, DecodeError, OnMismatch, OutputFormat, ReadFile, RecordWidth, decode, longest_file_bytes, read_changes,
    read_file, verify,
};
use crate::project::Project;
use crate::wording::count;

/// What is to be written, chosen before the path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ImageFiles {
    /// The formats; the first one's path is asked for, the others go beside it.
    pub formats: Vec<OutputFormat>,
    /// Data bytes in a record.
    pub width: RecordWidth,
    /// The name proposed, without an ending.
    pub name: String,
    /// Why they are written although the checks find errors; `None` where they find none.
    pub despite_errors: Option<String>,
}

impl ImageFiles {
    /// The paths of all files, given that of the first.
    pub fn paths(&self, first: &Path) -> Vec<(OutputFormat, PathBuf)> {
        let path = |format: OutputFormat| first.with_extension(format.ending());
        self.formats.iter().map(|&format| (format, path(format))).collect()
    }

    /// The names of files besides the one chosen that are there already.
    pub fn replaced(&self, first: &Path) -> Vec<String> {
        let paths = self.paths(first).into_iter().map(|(_, path)| path);
        paths.filter(|path| path != first && path.exists()).map(|path| file_name(&path)).collect()
    }
}

/// Files that were written and read back.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenFiles {
    /// What was written, as it was meant.
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
    /// What to know about it.
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
    pub found: Result<(&'static str, Comparison), String>,
    /// What is known of exports that were broken off in its folder.
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
    /// What is worth knowing.
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

/// Writes files and reads them back.
///
/// # Errors
/// Which file, why, and what became of it.
pub fn write(project: Project, files: &ImageFiles, first: &Path) -> Result<WrittenFiles, String> {
    let is_image = files.formats.iter().any(|format| *format != OutputFormat::Description);
    let errors = crate::checks::run(&project).iter().filter(|finding| finding.is_open_error()).count();
    let despite_errors = files.despite_errors.clone().filter(|_| is_image && errors > 0);
    if is_image && errors > 0 && despite_errors.is_none() {
        let errors = count(errors, "open error");
        return Err(format!("{errors}: mend what the checks find, accept it with a reason, or say why it is written"));
    }
    let exported = export_files(&project, &files.paths(first), files.width).map_err(|error| error.to_string())?;
    let checksum = exported.image.checksum_words(&project);
    let Exported { files, remarks, .. } = exported;
    let lines =
        files.iter().map(|file| format!("{}: {}, {} bytes", file_name(&file.path), file.format.name(), file.bytes));
    let grown = files.iter().filter(|file| file.grown_to.is_some()).map(|file| {
        let name = file_name(&file.path);
        format!("{name} has records with longer addresses than its ending says: the image needs them")
    });
    let warnings = files.iter().filter_map(|file| file.warning.as_ref()).map(ToString::to_string);
    let folder = first.parent().unwrap_or(Path::new("")).display().to_string();
    Ok(WrittenFiles {
        despite_errors,
        folder,
        lines: lines.collect(),
        names: files.iter().map(|file| file_name(&file.path)).collect(),
        checksum,
        remarks: remarks.into_iter().chain(grown).chain(warnings).collect(),
        project,
    })
}

fn read_image(path: &Path, project: &Project) -> Result<ReadFile, String> {
    let limit = longest_file_bytes(project.image.size);
    let bytes = read_bounded(path, limit).map_err(|error| format!("the file cannot be read: {error}"))?;
    read_file(&bytes, project).map_err(|error| error.to_string())
}

/// Compares a file with a project.
pub fn compare(project: Project, path: PathBuf) -> CompareFound {
    let found = read_image(&path, &project).and_then(|read| {
        let comparison = verify(&project, &read.bytes).map_err(|error| error.to_string())?;
        Ok((read.format.name(), comparison))
    });
    let broken = path.parent().map(broken_sets).unwrap_or_default();
    CompareFound { project, path, found, broken }
}

/// Reads a file's values into a project.
pub fn read(into: Project, path: PathBuf, on_mismatch: OnMismatch) -> ImageRead {
    let read = values(&into, &path, on_mismatch).map(Box::new);
    ImageRead { path, into, read }
}

fn values(into: &Project, path: &Path, on_mismatch: OnMismatch) -> Result<ImageValues, ImageRefusal> {
    let refused = |words: String| ImageRefusal { words, is_checksum: false };
    let read = read_image(path, into).map_err(refused)?;
    let decoded = decode(&read.bytes, into, on_mismatch).map_err(|error| ImageRefusal {
        is_checksum: matches!(error, DecodeError::Checksum(_)),
        words: error.to_string(),
    })?;
    let changes = read_changes(into, &decoded.project).map_err(|error| refused(error.to_string()))?;
    let remarks = read.warnings.iter().map(ToString::to_string).chain(decoded.remarks()).collect();
    Ok(ImageValues {
        project: decoded.project,
        format: read.format.name(),
        cells: changes.cells,
        fields: changes.fields,
        remarks,
    })
}
