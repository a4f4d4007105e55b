//! Floor 0: what watches long work. It is asked before every round, and may have the work stop.

use std::fmt;

use thiserror::Error;

/// Whoever watches long work had it stop; there is no result, and nothing has changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("stopped")]
pub struct Stopped;

/// Asked before every round of long work whether to go on. It is given the share, 0..=1, of the longest that the work may
/// take, where that can be told. Work that is to stop ends in that round, as [`Stopped`].
#[derive(Clone, Copy)]
pub struct Watch<'a>(&'a dyn Fn(Option<f64>) -> bool);

impl<'a> Watch<'a> {
    /// Nobody stops the work.
    pub const NOBODY: Watch<'static> = Watch(&|_| true);

    /// Goes on for as long as this says so.
    pub const fn new(goes_on: &'a dyn Fn(Option<f64>) -> bool) -> Self {
        Self(goes_on)
    }

    /// To be asked before a round that is not the last: `done` of at most `most` are done.
    pub(crate) fn round(self, done: usize, most: usize) -> Result<(), Stopped> {
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 rounds")]
        self.ask(Some(done as f64 / most as f64))
    }

    /// The same for a round of which nobody can tell how many come after it.
    pub(crate) fn next(self) -> Result<(), Stopped> {
        self.ask(None)
    }

    fn ask(self, share: Option<f64>) -> Result<(), Stopped> {
        if (self.0)(share) { Ok(()) } else { Err(Stopped) }
    }
}

impl fmt::Debug for Watch<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Watch")
    }
}

/// How often work asks, and what it gives when it is told to stop after it has gone on `rounds` times.
#[cfg(test)]
pub(crate) fn stopped_after<T>(rounds: usize, work: impl FnOnce(Watch<'_>) -> T) -> (usize, T) {
    let asked = std::cell::Cell::new(0);
    let goes_on = |share: Option<f64>| {
        assert!(share.is_none_or(|share| (0.0..=1.0).contains(&share)));
        asked.set(asked.get() + 1);
        asked.get() <= rounds
    };
    let result = work(Watch::new(&goes_on));
    (asked.get(), result)
}
