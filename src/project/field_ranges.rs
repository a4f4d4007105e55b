//! The ranges of fields in a given project, where its load kind, a condition's signal or the wheel decides them, and
//! the setup as a tree.

use super::fields::{DecidedBy, Field, FieldKind, ZERO_OFFSET, ZERO_OFFSET_READ_AT, field};
use super::locate::{Step, steps};
use super::{ADVANCE_RANGE_DEG, LoadKind, Parts, SPEED_RANGE_RPM, Signal, Tree, TreeError, Wheel, thresholds};
use crate::wording::Unit;

/// What a field may be in a project, with the units and ranges filled in that the load kind, a condition's
/// signal, the wheel or the catalogue of thresholds decides.
///
/// ```
/// use sparkloft::project::{LoadKind, NewProject, kind_at};
///
/// let new = NewProject { name: "Heron".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
/// let idle_load = kind_at("engine.idle_load", &*new.create()?).ok_or("no such field")?;
/// assert_eq!(idle_load.range(), "0..100 %");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn kind_at(path: &str, parts: &Parts) -> Option<FieldKind> {
    let threshold = threshold_of(path).map(|threshold| threshold.kind_in(parts));
    threshold.or_else(|| Some(resolved(field(path)?, path, parts)))
}

/// The same for the field of that path.
pub(super) fn kind_of(field: &Field, path: &str, parts: &Parts) -> FieldKind {
    threshold_of(path).map_or_else(|| resolved(field, path, parts), |threshold| threshold.kind_in(parts))
}

fn threshold_of(path: &str) -> Option<&'static thresholds::Threshold> {
    thresholds::threshold_named(path.strip_prefix(thresholds::PATH)?.strip_prefix('.')?)
}

pub(super) fn resolved(field: &Field, path: &str, parts: &Parts) -> FieldKind {
    let load = parts.sensors.load;
    let of = |unit, (low, high)| FieldKind::Number { unit, low, high };
    match field.decided_by {
        DecidedBy::Catalogue => field.kind,
        DecidedBy::LoadKind => of(load.unit(), load.range()),
        DecidedBy::LoadUnit => match field.kind {
            FieldKind::Number { low, high, .. } => of(load.unit(), (low, high)),
            other => other,
        },
        DecidedBy::Signal => {
            signal_beside(path, parts).map_or(field.kind, |signal| of(signal.unit(load), signal_range(signal, load)))
        }
        DecidedBy::Wheel => wheel_of_zero_offset(path, parts).map_or(field.kind, |wheel| {
            let most_deg = wheel.most_zero_offset_deg();
            of(Unit::Degree, (-most_deg, most_deg))
        }),
    }
}

/// The wheel that limits a zero offset: the project's, or that of the readings.
pub(super) fn wheel_of_zero_offset(path: &str, parts: &Parts) -> Option<Wheel> {
    match path {
        ZERO_OFFSET => Some(parts.trigger.wheel),
        ZERO_OFFSET_READ_AT => Some(parts.timing_light.wheel),
        _ => None,
    }
}

/// The signal of the condition that a threshold of an output belongs to.
fn signal_beside(path: &str, parts: &Parts) -> Option<Signal> {
    match steps(path)?.as_slice() {
        [Step::Field(_), Step::Index(output), Step::Field(_), Step::Index(condition), ..] => {
            Some(parts.outputs.get(*output)?.conditions.get(*condition)?.signal)
        }
        _ => None,
    }
}

/// The range of a signal, in its unit.
pub const fn signal_range(signal: Signal, load: LoadKind) -> (f64, f64) {
    match signal {
        Signal::Speed => SPEED_RANGE_RPM,
        Signal::Load => load.range(),
        Signal::Throttle => LoadKind::Throttle.range(),
        Signal::Pressure => LoadKind::Pressure.range(),
        Signal::Coolant | Signal::Air => (-60.0, 200.0),
        Signal::Battery => (0.0, 60.0),
        Signal::Advance => ADVANCE_RANGE_DEG,
    }
}

