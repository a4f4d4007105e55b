//! Files of older versions. Each step is a module that turns the text of one version into that of the next, before anything
//! else looks at it; a file goes through all steps from its own version on.
//!
//! A step changes a text only where the versions differ, so that every other place stays where it is: what is found wrong
//! afterwards is told at its line in the file that the user has. New fields get the value that keeps the old meaning. A
//! step never changes once it was released; a frozen file of every version and sample is held against it
//! (`tests/frozen`).

mod from_1;
mod from_2;
mod from_3;
mod places_of_1;
#[cfg(test)]
mod proofs;
mod turn;
#[cfg(test)]
mod version_1;
#[cfg(test)]
mod version_2;
#[cfg(test)]
mod version_3;

use std::fmt;

use ron::error::SpannedError;

use self::turn::Step;
use super::{FORMAT, ReadError, read_faults};

#[cfg(test)]
pub(crate) use self::version_1::as_version_1;

/// The oldest version that is read.
pub(super) const OLDEST: u32 = 1;

/// Turns a text of one version into one of the next.
type Turning = fn(&str) -> Result<Step, SpannedError>;

/// From each version to the next, the oldest first.
const STEPS: [Turning; (FORMAT - OLDEST) as usize] = [from_1::step, from_2::step, from_3::step];

/// What there is to say of a file of an older version.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Upgrade {
    /// The version of the file.
    pub from: u32,
    /// What could not be carried over and is to be done again; usually nothing.
    pub remarks: Vec<String>,
}

/// One sentence, and one more for each remark.
impl fmt::Display for Upgrade {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { from, remarks } = self;
        write!(formatter, "The file has format version {from}; when it is saved, it gets version {FORMAT}.")?;
        remarks.iter().try_for_each(|remark| write!(formatter, " {remark}"))
    }
}

/// An older text brought to today's version.
pub(super) struct Today<'t> {
    original: &'t str,
    from: u32,
    steps: Vec<Step>,
}

/// Brings a text of version `from` to today's.
///
/// # Errors
/// [`ReadError`] when the text is not even RON.
pub(super) fn to_today(original: &str, from: u32) -> Result<Today<'_>, ReadError> {
    let mut today = Today { original, from, steps: Vec::new() };
    for step in STEPS.iter().skip((from - OLDEST) as usize) {
        let done = step(today.text()).map_err(|error| {
            let told = read_faults::told(today.text(), &error, String::new());
            today.in_the_file(told)
        })?;
        today.steps.push(done);
    }
    Ok(today)
}

impl Today<'_> {
    /// The text in today's form.
    pub(super) fn text(&self) -> &str {
        self.steps.last().map_or(self.original, |step| step.rewritten.text())
    }

    /// An error in today's text, at its place in the original one.
    pub(super) fn in_the_file(&self, error: ReadError) -> ReadError {
        let ReadError::Invalid { line, column, path, message, hint } = error else {
            return error;
        };
        let offset = turn::offset_of(self.text(), (line, column));
        let offset = self.steps.iter().rev().fold(offset, |offset, step| step.rewritten.back(offset));
        let (line, column) = super::locate::place_of(self.original, offset);
        ReadError::Invalid { line, column, path, message, hint }
    }

    /// What there is to say.
    pub(super) fn told(&self) -> Upgrade {
        let remarks = self.steps.iter().flat_map(|step| step.remarks.iter().cloned());
        Upgrade { from: self.from, remarks: remarks.collect() }
    }
}
