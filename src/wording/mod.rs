//! Floor 0: the one way in which numbers, units, places and names become text.
//!
//! A person reads true minus signs; a program reads [`shortest`] and [`fixed_ascii`], in ASCII. A number that was given
//! (a breakpoint, a field, what was typed) is a [`quantity`]: its own digits, as many as its unit needs. A number that was
//! computed is a [`figure`]: so many decimals as its unit has; beside a bound it is [`held_against`] that. Cells and sums of degrees are [`fixed`] to the decimals of
//! the project's step, changes [`signed`] or, where they may not read as none, a [`change`].

mod name;
mod number;
mod place;
mod quantity;
mod text;

pub use name::{one_line, plain_lines};
pub use number::{
    ascii, at_most, change, change_size, exact, fixed, fixed_ascii, rounded, scientific, settle, shortest, signed,
    step_decimals, true_minus, written,
};
pub use place::{bounds, outside, point, range};
pub use quantity::{figure, figure_number, given, held_against, quantity, signed_figure, signed_quantity, with_unit};
pub use text::{brief, capital, count, lower_first, plural};
