//! Floor 3: comparing two projects, telling the difference in figures and words, taking parts of it back, and merging what two
//! people made of one base.
//!
//! Everywhere here *base* is what is compared with and *edited* is the project at hand; a delta is edited − base.

mod delta;
mod field_differences;
mod field_words;
mod figures;
mod form;
mod labels;
mod merge;
mod one_field;
mod regions;
#[cfg(test)]
pub(crate) mod samples;
mod section;
mod take_back;
mod value_words;
mod whole;

pub use delta::{CHANGED_ABOVE_DEG, Delta, NotCompared, Refusal, Side, TableAxis};
pub use field_differences::{FieldDifference, FieldDifferences};
pub use field_words::Told;
pub use figures::{Extreme, Figures, UNWEIGHTED_NOTE, WITHIN_DEG};
pub use merge::{Brought, Conflict, ConflictPlace, Merge, Version};
pub use one_field::{FieldWords, value_words};
pub use regions::{Region, Sign, Threshold, ThresholdError, regions};
pub use section::Section;
pub use take_back::{CellCounts, TakeBackError, TakenBack, take_back_cells, take_back_fields, take_back_sections};
pub use whole::{Comparison, TableComparison};
