//! Tables, pages to print and images to and from files of their own: written and read back, compared, read. All of it off the
//! frame.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::document::{Exported, broken_sets, export_files, read_bounded, write_file};
use crate::image::{
    DecodeError, OnMismatch, OutputFormat, ReadFile, decode, longest_file_bytes, read_changes, read_file, verify,
};
use crate::interchange::{DecimalMark, MAX_FILE_BYTES, TableFileError, read_table_as};
use crate::project::Project;
use crate::window::state::dialogs::ReadTable;
use crate::window::state::export_state::{
    CompareFound, ImageFiles, ImageRead, ImageRefusal, ImageValues, WrittenFiles,
};
use crate::window::state::file_jobs::file_name;
use crate::window::tasks::jobs::News;
use crate::wording::{Refusal, count};

/// Writes files and reads them back.
///
/// # Errors
/// Which file, why, and what became of it.
pub fn write_image(project: Project, files: &ImageFiles, first: &Path) -> Result<WrittenFiles, Refusal> {
    let is_image = files.formats.iter().any(|format| *format != OutputFormat::Description);
    let errors = crate::checks::run(&project).iter().filter(|finding| finding.is_open_error()).count();
    let despite_errors = files.despite_errors.clone().filter(|_| is_image && errors > 0);
    if is_image && errors > 0 && despite_errors.is_none() {
        let errors = count(errors, "open error");
        let remedy = "mend what the checks find, accept it with a reason, or say why it is written";
        return Err(Refusal::new(errors).remedy(remedy));
    }
    let exported = export_files(&project, &files.paths(first), files.width)?;
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

/// Those of some files that exist.
pub fn those_there(paths: &[PathBuf]) -> Vec<PathBuf> {
    paths.iter().filter(|path| path.exists()).cloned().collect()
}

fn read_known(path: &Path, project: &Project) -> Result<ReadFile, Refusal> {
    let limit = longest_file_bytes(project.image.size);
    let bytes = read_bounded(path, limit).map_err(|error| Refusal::new(format!("the file cannot be read: {error}")))?;
    read_file(&bytes, project).map_err(Refusal::from)
}

/// Compares a file with a project.
pub fn compare_image(project: Project, path: PathBuf) -> CompareFound {
    let found = read_known(&path, &project).and_then(|read| {
        let comparison = verify(&project, &read.bytes)?;
        Ok((read.format.name(), comparison))
    });
    let broken = path.parent().map(broken_sets).unwrap_or_default();
    CompareFound { project, path, found, broken }
}

/// Reads a file's values into a project.
pub fn read_image(into: Project, path: PathBuf, on_mismatch: OnMismatch) -> ImageRead {
    let read = values(&into, &path, on_mismatch).map(Box::new);
    ImageRead { path, into, read }
}

fn values(into: &Project, path: &Path, on_mismatch: OnMismatch) -> Result<ImageValues, ImageRefusal> {
    let refused = |why: Refusal| ImageRefusal { words: why.to_string(), is_checksum: false };
    let read = read_known(path, into).map_err(refused)?;
    let decoded = decode(&read.bytes, into, on_mismatch).map_err(|error| ImageRefusal {
        is_checksum: matches!(error, DecodeError::Checksum(_)),
        words: error.to_string(),
    })?;
    let changes = read_changes(into, &decoded.project).map_err(|error| refused(error.into()))?;
    let remarks = read.warnings.iter().map(ToString::to_string).chain(decoded.remarks()).collect();
    Ok(ImageValues {
        project: decoded.project,
        format: read.format.name(),
        cells: changes.cells,
        fields: changes.fields,
        remarks,
    })
}

/// Writes a table.
pub fn write_table(path: PathBuf, text: &str) -> News {
    let done = put(&path, text.as_bytes());
    News::Exported { path, done }
}

/// Writes a page: its name, and how its bytes are made.
pub fn write_page(what: &'static str, path: PathBuf, make: impl FnOnce() -> Result<Vec<u8>, Refusal>) -> News {
    let done = make().and_then(|bytes| put(&path, &bytes));
    News::PageWritten(what, path, done)
}

/// Remarks about a file that was written, or why it was not.
fn put(path: &Path, bytes: &[u8]) -> Result<Option<String>, Refusal> {
    let warning = write_file(path, bytes)?;
    Ok(warning.map(|warning| warning.to_string()))
}

/// Reads a table.
pub fn read_table(path: PathBuf) -> News {
    match read_bounded(&path, MAX_FILE_BYTES as u64) {
        Ok(bytes) => read_table_marked(path, bytes.into(), None),
        Err(error) => News::TableRead { path, read: ReadTable::Refused(error.to_string()) },
    }
}

/// Reads a table from the bytes of its file; if `mark` is `None`, the result may be a question for the decimal mark.
pub fn read_table_marked(path: PathBuf, bytes: Arc<[u8]>, mark: Option<DecimalMark>) -> News {
    let read = match read_table_as(&bytes, mark) {
        Ok(file) => ReadTable::Found(Box::new(file)),
        Err(TableFileError::AskMark(question)) => ReadTable::Ask { bytes, question },
        Err(error) => ReadTable::Refused(error.to_string()),
    };
    News::TableRead { path, read }
}
