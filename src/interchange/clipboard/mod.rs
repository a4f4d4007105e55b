//! Tab-separated text to and from any spreadsheet.

mod copy;
mod paste;
mod read;

pub use copy::{CopyError, CopyOptions, copy_block};
pub use paste::{Paste, PasteError, PasteOutcome, paste};
pub use read::{Answers, Breakpoints, Clip, ClipError, Clipping, read_clip};

#[cfg(test)]
mod tests;
