//! The sample projects that come with the program. Every engine, figure and story in them is invented, within common
//! practice.

use std::sync::Arc;

use super::{KeptSweep, LoadKind, Project, ReadError, read};

/// One sample project.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sample {
    /// Its name, also that of its file without the extension.
    pub name: &'static str,
    /// What it is, in one line.
    pub description: &'static str,
    /// The project file, byte for byte as the program writes it.
    pub text: &'static str,
}

/// Every sample; the first is the one shown at the first start.
pub const SAMPLES: &[Sample] = &[
    Sample {
        name: "tarn-special",
        description: "ice-track single-seater, 1.8 l four on twin carburettors, throttle load, 16 × 16",
        text: include_str!("../../sample-projects/tarn-special.ron"),
    },
    Sample {
        name: "larch-six",
        description: "2.7 l straight six estate car with 0.5 bar boost, pressure load, 16 × 16",
        text: include_str!("../../sample-projects/larch-six.ron"),
    },
    Sample {
        name: "copse-eight",
        description: "4.7 l V8 of a harbour launch, cooled by raw water, pressure load, 16 × 12",
        text: include_str!("../../sample-projects/copse-eight.ron"),
    },
    Sample {
        name: "wren-four",
        description: "1.2 l four that pumps for a vintage fire engine, throttle load, 8 × 8, untidy as a neglected engine is",
        text: include_str!("../../sample-projects/wren-four.ron"),
    },
];

impl Sample {
    /// Reads the project.
    ///
    /// # Errors
    /// [`ReadError`] never for a sample of [`SAMPLES`].
    pub fn project(&self) -> Result<Project, ReadError> {
        read(self.text.as_bytes())
    }
}

/// The readings of the first sample whose engine was swept, with their kind of load: something to try.
pub fn sample_sweep() -> Option<(LoadKind, Arc<KeptSweep>)> {
    let projects = SAMPLES.iter().filter_map(|sample| sample.project().ok());
    projects.into_iter().find_map(|project| Some((project.sensors.load, project.evidence.sweeps.first().cloned()?)))
}

