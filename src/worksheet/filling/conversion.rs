//! A project whose loads are throttle openings as one whose loads are pressures, and back.

use std::sync::Arc;

use serde::Serialize;

use super::{Filling, FittedFilling, Unreachable};
use crate::project::{
    Advance, Condition, DecidedBy, Evidence, KeptRun, LoadKind, Origin, Parts, Project, Signal, THRESHOLDS,
};
use crate::table::{Curve, CurveError, Selection, Table};
use crate::wording::{Refusal, Unit, count, quantity, rounded, settle};

/// Two openings of one speed whose pressures are no further apart than this are one place on a pressure table, kPa.
const ONE_PLACE_KPA: f64 = 2.0;

/// A cell of the new table.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ConvertedCell {
    /// Its speed in rpm.
    pub speed_rpm: f64,
    /// Its load in the new unit.
    pub load: f64,
    /// The load that it was in the old unit.
    pub was_load: f64,
    /// Its advance, degrees before top dead centre.
    pub advance_deg: f64,
    /// What the fit's scatter makes of its advance, degrees.
    pub error_deg: f64,
    /// Whether the old table had nothing there.
    pub is_outside: bool,
}

/// Openings of one speed with nearly one pressure and different advances.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LostDetail {
    /// How far the advances are apart, degrees.
    pub deg: f64,
    /// Speed in rpm.
    pub speed_rpm: f64,
    /// Their pressure in kPa.
    pub pressure_kpa: f64,
}

/// A project with the other kind of load.
#[derive(Clone, Debug)]
pub struct LoadConversion {
    /// The project.
    pub project: Project,
    /// What the step is called.
    pub label: String,
    /// Every cell of the new table, row by row.
    pub cells: Vec<ConvertedCell>,
    /// What a pressure table cannot tell apart; `None` for a throttle table.
    pub lost_detail: Option<LostDetail>,
    /// Curves over load, which know no speed, were converted at this speed in rpm.
    pub curves_at_rpm: f64,
    /// What else was done, a sentence each.
    pub remarks: Vec<String>,
}

impl LoadConversion {
    /// Converts everything that is over load: the table by looking each new cell up at its old load, idle load, measured
    /// points, sweeps and runs at their own speeds, and curves over load at one speed in the middle. Conditions on load
    /// become conditions on the signal that the load was.
    ///
    /// # Errors
    /// [`Refusal`] where the project has that kind of load already, where boost would have to become a throttle opening,
    /// and where the project has no room for the result.
    pub fn of(project: &Project, fitted: &FittedFilling, to: LoadKind) -> Result<Self, Refusal> {
        if project.sensors.load == to {
            return Err(Refusal::new(format!("the project's load is {} already", to.name())));
        }
        let source = project.advance.table();
        let ambient_kpa = fitted.filling.ambient_kpa;
        let has_boost = source.load().last() > ambient_kpa * 1.02;
        if to == LoadKind::Throttle && has_boost && project.engine.induction.is_boosted() {
            let top = quantity(source.load().last(), Unit::Kilopascal);
            let refusal = Refusal::new(format!("throttle does not tell boost, and the table reaches {top}"));
            return Err(refusal.remedy("delete the rows above the pressure around first"));
        }
        let (stripped, mut remarks) = without_loads(project)?;
        if to == LoadKind::Throttle && has_boost {
            remarks.push("Rows above the pressure around are left: without boost nothing runs there.".to_owned());
        }
        let (_, fresh) = stripped.with_load_kind(to)?;
        let curves_at_rpm = (project.engine.idle_speed_rpm * source.speed().last()).sqrt().round();
        let map = Map { filling: fitted.filling, to, curves_at_rpm };
        let axes = fresh.advance.table();
        let cells = cells(source, axes, &map, fitted.rms_kpa)?;
        let project = put_back(project, &fresh, &map, &cells)?;
        let label = format!(
            "Convert load to {} in {} by the filling of {}",
            to.name(),
            to.unit(),
            count(fitted.pairs.len(), "logged row")
        );
        let lost_detail = (to == LoadKind::Pressure).then(|| lost_detail(source, &map)).flatten();
        Ok(Self { project, label, cells, lost_detail, curves_at_rpm, remarks })
    }

    /// The cell that the fit's scatter changes most.
    pub fn worst(&self) -> Option<&ConvertedCell> {
        self.cells.iter().max_by(|a, b| a.error_deg.total_cmp(&b.error_deg))
    }

