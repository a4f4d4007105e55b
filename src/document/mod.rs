//! Floor 5: the open project: its history, its file, its recovery copy, and the one road by which anything changes.

#[expect(clippy::module_inception, reason = "the document is this room's main noun")]
mod document;
mod history;
mod step;

pub use document::Document;
pub use step::{Revision, Step};
