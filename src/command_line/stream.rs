//! Where a stream goes: stdout, a device, or a file that appears when it is complete.

use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::{self, Stdout, Write};
use std::path::Path;

use super::Failure;
use super::answer::unless_closed;
use super::pending::Pending;
use crate::document::Staged;

/// Whether a path means stdin or stdout.
pub(super) fn is_dash(path: &Path) -> bool {
    path.as_os_str() == OsStr::new("-")
}

/// Where a stream goes.
pub(super) enum Output {
    /// Stdout.
    Stdout(Stdout),
    /// A pipe or device, which takes the bytes as they come.
    Stream(File),
    /// A file that takes its place at the end.
    File(Box<Staged>),
}

impl Output {
    /// Opens what the path is, or a file to be there; `-` is stdout.
    pub(super) fn to(path: &Path) -> Result<Self, Failure> {
        let unwritable = |source| Failure::Output { path: path.to_owned(), source };
        if is_dash(path) {
            return Ok(Self::Stdout(io::stdout()));
        }
        if fs::metadata(path).is_ok_and(|about| !about.is_file() && !about.is_dir()) {
            return File::options().write(true).open(path).map(Self::Stream).map_err(unwritable);
        }
        Ok(Self::File(Box::new(Staged::stream(path)?)))
    }

    /// Ends the stream; a file is to take its place.
    pub(super) fn finish(self) -> io::Result<Option<Pending>> {
        match self {
            Self::Stdout(mut stdout) => unless_closed(stdout.flush()).map(|()| None),
            Self::Stream(_) => Ok(None),
            Self::File(file) => Ok(Some(Pending::Files(vec![*file]))),
        }
    }
}

impl Write for Output {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Stdout(stdout) => stdout.write(bytes),
            Self::Stream(file) => file.write(bytes),
            Self::File(file) => file.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Stdout(stdout) => stdout.flush(),
            Self::Stream(file) => file.flush(),
            Self::File(file) => file.flush(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> =
            fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn a_file_appears_whole_or_not_at_all() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("out.csv");
        fs::write(&path, "old").unwrap();
        let mut output = Output::to(&path).unwrap();
        output.write_all(b"half").unwrap();
        assert_eq!(names(folder.path()).len(), 2);
        drop(output);
        assert_eq!((names(folder.path()), fs::read(&path).unwrap()), (vec!["out.csv".into()], b"old".to_vec()));
        let mut output = Output::to(&path).unwrap();
        output.write_all(b"whole").unwrap();
        drop(output.finish().unwrap().unwrap().place().unwrap());
        assert_eq!((names(folder.path()), fs::read(&path).unwrap()), (vec!["out.csv".into()], b"whole".to_vec()));
        assert!(Output::to(folder.path()).is_err() && Output::to(&folder.path().join("no/out.csv")).is_err());
    }
}
