//! Smoothing: the least bent surface that stays near the table.
//!
//! Whittaker's smoother with second differences (E. T. Whittaker, 1923; P. H. C. Eilers, Anal. Chem. 75 (2003)), in two
//! directions and over uneven breakpoints: minimise `Σ(z − d)² + λ(‖Dx z‖² + ‖Dy z‖²)` over the free cells, `D` being
//! the second divided differences along every row and every column, each axis scaled to unit mean spacing. Held and
//! unselected cells take part as fixed values. The correction `δ = z − d` is solved for, never `z` itself, which
//! would lose planes on uneven axes: `(I + λP) δ = −λ P d` on the free cells, `P = DxᵀDx + DyᵀDy`.
//!
//! There are three ways to solve it, since a factorisation alone is not fast enough where few cells or none are
//! fixed. On 64 × 64, best of 15 in one run with strength 2, next to SciPy's sparse solver:
//! nothing fixed, `product` takes 0.28 ms and SciPy 40 ms; one cell held, conjugate gradients take 0.41 ms, 16
//! held 1.9 ms, 100 held 3.2 ms; a tenth held, SciPy takes 29 ms. The factorisation that fairing under demands uses
//! (`fair/factor.rs`) takes 7 to 15 ms for each of these: with nothing fixed only 5 times as fast as SciPy, where 50
//! times is promised.

mod eigen;
mod penalty;
mod product;

use super::amounts::AMOUNT_RANGE_DEG;
use super::fair::factor::Factor;
use super::fair::rows::{FreeCells, System, Weights};
use super::offer::{Manner, Number, Step};
use super::operation::{Argument, Operation, Takes};
use super::shaped::{check, free};
use super::{Shaped, ShapingError, Tool, Watch};
use crate::project::{Advance, Origin};
use crate::table::Selection;
use crate::wording::{Unit, given, quantity, settle};
pub use penalty::bends;
pub(super) use penalty::{Penalty, outer_coefficients, second_difference, spacing_scale};
use product::{Product, Solution};

/// At strength s, a spike about 1.4·s cells wide is reduced to half its height.
const STRENGTH: Number = Number {
    name: "smoothing strength",
    called: "strength",
    unit: |_| Unit::None,
    range: (0.0, 10.0),
    typed: (0.0, 10.0),
    step: Step::By(0.5),
    default: 2.0,
    usual: "0.0",
    plus: false,
    argument: "STRENGTH",
    help: "0 to 10",
};

const WITHIN: Number = Number {
    name: "fairing moves at most",
    called: "most",
    unit: |_| Unit::Degree,
    range: (0.0, ANY_DEG),
    typed: (0.0, ANY_DEG),
    step: Step::OfProject,
    default: 1.0,
    usual: "00.0",
    plus: false,
    argument: "within",
    help: "Move no cell by more than this many degrees",
};

/// As a limit this is none: no cell can be moved so far.
const ANY_DEG: f64 = AMOUNT_RANGE_DEG.1;

/// 256 cells take well under a millisecond.
pub(super) const MANNER: Manner =
    Manner { at_once_cells: 256, minds_crowding: true, spares_idle: true, ..Manner::PLAIN };

/// `smooth` on the command line.
pub(super) const SMOOTH: Operation = Operation {
    name: "smooth",
    about: "Smooth the cells: STRENGTH 0 (nothing) to 10; a bump of about 1.4 × STRENGTH cells is halved",
    arguments: &[
        STRENGTH.argument(),
        Argument { name: WITHIN.argument, value_name: "DEG", help: WITHIN.help, takes: Takes::NumberOption("150") },
    ],
    takes_whole_table: false,
    tool: |given| {
        let (strength, most_deg) = (given.number(STRENGTH.argument)?, given.number(WITHIN.argument)?);
        Ok(Tool::Smooth { strength, most_deg })
    },
};

/// What smoothing is called in the history. The strength reads as in the sentence: with at least one decimal, as
/// degrees do.
pub(super) fn label(strength: f64, most_deg: f64, scope: &str) -> String {
    let within =
        if most_deg < ANY_DEG { format!(", within {}", quantity(most_deg, Unit::Degree)) } else { String::new() };
    format!("Smooth {scope}, strength {}{within}", given(strength, Unit::Degree))
}

