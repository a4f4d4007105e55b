//! Problems of fairing, stated here once more from the definition and not by the crate's own code: for solvers of others.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::BufWriter;
use std::path::Path;

use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettingsBuilder, DefaultSolver, IPSolver, NonnegativeConeT, SolverStatus};
use serde::Serialize;
use sparkloft::project::ADVANCE_RANGE_DEG;
use sparkloft::shaping::{Demands, Target, TargetBound};
use sparkloft::table::{Axis, Table};

/// What bends weigh against what cells move by: fairing's λ.
const BEND: f64 = 1e6;
/// Where clarabel stops: all of its tolerances.
const TOLERANCE: f64 = 1e-9;

/// Entries of a sparse vector by cell.
type Entries = Vec<(usize, f64)>;

/// Corrections δ of cells that minimise `½δᵀHδ + gᵀδ` within limits on sums of them.
#[derive(Serialize)]
pub(crate) struct Problem {
    cells: usize,
    /// The upper triangle of H: row, column, entry.
    quadratic: Vec<(usize, usize, f64)>,
    linear: Vec<f64>,
    /// The limits on each cell in the order of the cells, and then the others.
    limits: Vec<Limit>,
}

/// A weighted sum of cells stays between two values, degrees.
#[derive(Serialize)]
struct Limit {
    entries: Entries,
    low: f64,
    high: f64,
}

/// A problem with what we made of it.
#[derive(Serialize)]
struct Written<'a, T> {
    problem: &'a Problem,
    ours: &'a T,
}

impl Problem {
    /// What fairing a whole table under these demands minimises: `Σδ² + λ(‖Dx z‖² + ‖Dy z‖²)` for values `z = d + δ`.
    pub(crate) fn new(table: &Table, demands: &Demands) -> Self {
        let cells = table.values().len();
        let mut quadratic: BTreeMap<(usize, usize), f64> = (0..cells).map(|cell| ((cell, cell), 1.0)).collect();
        let mut linear = vec![0.0; cells];
        for bend in bends(table) {
            let bent = sum(&bend, table.values());
            for &(one, a) in &bend {
                linear[one] += BEND * a * bent;
                for &(other, b) in bend.iter().filter(|(other, _)| one <= *other) {
                    *quadratic.entry((one, other)).or_default() += BEND * a * b;
                }
            }
        }
        let quadratic = quadratic.into_iter().map(|((row, column), entry)| (row, column, entry)).collect();
        Self { cells, quadratic, linear, limits: limits(table, demands) }
    }

    /// Prepares clarabel for it.
    pub(crate) fn for_clarabel(&self) -> DefaultSolver<f64> {
        let quadratic = sparse(self.cells, self.cells, self.quadratic.iter().copied());
        // Both sides of each limit as one that bounds from above.
        let sides = |limit: &Limit| [(1.0, limit.high), (-1.0, -limit.low)];
        let most: Vec<f64> = self.limits.iter().flat_map(sides).map(|(_, most)| most).collect();
        let signed = self.limits.iter().flat_map(|limit| sides(limit).map(|(sign, _)| (limit, sign)));
        let entries = signed.enumerate().flat_map(|(row, (limit, sign))| {
            limit.entries.iter().map(move |&(cell, weight)| (row, cell, sign * weight))
        });
        let linear = sparse(most.len(), self.cells, entries);
        let mut settings = DefaultSettingsBuilder::default();
        settings.verbose(false).tol_gap_abs(TOLERANCE).tol_gap_rel(TOLERANCE).tol_feas(TOLERANCE);
        let settings = settings.build().expect("settings");
        let cones = [NonnegativeConeT(most.len())];
        DefaultSolver::new(&quadratic, &self.linear, &linear, &most, &cones, settings).expect("a problem for clarabel")
    }

    /// Writes it into a file, with what we made of it, for `benches/peers/`.
    pub(crate) fn write(&self, path: &Path, ours: &impl Serialize) {
        let file = BufWriter::new(File::create(path).expect("a file for a problem"));
        serde_json::to_writer(file, &Written { problem: self, ours }).expect("a problem that can be written");
    }
}

/// The corrections that clarabel finds.
pub(crate) fn solved(solver: &mut DefaultSolver<f64>) -> &[f64] {
    solver.solve();
    assert_eq!(solver.solution.status, SolverStatus::Solved, "clarabel gave up");
    &solver.solution.x
}

