//! The starting table of a new project: gentle enough to start and warm an engine, to be reshaped from there.
//!
//! Shape and figures: common practice, no source. Flat around idle so that idling does not hunt, rising with speed to
//! its full-load value, more advance at part load where the charge burns slowly, less in boost; with the worst trims it
//! stays under the full-load line.

use super::thresholds::{CROWDED_PCT, IDLE_SLOPE_RISE_DEG_PER_1000_RPM, SLOPE_SPEED_DEG_PER_1000_RPM};
use super::{Advance, AdvanceError, Engine, FullLoadLine, LoadKind, Origin, Trims};
use crate::table::{Axis, AxisError, Cell, Curve, CurveError, Table, TableError};
use crate::wording::settle;

/// Full-load advance over speed, unless the full-load line allows less.
const FULL_LOAD: [(f64, f64); 6] =
    [(1200.0, 12.0), (2000.0, 18.0), (3000.0, 23.0), (4500.0, 26.0), (6000.0, 28.0), (7000.0, 28.0)];
/// Full-load advance climbs by no more than this between the level part at idle and the line.
const CLIMBS_BY_DEG_PER_1000_RPM: f64 = 7.5;
/// How much of the part-load addition applies over speed. With it the advance climbs by at most 13° per 1000
/// rpm, so that even after rounding to half degrees nothing counts as steep.
const PART_LOAD_SHARE: [(f64, f64); 2] = [(1200.0, 0.0), (3400.0, 1.0)];
/// Both curves are constant up to this speed, or up to idle and the margin below, whichever is higher.
const LEVEL_TO_RPM: f64 = 1200.0;
const LEVEL_ABOVE_IDLE_RPM: f64 = 300.0;
/// Degrees more than at full load, over throttle opening.
const THROTTLE_ADDITION: [(f64, f64); 7] =
    [(0.0, 7.0), (6.0, 8.0), (15.0, 9.0), (25.0, 8.5), (45.0, 5.0), (75.0, 1.0), (100.0, 0.0)];
/// Degrees more than at 100 kPa, over manifold pressure.
const PRESSURE_ADDITION: [(f64, f64); 5] = [(20.0, 11.0), (35.0, 12.0), (50.0, 11.0), (75.0, 5.5), (100.0, 0.0)];
/// A chamber with four valves burns faster and needs only this share of the addition.
const FOUR_VALVE_SHARE: f64 = 0.6;
/// Boost takes away 1.2° per 10 kPa: nothing of that below the first of these speeds, all of it from the second
/// up.
const LESS_IN_BOOST_DEG_PER_KPA: f64 = 0.12;
const BOOST_TAKES_RPM: (f64, f64) = (1200.0, 2500.0);
/// The steepest from row to row, in degrees per unit of load: below what the checks call steep.
const STEEPEST_DEG_PER_LOAD: f64 = 0.55;
/// The furthest that a cell may lie above the chords between its neighbours, along both speed and load.
const BUMP_DEG: f64 = 2.4;
/// Around idle, the most that the row below idle load may lie above the row over it, in degrees.
const ROWS_APART_AT_IDLE_DEG: f64 = 2.5;
/// The speed axis ends this far above the first cut, rounded up to a hundred.
const BEYOND_THE_CUT_RPM: f64 = 500.0;

