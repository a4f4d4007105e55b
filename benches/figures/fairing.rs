//! Fairing under demands, contradictions and fitting, beside clarabel (an interior-point method) in the same process.
//! `benches/peers/` gives the same problems to others, as files.

use std::hint::black_box;
use std::path::Path;

use sparkloft::project::Advance;
use sparkloft::shaping::{
    Contradiction, Demands, Fairer, Near, Shaped, ShapingError, Target, TargetBound, fit, how_sure,
};
use sparkloft::table::{Selection, Table};
use sparkloft::watch::Watch;

use super::problem::{Problem, solved};
use super::{Figures, Timed, side_by_side, table};

/// How far a faired table may lie from clarabel's, degrees: that solver stops at a small change of the sum, which leaves
/// the cells where it is flat.
const ALLOWED_DEG: f64 = 1e-3;

/// Measures all of it; the problems are written into a folder if one is given.
pub(crate) fn measure(quick: bool, folder: Option<&Path>, figures: &mut Figures) {
    for (size, runs) in [(16, 101), (32, 31), (64, 11)] {
        fairing(size, if quick { 1 } else { runs }, folder, figures);
    }
    for (size, runs) in [(16, 51), (32, 11)] {
        contradiction(size, if quick { 1 } else { runs }, folder, figures);
    }
    fitting(if quick { 1 } else { 5 }, figures);
}

fn faired(advance: &Advance, demands: &Demands, start: Option<&Near>) -> Result<(Shaped, Near), ShapingError> {
    let everything = Selection::all(advance.table());
    Fairer::new(advance, &everything, demands)?.fair(start, Watch::NOBODY, &|_| {})
}

/// No steeper than the benches' table is without its bumps.
fn slopes() -> Demands {
    Demands { max_slope_per_1000rpm: Some(14.0), max_slope_per_load: Some(0.4), ..Demands::default() }
}

/// Within ±1.5° of today and no steeper than the table is without its bumps: from nothing and, as in a live preview, from
/// where fairing within ±1.4° ended. Of ours everything counts; of clarabel's the search
/// alone, and beside it all from the entries of its matrices on.
fn fairing(size: u32, runs: usize, folder: Option<&Path>, figures: &mut Figures) {
    let advance = table(size);
    let demands = |within_deg: f64| Demands { within_deg: Some(within_deg), ..slopes() };
    let (before, now) = (demands(1.4), demands(1.5));
    let fair =
        |demands: &Demands, start: Option<&Near>| faired(&advance, demands, start).expect("demands that can be kept");
    let (_, start) = fair(&before, None);
    let problem = Problem::new(advance.table(), &now);
    let mut solver = problem.for_clarabel();
    let jobs: [&mut dyn FnMut(); 4] = [
        &mut || drop(black_box(fair(&now, None))),
        &mut || drop(black_box(fair(&now, Some(&start)))),
        &mut || {
            black_box(solved(&mut solver));
        },
        &mut || {
            black_box(solved(&mut problem.for_clarabel()));
        },
    ];
    let [cold, near, peer, whole] = side_by_side(runs, jobs);
    for (job, times) in [("fair", cold), ("fair_near", near), ("clarabel", peer), ("clarabel_whole", whole)] {
        push(figures, &format!("{job}_{size}"), times);
    }
    let corrections = |shaped: &Shaped| -> Vec<f64> {
        let values = shaped.advance.table().values().iter();
        values.zip(advance.table().values()).map(|(faired, today)| faired - today).collect()
    };
    let ours = corrections(&fair(&now, None).0);
    let far_deg = farthest_deg(&ours, solved(&mut solver));
    assert!(far_deg <= ALLOWED_DEG, "{size}: clarabel's table is {far_deg} degrees from ours");
    let near_deg = farthest_deg(&ours, &corrections(&fair(&now, Some(&start)).0));
    assert!(near_deg <= 1e-8, "{size}: from nearby the table is another by {near_deg} degrees");
    eprintln!("fairing {size}x{size} agrees with clarabel to {far_deg:.1e} degrees, and with itself to {near_deg:.1e}");
    if let Some(folder) = folder {
        problem.write(&folder.join(format!("fair_{size}.json")), &ours);
    }
}

/// Measured points, two of which lie so near each other that no table as flat as is demanded passes both.
fn contradiction(size: u32, runs: usize, folder: Option<&Path>, figures: &mut Figures) {
    let advance = table(size);
    let mut points = points(advance.table(), |_| 0.0);
    points.extend([(3000.0, 40.0, 12.0), (3600.0, 46.0, -12.0)].map(|(x, y, off_deg)| target(x, y, off_deg)));
    let demands = Demands { points, ..slopes() };
    let refused = || -> Box<Contradiction> {
        match faired(&advance, &demands, None) {
            Err(ShapingError::Contradiction(told)) => told,
            _ => panic!("points that cannot be passed were"),
        }
    };
    let [times] = side_by_side(runs, [&mut || drop(black_box(refused()))]);
    push(figures, &format!("contradiction_{size}"), times);
    let told = refused();
    eprintln!("contradiction {size}x{size}: short by {:.6} degrees", told.short_by_deg);
    if let Some(folder) = folder {
        Problem::new(advance.table(), &demands)
            .write(&folder.join(format!("contradiction_{size}.json")), &told.short_by_deg);
    }
}

/// Fitting 64 × 64 to forty points that know of a hump, and how sure each cell is of it, the search for how far the
/// correction bends included in both.
fn fitting(runs: usize, figures: &mut Figures) {
    let advance = table(64);
    let everything = Selection::all(advance.table());
    let hump = |(x, y): (f64, f64)| 3.0 * (-((x - 4000.0) / 1500.0).powi(2) - ((y - 60.0) / 20.0).powi(2)).exp();
    let points = points(advance.table(), hump);
    let [fitted, sure] = side_by_side(
        runs,
        [&mut || drop(black_box(fit(&advance, &everything, &points, Watch::NOBODY).expect("a fit"))), &mut || {
            drop(black_box(how_sure(&advance, &points, Watch::NOBODY).expect("how sure")))
        }],
    );
    push(figures, "fit_64", fitted);
    push(figures, "how_sure_64", sure);
}

/// Forty points all over a table, on the surface under its bumps or so far above it.
fn points(table: &Table, above_deg: impl Fn((f64, f64)) -> f64) -> Vec<Target> {
    let (speed, load) = (table.speed(), table.load());
    // Multiples of the golden section lie apart.
    let share = |index: u32, by: f64| 0.05 + 0.9 * (f64::from(index) * by).fract();
    let place = |index: u32| {
        (
            speed.first() + speed.span() * share(index, 0.754_877_666),
            load.first() + load.span() * share(index, 0.569_840_29),
        )
    };
    (0..40).map(place).map(|(x, y)| target(x, y, above_deg((x, y)))).collect()
}

/// A point so far above the surface under the table's bumps, to half a degree.
fn target(speed_rpm: f64, load: f64, above_deg: f64) -> Target {
    let advance_deg = 10.0 + 25.0 * (speed_rpm / 8000.0).sqrt() - 0.1 * load + above_deg;
    Target { speed_rpm, load, advance_deg, sd_deg: 0.5, bound: TargetBound::about(0.5) }
}

/// The median time and, where the system tells it, the processor's time, which other programs hardly disturb.
fn push(figures: &mut Figures, name: &str, times: Timed) {
    figures.push((name, times.wall_s));
    if let Some(cpu_s) = times.cpu_s {
        figures.push((format!("{name}_cpu"), cpu_s));
    }
}

fn farthest_deg(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(one, other)| (one - other).abs()).fold(0.0, f64::max)
}