fn sparse(rows: usize, columns: usize, entries: impl Iterator<Item = (usize, usize, f64)>) -> CscMatrix<f64> {
    let (mut down, mut across, mut values) = (Vec::new(), Vec::new(), Vec::new());
    for (row, column, value) in entries {
        down.push(row);
        across.push(column);
        values.push(value);
    }
    CscMatrix::new_from_triplets(rows, columns, down, across, values)
}

fn sum(entries: &Entries, values: &[f64]) -> f64 {
    entries.iter().map(|&(cell, weight)| weight * values[cell]).sum()
}

/// Second divided differences along both axes, each scaled to a mean spacing of one.
fn bends(table: &Table) -> Vec<Entries> {
    let (speeds, loads) = (table.speed().len(), table.load().len());
    let along = |axis: &Axis, at: &dyn Fn(usize) -> usize| -> Vec<Entries> {
        let scale = (axis.len() - 1) as f64 / axis.span();
        let three = axis.breakpoints().windows(3).enumerate();
        three
            .map(|(first, x)| {
                let (h1, h2) = ((x[1] - x[0]) * scale, (x[2] - x[1]) * scale);
                let weights = [2.0 / (h1 * (h1 + h2)), -2.0 / (h1 * h2), 2.0 / (h2 * (h1 + h2))];
                weights.iter().enumerate().map(|(next, &weight)| (at(first + next), weight)).collect()
            })
            .collect()
    };
    let rows = (0..loads).flat_map(|load| along(table.speed(), &|speed| load * speeds + speed));
    let columns = (0..speeds).flat_map(|speed| along(table.load(), &|load| load * speeds + speed));
    rows.chain(columns).collect()
}

/// Limits on cells, on the slopes between neighbours, and at measured points.
fn limits(table: &Table, demands: &Demands) -> Vec<Limit> {
    let (d, speeds) = (table.values(), table.speed().len());
    let by_deg = demands.within_deg.unwrap_or(f64::INFINITY);
    let within = |(cell, &deg): (usize, &f64)| Limit {
        entries: vec![(cell, 1.0)],
        low: (-by_deg).max(ADVANCE_RANGE_DEG.0 - deg),
        high: by_deg.min(ADVANCE_RANGE_DEG.1 - deg),
    };
    let cells = d.iter().enumerate().map(within);
    let pair = |before: usize, after: usize, most_deg: f64| {
        let today_deg = d[after] - d[before];
        Limit { entries: vec![(after, 1.0), (before, -1.0)], low: -most_deg - today_deg, high: most_deg - today_deg }
    };
    let (speed, load) = (table.speed().breakpoints(), table.load().breakpoints());
    let mut pairs = Vec::new();
    for cell in 0..d.len() {
        let (row, column) = (cell / speeds, cell % speeds);
        if let (Some(next), Some(slope)) = (speed.get(column + 1), demands.max_slope_per_1000rpm) {
            pairs.push(pair(cell, cell + 1, slope / 1000.0 * (next - speed[column])));
        }
        if let (Some(next), Some(slope)) = (load.get(row + 1), demands.max_slope_per_load) {
            pairs.push(pair(cell, cell + speeds, slope * (next - load[row])));
        }
    }
    cells.chain(pairs).chain(demands.points.iter().map(|point| passing(table, point))).collect()
}

/// What lies between four cells is near what was measured there.
fn passing(table: &Table, point: &Target) -> Limit {
    let place = |axis: &Axis, at: f64| {
        let x = axis.breakpoints();
        let before = x.partition_point(|x| *x <= at).clamp(1, x.len() - 1) - 1;
        (before, (at - x[before]) / (x[before + 1] - x[before]))
    };
    let ((column, s), (row, t)) = (place(table.speed(), point.speed_rpm), place(table.load(), point.load));
    let cell = row * table.speed().len() + column;
    let above = cell + table.speed().len();
    let shares = [(1.0 - t) * (1.0 - s), (1.0 - t) * s, t * (1.0 - s), t * s];
    let entries: Entries = [cell, cell + 1, above, above + 1].into_iter().zip(shares).collect();
    let TargetBound::About { below_deg, above_deg } = point.bound else { panic!("a point with both bounds") };
    let up_deg = point.advance_deg - sum(&entries, table.values());
    Limit { entries, low: up_deg - below_deg, high: up_deg + above_deg }
}