/// Why no starting table could be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub(super) enum StarterError {
    #[error(transparent)]
    Axis(#[from] AxisError),
    #[error(transparent)]
    Curve(#[from] CurveError),
    #[error(transparent)]
    Table(#[from] TableError),
    #[error(transparent)]
    Advance(#[from] AdvanceError),
}

/// What a starting table is made for.
pub(super) struct Starter<'a> {
    pub(super) engine: &'a Engine,
    pub(super) load: LoadKind,
    pub(super) trims: &'a Trims,
    pub(super) line: &'a FullLoadLine,
    pub(super) step_deg: f64,
}

impl Starter<'_> {
    /// The table over these breakpoints, cells on the step.
    pub(super) fn table(&self, speeds: Axis, loads: Axis) -> Result<Advance, StarterError> {
        let shape = self.shape(speeds.first())?;
        let down = |deg: f64| settle((deg / self.step_deg + 1e-9).floor() * self.step_deg);
        let table = Table::from_fn(speeds, loads, |speed, load| down(shape.deg(speed, load)))?;
        Ok(Advance::uniform(self.eased(&table)?, Origin::Starter)?)
    }

    /// A table with cells lowered, to multiples of the step, until nothing in it is steep, nothing sticks out and
    /// every row in boost retards, at speeds where a boosted engine pulls. Few breakpoints, the step and the
    /// full-load line can make cells that need it.
    pub(super) fn eased(&self, table: &Table) -> Result<Table, StarterError> {
        let smooth = self.gentle(&self.without_bumps(self.gentle(table)?)?)?;
        self.retarded_in_boost(&self.climbing_gently(&smooth)?)
    }

    /// Around idle the table is level up to here.
    fn level_to_rpm(&self) -> f64 {
        LEVEL_TO_RPM.max(self.engine.idle_speed_rpm + LEVEL_ABOVE_IDLE_RPM)
    }

    fn shape(&self, lowest_rpm: f64) -> Result<Shape<'_>, StarterError> {
        let level_to_rpm = self.level_to_rpm();
        let shifted = |points: &[(f64, f64)]| {
            let moved: Vec<_> = points.iter().map(|(rpm, y)| (rpm + level_to_rpm - LEVEL_TO_RPM, *y)).collect();
            Curve::from_points(&moved)
        };
        let addition = match self.load {
            LoadKind::Throttle => &THROTTLE_ADDITION[..],
            LoadKind::Pressure => &PRESSURE_ADDITION[..],
        };
        let over_load = OverLoad {
            load: self.load,
            share: shifted(&PART_LOAD_SHARE)?,
            addition: Curve::from_points(addition)?,
            part_load_share: if self.engine.chamber.has_four_valves() { FOUR_VALVE_SHARE } else { 1.0 },
        };
        let line = self.gentle_line((lowest_rpm, level_to_rpm))?;
        Ok(Shape { starter: self, full_load: shifted(&FULL_LOAD)?, over_load, line, loads: self.loads_at_the_line() })
    }

    /// The loads at which full load without boost may come closest to the full-load line.
    fn loads_at_the_line(&self) -> Vec<f64> {
        let from = self.line.from_load;
        let mut loads = self.trims.loads_of_sum(self.line.less_deg.axis());
        loads.extend([from, from.max(100.0)]);
        loads.retain(|load| (from..=from.max(100.0)).contains(load));
        loads
    }

    /// The line over speed, level around idle so that idling does not hunt, and climbing gently from there.
    fn gentle_line(&self, (lowest_rpm, level_to_rpm): (f64, f64)) -> Result<Curve, CurveError> {
        let most_deg = |rpm: f64| self.line.most_deg.lookup(rpm);
        let level_deg = most_deg(lowest_rpm).min(most_deg(level_to_rpm));
        let mut points = vec![(level_to_rpm, level_deg)];
        for place in 1..=60_u8 {
            let above_rpm = 150.0 * f64::from(place);
            let climbed_deg = level_deg + CLIMBS_BY_DEG_PER_1000_RPM * above_rpm / 1000.0;
            points.push((level_to_rpm + above_rpm, most_deg(level_to_rpm + above_rpm).min(climbed_deg)));
        }
        Curve::from_points(&points)
    }

    /// Lowers cells where a row would climb more steeply over speed than the checks allow: the full-load line
    /// may have taken more from one column than from the next. Cells stay multiples of the step.
    fn climbing_gently(&self, table: &Table) -> Result<Table, StarterError> {
        let speeds = table.speed().breakpoints();
        let mut values = table.values().to_vec();
        for cell in table.cells().filter(|cell| cell.speed > 0) {
            let before = values[table.index(Cell::new(cell.load, cell.speed - 1))];
            let (from_rpm, to_rpm) = (speeds[cell.speed - 1], speeds[cell.speed]);
            let is_idle = to_rpm <= self.level_to_rpm();
            let slope = if is_idle { IDLE_SLOPE_RISE_DEG_PER_1000_RPM } else { SLOPE_SPEED_DEG_PER_1000_RPM };
            let most_deg = slope.default * (to_rpm - from_rpm) / 1000.0;
            let highest_deg = settle(((before + most_deg) / self.step_deg + 1e-9).floor() * self.step_deg);
            let at = table.index(cell);
            values[at] = values[at].min(highest_deg);
        }
        Ok(Table::new(table.speed().clone(), table.load().clone(), values)?)
    }

    /// Lowers the rows in boost to at least 1° per 10 kPa below the row nearest to atmospheric pressure,
    /// whatever rounding or the full-load line has taken from that row, at speeds where a boosted engine pulls.
    /// Cells stay multiples of the step.
    fn retarded_in_boost(&self, table: &Table) -> Result<Table, StarterError> {
        if self.load != LoadKind::Pressure || !self.engine.induction.is_boosted() {
            return Ok(table.clone());
        }
        let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
        let base = table.load().nearest(100.0);
        let mut values = table.values().to_vec();
        for cell in table.cells().filter(|cell| cell.load > base && loads[cell.load] > 100.0) {
            if speeds[cell.speed] < BOOST_TAKES_RPM.1 {
                continue;
            }
            let least_deg = (loads[cell.load] - loads[base]) / 10.0;
            let steps_deg = (least_deg / self.step_deg - 1e-9).ceil() * self.step_deg;
            let at = table.index(cell);
            values[at] = values[at].min(settle(table.at(Cell::new(base, cell.speed)) - steps_deg));
        }
        Ok(Table::new(table.speed().clone(), table.load().clone(), values)?)
    }

    /// Lowers cells that lie too far above the chords between their neighbours along both axes: with few
    /// breakpoints the curvature of the surface alone would count as a bump.
    fn without_bumps(&self, mut table: Table) -> Result<Table, StarterError> {
        // Every round only lowers; a few are enough for every size.
        for _ in 0..64 {
            let bumps: Vec<(Cell, f64)> = table.cells().filter_map(|cell| self.without_bump(&table, cell)).collect();
            if bumps.is_empty() {
                break;
            }
            let mut values = table.values().to_vec();
            bumps.into_iter().for_each(|(cell, deg)| values[table.index(cell)] = deg);
            table = Table::new(table.speed().clone(), table.load().clone(), values)?;
        }
        Ok(table)
    }

    /// What a bump is lowered to; `None` for a cell that is no bump.
    fn without_bump(&self, table: &Table, cell: Cell) -> Option<(Cell, f64)> {
        let Cell { load, speed } = cell;
        let chord = |axis: &Axis, at: usize, low: Cell, high: Cell| {
            let around = axis.breakpoints().get(at.checked_sub(1)?..=at + 1)?;
            let share = (around[1] - around[0]) / (around[2] - around[0]);
            Some(table.at(low) + share * (table.at(high) - table.at(low)))
        };
        if load == 0 || speed == 0 || load + 1 >= table.load().len() || speed + 1 >= table.speed().len() {
            return None;
        }
        let along_speed = chord(table.speed(), speed, Cell::new(load, speed - 1), Cell::new(load, speed + 1))?;
        let along_load = chord(table.load(), load, Cell::new(load - 1, speed), Cell::new(load + 1, speed))?;
        let most_deg = along_speed.max(along_load) + BUMP_DEG;
        let lowered_deg = settle((most_deg / self.step_deg + 1e-9).floor() * self.step_deg);
        (table.at(cell) > most_deg + 1e-9).then_some((cell, lowered_deg))
    }

    /// Lowers rows of less load where they would lie too far above the next row of more load.
    fn gentle(&self, table: &Table) -> Result<Table, StarterError> {
        let loads = table.load().breakpoints();
        let mut values = table.values().to_vec();
        let idle_row = table.load().locate(self.engine.idle_load).index;
        let idle_to_rpm = self.engine.idle_speed_rpm + LEVEL_ABOVE_IDLE_RPM;
        for row in (0..loads.len() - 1).rev() {
            let most_deg = STEEPEST_DEG_PER_LOAD * (loads[row + 1] - loads[row]);
            for (column, &rpm) in table.speed().breakpoints().iter().enumerate() {
                let is_idle = row == idle_row && rpm <= idle_to_rpm;
                let most_deg = if is_idle { most_deg.min(ROWS_APART_AT_IDLE_DEG) } else { most_deg };
                let steps_deg = (most_deg / self.step_deg + 1e-9).floor() * self.step_deg;
                let above = values[table.index(Cell::new(row + 1, column))];
                let at = table.index(Cell::new(row, column));
                values[at] = values[at].min(settle(above + steps_deg));
            }
        }
        Ok(Table::new(table.speed().clone(), table.load().clone(), values)?)
    }
}

