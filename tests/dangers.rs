//! Set-ups that break an engine, each with the finding that catches it. Every one starts from a sound project,
//! in which nothing is found, and differs from it as its words say.

use std::sync::Arc;

use sparkloft::checks::{Severity, Tally, run};
use sparkloft::project::{
    Induction, LastExport, MeasuredPoint, Mixture, OnTwin, Origin, Parts, PointBound, PointKind, Project, SAMPLES,
    TimingReading, Wheel,
};
use sparkloft::shaping::{Along, extend_axis};
use sparkloft::table::{Cell, Curve};

/// The sound project that a set-up begins with.
#[derive(Clone, Copy, Debug)]
enum Sound {
    /// A four of high compression over throttle, with carburettors, revved high.
    Racer,
    /// A six with a turbocharger, over pressure.
    Turbo,
    /// A slow V8 over pressure.
    Launch,
}

impl Sound {
    fn project(self) -> Project {
        let name = match self {
            Self::Racer => "tarn-special",
            Self::Turbo => "larch-six",
            Self::Launch => "copse-eight",
        };
        SAMPLES.iter().find(|sample| sample.name == name).unwrap().project().unwrap()
    }
}

/// What is done to a sound project.
enum Deed {
    /// Fields and the like.
    Set(fn(&mut Parts)),
    /// Cells: their new value by speed, load and value.
    Cells(fn(f64, f64, f64) -> f64),
    /// Anything else.
    Do(fn(&Project) -> Project),
}

use Deed::{Cells, Do, Set};
use Severity::{Error, Warning};
use Sound::{Launch, Racer, Turbo};

/// What it is in words, what it begins with, what is done, and which finding catches it how loudly.
type Danger = (&'static str, Sound, Deed, &'static str, Severity);

