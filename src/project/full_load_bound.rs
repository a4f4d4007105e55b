//! The full-load line, which the advance must never exceed: what it allows, how it is computed from what is
//! known of an engine, and lowering the table to it.

use super::{
    ADVANCE_RANGE_DEG, Advance, AdvanceError, Engine, FullLoadLine, Installed, LoadKind, Origin, Parts, Project,
};
use crate::table::{Cell, Curve, CurveError, Table};
use crate::wording::{Refusal, Unit, quantity, settle};

/// Speeds between which the line rises; above the second it is constant. Common practice, no source.
const RISES_RPM: (f64, f64) = (500.0, 3000.0);
/// The constant part has a point here, so that the curve has something to drag.
const LEVEL_TO_RPM: f64 = 7000.0;
/// Boost takes away one degree for this many kilopascals above atmospheric pressure. Common practice, no
/// source.
const KPA_PER_DEG: f64 = 7.0;
/// Where the line stops falling with pressure: the first of these that is far enough above the highest
/// pressure.
const FALLS_TO_KPA: [f64; 5] = [170.0, 240.0, 310.0, 380.0, 450.0];
/// An excess of no more than this is rounding error.
const DUST_DEG: f64 = 1e-9;

impl Engine {
    /// The fields from which the full-load line is computed.
    pub const FULL_LOAD_PATHS: [&str; 5] = [
        "engine.compression_ratio",
        "engine.chamber",
        "engine.fuel_octane_ron",
        "engine.induction",
        "engine.highest_pressure_kpa",
    ];

    /// The most advance in degrees before TDC that an engine of this kind is given at full load, from 3000 rpm up and at
    /// atmospheric pressure: 36° (32° with four valves), less 2° per ratio above 9, less 0.8° per octane below 98.
    ///
    /// A bound and no recommendation. Common practice, no source.
    pub fn most_at_full_load_deg(&self) -> f64 {
        let chamber_deg = if self.chamber.has_four_valves() { 32.0 } else { 36.0 };
        let by_ratio_deg = 2.0 * (self.compression_ratio - 9.0).max(0.0);
        let by_octane_deg = 0.8 * (98.0 - self.fuel_octane_ron).max(0.0);
        settle(chamber_deg - by_ratio_deg - by_octane_deg)
    }
}

impl FullLoadLine {
    /// The line computed from the engine's figures, switched on: [`Engine::most_at_full_load_deg`], less 4° per
    /// 1000 rpm below 3000, less 1° per 7 kPa above 100. It holds from 95 kPa or 80 % throttle up; over
    /// throttle the engine's highest pressure is assumed throughout.
    ///
    /// A bound and no recommendation. Common practice, no source.
    ///
    /// # Errors
    /// Only for figures that no engine of the catalogue has.
    pub(super) fn of(engine: &Engine, load: LoadKind) -> Result<Self, CurveError> {
        let most_deg = engine.most_at_full_load_deg();
        let (from_rpm, to_rpm) = RISES_RPM;
        let lowest_deg = settle(most_deg - 4.0 * (to_rpm - from_rpm) / 1000.0);
        let by_pressure_deg = |kpa: f64| settle((kpa - 100.0).max(0.0) / KPA_PER_DEG);
        let less_deg = match load {
            LoadKind::Throttle => {
                let deg = by_pressure_deg(engine.highest_pressure_kpa);
                Curve::from_points(&[(80.0, deg), (100.0, deg)])?
            }
            LoadKind::Pressure => {
                let room = FALLS_TO_KPA.into_iter().find(|&kpa| kpa >= 1.3 * engine.highest_pressure_kpa);
                let end_kpa = room.unwrap_or(LoadKind::Pressure.range().1);
                Curve::from_points(&[(100.0, 0.0), (end_kpa, by_pressure_deg(end_kpa))])?
            }
        };
        Ok(Self {
            enabled: true,
            from_load: match load {
                LoadKind::Throttle => 80.0,
                LoadKind::Pressure => 95.0,
            },
            most_deg: Curve::from_points(&[(from_rpm, lowest_deg), (to_rpm, most_deg), (LEVEL_TO_RPM, most_deg)])?,
            less_deg,
        })
    }

    /// What the line allows at a speed in rpm and a load in the load unit, in degrees before TDC.
    pub fn allowed_deg(&self, speed_rpm: f64, load: f64) -> f64 {
        self.most_deg.lookup(speed_rpm) - self.less_deg.lookup(load)
    }
}

impl Project {
    /// Whether the full-load line is on and equal to the one computed from the engine's figures.
    pub fn has_computed_line(&self) -> bool {
        FullLoadLine::of(&self.engine, self.sensors.load).is_ok_and(|line| line == self.full_load_line)
    }