/// The gradient of the minimised sum must be this small, or the tool refuses.
const GRADIENT_ALLOWED: f64 = 1e-6;
/// A solution this good is not refined further.
const GRADIENT_AIM: f64 = 1e-8;
const REFINEMENTS: usize = 3;

/// As [`smooth_watched`] with a strength, but no cell moves by more than `most_deg`. Cells that would move further are
/// put that far from where they were and stay there, and the others are smoothed again beside them, until none would.
///
/// # Errors
/// As [`smooth_watched`], and when the limit is out of range.
pub fn smooth_within(
    advance: &Advance,
    selection: &Selection,
    (strength, most_deg): (f64, f64),
    watch: Watch<'_>,
) -> Result<Shaped, ShapingError> {
    STRENGTH.check(strength)?;
    WITHIN.check(most_deg)?;
    Smoother::new(advance, selection)?.smooth_within(strength, most_deg, watch)
}

/// Smoothing prepared for a table and a selection, so that further strengths cost less: for live previews.
#[derive(Clone, Debug)]
pub struct Smoother {
    advance: Advance,
    selection: Selection,
    penalty: Penalty,
    /// The free cells as indices into the table's values, the shorter direction varying fastest.
    order: Vec<usize>,
    /// The full block of rows and columns that contains the free cells.
    hull: Product,
    /// Which cells of the table are free.
    mask: Vec<bool>,
}

/// Smooths the free selected cells with `strength` s, 0..=10: λ = s⁴. Strength 0 changes nothing, and a plane in
/// axis units is unchanged by every strength.
///
/// # Errors
/// [`ShapingError`] when the strength is out of range, the minimum is missed by more than 1e-6 in the gradient, a
/// result is outside the range of cells, or the selection is of no use.
pub fn smooth(advance: &Advance, selection: &Selection, strength: f64) -> Result<Shaped, ShapingError> {
    smooth_watched(advance, selection, strength, Watch::NOBODY)
}

/// As [`smooth`], watched: the watch is asked before every step of an iteration and every four rows of a
/// factorisation.
///
/// # Errors
/// As [`smooth`], and [`ShapingError::Stopped`].
pub fn smooth_watched(
    advance: &Advance,
    selection: &Selection,
    strength: f64,
    watch: Watch<'_>,
) -> Result<Shaped, ShapingError> {
    STRENGTH.check(strength)?;
    Smoother::new(advance, selection)?.smooth_watched(strength, watch)
}

impl Smoother {
    /// Prepares a table and a selection.
    ///
    /// # Errors
    /// [`ShapingError`] when the selection is of no use.
    pub fn new(advance: &Advance, selection: &Selection) -> Result<Self, ShapingError> {
        check(advance, selection)?;
        let table = advance.table();
        let penalty = Penalty::new(table.speed(), table.load());
        let mut mask = vec![false; table.values().len()];
        for cell in free(advance, selection) {
            mask[table.index(cell)] = true;
        }
        let hull = Product::around(&mask, &penalty)?;
        let order = hull.order().iter().copied().filter(|&at| mask[at]).collect();
        Ok(Self { advance: advance.clone(), selection: selection.clone(), penalty, order, hull, mask })
    }

    /// As [`smooth`], for the prepared table and selection.
    ///
    /// # Errors
    /// As from [`smooth`].
    pub fn smooth(&self, strength: f64) -> Result<Shaped, ShapingError> {
        self.smooth_watched(strength, Watch::NOBODY)
    }

    /// As [`smooth_watched`], for the prepared table and selection.
    ///
    /// # Errors
    /// As from [`smooth_watched`].
    pub fn smooth_watched(&self, strength: f64, watch: Watch<'_>) -> Result<Shaped, ShapingError> {
        STRENGTH.check(strength)?;
        let present = self.advance.table().values();
        let correction = self.correction(present, strength.powi(4), watch)?;
        let values = present.iter().zip(&correction).map(|(d, delta)| d + delta).collect();
        Shaped::values(&self.advance, &self.selection, values, Origin::Faired)
    }