/// How much more or less advance a load gets than full load at atmospheric pressure.
struct OverLoad {
    load: LoadKind,
    share: Curve,
    addition: Curve,
    part_load_share: f64,
}

impl OverLoad {
    fn deg(&self, speed_rpm: f64, load: f64) -> f64 {
        let boost_kpa = if self.load == LoadKind::Pressure { (load - 100.0).max(0.0) } else { 0.0 };
        let (from_rpm, to_rpm) = BOOST_TAKES_RPM;
        let boost_share = ((speed_rpm - from_rpm) / (to_rpm - from_rpm)).clamp(0.0, 1.0);
        self.part_load_share * self.share.lookup(speed_rpm) * self.addition.lookup(load)
            - LESS_IN_BOOST_DEG_PER_KPA * boost_kpa * boost_share
    }
}

/// The surface before it is put on breakpoints.
struct Shape<'a> {
    starter: &'a Starter<'a>,
    full_load: Curve,
    over_load: OverLoad,
    /// The full-load line over speed.
    line: Curve,
    /// The loads at which it applies without boost.
    loads: Vec<f64>,
}

impl Shape<'_> {
    fn deg(&self, speed_rpm: f64, load: f64) -> f64 {
        let (line, trims) = (self.starter.line, self.starter.trims);
        let (from, to) = (self.starter.engine.idle_load, line.from_load);
        let line_deg = self.line.lookup(speed_rpm);
        let under_line = |load: f64| line_deg - line.less_deg.lookup(load) - trims.most_deg(load);
        let full_deg = self.full_load.lookup(speed_rpm);
        let room = self.loads.iter().map(|&load| under_line(load) - self.over_load.deg(speed_rpm, load));
        let above_deg = (full_deg - room.fold(f64::INFINITY, f64::min)).max(0.0);
        let share = ((load - from) / (to - from)).clamp(0.0, 1.0);
        let deg = full_deg - share * above_deg + self.over_load.deg(speed_rpm, load);
        if load < to { deg } else { deg.min(under_line(load)) }
    }
}

