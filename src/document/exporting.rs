//! Writing files for the flashing tool: nothing counts as written until it has been read back from disk and
//! compared.

use std::collections::BTreeSet;
use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::staged::place_set;
use super::{Placed, SaveError, SaveWarning, Staged, broken_sets, disk, replaceable};
use crate::image::{
    Image, ImageError, Output, OutputFormat, ReadBackError, RecordWidth, SRecordType, check_read_back, encode, output,
};
use crate::project::Project;

/// A file that was written and read back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExportedFile {
    /// Where.
    pub path: PathBuf,
    /// What it is.
    pub format: OutputFormat,
    /// Its size.
    pub bytes: usize,
    /// The type of S-record that the addresses need, if that is larger than the one asked for.
    pub grown_to: Option<SRecordType>,
    /// How it was written, if not in the usual way.
    pub warning: Option<SaveWarning>,
}

/// Files that were written and read back, and the image in them.
#[derive(Clone, Debug, PartialEq)]
pub struct Exported {
    /// In the order asked for.
    pub files: Vec<ExportedFile>,
    /// The image.
    pub image: Image,
    /// What is known about earlier exports that were broken off in the same folders.
    pub remarks: Vec<String>,
}

/// Why an export failed. Whatever the reason, it leaves no file behind, and what was there before is unchanged.
#[derive(Debug, Error)]
pub enum ExportError {
    /// The project does not make an image.
    #[error(transparent)]
    Image(#[from] Box<ImageError>),
    /// The program's own readers refuse what would be written.
    #[error("{}: nothing was written, for what would be written does not read back: {why}; this is a mistake in this program", .path.display())]
    Unsound {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        why: Box<ReadBackError>,
    },
    /// Two of the files are the same.
    #[error("{} and {} are one file; nothing was written: give each a name of its own", .first.display(), .second.display())]
    OneFile {
        /// The one path.
        first: PathBuf,
        /// The other.
        second: PathBuf,
    },
    /// A file cannot be written.
    #[error(transparent)]
    Save(#[from] SaveError),
    /// What was written cannot be read.
    #[error("{}: what was written cannot be read back: {source}; write to another place", .path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// What is on the disk is not what was written.
    #[error(
        "{}: what is read back from the disk is not what was written: {why}; it was removed, write to another place",
        .path.display()
    )]
    Differs {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        why: Box<ReadBackError>,
    },
}

impl From<ImageError> for ExportError {
    fn from(error: ImageError) -> Self {
        Self::Image(Box::new(error))
    }
}

/// Files that were written next to their places, read back from disk and compared, and wait to take their
/// places.
#[derive(Debug)]
pub struct Export {
    exported: Exported,
    staged: Vec<Staged>,
}

impl Export {
    /// Prepares a project's image, and its description if asked for. Every file is put together and decoded
    /// before the first is written; each is read back from disk and compared before any takes its place.
    ///
    /// # Errors
    /// [`ExportError`] naming the file.
    pub fn new(project: &Project, files: &[(OutputFormat, PathBuf)], width: RecordWidth) -> Result<Self, ExportError> {
        refuse_one_file(files)?;
        let image = encode(project)?;
        let mut outputs = Vec::with_capacity(files.len());
        for (format, path) in files {
            let output = output(project, &image, *format, width)?;
            check_read_back(project, *format, &output.bytes, &output.bytes)
                .map_err(|why| ExportError::Unsound { path: path.clone(), why: Box::new(why) })?;
            outputs.push(output);
        }
        let mut ready =
            Self { exported: Exported { files: Vec::new(), image, remarks: Vec::new() }, staged: Vec::new() };
        for ((format, path), output) in files.iter().zip(outputs) {
            let mut staged = Staged::file(path, output.bytes.clone())?.reading_back();
            check_on_disk(project, *format, path, &output, staged.read_back())?;
            ready.staged.push(staged);
            let Output { bytes, grown_to } = output;
            let file =
                ExportedFile { path: path.clone(), format: *format, bytes: bytes.len(), grown_to, warning: None };
            ready.exported.files.push(file);
        }
        Ok(ready)
    }

    /// What will be in the files.
    pub const fn exported(&self) -> &Exported {
        &self.exported
    }

    /// Puts the files in their places, all or none, and reads them back once more from there. What was there
    /// before can be restored as long as the second return value lives.
    ///
    /// # Errors
    /// [`ExportError`] naming the file.
    pub fn place(self) -> Result<(Exported, Placed), ExportError> {
        let Self { mut exported, staged } = self;
        let folders: BTreeSet<_> =
            staged.iter().filter_map(|file| file.target().parent()).map(Path::to_owned).collect();
        let broken = |folders: &BTreeSet<PathBuf>| -> Vec<String> {
            folders.iter().flat_map(|folder| broken_sets(folder)).collect()
        };
        let before = broken(&folders);
        let placed = place_set(staged)?;
        let left = broken(&folders);
        let told = |words: &String| {
            let end = if left.contains(words) { "export both again" } else { "this export has mended that" };
            format!("{words}; {end}")
        };
        exported.remarks = before.iter().map(told).collect();
        exported.files.iter_mut().zip(placed.warnings()).for_each(|(file, warning)| file.warning.clone_from(warning));
        Ok((exported, placed))
    }
}

