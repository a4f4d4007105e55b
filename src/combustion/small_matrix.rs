//! Symmetric positive definite matrices of a few rows.

/// Square, row by row.
pub(super) type Matrix<const N: usize> = [[f64; N]; N];

/// A matrix with these numbers on its diagonal.
pub(super) fn diagonal<const N: usize>(values: [f64; N]) -> Matrix<N> {
    let mut matrix = [[0.0; N]; N];
    for (at, value) in values.into_iter().enumerate() {
        matrix[at][at] = value;
    }
    matrix
}

/// xᵀ A x.
pub(super) fn quadratic<const N: usize>(matrix: &Matrix<N>, x: &[f64; N]) -> f64 {
    let row = |row: &[f64; N]| -> f64 { row.iter().zip(x).map(|(a, b)| a * b).sum() };
    matrix.iter().zip(x).map(|(each, b)| row(each) * b).sum()
}

/// The lower factor L of A = L Lᵀ by Cholesky's method; `None` if A is not positive definite.
struct Factor<const N: usize>(Matrix<N>);

impl<const N: usize> Factor<N> {
    fn new(matrix: &Matrix<N>) -> Option<Self> {
        let mut lower = [[0.0; N]; N];
        for row in 0..N {
            for column in 0..=row {
                let known: f64 = (0..column).map(|k| lower[row][k] * lower[column][k]).sum();
                let rest = matrix[row][column] - known;
                if row == column && rest.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) {
                    return None;
                }
                lower[row][column] = if row == column { rest.sqrt() } else { rest / lower[column][column] };
            }
        }
        Some(Self(lower))
    }

    fn solve(&self, right: &[f64; N]) -> [f64; N] {
        let lower = &self.0;
        let mut x = *right;
        for row in 0..N {
            let known: f64 = (0..row).map(|k| lower[row][k] * x[k]).sum();
            x[row] = (x[row] - known) / lower[row][row];
        }
        for row in (0..N).rev() {
            let known: f64 = (row + 1..N).map(|k| lower[k][row] * x[k]).sum();
            x[row] = (x[row] - known) / lower[row][row];
        }
        x
    }
}

/// x of A x = b; `None` if A is not positive definite.
pub(super) fn solve<const N: usize>(matrix: &Matrix<N>, right: &[f64; N]) -> Option<[f64; N]> {
    Some(Factor::new(matrix)?.solve(right))
}

/// A⁻¹; `None` if A is not positive definite.
pub(super) fn inverse<const N: usize>(matrix: &Matrix<N>) -> Option<Matrix<N>> {
    let factor = Factor::new(matrix)?;
    let unit = diagonal([1.0; N]);
    // A⁻¹ is symmetric, so that its columns are its rows.
    Some(unit.map(|column| factor.solve(&column)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_matrix_times_its_inverse_is_one() {
        let matrix = [[4.0, 1.0, -0.5], [1.0, 3.0, 0.25], [-0.5, 0.25, 2.0]];
        let inverse = inverse(&matrix).unwrap();
        let unit: Matrix<3> = diagonal([1.0; 3]);
        for (row, expected) in matrix.iter().zip(unit) {
            let product = inverse.map(|column| row.iter().zip(column).map(|(a, b)| a * b).sum::<f64>());
            assert!(product.iter().zip(expected).all(|(found, expected)| (found - expected).abs() < 1e-14));
        }
        let x = solve(&matrix, &[1.0, 2.0, 3.0]).unwrap();
        assert!((quadratic(&matrix, &x) - (x[0] + 2.0 * x[1] + 3.0 * x[2])).abs() < 1e-14);
        assert_eq!(super::inverse(&[[1.0, 2.0], [2.0, 1.0]]), None);
        assert_eq!(solve(&[[f64::NAN, 0.0], [0.0, 1.0]], &[1.0, 1.0]), None);
    }
}