    /// The median of what the fit's scatter makes of the cells, degrees.
    pub fn median_error_deg(&self) -> f64 {
        let mut errors: Vec<f64> = self.cells.iter().map(|cell| cell.error_deg).collect();
        errors.sort_by(f64::total_cmp);
        errors.get(errors.len() / 2).copied().unwrap_or_default()
    }
}

/// From loads of one kind to those of the other.
struct Map {
    filling: Filling,
    to: LoadKind,
    curves_at_rpm: f64,
}

/// A load that may have been out of reach.
struct Mapped {
    load: f64,
    is_reached: bool,
}

impl Map {
    /// The new load of an old one.
    fn there(&self, speed_rpm: f64, load: f64) -> f64 {
        let mapped = match self.to {
            LoadKind::Pressure => self.filling.pressure_kpa(speed_rpm.max(1.0), load),
            LoadKind::Throttle => self.opening(speed_rpm, load).load,
        };
        settle(rounded(mapped, 2))
    }

    /// The old load of a new one.
    fn back(&self, speed_rpm: f64, load: f64) -> Mapped {
        match self.to {
            LoadKind::Pressure => self.opening(speed_rpm, load),
            LoadKind::Throttle => {
                Mapped { load: self.filling.pressure_kpa(speed_rpm.max(1.0), load), is_reached: true }
            }
        }
    }

    fn opening(&self, speed_rpm: f64, pressure_kpa: f64) -> Mapped {
        match self.filling.opening_pct(speed_rpm.max(1.0), pressure_kpa) {
            Ok(load) => Mapped { load, is_reached: true },
            Err(Unreachable::BelowClosed) => Mapped { load: 0.0, is_reached: false },
            Err(Unreachable::BeyondOpen) => Mapped { load: 100.0, is_reached: false },
        }
    }

    /// A curve over load at the one speed; points that fall together count once.
    fn curve(&self, curve: &Curve) -> Result<Curve, CurveError> {
        let mut points: Vec<(f64, f64)> = Vec::new();
        for (load, value) in curve.points() {
            let load = settle(rounded(self.there(self.curves_at_rpm, load), 1));
            if points.last().is_some_and(|(last, _)| load < last + LEAST_APART) {
                points.pop();
            }
            points.push((load, value));
        }
        if let [(load, value)] = points[..] {
            points.insert(0, ((load - 1.0).max(0.0), value));
        }
        Curve::from_points(&points)
    }
}

/// Breakpoints of a curve that are nearer than this fall together.
const LEAST_APART: f64 = 0.5;

fn cells(source: &Table, axes: &Table, map: &Map, rms_kpa: f64) -> Result<Vec<ConvertedCell>, Refusal> {
    let (lowest, highest) = (source.load().first(), source.load().last());
    let speeds = axes.speed().breakpoints();
    let loads = axes.load().breakpoints();
    let cell = |&load: &f64, &speed_rpm: &f64| {
        let back = map.back(speed_rpm, load);
        let at = |load: f64| source.lookup(speed_rpm, load.clamp(lowest, highest));
        let advance_deg = settle(rounded(at(back.load), 2));
        let moved = |by_kpa: f64| match map.to {
            LoadKind::Pressure => at(map.back(speed_rpm, (load + by_kpa).max(1.0)).load),
            LoadKind::Throttle => at(back.load + by_kpa),
        };
        let error_deg = [-rms_kpa, rms_kpa].map(|by| (moved(by) - at(back.load)).abs()).into_iter().fold(0.0, f64::max);
        let is_outside = !back.is_reached || !(lowest..=highest).contains(&back.load);
        ConvertedCell { speed_rpm, load, was_load: back.load, advance_deg, error_deg, is_outside }
    };
    Ok(loads.iter().flat_map(|load| speeds.iter().map(move |speed_rpm| cell(load, speed_rpm))).collect())
}

