//! Every remedy removes its own finding: on random projects.

use proptest::prelude::*;

use super::{CHECKS, Finding, check, run};
use crate::compare::Section;
use crate::project::{
    FieldKind, LoadKind, NewProject, Origin, Parts, Project, SAMPLES, Tree, kind_at, list_fields, set_fields,
};
use crate::table::{Axis, Curve, Selection, Table};
use crate::wording::{settle, shortest};

/// A project to start from.
#[derive(Clone, Copy, Debug)]
enum Beginning {
    New { cylinders: u8, pressure: bool, speeds: usize, loads: usize },
    Sample(usize),
}

impl Beginning {
    /// Nothing is held: held cells may prevent a remedy, and then they are left alone.
    fn project(self) -> Project {
        match self {
            Self::New { cylinders, pressure, speeds, loads } => {
                let load = if pressure { LoadKind::Pressure } else { LoadKind::Throttle };
                NewProject { name: "any".into(), cylinders, load, speeds, loads }.create_with_outputs()
            }
            Self::Sample(at) => {
                let sample = SAMPLES[at % SAMPLES.len()].project().unwrap();
                let all = Selection::all(sample.advance.table());
                sample.with_advance(sample.advance.with_held(&all, false)).unwrap()
            }
        }
    }
}

fn beginnings() -> impl Strategy<Value = Beginning> {
    let size = || prop_oneof![20 => 2..14_usize, 1 => Just(64)];
    let new = (prop_oneof![Just(4_u8), Just(6), Just(8)], any::<bool>(), size(), size())
        .prop_map(|(cylinders, pressure, speeds, loads)| Beginning::New { cylinders, pressure, speeds, loads });
    prop_oneof![7 => new, 3 => (0..SAMPLES.len()).prop_map(Beginning::Sample)]
}

/// Numbers from 0 to 1 derived from a seed: the fractional parts of squares times the golden ratio are evenly
/// distributed.
fn shares(seed: u16) -> Vec<f64> {
    (0..97_u16).map(|at| (f64::from(at) + f64::from(seed)).powi(2) * 0.618_033_988_75).map(f64::fract).collect()
}

/// What happens to the table: nothing, a few cells moved a little, every cell at random, or other breakpoints.
fn spoil_table(project: &Project, how: u8, shares: &[f64]) -> Project {
    let table = project.advance.table();
    let share = |at: usize| shares[at % shares.len()];
    let cell = |at: usize, deg: f64| match how % 5 {
        1 => deg + if share(at) > 0.9 { 30.0 * (share(at + 1) - 0.5) } else { 0.0 },
        2 => deg + 8.0 * (share(at) - 0.5),
        3 => -60.0 + 150.0 * share(at * 7 + 3),
        _ => deg,
    };
    let (low, high) = crate::project::ADVANCE_RANGE_DEG;
    let values: Vec<f64> =
        table.values().iter().enumerate().map(|(at, &deg)| settle(cell(at, deg).clamp(low, high))).collect();
    let advance = if how % 5 == 4 {
        let uneven = |axis: &Axis| {
            let step = axis.span() / 20.0;
            let mut at = axis.first();
            let places = (0..axis.len()).map(|place| {
                at += if place == 0 { 0.0 } else { step * (0.02 + share(place)) };
                (at * 100.0).round() / 100.0
            });
            Axis::new(places.collect()).unwrap_or_else(|_| axis.clone())
        };
        let table = Table::new(uneven(table.speed()), uneven(table.load()), values).unwrap();
        crate::project::Advance::uniform(table, Origin::Typed)
    } else {
        project.advance.with_values(values, Origin::Typed)
    };
    advance.ok().and_then(|advance| project.with_advance(advance).ok()).unwrap_or_else(|| project.clone())
}

/// A number in a range: one of its ends, near the previous value, or anywhere.
fn number_in(low: f64, high: f64, was: f64, share: f64) -> f64 {
    match share {
        share if share < 0.05 => low,
        share if share < 0.1 => high,
        share if share < 0.6 => settle((was * (1.0 + (share - 0.35))).clamp(low, high)),
        share => settle(((low + (high - low) * (share - 0.6) / 0.4) * 100.0).round() / 100.0).clamp(low, high),
    }
}

/// The project with one field set at random; unchanged if the field does not accept the value.
fn spoil_field(project: &Project, at: usize, share: f64) -> Project {
    let meant = |path: &str| {
        [
            "limits",
            "trims",
            "coil",
            "outputs",
            "full_load_line",
            "tachometer",
            "engine",
            "trigger",
            "sensors",
            "step_deg",
        ]
        .iter()
        .any(|section| path.starts_with(section))
    };
    let fields: Vec<_> = list_fields(project).unwrap().into_iter().filter(|field| meant(&field.path)).collect();
    let chosen = &fields[at % fields.len()];
    let (path, was) = match &chosen.value {
        Tree::List(items) => (format!("{}[{}]", chosen.path, at / fields.len() % items.len().max(1)), 10.0),
        Tree::Number(was) => (chosen.path.clone(), *was),
        _ => (chosen.path.clone(), 0.0),
    };
    let text = match kind_at(&path, project) {
        Some(FieldKind::Number { low, high, .. }) => shortest(number_in(low, high, was, share)),
        Some(FieldKind::Whole { low, high }) => shortest(number_in(low, high, was, share).round()),
        Some(FieldKind::Flag) => (share < 0.7).to_string(),
        Some(FieldKind::Choice(names)) => names[at % names.len()].to_owned(),
        _ => return project.clone(),
    };
    set_fields(project, &[(path.as_str(), text.as_str())]).unwrap_or_else(|_| project.clone())
}

