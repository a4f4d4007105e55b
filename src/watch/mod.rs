//! Floor 0: the watch over long work: it is asked before every round and can make the work stop.

use std::fmt;

use thiserror::Error;

/// Long work was stopped by its watch: there is no result, and nothing has changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("stopped")]
pub struct Stopped;

/// Is asked before every round of long work whether to go on. It is told how far the work is, as a share 0..=1 of
/// the longest that it may take, if that is known. Work that is stopped returns [`Stopped`] at once, and no result.
#[derive(Clone, Copy)]
pub struct Watch<'a>(&'a dyn Fn(Option<f64>) -> bool);

impl<'a> Watch<'a> {
    /// Never stops the work.
    pub const NOBODY: Watch<'static> = Watch(&|_| true);

    /// Goes on for as long as `goes_on` returns true.
    pub const fn new(goes_on: &'a dyn Fn(Option<f64>) -> bool) -> Self {
        Self(goes_on)
    }

    /// To be called before every round but the last: `done` of at most `most` rounds are done.
    pub(crate) fn round(self, done: usize, most: usize) -> Result<(), Stopped> {
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 rounds")]
        self.ask(Some(done as f64 / most as f64))
    }

    /// The same where nobody can tell how many rounds remain.
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

/// How often work asks, and what it returns when it is stopped after it was let go on `rounds` times.
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
