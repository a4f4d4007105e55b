//! The answer of a job, the one place where it is printed, and the files that wait to take their places until then.

use std::io;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::Failure;
use crate::document::{Export, Placed, SaveWarning, Staged, place_all};
use crate::wording::one_line;

/// The exit code of an answer 'no'.
const NO: u8 = 1;
/// The exit code for bad usage and bad input.
pub(super) const BAD: u8 = 2;

/// The answer of a job that has done everything except putting its files in their places.
#[derive(Debug, Default)]
pub(super) struct Answer {
    /// For stdout: text for people or one JSON document, ending with a line break.
    pub(super) text: String,
    /// For stderr: remarks, one per line.
    pub(super) notes: Vec<String>,
    /// Whether the job's answer is 'no'.
    pub(super) is_no: bool,
    /// The files that the job makes: complete, and put in their places before anything is reported as done.
    pub(super) files: Vec<Pending>,
}

impl Answer {
    /// A text and nothing else.
    pub(super) fn text(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }
}

/// Puts the files of a job in their places and then prints the answer; returns the exit code. Nothing is
/// reported as written before it is. If the report cannot be printed, the files are taken back, since nobody
/// would know of them.
pub(super) fn print(outcome: Result<Answer, Failure>) -> ExitCode {
    let refused = |failure: Failure| {
        complain(&format!("error: {failure}"));
        ExitCode::from(BAD)
    };
    let Answer { text, notes, is_no, files } = match outcome {
        Ok(answer) => answer,
        Err(failure) => return refused(failure),
    };
    let writes = !files.is_empty();
    let done = match place(files) {
        Ok(done) => done,
        Err(failure) => return refused(failure),
    };
    let remarks = done.iter().flat_map(|done| &done.remarks);
    notes.iter().chain(remarks).for_each(|note| complain(&format!("note: {note}")));
    if let Err(error) = unless_closed(print_text(&text)) {
        give_back(done);
        let left = if writes { "; no file was written" } else { "" };
        complain(&format!("error: the report cannot be written: {error}{left}"));
        return ExitCode::from(BAD);
    }
    if is_no { ExitCode::from(NO) } else { ExitCode::SUCCESS }
}

/// A reader that closes the pipe has read what it wanted: no error.
pub(super) fn unless_closed(written: io::Result<()>) -> io::Result<()> {
    match written {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        written => written,
    }
}

fn print_text(text: &str) -> io::Result<()> {
    let mut stdout = io::stdout().lock();
    stdout.write_all(text.as_bytes())?;
    stdout.flush()
}

/// Writes a message to stderr; failing to write it is ignored.
pub(super) fn complain(message: &str) {
    let _ = writeln!(io::stderr().lock(), "{}", as_message(message));
}

/// Indents all lines but the first, so that nothing in a file or a name can look like a message of ours.
fn as_message(message: &str) -> String {
    message.lines().map(one_line).collect::<Vec<_>>().join("\n  ")
}

/// Something that waits to take its place; dropped, it is removed.
#[derive(Debug)]
pub(super) enum Pending {
    /// Files, placed all or none.
    Files(Vec<Staged>),
    /// Files for a flashing tool.
    Export(Box<Export>),
    /// Folders made for other pending files.
    Folders(Folders),
}

/// What has taken its place; it can be undone until this is dropped.
#[derive(Debug)]
pub(super) struct Done {
    placed: Placed,
    /// Dropped last, when nothing can be undone any more.
    _folders: Option<Folders>,
    /// Remarks about it.
    pub(super) remarks: Vec<String>,
}

impl Done {
    /// Restores what was there before.
    pub(super) fn give_back(self) {
        self.placed.give_back();
    }
}

impl Pending {
    /// Puts it in its place.
    pub(super) fn place(self) -> Result<Done, Failure> {
        let told = |warning: &Option<SaveWarning>| warning.as_ref().map(ToString::to_string);
        match self {
            Self::Files(files) => {
                let placed = place_all(files)?;
                let remarks = placed.warnings().iter().filter_map(told).collect();
                Ok(Done { placed, _folders: None, remarks })
            }
            Self::Export(export) => {
                let (exported, placed) = export.place()?;
                let remarks = exported.remarks.into_iter().chain(placed.warnings().iter().filter_map(told)).collect();
                Ok(Done { placed, _folders: None, remarks })
            }
            Self::Folders(made) => Ok(Done { placed: Placed::default(), _folders: Some(made), remarks: Vec::new() }),
        }
    }
}

/// Puts all of them in their places, or none.
pub(super) fn place(files: Vec<Pending>) -> Result<Vec<Done>, Failure> {
    let mut done = Vec::with_capacity(files.len());
    for file in files {
        match file.place() {
            Ok(placed) => done.push(placed),
            Err(failure) => {
                give_back(done);
                return Err(failure);
            }
        }
    }
    Ok(done)
}

/// Restores what was there before, the last first: folders that were made can only go once the files in them
/// are gone.
pub(super) fn give_back(done: Vec<Done>) {
    let (folders, files): (Vec<_>, Vec<_>) = done.into_iter().partition(|done| done._folders.is_some());
    files.into_iter().rev().for_each(Done::give_back);
    drop(folders);
}

/// Folders that were made, the innermost first; those that remain empty are removed again.
#[derive(Debug)]
pub(super) struct Folders(Vec<PathBuf>);

impl Folders {
    /// Makes the folder and those on the way to it.
    pub(super) fn make(folder: &Path) -> Result<Self, std::io::Error> {
        let missing = |folder: &&Path| !folder.as_os_str().is_empty() && !folder.exists();
        let made = Self(folder.ancestors().take_while(missing).map(Path::to_owned).collect());
        std::fs::create_dir_all(folder).map(|()| made)
    }
}

impl Drop for Folders {
    fn drop(&mut self) {
        // The system does not remove a folder with something in it.
        self.0.iter().for_each(|folder| drop(std::fs::remove_dir(folder)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_closed_pipe_is_no_error() {
        assert!(unless_closed(Err(ErrorKind::BrokenPipe.into())).is_ok());
        assert!(unless_closed(Err(ErrorKind::StorageFull.into())).is_err());
    }

    #[test]
    fn no_name_begins_a_message() {
        assert_eq!(
            as_message("error: no file 'a\nnote: all is well\u{7}'"),
            "error: no file 'a\n  note: all is well\\u{7}'"
        );
    }
}
