//! Floor 0: axes, tables, curves, lookup and selections. Nothing here knows what the numbers mean.
//!
//! Shape and order, everywhere in this crate: a table holds one value per (load row, speed column); values are
//! stored row by row, lowest load first, lowest speed first within a row. Axes are strictly increasing. A lookup
//! outside the axes clamps its coordinates to them.

mod axis;
mod lookup;
mod selection;
#[expect(clippy::module_inception, reason = "the table is this room's main noun")]
mod table;

pub use axis::{Axis, AxisError, MAX_BREAKPOINTS, MIN_BREAKPOINTS, Position};
#[cfg(test)]
pub(crate) use changes::Changes;
pub use lookup::{Lookup, blend};
pub use selection::connected;
pub use selection::{Block, Cell, RangeError, Selection};
pub use table::{Curve, CurveError};
pub use table::{Table, TableError};

/// Small random changes to valid input, for the tests that feed damaged files to every reader.
#[cfg(test)]
mod changes {
    /// A small generator of the xorshift kind (Marsaglia, "Xorshift RNGs", 2003): the same changes in every run.
    pub(crate) struct Changes(u64);

    impl Changes {
        /// Starts at a seed, which is not 0.
        pub(crate) const fn new(seed: u64) -> Self {
            Self(seed)
        }

        /// Any number.
        pub(crate) const fn any(&mut self) -> u64 {
            self.0 ^= self.0 << 13;
            self.0 ^= self.0 >> 7;
            self.0 ^= self.0 << 17;
            self.0
        }

        /// A number below `limit`; 0 when that is 0.
        pub(crate) fn below(&mut self, limit: usize) -> usize {
            usize::try_from(self.any() >> 16).unwrap() % limit.max(1)
        }

        /// Makes one to four changes, each of which cuts off the end, removes, replaces or inserts a single byte (a new
        /// one is from `likely`), or repeats a piece shorter than `longest` bytes.
        pub(crate) fn apply(&mut self, valid: &[u8], likely: &[u8], longest: usize) -> Vec<u8> {
            let mut bytes = valid.to_vec();
            for _ in 0..=self.below(4) {
                let at = self.below(bytes.len());
                let byte = likely[self.below(likely.len())];
                match self.below(6) {
                    0 => bytes.truncate(at),
                    1 if at < bytes.len() => drop(bytes.remove(at)),
                    2 if at < bytes.len() => bytes[at] = byte,
                    3 => {
                        let end = (at + self.below(longest)).min(bytes.len());
                        let piece = bytes[at..end].to_vec();
                        let to = self.below(bytes.len());
                        bytes.splice(to..to, piece);
                    }
                    _ => bytes.insert(at, byte),
                }
            }
            bytes
        }
    }
}