const DANGERS: &[Danger] = &[
    // Starting
    (
        "the starter turns it with 16° of advance: it kicks back",
        Racer,
        Set(|parts| parts.limits.cranking.advance_deg = 16.0),
        "cranking_advance",
        Warning,
    ),
    (
        "the starter turns it with 25° of advance: it breaks the ring gear",
        Launch,
        Set(|parts| parts.limits.cranking.advance_deg = 25.0),
        "cranking_advance",
        Error,
    ),
    (
        "cranking is left at 120 rpm, before the engine fires, and the table has 18° there",
        Racer,
        Do(|sound| {
            let steep = cells(sound, |speed_rpm, _, deg| if speed_rpm < 1000.0 { 18.0 } else { deg });
            let early = |parts: &mut Parts| {
                let cranking = &mut parts.limits.cranking;
                (cranking.below_rpm, cranking.leave_at_rpm, cranking.blend_rpm) = (100.0, 120.0, 0.0);
            };
            steep.edit(early).unwrap()
        }),
        "cranking_advance",
        Warning,
    ),
    // Measured
    (
        "the table has a degree more than was heard to be free of knock, between its cells",
        Turbo,
        Do(|sound| {
            let (speed_rpm, load) = (3333.0, 145.0);
            let advance_deg = sound.advance.table().lookup(speed_rpm, load) - 1.0;
            let (kind, bound) = (PointKind::Knock, PointBound::AtMost);
            let name = "full load".to_owned();
            let point =
                MeasuredPoint { name, speed_rpm, load, advance_deg, kind, bound, in_use: true, ..Default::default() };
            sound.with_points(vec![point], OnTwin::Refuse).unwrap().0
        }),
        "point_knock",
        Warning,
    ),
    // Boost
    (
        "the table is flat above atmospheric pressure",
        Turbo,
        Do(|sound| {
            let table = sound.advance.table();
            cells(sound, |speed_rpm, load, deg| if load > 100.0 { table.lookup(speed_rpm, 100.0) } else { deg })
        }),
        "boost_retard",
        Error,
    ),
    (
        "boost takes half a degree away for 10 kPa",
        Turbo,
        Do(|sound| {
            let table = sound.advance.table();
            let gentle = |speed_rpm: f64, load: f64, deg: f64| match load {
                load if load > 100.0 => table.lookup(speed_rpm, 100.0) - 0.05 * (load - 100.0),
                _ => deg,
            };
            cells(sound, gentle)
        }),
        "boost_retard",
        Warning,
    ),
    (
        "one row above atmospheric pressure has more advance than the row below it",
        Turbo,
        Cells(|_, load, deg| if load == 130.0 { deg + 6.0 } else { deg }),
        "boost_trend",
        Error,
    ),
    (
        "a turbocharger on an engine whose load is the throttle",
        Racer,
        Set(|parts| {
            (parts.engine.induction, parts.engine.highest_pressure_kpa) = (Induction::Boosted, 140.0);
            parts.engine.fuel_octane_ron = 110.0;
        }),
        "boost_signal",
        Error,
    ),
    (
        "boost that nobody told of: 150 kPa on an engine said to draw its charge itself",
        Turbo,
        Set(|parts| parts.engine.induction = Induction::NaturallyAspirated),
        "boost_signal",
        Warning,
    ),
    (
        "a boosted engine with 100 kPa as its highest pressure, so that nothing of boost is looked at",
        Turbo,
        Set(|parts| parts.engine.highest_pressure_kpa = 100.0),
        "boost_signal",
        Warning,
    ),
    (
        "the cold engine gets 4° more at full boost",
        Turbo,
        Set(|parts| parts.trims.coolant.weight = curve(&[(38.0, 1.0), (180.0, 1.0)])),
        "boost_trim",
        Warning,
    ),
    (
        "the table ends at the highest pressure, so that overboost meets the spark of the last row",
        Turbo,
        Set(|parts| parts.engine.highest_pressure_kpa = 180.0),
        "top_row",
        Warning,
    ),
    (
        "the rows under boost were only extended, and nobody looked at them",
        Turbo,
        Do(|sound| {
            let boost = sound.advance.table().cells().filter(|cell| cell.load > 11);
            let mut cells = sparkloft::table::Selection::none(16, 16);
            cells.extend(boost);
            let released = sound.advance.with_held(&cells, false);
            sound.with_advance(released.with_origin(&cells, Origin::Extended)).unwrap()
        }),
        "top_row",
        Warning,
    ),
    ("plugs of 1.1 mm at half a bar", Turbo, Set(|parts| parts.engine.plug_gap_mm = 1.1), "plug_gap", Warning),
    (
        "a launch limit at 20° after dead centre, burning in the turbine",
        Turbo,
        Set(|parts| (parts.limits.launch.enabled, parts.limits.launch.advance_deg) = (true, -20.0)),
        "late_launch",
        Warning,
    ),
    // Fuel
    (
        "a ratio of 12.5 on 95 octane",
        Racer,
        Set(|parts| (parts.engine.compression_ratio, parts.engine.fuel_octane_ron) = (12.5, 95.0)),
        "compression_octane",
        Warning,
    ),
    (
        "1.2 bar of boost on what half a bar was right for",
        Turbo,
        Set(|parts| parts.engine.highest_pressure_kpa = 220.0),
        "compression_octane",
        Warning,
    ),
    (
        "cruise advance at full load",
        Turbo,
        Cells(|_, load, deg| if load >= 90.0 { deg + 12.0 } else { deg }),
        "full_load_line",
        Error,
    ),
    (
        "one cell mistyped: 52 for 25",
        Launch,
        Cells(|speed_rpm, load, deg| if (speed_rpm, load) == (3000.0, 90.0) { 52.0 } else { deg }),
        "stands_out",
        Error,
    ),
    (
        "advance that rises with load over the upper half",
        Racer,
        Cells(|speed_rpm, load, deg| if load > 50.0 && speed_rpm > 2000.0 { deg + 0.2 * (load - 50.0) } else { deg }),
        "load_trend",
        Warning,
    ),
    // Sensors
    (
        "a pressure sensor up to 115 kPa on an engine with half a bar of boost",
        Turbo,
        Set(|parts| parts.sensors.pressure.second_reads = 115.0),
        "sensor_range",
        Error,
    ),
    (
        "the load is pressure, and no pressure sensor is fitted",
        Launch,
        Set(|parts| parts.sensors.pressure.fitted = false),
        "load_sensor",
        Error,
    ),
    (
        "a throttle sensor that gives one voltage throughout",
        Racer,
        Set(|parts| parts.sensors.throttle.second_v = parts.sensors.throttle.first_v),
        "load_sensor",
        Error,
    ),
    (
        "a throttle sensor with its end wires swapped: open reads as shut",
        Racer,
        Set(|parts| {
            let throttle = &mut parts.sensors.throttle;
            (throttle.first_v, throttle.second_v) = (throttle.second_v, throttle.first_v);
        }),
        "throttle_calibration",
        Error,
    ),
    (
        "a coolant sender that fails as if the engine were at −20 °C, for good",
        Launch,
        Set(|parts| parts.sensors.coolant.stand_in_c = -20.0),
        "stand_in",
        Warning,
    ),
    // Heat
    (
        "a hot engine gets 3° more, at full load too",
        Racer,
        Set(|parts| parts.trims.coolant.degrees = curve(&[(20.0, 2.0), (80.0, 0.0), (110.0, 3.0)])),
        "hot_trim",
        Warning,
    ),
    (
        "a hot engine idles at dead centre and boils",
        Launch,
        Set(|parts| parts.trims.coolant.degrees = curve(&[(20.0, 2.0), (75.0, 0.0), (95.0, -12.0)])),
        "hot_idle",
        Warning,
    ),
    // Limits
    ("no over-speed limit", Racer, Set(|parts| parts.limits.over_speed.enabled = false), "over_speed_order", Warning),
    (
        "the second cut 3000 rpm above the first: half the sparks drive it there",
        Launch,
        Set(|parts| parts.limits.over_speed.cuts_all_at_rpm = parts.limits.over_speed.cuts_at_rpm + 3000.0),
        "over_speed_order",
        Warning,
    ),
    (
        "a limit at 7400 rpm on an engine whose rods stand 6800",
        Racer,
        Set(|parts| parts.engine.highest_safe_speed_rpm = Some(6800.0)),
        "over_speed_safe",
        Warning,
    ),
    (
        "a launch limit that arms itself at any speed and cuts in while the car is driven",
        Racer,
        Set(|parts| parts.limits.launch.arms_below_rpm = 8000.0),
        "launch_order",
        Warning,
    ),
    (
        "a launch limit at 15° after dead centre, with carburettors full of fuel",
        Racer,
        Set(|parts| {
            parts.engine.mixture = Mixture::Carburettors;
            (parts.limits.launch.enabled, parts.limits.launch.advance_deg) = (true, -15.0);
        }),
        "late_launch",
        Warning,
    ),
    // Trigger and coils
    (
        "the wheel was turned by three teeth after the light had been held",
        Launch,
        Set(|parts| parts.trigger.reference_deg -= 30.0),
        "zero_proof",
        Warning,
    ),
    (
        "the wheel's gap passes just where the sparks fall",
        Launch,
        Set(|parts| {
            parts.trigger.reference_deg = 20.0;
            parts.timing_light.reference_deg = 20.0;
        }),
        "gap",
        Warning,
    ),
    (
        "12 ms of dwell at any voltage: the coils burn",
        Racer,
        Set(|parts| parts.coil.dwell_ms = curve(&[(6.0, 12.0), (16.0, 12.0)])),
        "coil_current",
        Warning,
    ),
    (
        "the unit was last given the copy with one locked advance",
        Racer,
        Do(|sound| {
            let state = sound.locked_timing(10.0).unwrap().as_state();
            let export = LastExport {
                file_name: "locked.hex".into(),
                written_at: "2026-05-02T10:00:00Z".into(),
                checksum: "1F".into(),
                despite_errors: None,
                state,
            };
            sound.edit(|parts| parts.last_export = Some(Arc::new(export))).unwrap()
        }),
        "locked_timing",
        Error,
    ),
];

