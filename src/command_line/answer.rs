//! The answer of a job, and the one place where it is printed.

use std::io::{self, ErrorKind, Write};
use std::process::ExitCode;

use super::Failure;
use super::pending::{Pending, give_back, place};
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