/// From 500 rpm to beyond the speed of the first cut, closer together at low speed, at round numbers.
pub(super) fn speed_axis(count: usize, cuts_at_rpm: f64) -> Result<Axis, AxisError> {
    let round: &[f64] = if count <= 16 { &[100.0, 50.0, 10.0, 1.0] } else { &[10.0, 1.0] };
    let top_rpm = ((cuts_at_rpm + BEYOND_THE_CUT_RPM) / 100.0).ceil() * 100.0;
    spread(count, (500.0, top_rpm), 0.4, round)
}

/// From closed to open throttle, or from 20 kPa to far enough above the highest pressure to cover overboost.
pub(super) fn load_axis(load: LoadKind, count: usize, highest_kpa: f64) -> Result<Axis, AxisError> {
    match load {
        LoadKind::Throttle => {
            let bend = if count <= 32 { 0.4 } else { 0.0 };
            spread(count, (0.0, 100.0), bend, if count <= 16 { &[1.0, 0.1] } else { &[0.1] })
        }
        LoadKind::Pressure => {
            let top_kpa = (settle(highest_kpa * 1.15) / 5.0).ceil() * 5.0;
            let top_kpa = top_kpa.clamp(120.0, LoadKind::Pressure.range().1);
            spread(count, (20.0, top_kpa), 0.0, if count <= 21 { &[5.0, 0.1] } else { &[0.1] })
        }
    }
}