/// The largest difference of advance among cells of one speed whose pressures are nearly one.
fn lost_detail(source: &Table, map: &Map) -> Option<LostDetail> {
    let mut worst: Option<LostDetail> = None;
    for (column, &speed_rpm) in source.speed().breakpoints().iter().enumerate() {
        let pressure = |load: &f64| map.filling.pressure_kpa(speed_rpm.max(1.0), *load);
        let pressures: Vec<f64> = source.load().breakpoints().iter().map(pressure).collect();
        let advances: Vec<f64> = source.column(column).collect();
        for (first, pressure_kpa) in pressures.iter().enumerate() {
            for (second, other_kpa) in pressures.iter().enumerate().skip(first + 1) {
                let deg = (advances[first] - advances[second]).abs();
                let is_one = (other_kpa - pressure_kpa).abs() <= ONE_PLACE_KPA;
                if is_one && worst.is_none_or(|worst| deg > worst.deg) {
                    worst = Some(LostDetail { deg, speed_rpm, pressure_kpa: *pressure_kpa });
                }
            }
        }
    }
    worst
}

/// The project without what stands in the way of another kind of load, and what is told of it.
fn without_loads(project: &Project) -> Result<(Project, Vec<String>), Refusal> {
    let mut remarks = Vec::new();
    let held = project.advance.held().count();
    if held > 0 {
        remarks.push(format!("{} released: they stood between the new rows.", count(held, "held cell")));
    }
    let is_of_cells = |parts: &Parts| parts.checks.accepted.iter().filter(|own| own.place.from_load.is_some()).count();
    let accepted = is_of_cells(project);
    if accepted > 0 {
        remarks.push(format!("{} of cells no longer accepted: look at them again.", count(accepted, "finding")));
    }
    let of_load: Vec<&str> = THRESHOLDS
        .iter()
        .filter(|own| own.decided_by == DecidedBy::LoadKind && project.checks.thresholds.contains_key(own.name))
        .map(|own| own.name)
        .collect();
    if !of_load.is_empty() {
        remarks.push(format!("{} of loads back at its default.", count(of_load.len(), "threshold")));
    }
    let signal = signal_of(project.sensors.load);
    let stripped = project.edit(|parts| {
        let (loads, speeds) = (parts.advance.table().load().len(), parts.advance.table().speed().len());
        let all = Selection::all(parts.advance.table());
        debug_assert!(all.loads() == loads && all.speeds() == speeds);
        parts.advance = parts.advance.with_held(&all, false);
        let conditions = parts.outputs.iter_mut().flat_map(|output| &mut output.conditions);
        conditions.for_each(|condition| rename_signal(condition, signal));
        parts.runs.clear();
        parts.evidence = Evidence::default();
        of_load.iter().for_each(|name| {
            parts.checks.thresholds.remove(*name);
            parts.checks.threshold_reasons.remove(*name);
        });
        parts.checks.accepted.retain(|own| own.place.from_load.is_none());
    })?;
    Ok((stripped, remarks))
}

/// What a load is when it is no longer the load.
const fn signal_of(load: LoadKind) -> Signal {
    match load {
        LoadKind::Throttle => Signal::Throttle,
        LoadKind::Pressure => Signal::Pressure,
    }
}

fn rename_signal(condition: &mut Condition, signal: Signal) {
    if condition.signal == Signal::Load {
        condition.signal = signal;
    }
}

/// The project of the other kind with everything of the old one that is over load.
fn put_back(old: &Project, fresh: &Project, map: &Map, cells: &[ConvertedCell]) -> Result<Project, Refusal> {
    let table = fresh.advance.table().with_values(cells.iter().map(|cell| cell.advance_deg).collect())?;
    let origin = |cell: &ConvertedCell| if cell.is_outside { Origin::Extended } else { Origin::Interpolated };
    let none = Selection::none(table.load().len(), table.speed().len());
    let advance = Advance::new(table, none, cells.iter().map(origin).collect())?;
    let curves =
        [&old.trims.coolant.weight, &old.trims.air.weight, &old.safety_margin.degrees, &old.full_load_line.less_deg];
    let [coolant, air, margin, line] = curves.map(|curve| map.curve(curve));
    let (coolant, air, margin, line) = (coolant?, air?, margin?, line?);
    let after = fresh.edit(|parts| {
        parts.advance = advance;
        parts.engine.idle_load = map.there(old.engine.idle_speed_rpm, old.engine.idle_load);
        parts.trims.coolant.weight = coolant;
        parts.trims.air.weight = air;
        parts.safety_margin.degrees = margin;
        parts.full_load_line.less_deg = line;
        parts.full_load_line.from_load = map.there(map.curves_at_rpm, old.full_load_line.from_load);
        parts.runs = old.runs.iter().map(|run| Arc::new(converted_run(run, map))).collect();
        parts.evidence = converted_evidence(&old.evidence, map);
    });
    Ok(after?)
}

