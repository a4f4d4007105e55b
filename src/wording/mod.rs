//! Floor 0: the one way in which numbers, units, places and names become text.
//!
//! Text for people has true minus signs (U+2212); text that a program reads back comes from [`shortest`] and
//! [`fixed_ascii`] and is ASCII. A number that was given (a breakpoint, a field, something typed) is a
//! [`quantity`]: its own digits, as many as its unit needs. A number that was computed is a [`figure`]: with
//! the decimals of its unit; next to a bound it is written by [`held_against`]. Cells and sums of degrees are
//! [`fixed`] to the decimals of the project's step, changes are [`signed`] or, where they must not read as
//! zero, a [`change`].

mod number;
mod quantity;
mod refusal;
mod text;
mod unit;

pub use number::{
    ascii, at_most, change, change_size, exact, fixed, fixed_ascii, rounded, scientific, settle, shortest, signed,
    step_decimals, true_minus, written,
};
pub use quantity::{
    bounds, figure, figure_number, given, given_load, held_against, outside, point, quantity, range, signed_figure,
    signed_quantity, with_unit,
};
pub use refusal::Refusal;
pub use text::{brief, capital, count, lower_first, one_line, plain_lines, plural};
pub use unit::Unit;