fn curve(points: &[(f64, f64)]) -> Curve {
    Curve::from_points(points).unwrap()
}

/// The project with other cells.
fn cells(project: &Project, deg: impl Fn(f64, f64, f64) -> f64) -> Project {
    let table = project.advance.table();
    let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
    let value = |cell: Cell| deg(speeds[cell.speed], loads[cell.load], table.at(cell));
    let advance = project.advance.with_values(table.cells().map(value).collect(), Origin::Typed).unwrap();
    project.with_advance(advance).unwrap()
}

#[test]
fn no_dangerous_set_up_passes_in_silence() {
    assert!(DANGERS.len() >= 30);
    for (words, from, deed, id, severity) in DANGERS {
        let sound = from.project();
        assert_eq!(Tally::of(&run(&sound)).total(), 0, "{from:?} is no sound project");
        let spoilt = match deed {
            Set(change) => sound.edit(change).unwrap(),
            Cells(deg) => cells(&sound, deg),
            Do(change) => change(&sound),
        };
        let found = run(&spoilt);
        let caught = found.iter().filter(|finding| finding.id == *id).map(|finding| finding.severity).min();
        assert_eq!(caught, Some(*severity), "{words}: {found:#?}");
    }
}

#[test]
fn words_are_said_once() {
    for (at, danger) in DANGERS.iter().enumerate() {
        assert!(DANGERS[..at].iter().all(|other| other.0 != danger.0), "{}", danger.0);
    }
}

/// Half-degree rounding far beyond the edge gave 7.7° between 13.1° and 15.1° and was called clean.
#[test]
fn what_was_only_extended_is_never_clean() {
    let sound = Turbo.project();
    let rounded = cells(&sound, |_, _, deg| (deg * 2.0).round() / 2.0);
    let short = {
        let mut advance = rounded.advance.clone();
        for _ in 0..3 {
            let last = advance.table().load().len() - 1;
            advance = sparkloft::shaping::delete_breakpoint(&advance, Along::Load, last).unwrap().advance;
        }
        rounded.with_advance(advance).unwrap()
    };
    let longer = extend_axis(&short.advance, Along::Load, 180.0, -10.0).unwrap().advance;
    let table = longer.table();
    let last = table.row(table.load().len() - 1);
    for of_three in last.windows(3) {
        let off_deg = (of_three[1] - f64::midpoint(of_three[0], of_three[2])).abs();
        assert!(off_deg < 1.5, "{last:?}");
    }
    let found = run(&short.with_advance(longer).unwrap());
    assert!(found.iter().any(|finding| finding.id == "top_row" && finding.severity == Warning), "{found:#?}");
}

/// What the readings were taken with is part of the proof.
#[test]
fn readings_of_another_wheel_prove_nothing() {
    let moved = |parts: &mut Parts| {
        parts.timing_light.wheel = Wheel { teeth: 60, missing: 2 };
        parts.timing_light.readings.push(TimingReading { commanded_deg: 10.0, observed_deg: 10.0, speed_rpm: 900.0 });
    };
    let found = run(&Launch.project().edit(moved).unwrap());
    assert!(found.iter().any(|finding| finding.id == "zero_proof"));
}
