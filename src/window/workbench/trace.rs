//! Logs what was carried out, line by line, if the user asks for it: the program's only record of what was done
//! in it. It goes into that file and nowhere else.

use std::ffi::OsString;
use std::fmt::{self, Write as _};
use std::fs::File;
use std::io::{self, Write as _};
use std::path::Path;
use std::time::Instant;

use crate::window::state::outbox::Action;
use crate::wording::{fixed_ascii, one_line};

/// Names the file.
const VARIABLE: &str = "SPARKLOFT_TRACE";

/// Lines are cut at this length in bytes: a message may contain a whole project.
const LONGEST_LINE: usize = 4000;

/// The file that every message is written to, if there is one.
#[derive(Debug)]
pub struct Trace(Option<Open>);

#[derive(Debug)]
struct Open {
    file: File,
    start: Instant,
}

impl Trace {
    /// Nothing is written.
    pub const fn none() -> Self {
        Self(None)
    }

    /// As the environment says. If the file cannot be written, that is logged, and nothing is traced.
    pub fn from_environment() -> Self {
        let named: Option<OsString> = std::env::var_os(VARIABLE).filter(|path| !path.is_empty());
        let Some(path) = named else { return Self::none() };
        Self::to(Path::new(&path)).unwrap_or_else(|error| {
            let shown = path.to_string_lossy();
            log::warn!("{VARIABLE}: {}: {error}; no trace is written", one_line(&shown));
            Self::none()
        })
    }

    /// Into a new file at this path, replacing one that is there.
    ///
    /// # Errors
    /// Why the file cannot be written.
    pub fn to(path: &Path) -> io::Result<Self> {
        Ok(Self(Some(Open { file: File::create(path)?, start: Instant::now() })))
    }

    /// Writes a message: seconds since the start and the message, on one line. If that fails, it is logged and
    /// nothing more is written.
    pub(super) fn write(&mut self, action: &Action) {
        let Some(Open { file, start }) = &mut self.0 else { return };
        let line = line(start.elapsed().as_secs_f64(), action);
        if let Err(error) = file.write_all(line.as_bytes()) {
            log::warn!("{VARIABLE}: {error}; nothing more is written");
            self.0 = None;
        }
    }
}

fn line(since_s: f64, action: &Action) -> String {
    let mut told = Cut(String::new());
    let mark = if write!(told, "{action:?}").is_err() { "\u{2026}" } else { "" };
    format!("{} {}{mark}\n", fixed_ascii(since_s, 3), one_line(&told.0))
}

/// A text that refuses what does not fit any more, so that a project is not written out only to be cut.
struct Cut(String);

impl fmt::Write for Cut {
    fn write_str(&mut self, part: &str) -> fmt::Result {
        let room = LONGEST_LINE - self.0.len();
        if part.len() <= room {
            self.0.push_str(part);
            return Ok(());
        }
        let fitting = (0..=room).rev().find(|&end| part.is_char_boundary(end)).unwrap_or(0);
        self.0.push_str(part.get(..fitting).unwrap_or_default());
        // It is full; this error stops the formatting.
        Err(fmt::Error)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::state::edits::DocumentEdit;

    #[test]
    fn a_message_is_one_line_whatever_others_have_written_into_it() {
        let edit = DocumentEdit::set_field("notes", "one\ntwo\u{202e}\u{1b}[2J");
        let told = line(1.5, &Action::Edit("Set notes".into(), edit));
        assert_eq!(told, "1.500 Edit(\"Set notes\", SetFields([(\"notes\", \"one\\ntwo\\u{202e}\\u{1b}[2J\")]))\n");
    }

    #[test]
    fn a_long_message_is_cut_between_characters() {
        for lead in 0..4 {
            let text = "x".repeat(lead) + &"\u{2212}".repeat(2 * LONGEST_LINE);
            let told = line(0.0, &Action::Copy(text));
            assert!(told.len() <= LONGEST_LINE + 16 && told.ends_with("\u{2026}\n") && told.lines().count() == 1);
        }
    }
}