/// The setup as a tree: everything but the advance table, the snapshots and the last export.
///
/// # Errors
/// [`TreeError`] never for types that a project is made of.
pub(super) fn setup_tree(parts: &Parts) -> Result<Tree, TreeError> {
    // Without `..`: a new part must be given a place here, or be left out on purpose.
    let Parts {
        format: _,
        name,
        notes,
        step_deg,
        locked_timing_deg,
        assumed,
        engine,
        combustion,
        trigger,
        sensors,
        coil,
        advance: _,
        full_load_line,
        safety_margin,
        trims,
        limits,
        tachometer,
        outputs,
        image,
        timing_light,
        typed_readings,
        runs,
        evidence,
        checks,
        last_export: _,
        snapshots: _,
    } = parts;
    Ok(Tree::Record(vec![
        ("name", Tree::of(name)?),
        ("notes", Tree::of(notes)?),
        ("step_deg", Tree::of(step_deg)?),
        ("locked_timing_deg", Tree::of(locked_timing_deg)?),
        ("assumed", Tree::of(assumed)?),
        ("engine", Tree::of(engine)?),
        ("combustion", Tree::of(combustion)?),
        ("trigger", Tree::of(trigger)?),
        ("sensors", Tree::of(sensors)?),
        ("coil", Tree::of(coil)?),
        ("full_load_line", Tree::of(full_load_line)?),
        ("safety_margin", Tree::of(safety_margin)?),
        ("trims", Tree::of(trims)?),
        ("limits", Tree::of(limits)?),
        ("tachometer", Tree::of(tachometer)?),
        ("outputs", Tree::of(outputs)?),
        ("image", Tree::of(image)?),
        ("timing_light", Tree::of(timing_light)?),
        ("typed_readings", Tree::of(typed_readings)?),
        ("runs", Tree::of(runs)?),
        ("evidence", Tree::of(evidence)?),
        ("checks", Tree::of(checks)?),
    ]))
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;
    use crate::project::range_check::check_ranges;
    use crate::project::{FIELDS, NewProject};

    /// A project in which every list has an entry and every optional value is there.
    fn full() -> Parts {
        let mut parts = NewProject::sample_with_everything().unwrap();
        parts.sensors.load = LoadKind::Throttle;
        parts.locked_timing_deg = Some(10.0);
        parts
    }

    #[test]
    fn every_value_of_a_project_is_in_the_catalogue_and_the_other_way_about() {
        let mut seen = HashSet::new();
        setup_tree(&full()).unwrap().walk(&mut |path, _| {
            let field = field(path).unwrap_or_else(|| panic!("{path} is not in the catalogue"));
            seen.insert(field.path);
        });
        let unused: Vec<_> = FIELDS.iter().map(|field| field.path).filter(|path| !seen.contains(path)).collect();
        assert!(unused.is_empty(), "{unused:?} name nothing");
    }

    #[test]
    fn kinds_fit_the_values() {
        setup_tree(&full()).unwrap().walk(&mut |path, value| {
            let value = if let Tree::Present(inner) = value { inner } else { value };
            let fits = match field(path).unwrap().kind {
                FieldKind::Number { .. } | FieldKind::Whole { .. } => matches!(value, Tree::Number(_)),
                FieldKind::Flag => matches!(value, Tree::Flag(_)),
                FieldKind::Text { .. } => matches!(value, Tree::Text(_)),
                FieldKind::Choice(names) => matches!(value, Tree::Name(name) if names.contains(name)),
            };
            assert!(fits || *value == Tree::Absent, "{path}: {value:?}");
        });
    }

    #[test]
    fn out_of_range_values_are_named() {
        let mut parts = full();
        parts.trigger.zero_offset_deg = 55.0;
        let fault = check_ranges(&parts).unwrap_err();
        let words =
            "55 is outside −30..30°, three pitches of the wheel: move the reference by 6 teeth of 10.0° instead";
        assert_eq!(fault.to_string(), format!("trigger.zero_offset_deg: {words}"));
        parts.trigger.zero_offset_deg = f64::NAN;
        assert!(check_ranges(&parts).unwrap_err().message.contains("not finite"));
    }

    #[test]
    fn a_zero_offset_is_three_pitches_of_the_wheel_at_most() {
        let mut parts = full();
        for (teeth, missing, most_deg) in [(60, 2, 18.0), (36, 1, 30.0), (12, 1, 90.0), (35, 1, 30.858)] {
            parts.trigger.wheel = Wheel { teeth, missing };
            parts.timing_light.wheel = parts.trigger.wheel;
            for sign in [1.0, -1.0] {
                (parts.trigger.zero_offset_deg, parts.timing_light.zero_offset_deg) =
                    (sign * most_deg, sign * most_deg);
                assert_eq!(check_ranges(&parts), Ok(()));
                parts.trigger.zero_offset_deg = sign * (most_deg + 0.01);
                assert!(check_ranges(&parts).unwrap_err().message.contains("move the reference by"));
                (parts.trigger.zero_offset_deg, parts.timing_light.zero_offset_deg) = (0.0, sign * (most_deg + 0.01));
                assert!(check_ranges(&parts).unwrap_err().path.starts_with("timing_light"));
            }
            let wanted = FieldKind::Number { unit: Unit::Degree, low: -most_deg, high: most_deg };
            assert_eq!(kind_at("trigger.zero_offset_deg", &parts), Some(wanted));
        }
        parts.trigger.zero_offset_deg = -17.0;
        parts.timing_light.zero_offset_deg = 0.0;
        parts.trigger.wheel = Wheel { teeth: 120, missing: 2 };
        let words = check_ranges(&parts).unwrap_err().to_string();
        assert!(words.ends_with("move the reference by −6 teeth of 3.0° instead"), "{words}");
    }

    #[test]
    fn units_and_ranges_follow_the_load_and_the_signal() {
        let mut parts = full();
        let range = |parts: &Parts, path: &str| kind_at(path, parts).unwrap().range();
        assert_eq!(range(&parts, "engine.idle_load"), "0..100 %");
        assert_eq!(range(&parts, "trims.air.weight.at[1]"), "0..100 %");
        assert_eq!(range(&parts, "checks.thresholds.chatter_load"), "0..100 %");
        parts.sensors.load = LoadKind::Pressure;
        assert_eq!(range(&parts, "engine.idle_load"), "1..500 kPa");
        for (signal, wanted) in [
            (Signal::Speed, "0..30000 rpm"),
            (Signal::Load, "1..500 kPa"),
            (Signal::Throttle, "0..100 %"),
            (Signal::Coolant, "−60..200 °C"),
            (Signal::Battery, "0..60 V"),
            (Signal::Advance, "−60..90°"),
        ] {
            parts.outputs[0].conditions[0].signal = signal;
            assert_eq!(range(&parts, "outputs[0].conditions[0].on"), wanted);
        }
        let mut parts = full();
        parts.engine.idle_load = 200.0;
        assert_eq!(check_ranges(&parts).unwrap_err().to_string(), "engine.idle_load: 200 is outside 0..100 %");
        let mut parts = full();
        (parts.outputs[0].conditions[0].signal, parts.outputs[0].conditions[0].on) = (Signal::Coolant, 6900.0);
        assert_eq!(
            check_ranges(&parts).unwrap_err().to_string(),
            "outputs[0].conditions[0].on: 6900 is outside −60..200 °C"
        );
    }
}