    /// The project with the computed full-load line; `None` if it has that line already.
    ///
    /// # Errors
    /// What in the project conflicts with it.
    pub fn with_computed_line(&self) -> Result<Option<Installed>, Refusal> {
        let line = FullLoadLine::of(&self.engine, self.sensors.load)?;
        if line == self.full_load_line {
            return Ok(None);
        }
        let most = quantity(self.engine.most_at_full_load_deg(), Unit::Degree);
        let after = self.edit(|parts| parts.full_load_line = line)?;
        Ok(Some((format!("Compute the full-load line from the engine: {most} from 3000 rpm"), after)))
    }
}

impl Parts {
    /// The points at which table and trims may exceed the line most: between these all of them are linear along
    /// each axis.
    pub fn full_load_points(&self) -> Vec<(f64, f64)> {
        let (line, table) = (&self.full_load_line, self.advance.table());
        let speeds = table.speed().union(line.most_deg.axis());
        let mut loads = self.trims.loads_of_sum(table.load());
        loads.extend(line.less_deg.axis().breakpoints());
        loads.push(line.from_load);
        let (from, to) = (line.from_load, table.load().last().max(line.from_load));
        loads.retain(|load| (from..=to).contains(load));
        loads.sort_by(f64::total_cmp);
        loads.dedup();
        loads.iter().flat_map(|&load| speeds.iter().map(move |&speed_rpm| (speed_rpm, load))).collect()
    }

    /// The advance table with the cells above the line lowered to it; their origin stays.
    ///
    /// # Errors
    /// [`AdvanceError`] never for cells in their range.
    pub(super) fn under_full_load_line(&self) -> Result<Advance, AdvanceError> {
        let mut values = self.advance.table().values().to_vec();
        for (cell, deg) in self.lowered_to_full_load_line().unwrap_or_default() {
            values[self.advance.table().index(cell)] = deg;
        }
        self.advance.with_values(values, Origin::Starter)
    }

    /// The cells to be lowered, to multiples of the step, until table and worst-case trims lie under the line; only
    /// cells that change. `None` where held cells or the range of advance forbid it. For a point between
    /// breakpoints the cells around it are lowered.
    pub fn lowered_to_full_load_line(&self) -> Option<Vec<(Cell, f64)>> {
        let table = self.advance.table();
        let down = |deg: f64| settle((deg / self.step_deg + DUST_DEG).floor() * self.step_deg);
        let mut values = table.values().to_vec();
        let is_on_cell = |&(speed_rpm, load): &(f64, f64)| {
            table.speed().index_of(speed_rpm).is_some() && table.load().index_of(load).is_some()
        };
        let (on_cells, between): (Vec<_>, Vec<_>) = self.full_load_points().into_iter().partition(is_on_cell);
        // Points on cells first: once those are within the line, only points between rows or columns can exceed it.
        for (speed_rpm, load) in on_cells.into_iter().chain(between) {
            let shares = shares(table, speed_rpm, load);
            let deg: f64 = shares.iter().map(|&(cell, share)| share * values[table.index(cell)]).sum();
            let excess_deg = deg + self.trims.most_deg(load) - self.full_load_line.allowed_deg(speed_rpm, load);
            if excess_deg <= DUST_DEG {
                continue;
            }
            let free = || shares.iter().filter(|(cell, _)| !self.advance.held().contains(*cell));
            let by_deg = excess_deg / free().map(|(_, share)| share).sum::<f64>();
            for &(cell, _) in free() {
                let at = table.index(cell);
                values[at] = down(values[at] - by_deg);
            }
            if free().next().is_none() || free().any(|&(cell, _)| values[table.index(cell)] < ADVANCE_RANGE_DEG.0) {
                return None;
            }
        }
        let changed = table.cells().filter(|&cell| values[table.index(cell)] != table.at(cell));
        Some(changed.map(|cell| (cell, values[table.index(cell)])).collect())
    }
}

