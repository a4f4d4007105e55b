//! Where a table was raised or lowered: regions of adjacent points.

use std::cmp::Reverse;

use thiserror::Error;

use super::delta::is_change;
use super::{Delta, Extreme};
use crate::project::{LoadKind, Project};
use crate::table::{Cell, Selection, Table, connected};
use crate::watch::{Stopped, Watch};
use crate::wording::{Unit, change_size, range, with_unit, written};

/// The delta, in degrees, from which a point belongs to a region: finite, 0 or more; 0 includes every changed
/// point.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Threshold(f64);

/// Why a number cannot be a threshold.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[error("a threshold of {} makes no regions; it must be a finite number, 0 or more", with_unit(&written(*.given_deg), Unit::Degree))]
pub struct ThresholdError {
    /// The number given.
    pub given_deg: f64,
}

impl Threshold {
    /// A threshold in degrees.
    ///
    /// # Errors
    /// [`ThresholdError`] when it is negative or not finite.
    pub fn new(deg: f64) -> Result<Self, ThresholdError> {
        if deg.is_finite() && deg >= 0.0 { Ok(Self(deg)) } else { Err(ThresholdError { given_deg: deg }) }
    }

    /// The threshold in degrees.
    pub fn deg(self) -> f64 {
        self.0
    }

    fn admits(self, deg: f64) -> bool {
        deg.abs() >= self.0 && is_change(deg)
    }
}

impl Default for Threshold {
    /// Half a degree: about the least that a timing light can show. Common practice, no source.
    fn default() -> Self {
        Self(0.5)
    }
}

/// Whether points lie above or below the base.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// Above it: more advance.
    Raised,
    /// Below it: less advance.
    Lowered,
}

impl Sign {
    fn of(deg: f64) -> Self {
        if deg > 0.0 { Self::Raised } else { Self::Lowered }
    }

    /// The word that a region's description begins with.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Raised => "Raised",
            Self::Lowered => "Lowered",
        }
    }
}

/// A connected set of points at or above the threshold, all of one sign, adjacent along speed or along load.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// Raised or lowered.
    pub sign: Sign,
    /// Its points as rows and columns of the delta, row by row.
    pub points: Vec<Cell>,
    /// Lowest and highest speed.
    pub speed_rpm: (f64, f64),
    /// Lowest and highest load, in the load unit.
    pub load: (f64, f64),
    /// The mean delta of its points, with its sign.
    pub mean_deg: f64,
    /// The delta furthest from zero, and where it is.
    pub peak: Extreme,
}

/// The regions of a delta: most points first, then the higher peak, then the lower load and speed. The watch is
/// asked before every region.
///
/// # Errors
/// [`Stopped`] when the watch has it stop.
pub fn regions(delta: &Delta, threshold: Threshold, watch: Watch<'_>) -> Result<Vec<Region>, Stopped> {
    let groups = groups(delta, threshold);
    let most = groups.len();
    let mut regions = Vec::with_capacity(most);
    for (done, points) in groups.into_iter().enumerate() {
        watch.round(done, most)?;
        regions.push(Region::of(delta, points));
    }
    regions.sort_by(|a, b| {
        let peaks = || b.peak.deg.abs().total_cmp(&a.peak.deg.abs());
        Reverse(a.cells()).cmp(&Reverse(b.cells())).then_with(peaks)
    });
    Ok(regions)
}

/// The cells of the edited table in the region that holds one of them; none where no region does, or where the tables cannot
/// be compared. They are those of [`regions`] and [`Region::in_table`].
pub fn region_at(base: &Project, edited: &Project, threshold: Threshold, cell: Cell) -> Selection {
    let table = edited.advance.table();
    let mut found = Selection::none(table.load().len(), table.speed().len());
    let Ok(delta) = Delta::between(base, edited) else { return found };
    let place = (table.speed().breakpoints().get(cell.speed), table.load().breakpoints().get(cell.load));
    let (Some(&speed_rpm), Some(&load)) = place else { return found };
    let Some(point) = delta.point_at(speed_rpm, load).filter(|&point| threshold.admits(delta.at(point))) else {
        return found;
    };
    if let Some(region) = groups(&delta, threshold).into_iter().find(|points| points.contains(&point)) {
        found.extend(cells_at(&region, &delta, table));
    }
    found
}

/// Connected points of one sign that reach the threshold.
fn groups(delta: &Delta, threshold: Threshold) -> Vec<Vec<Cell>> {
    let admitted = delta.points().map(|(point, _)| point).filter(|&point| threshold.admits(delta.at(point)));
    let same_sign = |a: Cell, b: Cell| Sign::of(delta.at(a)) == Sign::of(delta.at(b));
    connected(admitted, same_sign)
}

