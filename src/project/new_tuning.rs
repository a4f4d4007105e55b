//! The limits, trims and safety margin of a new project. Figures: common practice, no source, unless said.

use super::known_engine::idle_load;
use super::{Clamp, Cranking, CutPattern, Engine, Launch, Limits, LoadKind, OverSpeed, SafetyMargin, Trim, Trims};
use crate::table::{Curve, CurveError};

/// The speed of the first cut when the engine's highest safe speed is not known.
const CUTS_AT_RPM: f64 = 6500.0;
/// Every spark is cut from this far above the first cut.
const CUTS_ALL_ABOVE_RPM: f64 = 200.0;
/// A hot engine keeps at least this much advance at idle.
const LEAST_AT_IDLE_DEG: f64 = 4.0;
/// Half load and atmospheric pressure in kPa. In boost the coolant trim does not apply.
const HALF_LOAD_KPA: f64 = 70.0;
const ATMOSPHERE_KPA: f64 = 100.0;

const fn half_load(load: LoadKind) -> f64 {
    match load {
        LoadKind::Throttle => 50.0,
        LoadKind::Pressure => HALF_LOAD_KPA,
    }
}

const fn full_load(load: LoadKind) -> f64 {
    match load {
        LoadKind::Throttle => 100.0,
        LoadKind::Pressure => 120.0,
    }
}

pub(super) fn safety_margin(load: LoadKind) -> Result<SafetyMargin, CurveError> {
    let degrees = Curve::from_points(&[(half_load(load), 0.0), (full_load(load), 2.0)])?;
    Ok(SafetyMargin { enabled: false, degrees })
}

/// With boost, the coolant trim's weight falls to zero at atmospheric pressure; over throttle, where nobody
/// knows at which opening that is reached, it falls to zero at half load.
pub(super) fn trims(engine: &Engine, load: LoadKind) -> Result<Trims, CurveError> {
    let coolant =
        [(-20.0, 4.0), (20.0, 3.0), (40.0, 2.0), (60.0, 1.0), (75.0, 0.0), (98.0, 0.0), (105.0, -2.0), (115.0, -5.0)];
    let air = [(30.0, 0.0), (40.0, -1.0), (50.0, -2.0), (60.0, -4.0), (70.0, -6.0)];
    let idle_load = idle_load(load);
    let weight = match (engine.induction.is_boosted(), load) {
        (false, _) => vec![(idle_load, 1.0), (full_load(load), 1.0)],
        (true, LoadKind::Throttle) => vec![(idle_load, 1.0), (25.0, 1.0), (50.0, 0.0)],
        (true, LoadKind::Pressure) => vec![(idle_load, 1.0), (HALF_LOAD_KPA, 1.0), (ATMOSPHERE_KPA, 0.0)],
    };
    Ok(Trims {
        coolant: Trim { enabled: true, degrees: Curve::from_points(&coolant)?, weight: Curve::from_points(&weight)? },
        air: Trim {
            enabled: true,
            degrees: Curve::from_points(&air)?,
            weight: Curve::from_points(&[(idle_load, 0.0), (half_load(load), 1.0)])?,
        },
    })
}

/// Reduces the coolant trim's weight at idle until a hot engine keeps 4° of `idle_deg` there.
pub(super) fn leave_some_at_idle(trims: &mut Trims, engine: &Engine, idle_deg: f64) -> Result<(), CurveError> {
    let hottest_deg = trims.coolant.degrees.values().iter().copied().fold(0.0, f64::min);
    let weight = ((idle_deg - LEAST_AT_IDLE_DEG) / -hottest_deg).clamp(0.0, 1.0);
    if weight < 1.0 {
        let weight = (weight * 100.0).floor() / 100.0;
        let at = |(load, own)| if load == engine.idle_load { (load, weight) } else { (load, own) };
        let points: Vec<(f64, f64)> = trims.coolant.weight.points().map(at).collect();
        trims.coolant.weight = Curve::from_points(&points)?;
    }
    Ok(())
}