/// Writes a project's image, and its description if asked for, to files, all or none.
///
/// # Errors
/// [`ExportError`] naming the file.
pub fn export_files(
    project: &Project,
    files: &[(OutputFormat, PathBuf)],
    width: RecordWidth,
) -> Result<Exported, ExportError> {
    Export::new(project, files, width)?.place().map(|(exported, _)| exported)
}

fn refuse_one_file(files: &[(OutputFormat, PathBuf)]) -> Result<(), ExportError> {
    for (place, (_, second)) in files.iter().enumerate() {
        let target = replaceable(second)?;
        for (_, first) in files.iter().take(place) {
            if disk::is_one_file(&replaceable(first)?, &target) {
                return Err(ExportError::OneFile { first: first.clone(), second: second.clone() });
            }
        }
    }
    Ok(())
}

fn check_on_disk(
    project: &Project,
    format: OutputFormat,
    path: &Path,
    output: &Output,
    found: io::Result<Vec<u8>>,
) -> Result<(), ExportError> {
    let found = found.map_err(|source| ExportError::Unreadable { path: path.to_owned(), source })?;
    check_read_back(project, format, &output.bytes, &found)
        .map_err(|why| ExportError::Differs { path: path.to_owned(), why: Box::new(why) })
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;
    use crate::document::trial;

    #[test]
    fn files_are_written_read_back_and_told() {
        let folder = tempfile::tempdir().unwrap();
        let project = trial::project();
        let files: Vec<_> = OutputFormat::ALL
            .into_iter()
            .map(|format| (format, folder.path().join(format!("a.{}", format.ending()))))
            .collect();
        let exported = export_files(&project, &files, RecordWidth::Sixteen).unwrap();
        assert_eq!(exported.image, encode(&project).unwrap());
        for (file, (format, path)) in exported.files.iter().zip(&files) {
            assert_eq!((file.format, &file.path, &file.warning), (*format, path, &None));
            assert_eq!(fs::read(path).unwrap().len(), file.bytes);
        }
    }

    #[test]
    fn a_disk_that_gives_other_bytes_is_found_out() {
        let (project, path) = (trial::project(), PathBuf::from("a.hex"));
        let image = encode(&project).unwrap();
        let output = output(&project, &image, OutputFormat::IntelHex, RecordWidth::Sixteen).unwrap();
        let mut damaged = output.bytes.clone();
        damaged[10] ^= 1;
        let check = |bytes: io::Result<Vec<u8>>| {
            check_on_disk(&project, OutputFormat::IntelHex, &path, &output, bytes).unwrap_err()
        };
        let error = check(Ok(damaged));
        assert!(matches!(error, ExportError::Differs { .. }), "{error}");
        assert!(error.to_string().contains("byte 10 of the file is not the one that was written; it was removed"));
        assert!(matches!(check(Err(io::ErrorKind::Other.into())), ExportError::Unreadable { .. }));
    }

    #[test]
    fn all_files_are_written_or_none() {
        let folder = tempfile::tempdir().unwrap();
        let [image, description] = ["a.hex", "a.a2l"].map(|name| folder.path().join(name));
        fs::create_dir(&description).unwrap();
        let files = [(OutputFormat::IntelHex, image.clone()), (OutputFormat::Description, description.clone())];
        let error = export_files(&trial::project(), &files, RecordWidth::Sixteen).unwrap_err();
        assert!(matches!(error, ExportError::Save(SaveError::Folder { .. })), "{error}");
        assert!(!image.exists() && fs::read_dir(folder.path()).unwrap().count() == 1);
        fs::remove_dir(&description).unwrap();
        fs::write(&image, "old").unwrap();
        let ready = Export::new(&trial::project(), &files, RecordWidth::Sixteen).unwrap();
        assert_eq!(ready.exported().files.len(), 2);
        assert_eq!(fs::read(&image).unwrap(), b"old");
        drop(ready);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_project_without_an_image_writes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let project = trial::project().edit(|parts| parts.image.items[0].scale = 1e-9).unwrap();
        let path = folder.path().join("a.bin");
        let error = export_files(&project, &[(OutputFormat::Binary, path.clone())], RecordWidth::Sixteen).unwrap_err();
        let ExportError::Image(why) = error else { panic!("{error}") };
        assert!(matches!(*why, ImageError::OutOfRange { .. }), "{why}");
        assert!(!path.exists());
    }
}