/// The cells of a table at points of a delta.
fn cells_at(points: &[Cell], delta: &Delta, table: &Table) -> impl Iterator<Item = Cell> {
    let places = points.iter().map(|&point| delta.place(point));
    places.filter_map(|(x, y)| Some(Cell::new(table.load().index_of(y)?, table.speed().index_of(x)?)))
}

impl Region {
    fn of(delta: &Delta, points: Vec<Cell>) -> Self {
        let whole = |places: &mut dyn Iterator<Item = f64>| {
            places.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)))
        };
        let extreme = |point: Cell| {
            let (speed_rpm, load) = delta.place(point);
            Extreme { deg: delta.at(point), speed_rpm, load }
        };
        let further = |best: Extreme, next: Extreme| if next.deg.abs() > best.deg.abs() { next } else { best };
        let peak = points.iter().skip(1).fold(extreme(points[0]), |best, &point| further(best, extreme(point)));
        #[expect(clippy::cast_precision_loss, reason = "at most 128 × 128 points")]
        let count = points.len() as f64;
        Self {
            sign: Sign::of(peak.deg),
            speed_rpm: whole(&mut points.iter().map(|&point| delta.place(point).0)),
            load: whole(&mut points.iter().map(|&point| delta.place(point).1)),
            mean_deg: points.iter().map(|&point| delta.at(point)).sum::<f64>() / count,
            peak,
            points,
        }
    }

    /// How many points it has.
    pub fn cells(&self) -> usize {
        self.points.len()
    }

    /// The cells of the edited table at its points. Points that are not breakpoints of the edited table have no
    /// cell.
    pub fn in_table(&self, delta: &Delta, edited: &Table) -> Selection {
        let mut selection = Selection::none(edited.load().len(), edited.speed().len());
        selection.extend(cells_at(&self.points, delta, edited));
        selection
    }

    /// What happened: 'Lowered by 1.5° on average, 2.0° at most', degrees to `decimals`.
    pub fn headline(&self, decimals: usize) -> String {
        let by = |deg: f64| with_unit(&change_size(deg, decimals), Unit::Degree);
        let (mean, peak) = (by(self.mean_deg), by(self.peak.deg));
        let verb = self.sign.word();
        match (self.cells(), mean == peak) {
            (1, _) => format!("{verb} by {peak}"),
            (_, true) => format!("{verb} by {peak} throughout"),
            _ => format!("{verb} by {mean} on average, {peak} at most"),
        }
    }

    /// Where: '2400–4200 rpm, 48–100 %'.
    pub fn place_words(&self, load: LoadKind) -> String {
        format!("{}, {}", range(self.speed_rpm, Unit::Rpm), range(self.load, load.unit()))
    }

    /// Both in one line: 'Lowered by 1.5° on average, 2.0° at most; 2400–4200 rpm, 48–100 %'.
    pub fn words(&self, load: LoadKind, decimals: usize) -> String {
        format!("{}; {}", self.headline(decimals), self.place_words(load))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::compare::samples::{advance, any_advance, project};
    use crate::project::Origin;

    const SPEEDS: [f64; 5] = [1000.0, 2000.0, 3000.0, 4000.0, 5000.0];
    const LOADS: [f64; 4] = [0.0, 40.0, 80.0, 100.0];

    fn found(delta: &Delta, threshold: Threshold) -> Vec<Region> {
        regions(delta, threshold, Watch::NOBODY).unwrap()
    }

    /// A delta with these values, lowest load first.
    fn delta(rows: [[f64; 5]; 4]) -> Delta {
        let with = |cells: &[f64]| project(advance((&SPEEDS, &LOADS), cells, Origin::Typed));
        Delta::between(&with(&[0.0; 20]), &with(rows.as_flattened())).unwrap()
    }

    fn worked() -> Delta {
        delta([
            [0.0, 0.0, 0.0, 0.0, 0.4],
            [-1.0, -1.0, 1.0, 0.0, 0.0],
            [0.0, -2.5, 0.5, 0.0, 3.0],
            [0.0, 0.0, -1.0, 0.0, 0.0],
        ])
    }

    /// By hand: the three lowered points are connected, the fourth touches them only at a corner; the raised
    /// pair beside them has the other sign; 0.4 is below the threshold.
    #[test]
    fn neighbours_of_one_sign_make_a_region() {
        let regions = found(&worked(), Threshold::default());
        let told: Vec<String> = regions.iter().map(|region| region.words(LoadKind::Throttle, 1)).collect();
        let expected = [
            "Lowered by 1.5° on average, 2.5° at most; 1000–2000 rpm, 40–80 %",
            "Raised by 0.8° on average, 1.0° at most; 3000 rpm, 40–80 %",
            "Raised by 3.0°; 5000 rpm, 80 %",
            "Lowered by 1.0°; 3000 rpm, 100 %",
        ];
        assert_eq!(told, expected);
        let first = &regions[0];
        assert_eq!((first.sign, first.cells(), first.mean_deg), (Sign::Lowered, 3, -1.5));
        assert_eq!(first.peak, Extreme { deg: -2.5, speed_rpm: 2000.0, load: 80.0 });
        assert_eq!(first.points, [Cell::new(1, 0), Cell::new(1, 1), Cell::new(2, 1)]);
    }

    #[test]
    fn the_threshold_decides_and_zero_takes_every_change() {
        let cells = |deg| found(&worked(), Threshold::new(deg).unwrap()).iter().map(Region::cells).sum::<usize>();
        assert_eq!([0.0, 0.4, 0.5, 1.5, 3.0, 3.1].map(cells), [8, 8, 7, 2, 1, 0]);
        assert_eq!(
            Threshold::new(-1.0).unwrap_err().to_string(),
            "a threshold of −1° makes no regions; it must be a finite number, 0 or more"
        );
        assert!(Threshold::new(f64::NAN).is_err());
    }

    #[test]
    fn an_even_change_is_told_as_one() {
        let even = delta([[0.0; 5], [-1.0; 5], [0.0; 5], [0.0; 5]]);
        let regions = found(&even, Threshold::default());
        assert_eq!(regions[0].headline(1), "Lowered by 1.0° throughout");
        assert_eq!(regions[0].place_words(LoadKind::Pressure), "1000–5000 rpm, 40 kPa");
    }

    #[test]
    fn a_region_selects_the_cells_of_the_edited_table() {
        let (base_cells, edited_cells) = ([0.0; 20], [1.0; 6]);
        let base = project(advance((&SPEEDS, &LOADS), &base_cells, Origin::Typed));
        let edited = project(advance((&[2000.0, 2500.0, 6000.0], &[0.0, 100.0]), &edited_cells, Origin::Typed));
        let delta = Delta::between(&base, &edited).unwrap();
        let regions = found(&delta, Threshold::default());
        assert_eq!(regions[0].cells(), 5 * 4);
        let selection = regions[0].in_table(&delta, edited.advance.table());
        assert_eq!(
            selection.cells().collect::<Vec<_>>(),
            [(0, 0), (0, 1), (1, 0), (1, 1)].map(|(l, s)| Cell::new(l, s))
        );
    }

    #[test]
    fn the_region_of_a_cell_is_that_of_the_list() {
        let with = |cells: &[f64]| project(advance((&SPEEDS, &LOADS), cells, Origin::Typed));
        let values: Vec<f64> = worked().deg().to_vec();
        let (base, edited) = (with(&[0.0; 20]), with(&values));
        for (cell, cells) in [((1, 0), 3), ((2, 1), 3), ((2, 2), 2), ((2, 4), 1), ((0, 0), 0), ((0, 4), 0), ((9, 9), 0)]
        {
            let found = region_at(&base, &edited, Threshold::default(), Cell::new(cell.0, cell.1));
            assert_eq!(found.count(), cells, "{cell:?}");
        }
    }

    /// The neighbours of a point at the next higher load and speed.
    fn after(delta: &Delta, Cell { load, speed }: Cell) -> impl Iterator<Item = Cell> {
        let above = (load + 1 < delta.load().len()).then_some(Cell::new(load + 1, speed));
        let right = (speed + 1 < delta.speed_rpm().len()).then_some(Cell::new(load, speed + 1));
        above.into_iter().chain(right)
    }

    proptest! {
        #[test]
        fn regions_are_the_points_over_the_threshold_and_closed(
            base in any_advance(), edited in any_advance(), threshold in 0.0..60.0
        ) {
            let (base, edited) = (project(base), project(edited));
            let Ok(delta) = Delta::between(&base, &edited) else { return Ok(()); };
            let regions = found(&delta, Threshold::new(threshold).unwrap());
            let mut owner = vec![None; delta.deg().len()];
            for (number, region) in regions.iter().enumerate() {
                for &point in &region.points {
                    prop_assert_eq!(owner[delta.index(point)].replace(number), None);
                    prop_assert_eq!(Sign::of(delta.at(point)), region.sign);
                }
            }
            for (point, deg) in delta.points() {
                let over = deg.abs() >= threshold && deg.abs() > 1e-9;
                prop_assert_eq!(owner[delta.index(point)].is_some(), over);
                for neighbour in after(&delta, point) {
                    let (here, there) = (owner[delta.index(point)], owner[delta.index(neighbour)]);
                    let alike = (deg > 0.0) == (delta.at(neighbour) > 0.0);
                    prop_assert!(here.is_none() || there.is_none() || (here == there) == alike);
                }
            }
            prop_assert!(regions.windows(2).all(|pair| pair[0].cells() >= pair[1].cells()));
            for region in &regions {
                let cells = region.in_table(&delta, edited.advance.table());
                for cell in cells.cells().take(2) {
                    let found = region_at(&base, &edited, Threshold::new(threshold).unwrap(), cell);
                    prop_assert_eq!(&found, &cells);
                }
            }
        }
    }
}