fn spoil_threshold(project: &Project, at: usize, share: f64) -> Project {
    let all: Vec<_> = CHECKS.iter().flat_map(|check| check.thresholds).collect();
    let chosen = all[at % all.len()];
    let value = number_in(chosen.low, chosen.high, chosen.default, share);
    chosen.set(project, value, "so it is").map_or_else(|_| project.clone(), |(changed, _)| changed)
}

/// Replaces a curve of the project.
fn spoil_curve(project: &Project, which: u8, shares: &[f64]) -> Project {
    let curve = |(from, to): (f64, f64), (low, high): (f64, f64)| {
        let last = (1..7_u8).rev().find(|last| shares[0] * 6.0 >= f64::from(last - 1)).unwrap_or(1);
        let at = |place: u8| from + (to - from) * f64::from(place) / f64::from(last);
        let value = |place: u8| ((low + (high - low) * shares[1 + usize::from(place)]) * 10.0).round() / 10.0;
        Curve::from_points(&(0..=last).map(|place| (at(place), value(place))).collect::<Vec<_>>()).unwrap()
    };
    let full = project.advance.table().load().last();
    let change = |parts: &mut Parts| match which % 6 {
        0 => parts.coil.dwell_ms = curve((6.0 + shares[1], 10.0 + 6.0 * shares[2]), (0.5, 8.0)),
        1 => parts.trims.coolant.degrees = curve((-30.0, 60.0 + 80.0 * shares[1]), (-8.0, 8.0)),
        2 => parts.trims.air.degrees = curve((-10.0, 20.0 + 80.0 * shares[1]), (-8.0, 8.0)),
        3 => parts.trims.coolant.weight = curve((0.0, full), (0.0, 1.0)),
        4 => {
            parts.full_load_line.enabled = true;
            parts.full_load_line.most_deg = curve((500.0, 8000.0), (5.0, 40.0));
        }
        _ => {
            parts.full_load_line.enabled = true;
            parts.full_load_line.from_load = (full * shares[1]).round();
            parts.full_load_line.less_deg = curve((full / 3.0, full), (0.0, 10.0));
        }
    };
    project.edit(change).unwrap_or_else(|_| project.clone())
}

/// Whether a finding is still there after its remedy.
fn is_left(finding: &Finding, after: &Project) -> bool {
    let left = check(finding.id).unwrap().findings(after);
    left.iter().any(|left| left.place.section() == finding.place.section() && left.place.words == finding.place.words)
}

fn every_remedy_cures(project: &Project) -> Result<(), TestCaseError> {
    for finding in run(project) {
        let Some(cure) = &finding.cure else { continue };
        let after = cure.apply(project);
        let after = after.map_err(|error| TestCaseError::fail(format!("{}: {error}\n{finding:#?}", cure.label)))?;
        prop_assert!(!is_left(&finding, &after), "{} leaves {finding:#?}", cure.label);
        if finding.place.section() != Section::Advance {
            prop_assert_eq!(project.advance.table(), after.advance.table(), "{}", cure.label);
        }
    }
    Ok(())
}

/// The changes made to a project.
#[derive(Clone, Debug)]
struct Recipe {
    beginning: Beginning,
    table: u8,
    fields: Vec<(usize, f64)>,
    thresholds: Vec<(usize, f64)>,
    curves: Vec<u8>,
    seed: u16,
}

fn recipes() -> impl Strategy<Value = Recipe> {
    let many = |most: usize| proptest::collection::vec((0..10_000_usize, 0.0..1.0_f64), 0..most);
    let all = (beginnings(), 0..5_u8, many(12), many(4), proptest::collection::vec(0..6_u8, 0..3), any::<u16>());
    all.prop_map(|(beginning, table, fields, thresholds, curves, seed)| Recipe {
        beginning,
        table,
        fields,
        thresholds,
        curves,
        seed,
    })
}

impl Recipe {
    fn project(&self) -> Project {
        let shares = shares(self.seed);
        let mut project = spoil_table(&self.beginning.project(), self.table, &shares);
        for &(at, share) in &self.fields {
            project = spoil_field(&project, at, share);
        }
        for &(at, share) in &self.thresholds {
            project = spoil_threshold(&project, at, share);
        }
        for (at, &which) in self.curves.iter().enumerate() {
            project = spoil_curve(&project, which, &shares[at * 9..]);
        }
        project
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn every_remedy_takes_its_own_finding_away(recipe in recipes()) {
        every_remedy_cures(&recipe.project())?;
    }
}
