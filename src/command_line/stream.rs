//! Where a stream goes: stdout, a device, or a file that appears once it is complete.

use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::{self, Seek, Write};
use std::path::Path;

use super::Failure;
use super::answer::{Pending, complain, unless_closed};
use crate::document::{Scratch, Staged};

/// Whether a path means stdin or stdout.
pub(super) fn is_dash(path: &Path) -> bool {
    path.as_os_str() == OsStr::new("-")
}

/// Where a stream goes.
pub(super) enum Output {
    /// To stdout, once it is complete: a job that fails prints nothing.
    Stdout(Held),
    /// To a pipe or device, which gets the bytes as they come.
    Stream(File),
    /// To a file that takes its place at the end.
    File(Box<Staged>),
}

impl Output {
    /// Opens the pipe or device at the path, or a file that is to be there; `-` is stdout.
    pub(super) fn to(path: &Path) -> Result<Self, Failure> {
        let unwritable = |source| Failure::Output { path: path.to_owned(), source };
        if is_dash(path) {
            return Ok(Self::Stdout(Held::default()));
        }
        if fs::metadata(path).is_ok_and(|about| !about.is_file() && !about.is_dir()) {
            tell_of_waiting(path);
            return File::options().write(true).open(path).map(Self::Stream).map_err(unwritable);
        }
        Ok(Self::File(Box::new(Staged::stream(path)?)))
    }

    /// Ends the stream; a file then waits to take its place.
    pub(super) fn finish(self) -> io::Result<Option<Pending>> {
        match self {
            Self::Stdout(held) => unless_closed(held.print(&mut io::stdout().lock())).map(|()| None),
            Self::Stream(_) => Ok(None),
            Self::File(file) => Ok(Some(Pending::Files(vec![*file]))),
        }
    }
}

impl Write for Output {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Stdout(held) => held.write(bytes),
            Self::Stream(file) => file.write(bytes),
            Self::File(file) => file.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Stdout(held) => held.flush(),
            Self::Stream(file) => file.flush(),
            Self::File(file) => file.flush(),
        }
    }
}

/// Tells the user that opening a pipe waits until somebody reads it.
fn tell_of_waiting(path: &Path) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        if fs::metadata(path).is_ok_and(|about| about.file_type().is_fifo()) {
            complain(&format!("note: {}: this is a pipe; it is written as soon as something reads it", path.display()));
        }
    }
}

/// This many bytes are held in memory; more go to a temporary file.
const HELD_BYTES: usize = 16 << 20;

/// What waits to be printed.
#[derive(Default)]
pub(super) struct Held {
    bytes: Vec<u8>,
    spilled: Option<Scratch>,
}

impl Held {
    /// Prints everything that was held.
    fn print(self, to: &mut impl Write) -> io::Result<()> {
        if let Some(mut spilled) = self.spilled {
            spilled.rewind()?;
            io::copy(&mut spilled, to)?;
        }
        to.write_all(&self.bytes)?;
        to.flush()
    }
}

impl Write for Held {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.bytes.extend_from_slice(bytes);
        if self.bytes.len() > HELD_BYTES {
            let mut spilled = self.spilled.take().map_or_else(Scratch::create, Ok)?;
            spilled.write_all(&self.bytes)?;
            self.spilled = Some(spilled);
            self.bytes.clear();
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
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
    fn what_is_held_is_printed_whole_however_long() {
        for length in [0, 10, HELD_BYTES + 1, 3 * HELD_BYTES] {
            let mut held = Held::default();
            let bytes: Vec<u8> = (0..length).map(|at| u8::try_from(at % 251).unwrap()).collect();
            bytes.chunks(1 << 20).for_each(|part| held.write_all(part).unwrap());
            let mut printed = Vec::new();
            held.print(&mut printed).unwrap();
            assert!(printed == bytes, "{length}");
        }
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