/// Limits below what the engine withstands: at its highest safe speed every spark is cut at the latest.
pub(super) fn limits(engine: &Engine) -> Limits {
    let cuts_at_rpm = engine.highest_safe_speed_rpm.map_or(CUTS_AT_RPM, |safe_rpm| safe_rpm - CUTS_ALL_ABOVE_RPM);
    Limits {
        cranking: cranking(engine.idle_speed_rpm),
        over_speed: OverSpeed {
            enabled: true,
            eases_from_rpm: cuts_at_rpm - 250.0,
            eases_by_deg: 10.0,
            cuts_at_rpm,
            fires_again_below_rpm: cuts_at_rpm - 120.0,
            cuts_all_at_rpm: cuts_at_rpm + CUTS_ALL_ABOVE_RPM,
            pattern: CutPattern::AlternateCoils,
        },
        launch: launch(cuts_at_rpm),
        clamp: Clamp { floor_deg: -10.0, ceiling_deg: 45.0 },
    }
}

/// Cranking is left, the blend included, before warm idle is reached.
fn cranking(idle_rpm: f64) -> Cranking {
    let leave_at_rpm = ((idle_rpm * 0.07).floor() * 10.0).min(500.0);
    Cranking {
        advance_deg: 8.0,
        no_spark_below_rpm: 50.0,
        below_rpm: (leave_at_rpm * 0.8).floor(),
        leave_at_rpm,
        blend_rpm: (idle_rpm - leave_at_rpm).min(200.0),
    }
}

/// Switched off; cuts at about two thirds of the over-speed limit.
fn launch(over_speed_cuts_at_rpm: f64) -> Launch {
    let hundreds = |rpm: f64| (rpm / 100.0).floor() * 100.0;
    let cuts_at_rpm = hundreds(over_speed_cuts_at_rpm * 0.65);
    let retards_from_rpm = hundreds(cuts_at_rpm * 0.84);
    Launch {
        enabled: false,
        arms_below_rpm: hundreds(retards_from_rpm / 2.0).min(1500.0),
        retards_from_rpm,
        cuts_at_rpm,
        resume_drop_rpm: 150.0,
        advance_deg: 0.0,
        throttle_above_pct: 60.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{Induction, KnownEngine, NewProject, Project};

    fn new(load: LoadKind, known: &KnownEngine) -> Project {
        NewProject { name: "n".into(), cylinders: 4, load, speeds: 12, loads: 10 }.create_for(known).unwrap()
    }

    #[test]
    fn limits_lie_below_what_the_engine_stands() {
        let known = KnownEngine { highest_safe_speed_rpm: Some(5200.0), ..KnownEngine::default() };
        let over = new(LoadKind::Throttle, &known).limits.over_speed.clone();
        assert_eq!((over.eases_from_rpm, over.cuts_at_rpm, over.cuts_all_at_rpm), (4750.0, 5000.0, 5200.0));
        let usual = new(LoadKind::Throttle, &KnownEngine::default()).limits.clone();
        assert_eq!((usual.over_speed.cuts_at_rpm, usual.over_speed.cuts_all_at_rpm), (6500.0, 6700.0));
        let launch = usual.launch;
        assert_eq!((launch.arms_below_rpm, launch.retards_from_rpm, launch.cuts_at_rpm), (1500.0, 3500.0, 4200.0));
        let cranking = usual.cranking;
        assert_eq!((cranking.below_rpm, cranking.leave_at_rpm, cranking.blend_rpm), (400.0, 500.0, 200.0));
    }

    #[test]
    fn a_boosted_engine_has_no_coolant_trim_in_boost() {
        let known = KnownEngine { induction: Some(Induction::Boosted), ..KnownEngine::default() };
        let project = new(LoadKind::Pressure, &known);
        let weight = |load| project.trims.coolant.weight.lookup(load);
        assert_eq!((weight(40.0), weight(100.0), weight(150.0)), (1.0, 0.0, 0.0));
        assert_eq!(new(LoadKind::Pressure, &KnownEngine::default()).trims.coolant.weight.lookup(120.0), 1.0);
    }

    /// The hottest coolant takes away 5 degrees; of the 8 at idle 4 must remain.
    #[test]
    fn a_hot_engine_keeps_four_degrees_at_idle() {
        let project = new(LoadKind::Throttle, &KnownEngine::default());
        let mut trims = project.trims.clone();
        leave_some_at_idle(&mut trims, &project.engine, 8.0).unwrap();
        assert_eq!(trims.coolant.weight.lookup(project.engine.idle_load), 0.8);
        assert_eq!(project.trims.coolant.weight.lookup(project.engine.idle_load), 1.0);
    }
}