/// `count` breakpoints over a range, the gaps widening as a power of 1 + `bend` (less for many breakpoints, so
/// that the first gap stays above 1 % of the range), rounded to the first of `round_to` with which no two come
/// too close.
fn spread(count: usize, (low, high): (f64, f64), bend: f64, round_to: &[f64]) -> Result<Axis, AxisError> {
    #[expect(clippy::cast_precision_loss, reason = "an axis has at most 64 breakpoints")]
    let (intervals, crowding) = (count.max(2) as f64 - 1.0, (16.0 / count.max(16) as f64));
    let exponent = 1.0 + bend * crowding;
    #[expect(clippy::cast_precision_loss, reason = "an axis has at most 64 breakpoints")]
    let at = |index: usize| low + (high - low) * (index as f64 / intervals).powf(exponent);
    let rounded = |step: f64| Axis::new((0..count).map(|index| settle((at(index) / step).round() * step)).collect());
    let is_clear = |axis: &Axis| axis.crowded(CROWDED_PCT.default / 100.0).is_none();
    let clear = round_to.iter().find_map(|&step| rounded(step).ok().filter(is_clear));
    clear.map_or_else(|| rounded(round_to.last().copied().unwrap_or(0.1)), Ok)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{Chamber, KnownEngine, NewProject, Project};

    fn new(load: LoadKind, size: usize, known: &KnownEngine) -> Project {
        NewProject { name: "n".into(), cylinders: 4, load, speeds: size, loads: size }.create_for(known).unwrap()
    }

    #[test]
    fn every_size_has_a_table_without_crowded_breakpoints() {
        for load in [LoadKind::Throttle, LoadKind::Pressure] {
            for (size, (cuts_at_rpm, kpa)) in
                (2..=64).flat_map(|size| [(6500.0, 100.0), (1700.0, 60.0), (15_000.0, 500.0)].map(|ends| (size, ends)))
            {
                let (speeds, loads) = (speed_axis(size, cuts_at_rpm).unwrap(), load_axis(load, size, kpa).unwrap());
                assert_eq!(speeds.crowded(CROWDED_PCT.default / 100.0), None, "{size} speeds to {cuts_at_rpm}");
                assert_eq!(loads.crowded(CROWDED_PCT.default / 100.0), None, "{size} loads, {load:?} to {kpa}");
                assert!(speeds.last() >= cuts_at_rpm);
            }
        }
    }

    #[test]
    fn is_flat_at_idle_and_falls_with_load() {
        let project = new(LoadKind::Pressure, 16, &KnownEngine::default());
        let table = project.advance.table();
        assert_eq!(table.lookup(600.0, 40.0), 12.0);
        assert_eq!(table.lookup(1200.0, 40.0), 12.0);
        for speed in 0..16 {
            let column: Vec<f64> = table.column(speed).skip(3).collect();
            assert!(column.windows(2).all(|pair| pair[1] <= pair[0]));
        }
    }

    #[test]
    fn a_high_idle_is_as_flat() {
        let known = KnownEngine { idle_speed_rpm: Some(1800.0), ..KnownEngine::default() };
        let project = new(LoadKind::Throttle, 32, &known);
        assert_eq!(project.advance.table().lookup(1800.0, 3.0), 12.0);
    }

    /// Ratio 11 with 98 octane and four valves: 28 degrees, and the cold trim adds 4; at 80 % the part-load
    /// addition is half a degree that must lie under the line as well.
    #[test]
    fn full_load_stays_under_its_line_with_the_worst_trims() {
        let known = KnownEngine {
            compression_ratio: Some(11.0),
            fuel_octane_ron: Some(98.0),
            chamber: Some(Chamber::FourValveCentralPlug),
            ..KnownEngine::default()
        };
        let project = new(LoadKind::Throttle, 16, &known);
        assert_eq!(project.advance.table().lookup(6500.0, 100.0), 23.5);
        assert_eq!(project.lowered_to_full_load_line(), Some(Vec::new()));
        let gentle = new(LoadKind::Throttle, 16, &KnownEngine::default());
        assert_eq!(gentle.advance.table().lookup(7000.0, 100.0), 28.0);
    }
}