#[cfg(test)]
mod soundness;

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::project::{Induction, LoadKind, Origin, list_fields, write};
    use crate::table::Cell;

    pub(super) fn sample(name: &str) -> Project {
        SAMPLES.iter().find(|sample| sample.name == name).unwrap().project().unwrap()
    }

    /// The setup of a project without its advance table and what was measured since, by path.
    fn setup(project: &Project) -> BTreeMap<String, String> {
        let fields = list_fields(project).unwrap();
        let fields = fields
            .into_iter()
            .filter(|field| !field.path.starts_with("advance.") && !field.path.starts_with("evidence."));
        fields.map(|field| (field.path.clone(), format!("{field:?}"))).collect()
    }

    #[test]
    fn each_is_exactly_what_the_program_writes() {
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            assert_eq!(project.name, sample.name);
            assert!(write(&project).unwrap() == sample.text, "{} is not as written", sample.name);
        }
    }

    /// The scenarios that the samples stand for: cranking, idle, cruise, full load at peak torque and at the redline, in
    /// degrees. Invented, within common practice.
    #[test]
    fn each_meets_its_corner_values() {
        type Corners = &'static [(f64, f64, f64)];
        let tarn: Corners = &[
            (1100.0, 0.0, 14.0),
            (1100.0, 3.0, 14.0),
            (800.0, 0.0, 15.0),
            (800.0, 3.0, 15.0),
            (1000.0, 0.0, 14.0),
            (1000.0, 3.0, 14.0),
            (1300.0, 0.0, 14.0),
            (1300.0, 3.0, 14.0),
            (3200.0, 12.0, 34.0),
            (5300.0, 100.0, 26.0),
            (7500.0, 100.0, 29.0),
        ];
        let larch: Corners = &[
            (850.0, 38.0, 14.0),
            (2500.0, 45.0, 37.0),
            (3600.0, 150.0, 17.0),
            (3600.0, 100.0, 26.0),
            (3600.0, 180.0, 13.0),
            (6000.0, 150.0, 22.0),
        ];
        let copse: Corners = &[(750.0, 40.0, 12.0), (2300.0, 45.0, 39.0), (3000.0, 100.0, 25.0), (5000.0, 100.0, 29.0)];
        let wren: Corners = &[
            (850.0, 0.0, 10.0),
            (850.0, 5.0, 10.0),
            (2800.0, 18.0, 32.0),
            (2900.0, 100.0, 23.0),
            (5800.0, 100.0, 29.0),
        ];
        let all = [("tarn-special", 8.0, tarn), ("larch-six", 8.0, larch), ("copse-eight", 8.0, copse)];
        for (name, cranking_deg, corners) in all.into_iter().chain([("wren-four", 7.0, wren)]) {
            let project = sample(name);
            assert_eq!(project.limits.cranking.advance_deg, cranking_deg);
            for &(speed_rpm, load, deg) in corners {
                let found = project.advance.table().lookup(speed_rpm, load);
                assert!((found - deg).abs() < 0.01, "{name}: {found}° at {speed_rpm} rpm, {load}, not {deg}°");
            }
        }
    }

    /// Displacement, compression ratio, fuel, induction and firing order. Invented, within common practice.
    #[test]
    fn each_is_the_engine_that_its_title_says() {
        let facts = |name| {
            let engine = sample(name).engine.clone();
            let order: Vec<String> = engine.firing_order.iter().map(u8::to_string).collect();
            (engine.displacement_l, engine.compression_ratio, engine.induction, order.join("-"))
        };
        let (free, boosted) = (Induction::NaturallyAspirated, Induction::Boosted);
        assert_eq!(facts("tarn-special"), (1.8, 10.8, free, "1-3-4-2".into()));
        assert_eq!(facts("larch-six"), (2.7, 8.2, boosted, "1-5-3-6-2-4".into()));
        assert_eq!(facts("copse-eight"), (4.7, 8.9, free, "1-8-4-5-7-3-6-2".into()));
        assert_eq!(facts("wren-four"), (1.2, 8.4, free, "1-2-4-3".into()));
        for sample in SAMPLES {
            let litres = format!("{} l", sample.project().unwrap().engine.displacement_l);
            assert!(sample.description.contains(&litres), "{}", sample.description);
            assert!(sample.project().unwrap().notes.contains(&litres), "{}", sample.name);
        }
    }

    /// Nothing in them, snapshots included, points at an engine that was made or at parts sold by number.
    #[test]
    fn none_names_what_could_be_recognised() {
        for sample in SAMPLES {
            let text = sample.text.to_lowercase();
            for word in ["distributor", "heat range", "2490", "plug lead"] {
                assert!(!text.contains(word), "{}: {word}", sample.name);
            }
            let project = sample.project().unwrap();
            let states = project.snapshots.iter().map(|snapshot| &snapshot.state);
            for state in states.chain([&project]) {
                let sensors = &state.sensors;
                for sensor in [&sensors.throttle, &sensors.pressure] {
                    assert_eq!((sensor.first_v, sensor.second_v), (0.5, 4.5), "{}", sample.name);
                }
                assert_eq!((sensors.coolant.pull_up_ohm, sensors.air.pull_up_ohm), (2200.0, 2200.0));
                let size = |word: &str| word == "mm" || word.parse::<f64>().is_ok_and(|number| number == 14.0);
                let plugs = state.engine.plugs.split([' ', ',']).filter(|word| !size(word));
                assert!(plugs.clone().count() > 3, "{}", state.engine.plugs);
                assert!(plugs.flat_map(str::chars).all(|letter| !letter.is_ascii_digit()), "{}", state.engine.plugs);
            }
        }
    }

    #[test]
    fn each_has_its_engine_wheel_and_axes() {
        let facts = |name| {
            let project = sample(name);
            let (table, wheel) = (project.advance.table(), project.trigger.wheel);
            let size = (table.speed().len(), table.load().len(), table.speed().last());
            (project.engine.cylinders, (wheel.teeth, wheel.missing), project.sensors.load, size, project.step_deg)
        };
        assert_eq!(facts("tarn-special"), (4, (60, 2), LoadKind::Throttle, (16, 16, 8000.0), 0.5));
        assert_eq!(facts("larch-six"), (6, (36, 1), LoadKind::Pressure, (16, 16, 6500.0), 0.5));
        assert_eq!(facts("copse-eight"), (8, (36, 1), LoadKind::Pressure, (16, 12, 5500.0), 0.5));
        assert_eq!(facts("wren-four"), (4, (36, 1), LoadKind::Throttle, (8, 8, 5800.0), 0.5));
        let rows =
            [20.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 115.0, 130.0, 150.0, 165.0, 180.0];
        assert_eq!(sample("larch-six").advance.table().load().breakpoints(), rows);
    }

    #[test]
    fn cells_stand_in_half_degrees_and_some_are_measured_and_held() {
        for sample in SAMPLES {
            let advance = sample.project().unwrap().advance.clone();
            assert!(advance.table().values().iter().all(|deg| (deg * 2.0).fract() == 0.0), "{}", sample.name);
            let measured = advance.held().cells().filter(|&cell| advance.origin(cell) == Origin::Measured).count();
            assert!(measured >= 2, "{}: {measured} cells measured and held", sample.name);
        }
    }

    #[test]
    fn the_first_differs_from_the_start_of_the_season_in_two_regions_and_three_settings() {
        let project = sample("tarn-special");
        let base = &project.snapshots.iter().find(|snapshot| snapshot.name == "start of season").unwrap().state;
        let (after, before) = (project.advance.table(), base.advance.table());
        let mut changed = [0, 0];
        for cell in after.cells() {
            let Cell { load, speed } = cell;
            let (speed_rpm, load_pct) = (after.speed().breakpoints()[speed], after.load().breakpoints()[load]);
            let deg = after.at(cell) - before.at(cell);
            let middle = (2400.0..=4200.0).contains(&speed_rpm) && load_pct >= 48.0;
            let light = (1000.0..=2000.0).contains(&speed_rpm) && (3.0..=23.0).contains(&load_pct);
            assert!(deg == 0.0 || middle && (-2.0..0.0).contains(&deg) || light && (0.5..=1.5).contains(&deg));
            changed[0] += usize::from(deg < 0.0);
            changed[1] += usize::from(deg > 0.0);
        }
        assert_eq!(changed, [30, 21]);
        let (after, before) = (setup(&project), setup(base));
        let differ: Vec<_> = after.keys().filter(|path| before.get(*path) != after.get(*path)).collect();
        assert_eq!(before.len(), after.len());
        assert_eq!(
            differ,
            [
                "limits.over_speed.cuts_all_at_rpm",
                "limits.over_speed.cuts_at_rpm",
                "limits.over_speed.eases_from_rpm",
                "limits.over_speed.fires_again_below_rpm",
                "outputs[0].conditions[0].on",
                "trims.coolant.degrees.value",
            ]
        );
    }

    #[test]
    fn each_keeps_a_state_that_differs_and_says_why() {
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            assert!(!project.snapshots.is_empty(), "{}", sample.name);
            for snapshot in &project.snapshots {
                assert_ne!(snapshot.state.advance, project.advance, "{}", snapshot.name);
                assert!(!snapshot.note.is_empty() && snapshot.taken_at.ends_with('Z'));
            }
        }
    }
}
