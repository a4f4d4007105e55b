//! Writing files for the flashing tool: nothing is called written that was not read back from the disk and compared.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::{SaveError, SaveWarning, write_file};
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
    /// The type of S-record that the addresses need, where that is larger than the one asked for.
    pub grown_to: Option<SRecordType>,
    /// How it was written, where that was not the usual way.
    pub warning: Option<SaveWarning>,
}

/// Files that were written and read back, and the image in them.
#[derive(Clone, Debug, PartialEq)]
pub struct Exported {
    /// In the order asked for.
    pub files: Vec<ExportedFile>,
    /// The image.
    pub image: Image,
}

/// Why an export failed. Files before the one named were written and read back.
#[derive(Debug, Error)]
pub enum ExportError {
    /// The project makes no image. Nothing was written.
    #[error(transparent)]
    Image(#[from] Box<ImageError>),
    /// The program's own readers refuse what is to be written. Nothing was written.
    #[error("{}: nothing was written, for what would be written does not read back: {why}; this is a mistake in this program", .path.display())]
    Unsound {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        why: Box<ReadBackError>,
    },
    /// A file cannot be written; what was there before is as it was.
    #[error(transparent)]
    Save(#[from] SaveError),
    /// A file was written but cannot be read.
    #[error("{}: the file was written, but cannot be read back: {source}; do not use it", .path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// What stands on the disk is not what was written.
    #[error("{}: the file read back from the disk is not the one that was written: {why}; {}", .path.display(), told(*.is_removed))]
    Differs {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        why: Box<ReadBackError>,
        /// Whether the bad file could be removed.
        is_removed: bool,
    },
}

impl From<ImageError> for ExportError {
    fn from(error: ImageError) -> Self {
        Self::Image(Box::new(error))
    }
}

const fn told(is_removed: bool) -> &'static str {
    if is_removed { "it was removed; write to another place" } else { "do not use it, and write to another place" }
}

/// Writes a project's image, and its description where asked for, to files. Every file is put together and decoded before
/// the first is written; each is read back from the disk and compared before the next.
///
/// # Errors
/// [`ExportError`] naming the file.
pub fn export_files(
    project: &Project,
    files: &[(OutputFormat, PathBuf)],
    width: RecordWidth,
) -> Result<Exported, ExportError> {
    let image = encode(project)?;
    let mut outputs = Vec::with_capacity(files.len());
    for (format, path) in files {
        let output = output(project, &image, *format, width)?;
        check_read_back(project, *format, &output.bytes, &output.bytes)
            .map_err(|why| ExportError::Unsound { path: path.clone(), why: Box::new(why) })?;
        outputs.push(output);
    }
    let written = files.iter().zip(outputs).map(|((format, path), output)| {
        let warning = write_file(path, &output.bytes)?;
        check_on_disk(project, *format, path, &output, |path| fs::read(path))?;
        let Output { bytes, grown_to } = output;
        Ok(ExportedFile { path: path.clone(), format: *format, bytes: bytes.len(), grown_to, warning })
    });
    let files = written.collect::<Result<Vec<_>, ExportError>>()?;
    Ok(Exported { files, image })
}

fn check_on_disk(
    project: &Project,
    format: OutputFormat,
    path: &Path,
    output: &Output,
    read: impl FnOnce(&Path) -> io::Result<Vec<u8>>,
) -> Result<(), ExportError> {
    let found = read(path).map_err(|source| ExportError::Unreadable { path: path.to_owned(), source })?;
    check_read_back(project, format, &output.bytes, &found).map_err(|why| {
        let is_removed = fs::remove_file(path).is_ok();
        ExportError::Differs { path: path.to_owned(), why: Box::new(why), is_removed }
    })
}

#[cfg(test)]
mod tests {
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
    fn a_disk_that_gives_other_bytes_is_found_out_and_the_file_removed() {
        let folder = tempfile::tempdir().unwrap();
        let (project, path) = (trial::project(), folder.path().join("a.hex"));
        let image = encode(&project).unwrap();
        let output = output(&project, &image, OutputFormat::IntelHex, RecordWidth::Sixteen).unwrap();
        fs::write(&path, "anything").unwrap();
        let mut damaged = output.bytes.clone();
        damaged[10] ^= 1;
        let check = |bytes: io::Result<Vec<u8>>| {
            check_on_disk(&project, OutputFormat::IntelHex, &path, &output, |_| bytes).unwrap_err()
        };
        let error = check(Ok(damaged.clone()));
        assert!(matches!(error, ExportError::Differs { is_removed: true, .. }), "{error}");
        assert!(error.to_string().contains("byte 10 of the file is not the one that was written; it was removed"));
        assert!(!path.exists());
        assert!(matches!(check(Ok(damaged)), ExportError::Differs { is_removed: false, .. }));
        assert!(matches!(check(Err(io::ErrorKind::Other.into())), ExportError::Unreadable { .. }));
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
