//! The smoothing system of a block with a few cells missing, by conjugate gradients.
//!
//! Preconditioned with the solution of the full block, the system is the identity except in one direction per
//! missing cell, so the iteration ends after about as many steps (M. R. Hestenes & E. Stiefel, 1952).

use super::penalty::Penalty;
use super::product::Solution;
use super::{ShapingError, Watch, largest};

/// A step costs about a fiftieth of a factorisation of the largest table.
const MOST_STEPS: usize = 40;

pub(super) struct Iteration<'a> {
    pub(super) product: Solution<'a>,
    pub(super) penalty: &'a Penalty,
    pub(super) mask: &'a [bool],
    pub(super) lambda: f64,
}

impl Iteration<'_> {
    /// Solves for a right-hand side; `None` if the residual does not get down to `aim` within the steps
    /// allowed.
    ///
    /// # Errors
    /// [`ShapingError::Stopped`].
    pub(super) fn solve(&self, right: &[f64], aim: f64, watch: Watch<'_>) -> Result<Option<Vec<f64>>, ShapingError> {
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
