//! Floor 0: the one way in which numbers become text, with their decimals, signs and plurals.
//!
//! A person reads [`written`], [`fixed`] and [`signed`], with a true minus sign; a program reads [`shortest`], in ASCII.

mod number;
mod text;

pub use number::{count, fixed, rounded, settle, shortest, signed, step_decimals, written};
pub use text::{brief, capital};
