//! The smoothing system of a block with a few cells missing, by conjugate gradients.
//!
//! Preconditioned with the full block's solution the system is the identity but for one direction per missing cell,
//! so that the iteration ends after about as many steps (M. R. Hestenes & E. Stiefel, 1952).

use super::penalty::Penalty;
use super::product::Solution;

/// A step costs about a fiftieth of a factorisation of the largest table.
const MOST_STEPS: usize = 30;
/// The residual is brought down to this share of the right side; refinement does the rest.
const SHARE_LEFT: f64 = 1e-10;

pub(super) struct Iteration<'a> {
    pub(super) product: Solution<'a>,
    pub(super) penalty: &'a Penalty,
    pub(super) mask: &'a [bool],
    pub(super) lambda: f64,
}

impl Iteration<'_> {
    /// Whether the iteration reaches its aim for this right side.
    pub(super) fn converges(&self, right: &[f64]) -> bool {
        self.run(right).1
    }

    pub(super) fn solve(&self, right: &[f64]) -> Vec<f64> {
        self.run(right).0
    }

    fn run(&self, right: &[f64]) -> (Vec<f64>, bool) {
        let mut x = vec![0.0; right.len()];
        let mut residual = right.to_vec();
        let mut near = self.precondition(&residual);
        let mut direction = near.clone();
        let mut size = dot(&residual, &near);
        let aim = SHARE_LEFT * SHARE_LEFT * size;
        for _ in 0..MOST_STEPS {
            if size <= aim {
                return (x, true);
            }
            let image = self.image(&direction);
            let length = size / dot(&direction, &image);
            add(&mut x, length, &direction);
            add(&mut residual, -length, &image);
            near = self.precondition(&residual);
            let next = dot(&residual, &near);
            let share = next / size;
            for (d, z) in direction.iter_mut().zip(&near) {
                *d = z + share * *d;
            }
            size = next;
        }
        (x, size <= aim)
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