/// The cells that a lookup takes its value from, and the share of each.
fn shares(table: &Table, speed_rpm: f64, load: f64) -> Vec<(Cell, f64)> {
    let (column, row) = (table.speed().locate(speed_rpm), table.load().locate(load));
    let of = |index: usize, fraction: f64| [(index, 1.0 - fraction), (index + 1, fraction)];
    let rows = of(row.index, row.fraction).into_iter();
    let all = rows.flat_map(|(row, of_row)| {
        of(column.index, column.fraction).map(|(column, of_column)| (Cell::new(row, column), of_row * of_column))
    });
    all.filter(|(_, share)| *share > 0.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{Chamber, Induction, NewProject};

    fn engine(ratio: f64, ron: f64, chamber: Chamber) -> Engine {
        let new = NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let engine = new.create().unwrap().engine.clone();
        Engine { compression_ratio: ratio, fuel_octane_ron: ron, chamber, ..engine }
    }

    /// Each term by hand: common practice, no source.
    #[test]
    fn ratio_octane_and_chamber_take_their_share() {
        let most = |ratio, ron, chamber| engine(ratio, ron, chamber).most_at_full_load_deg();
        assert_eq!(most(9.0, 98.0, Chamber::TwoValveSidePlug), 36.0);
        assert_eq!(most(8.0, 100.0, Chamber::SideValve), 36.0);
        assert_eq!(most(9.0, 98.0, Chamber::FourValveCentralPlug), 32.0);
        assert_eq!(most(9.0, 98.0, Chamber::FastBurnHighTumble), 32.0);
        assert_eq!(most(10.5, 98.0, Chamber::TwoValveHemispherical), 33.0);
        assert_eq!(most(9.0, 95.0, Chamber::TwoValveTwoPlugs), 33.6);
        assert_eq!(most(10.8, 95.0, Chamber::FourValveCentralPlug), 26.0);
    }

    #[test]
    fn it_rises_to_three_thousand_and_falls_with_pressure() {
        let engine = engine(9.0, 98.0, Chamber::TwoValveSidePlug);
        let line = FullLoadLine::of(&engine, LoadKind::Pressure).unwrap();
        assert!(line.enabled);
        assert_eq!(line.from_load, 95.0);
        let at = |rpm, kpa| line.allowed_deg(rpm, kpa);
        assert_eq!((at(3000.0, 95.0), at(6500.0, 100.0), at(9000.0, 100.0)), (36.0, 36.0, 36.0));
        assert_eq!((at(2000.0, 100.0), at(1000.0, 100.0)), (32.0, 28.0));
        assert!((at(3000.0, 107.0) - 35.0).abs() < 1e-12 && (at(1000.0, 135.0) - 23.0).abs() < 1e-12);
        let boosted = Engine { induction: Induction::Boosted, highest_pressure_kpa: 180.0, ..engine };
        let line = FullLoadLine::of(&boosted, LoadKind::Pressure).unwrap();
        assert!((line.allowed_deg(4000.0, 205.0) - 21.0).abs() < 1e-12);
    }

    /// The pressure range ends at 500 kPa, and so does the line: 400 kPa of boost take away 57.1 degrees.
    #[test]
    fn it_reaches_as_far_as_any_pressure_does() {
        let engine = engine(8.0, 98.0, Chamber::TwoValveSidePlug);
        for kpa in [60.0, 100.0, 150.0, 250.0, 400.0, 500.0] {
            let engine = Engine { induction: Induction::Boosted, highest_pressure_kpa: kpa, ..engine.clone() };
            let line = FullLoadLine::of(&engine, LoadKind::Pressure).unwrap();
            assert!(line.less_deg.axis().last() >= (1.15 * kpa).min(500.0), "{kpa}");
            assert!((line.allowed_deg(5000.0, kpa) - (36.0 - (kpa - 100.0).max(0.0) / 7.0)).abs() < 1e-9);
        }
    }

    #[test]
    fn over_throttle_the_highest_pressure_counts() {
        let engine = engine(9.0, 98.0, Chamber::TwoValveSidePlug);
        let natural = FullLoadLine::of(&engine, LoadKind::Throttle).unwrap();
        assert_eq!((natural.from_load, natural.allowed_deg(4000.0, 100.0)), (80.0, 36.0));
        let boosted = Engine { induction: Induction::Supercharged, highest_pressure_kpa: 149.0, ..engine };
        let line = FullLoadLine::of(&boosted, LoadKind::Throttle).unwrap();
        assert_eq!((line.allowed_deg(4000.0, 80.0), line.allowed_deg(4000.0, 100.0)), (29.0, 29.0));
    }

    #[test]
    fn it_is_computed_anew_as_one_step_and_only_where_it_differs() {
        let new = NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let start = new.create().unwrap();
        assert_eq!(start.with_computed_line(), Ok(None));
        let tight = start.edit(|parts| parts.engine.compression_ratio = 11.0).unwrap();
        let (label, after) = tight.with_computed_line().unwrap().unwrap();
        assert_eq!(label, "Compute the full-load line from the engine: 29.6° from 3000 rpm");
        assert_eq!(after.full_load_line.allowed_deg(3000.0, 100.0), 29.6);
        assert_eq!(after.with_computed_line(), Ok(None));
    }
}