/// A row without a speed keeps no load: nobody can say what it would be.
fn converted_run(run: &KeptRun, map: &Map) -> KeptRun {
    let mut run = run.clone();
    for row in &mut run.rows {
        row.load = row.load.zip(row.speed_rpm).map(|(load, speed_rpm)| map.there(speed_rpm, load));
    }
    run
}

fn converted_evidence(evidence: &Evidence, map: &Map) -> Evidence {
    let mut evidence = evidence.clone();
    for point in &mut evidence.points {
        let point = Arc::make_mut(point);
        point.load = map.there(point.speed_rpm, point.load);
    }
    for sweep in &mut evidence.sweeps {
        for reading in &mut Arc::make_mut(sweep).readings {
            reading.load = map.there(reading.speed_rpm, reading.load);
        }
    }
    evidence
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{KeptRow, KeptSweep, MeasuredPoint, NewProject, SweepReading, set_fields};
    use crate::table::{Axis, Cell};
    use approx::assert_abs_diff_eq;

    const FILLING: Filling = Filling { size_rpm: 30_000.0, leak: 0.012, exponent: -0.3, ambient_kpa: 101.325 };

    fn fitted(rms_kpa: f64) -> FittedFilling {
        FittedFilling {
            filling: FILLING,
            is_exponent_fitted: true,
            pairs: Vec::new(),
            above_ambient: 0,
            rms_kpa,
            worst_kpa: rms_kpa,
        }
    }

    fn started(load: LoadKind) -> Project {
        NewProject { name: "n".into(), cylinders: 4, load, speeds: 12, loads: 10 }.create_with_outputs()
    }

    fn axis(points: &[f64]) -> Axis {
        Axis::new(points.to_vec()).unwrap()
    }

    /// A table that is a plane, by hand and with SciPy: 10 + n/200 − 0.1·x.
    #[test]
    fn a_plane_is_seen_through_the_throttle() {
        let plane = |speed_rpm: f64, opening_pct: f64| 10.0 + speed_rpm / 200.0 - 0.1 * opening_pct;
        let source = Table::from_fn(axis(&[500.0, 6000.0]), axis(&[0.0, 100.0]), plane).unwrap();
        let axes = Table::from_fn(axis(&[2000.0, 3000.0]), axis(&[60.0, 90.0]), |_, _| 0.0).unwrap();
        let map = Map { filling: FILLING, to: LoadKind::Pressure, curves_at_rpm: 2000.0 };
        let found = cells(&source, &axes, &map, 1.0).unwrap();
        let at = |speed_rpm, load| found.iter().find(|cell| cell.speed_rpm == speed_rpm && cell.load == load).unwrap();
        assert_abs_diff_eq!(at(2000.0, 60.0).advance_deg, 18.649_877, epsilon = 0.005);
        assert_abs_diff_eq!(at(3000.0, 90.0).advance_deg, 21.311_503, epsilon = 0.005);
        let cell = at(3000.0, 90.0);
        let opening = |kpa: f64| FILLING.opening_pct(3000.0, kpa).unwrap();
        assert_abs_diff_eq!(cell.error_deg, 0.1 * (opening(91.0) - opening(90.0)), epsilon = 1e-9);
        assert!(found.iter().all(|cell| !cell.is_outside));
        let axes = Table::from_fn(axis(&[1000.0, 6000.0]), axis(&[25.0, 100.0]), |_, _| 0.0).unwrap();
        let outside: Vec<bool> = cells(&source, &axes, &map, 1.0).unwrap().iter().map(|cell| cell.is_outside).collect();
        assert_eq!(outside, [true, false, false, true]);
    }

    #[test]
    fn all_that_is_over_load_is_converted_and_the_rest_stays() {
        let before = started(LoadKind::Throttle).edit(|parts| {
            let row = |speed_rpm| KeptRow { time_s: Some(0.0), speed_rpm, load: Some(20.0), ..KeptRow::default() };
            let rows = vec![row(Some(2000.0)), row(None)];
            parts.runs.push(KeptRun { name: "hill".into(), rows, ..KeptRun::default() }.into());
            let point = MeasuredPoint { name: "P".into(), speed_rpm: 2000.0, load: 20.0, ..MeasuredPoint::default() };
            parts.evidence.points.push(point.into());
            let reading = SweepReading { speed_rpm: 2000.0, load: 20.0, torque: 90.0, ..SweepReading::default() };
            parts
                .evidence
                .sweeps
                .push(KeptSweep { name: "S".into(), readings: vec![reading], ..KeptSweep::default() }.into());
            parts.outputs[1].conditions[0] = Condition { signal: Signal::Load, on: 60.0, off: 55.0 };
            parts.checks.thresholds.insert("chatter_load".into(), 3.0);
        });
        let before = before.unwrap();
        let cell = Selection::cell(before.advance.table(), Cell::new(1, 1));
        let before = before.with_advance(before.advance.with_held(&cell, true)).unwrap();
        let done = LoadConversion::of(&before, &fitted(0.5), LoadKind::Pressure).unwrap();
        let after = &done.project;
        assert_eq!(after.sensors.load, LoadKind::Pressure);
        assert_eq!(after.advance.table().speed(), before.advance.table().speed());
        assert_eq!((after.advance.held().count(), done.remarks.len()), (0, 2));
        assert_eq!(after.outputs[1].conditions[0], Condition { signal: Signal::Throttle, on: 60.0, off: 55.0 });
        let rows: Vec<Option<f64>> = after.runs[0].rows.iter().map(|row| row.load).collect();
        assert_eq!(rows, [Some(80.63), None]);
        assert_eq!((after.evidence.points[0].load, after.evidence.sweeps[0].readings[0].load), (80.63, 80.63));
        let idle_kpa = FILLING.pressure_kpa(before.engine.idle_speed_rpm, before.engine.idle_load);
        assert_abs_diff_eq!(after.engine.idle_load, idle_kpa, epsilon = 0.005);
        assert_eq!(after.trims.coolant.weight.values(), before.trims.coolant.weight.values());
        assert!(after.trims.coolant.weight.axis().last() > 95.0);
        for cell in &done.cells {
            let there = before.advance.table().lookup(cell.speed_rpm, cell.was_load);
            assert_abs_diff_eq!(cell.advance_deg, there, epsilon = 0.005 + 1e-9);
        }
        assert!(done.worst().unwrap().error_deg >= done.median_error_deg());
    }

    /// Wherever both tables have the place, it is the same advance again but for the new rows' spacing.
    #[test]
    fn there_and_back_is_nearly_the_same_table() {
        let before = started(LoadKind::Throttle);
        let there = LoadConversion::of(&before, &fitted(0.5), LoadKind::Pressure).unwrap();
        let back = LoadConversion::of(&there.project, &fitted(0.5), LoadKind::Throttle).unwrap();
        assert_eq!(back.project.sensors.load, LoadKind::Throttle);
        assert!(back.lost_detail.is_none());
        assert!(back.remarks[0].starts_with("Rows above the pressure around are left"));
        for cell in back.cells.iter().filter(|cell| !cell.is_outside && cell.was_load < 97.0) {
            let was = before.advance.table().lookup(cell.speed_rpm, cell.load);
            assert!((cell.advance_deg - was).abs() < 2.0, "{cell:?}, {was}");
        }
    }

    #[test]
    fn openings_that_pressure_cannot_tell_apart_are_told() {
        let mut values = started(LoadKind::Throttle).advance.table().values().to_vec();
        let last = values.len() - 12;
        values[last] += 5.0;
        let start = started(LoadKind::Throttle);
        let before = start.with_advance(start.advance.with_values(values, Origin::Typed).unwrap()).unwrap();
        let lost = LoadConversion::of(&before, &fitted(0.5), LoadKind::Pressure).unwrap().lost_detail.unwrap();
        assert_eq!(lost.speed_rpm, before.advance.table().speed().first());
        assert!(lost.deg >= 5.0 && lost.pressure_kpa > 95.0);
    }

    #[test]
    fn boost_and_the_same_kind_are_refused() {
        let told = |project: &Project, to| LoadConversion::of(project, &fitted(0.5), to).unwrap_err().to_string();
        let pressure = started(LoadKind::Pressure);
        assert!(told(&pressure, LoadKind::Pressure).contains("load is pressure already"));
        let boost = [("advance.load[9]", "150"), ("engine.induction", "boosted")];
        let boosted = set_fields(&pressure, &boost).unwrap();
        let words = told(&boosted, LoadKind::Throttle);
        assert_eq!(
            words,
            "throttle does not tell boost, and the table reaches 150 kPa: delete the rows above the pressure around first"
        );
    }
}