    /// As [`smooth_within`], for the prepared table and selection.
    fn smooth_within(&self, strength: f64, most_deg: f64, watch: Watch<'_>) -> Result<Shaped, ShapingError> {
        let (present, lambda) = (self.advance.table().values(), strength.powi(4));
        let mut values = present.to_vec();
        let mut rest = self.clone();
        loop {
            let correction = rest.correction(&values, lambda, watch)?;
            let beyond: Vec<usize> = rest.order.iter().copied().filter(|&at| correction[at].abs() > most_deg).collect();
            if beyond.is_empty() {
                values.iter_mut().zip(&correction).for_each(|(value, by)| *value += by);
                return Shaped::values(&self.advance, &self.selection, values, Origin::Faired);
            }
            for at in beyond {
                values[at] = settle(present[at] + most_deg.copysign(correction[at]));
                rest.mask[at] = false;
            }
            rest.hull = Product::around(&rest.mask, &rest.penalty)?;
            rest.order = rest.hull.order().iter().copied().filter(|&at| rest.mask[at]).collect();
        }
    }

    /// The correction δ of every cell, zero where it is fixed.
    fn correction(&self, present: &[f64], lambda: f64, watch: Watch<'_>) -> Result<Vec<f64>, ShapingError> {
        if lambda == 0.0 || self.order.is_empty() || self.penalty.is_plane(present) {
            return Ok(vec![0.0; present.len()]);
        }
        let bent = self.penalty.apply(present);
        let product = self.hull.at(lambda);
        let missing = self.hull.order().len() - self.order.len();
        if missing == 0 {
            return self.refined(&bent, lambda, watch, |right| product.solve(right));
        }
        let right = self.first_descent(&bent, lambda);
        let iteration = Iteration { product, penalty: &self.penalty, mask: &self.mask, lambda };
        let near =
            if worth_iterating(missing, lambda) { iteration.solve(&right, 0.5 * GRADIENT_AIM, watch)? } else { None };
        if let Some(near) = near.filter(|near| largest(&self.descent(&bent, near, lambda)) <= GRADIENT_AIM) {
            return Ok(near);
        }
        let factor = self.factor(lambda, watch)?;
        self.refined(&bent, lambda, watch, |right| self.solved(&factor, right))
    }

    /// The system of the free cells, factorised.
    fn factor(&self, lambda: f64, watch: Watch<'_>) -> Result<Factor, ShapingError> {
        let free = FreeCells::new(&self.mask, (self.penalty.rows(), self.penalty.columns()));
        let weights = Weights { stay: 1.0, bend: lambda };
        Ok(System::new(&self.penalty, &free, weights, &[], &[], Vec::new()).matrix.factorised(watch)?)
    }

    /// Solves for a right-hand side over the whole table; the answer is zero in cells that are not free.
    fn solved(&self, factor: &Factor, right: &[f64]) -> Vec<f64> {
        let free: Vec<f64> = self.order.iter().map(|&at| right[at]).collect();
        let mut out = vec![0.0; right.len()];
        self.order.iter().zip(factor.solve(&free)).for_each(|(&at, value)| out[at] = value);
        out
    }

    /// Solves, then solves again for the residual, until that no longer helps.
    fn refined(
        &self,
        bent: &[f64],
        lambda: f64,
        watch: Watch<'_>,
        solve: impl Fn(&[f64]) -> Vec<f64>,
    ) -> Result<Vec<f64>, ShapingError> {
        let mut correction = vec![0.0; bent.len()];
        let mut left = self.first_descent(bent, lambda);
        for _ in 0..=REFINEMENTS {
            if largest(&left) <= GRADIENT_AIM {
                break;
            }
            watch.next()?;
            let step = solve(&left);
            let next: Vec<f64> = correction.iter().zip(&step).map(|(a, b)| a + b).collect();
            let next_left = self.descent(bent, &next, lambda);
            if largest(&next_left) >= largest(&left) {
                break;
            }
            (correction, left) = (next, next_left);
        }
        // The gradient of the sum is twice the residual of the normal equations. NaN must not pass as small.
        let gradient = 2.0 * largest(&left);
        if gradient <= GRADIENT_ALLOWED {
            return Ok(correction);
        }
        Err(ShapingError::SmoothUnsolved { gradient, allowed: GRADIENT_ALLOWED })
    }

