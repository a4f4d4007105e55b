//! Floor 0: the one way in which numbers, units, places and names become text.
//!
//! Text for people has true minus signs (U+2212); text that a program reads back comes from [`shortest`] and
//! [`fixed_ascii`] and is ASCII. A number that was given (a breakpoint, a field, something typed) is a
//! [`quantity`]: its own digits, as many as its unit needs. A number that was computed is a [`figure`]: with
//! the decimals of its unit; next to a bound it is written by [`held_against`]. Cells and sums of degrees are
//! [`fixed`] to the decimals of the project's step, changes are [`signed`] or, where they must not read as
//! zero, a [`change`].

mod quantity;
mod refusal;
mod text;
mod unit;

pub use quantity::{
    ascii, at_most, bounds, change, change_size, exact, figure, figure_number, fixed, fixed_ascii, given, given_load,
    held_against, outside, point, quantity, range, rounded, scientific, settle, shortest, signed, signed_figure,
    signed_quantity, step_decimals, true_minus, with_unit, written,
};
pub use refusal::Refusal;
pub use text::{brief, capital, count, free_name, lower_first, one_line, plain_lines, plural};
pub use unit::Unit;