    /// Minus half the gradient on the free cells: −δ − λP(d + δ), from P d and δ.
    fn descent(&self, bent: &[f64], correction: &[f64], lambda: f64) -> Vec<f64> {
        let added = self.penalty.apply(correction);
        let bends = bent.iter().zip(&added).zip(correction).zip(&self.mask);
        bends.map(|(((d, delta), own), &free)| if free { -lambda * (d + delta) - own } else { 0.0 }).collect()
    }

    /// The same before any correction.
    fn first_descent(&self, bent: &[f64], lambda: f64) -> Vec<f64> {
        bent.iter().zip(&self.mask).map(|(d, &free)| if free { -lambda * d } else { 0.0 }).collect()
    }
}

/// Whether iterating from the full block's solution is likely to beat a factorisation: the weaker the
/// smoothing, the less the missing cells matter (measured on the largest table).
fn worth_iterating(missing: usize, lambda: f64) -> bool {
    lambda <= 1.0 || missing <= 32 || (missing <= 128 && lambda <= 100.0)
}

/// The largest magnitude of the values; NaN if one is NaN.
fn largest(values: &[f64]) -> f64 {
    values.iter().fold(0.0, |most, value| if value.is_nan() { f64::NAN } else { f64::max(most, value.abs()) })
}

/// A step costs about a fiftieth of a factorisation of the largest table.
const MOST_STEPS: usize = 40;

/// The smoothing system of a block with a few cells missing, by conjugate gradients.
///
/// Preconditioned with the solution of the full block, the system is the identity except in one direction per
/// missing cell, so the iteration ends after about as many steps (M. R. Hestenes & E. Stiefel, 1952).
struct Iteration<'a> {
    product: Solution<'a>,
    penalty: &'a Penalty,
    mask: &'a [bool],
    lambda: f64,
}

impl Iteration<'_> {
    /// Solves for a right-hand side; `None` if the residual does not get down to `aim` within the steps
    /// allowed.
    ///
    /// # Errors
    /// [`ShapingError::Stopped`].
    fn solve(&self, right: &[f64], aim: f64, watch: Watch<'_>) -> Result<Option<Vec<f64>>, ShapingError> {
        let mut x = vec![0.0; right.len()];
        let mut residual = right.to_vec();
        let mut near = self.precondition(&residual);
        let mut direction = near.clone();
        let mut size = dot(&residual, &near);
        for _ in 0..MOST_STEPS {
            watch.next()?;
            let image = self.image(&direction);
            let length = size / dot(&direction, &image);
            add(&mut x, length, &direction);
            add(&mut residual, -length, &image);
            if largest(&residual) <= aim {
                return Ok(Some(x));
            }
            near = self.precondition(&residual);
            let next = dot(&residual, &near);
            let share = next / size;
            for (d, z) in direction.iter_mut().zip(&near) {
                *d = z + share * *d;
            }
            size = next;
        }
        Ok(None)
    }

    /// (I + λP) v on the free cells.
    fn image(&self, v: &[f64]) -> Vec<f64> {
        let bent = self.penalty.apply(v);
        let cells = v.iter().zip(&bent).zip(self.mask);
        cells.map(|((v, bent), &free)| if free { v + self.lambda * bent } else { 0.0 }).collect()
    }

    fn precondition(&self, residual: &[f64]) -> Vec<f64> {
        let mut near = self.product.solve(residual);
        for (value, &free) in near.iter_mut().zip(self.mask) {
            if !free {
                *value = 0.0;
            }
        }
        near
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn add(x: &mut [f64], factor: f64, y: &[f64]) {
    for (x, y) in x.iter_mut().zip(y) {
        *x += factor * y;
    }
}

#[cfg(test)]
mod tests;
