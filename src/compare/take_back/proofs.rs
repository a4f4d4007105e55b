//! What holds for every taking back, whatever the projects.

use proptest::prelude::*;

use super::*;
use crate::compare::samples::{any_advance, any_project, any_two_of_one_size, everything, project};
use crate::compare::{Comparison, FieldDifferences, Section, Threshold};
use crate::project::{Snapshot, set_fields};
use crate::table::{Curve, Selection};
use crate::watch::Watch;

fn differences(base: &Project, edited: &Project) -> FieldDifferences {
    FieldDifferences::between(base, edited, Watch::NOBODY).unwrap()
}

fn is_different(base: &Project, edited: &Project) -> bool {
    Comparison::new(base, edited, Threshold::default(), Watch::NOBODY).unwrap().is_different()
}

/// Takes one field back by its path.
fn take_field(base: &Project, edited: &Project, path: &str) -> Result<TakenBack, TakeBackError> {
    let found = differences(base, edited);
    take_back_fields(base, edited, &[found.at(path).expect(path)], "base")
}

#[test]
fn one_field_comes_back_and_the_others_stay() {
    let base = everything();
    let changes = [("limits.over_speed.cuts_at_rpm", "7400"), ("trims.coolant.degrees.value[0]", "-2")];
    let edited = set_fields(&base, &changes).unwrap();
    let taken = take_field(&base, &edited, changes[0].0).unwrap();
    assert_eq!(taken.label, "Take back Over-speed cuts at from base");
    assert_eq!(taken.project, set_fields(&base, &changes[1..]).unwrap());
    assert_eq!(take_field(&base, &edited, changes[1].0).unwrap().project, set_fields(&base, &changes[..1]).unwrap());
}

#[test]
fn text_flags_and_optional_values_come_back_to_the_letter() {
    let base = everything().edit(|parts| parts.notes = "  two\n\"lines\" \\ ".into()).unwrap();
    let edited =
        set_fields(&base, &[("notes", "none"), ("coil.current_limit_a", "none"), ("outputs[0].enabled", "no")]);
    let edited = edited.unwrap();
    for path in ["notes", "coil.current_limit_a", "outputs[0].enabled"] {
        let after = take_field(&base, &edited, path).unwrap().project;
        assert_eq!(differences(&base, &after).list.len(), 2, "{path}");
        assert!(differences(&base, &after).at(path).is_none(), "{path}");
    }
}

#[test]
fn a_curve_whose_points_moved_comes_back_whole() {
    let base = everything();
    let curve = Curve::from_points(&[(-20.0, 3.0), (40.0, 0.0)]).unwrap();
    let edited = base.edit(|parts| parts.trims.coolant.degrees = curve).unwrap();
    for path in ["trims.coolant.degrees.at", "trims.coolant.degrees.value"] {
        assert_eq!(take_field(&base, &edited, path).unwrap().project, base);
    }
}

#[test]
fn lists_and_thresholds_come_back() {
    let base = everything();
    let edited = base
        .edit(|parts| {
            parts.outputs.pop();
            parts.checks.thresholds.clear();
            parts.checks.thresholds.insert("own.with.dots".into(), 1.0);
        })
        .unwrap();
    let found = differences(&base, &edited);
    let all: Vec<_> = found.list.iter().collect();
    assert_eq!(all.len(), 3);
    let taken = take_back_fields(&base, &edited, &all, "start of season").unwrap();
    assert_eq!(taken.label, "Take back 3 fields from start of season");
    assert_eq!(taken.project, base);
}

#[test]
fn a_field_that_does_not_fit_alone_is_refused_and_fits_with_its_fellows() {
    let base = everything();
    let edited = set_fields(
        &base,
        &[
            ("engine.firing_order", "1,4,3,2"),
            ("engine.channels[0].cylinders", "1,3"),
            ("engine.channels[1].cylinders", "4,2"),
        ],
    )
    .unwrap();
    let error = take_field(&base, &edited, "engine.firing_order").unwrap_err();
    assert!(matches!(&error, TakeBackError::DoesNotFit(fault) if fault.path == "engine.channels"), "{error}");
    assert!(error.to_string().ends_with("take back what belongs to it in the same step"));
    assert_eq!(take_back_sections(&base, &edited, &[Section::Engine], "base").unwrap().project, base);
}

#[test]
fn a_section_comes_back_alone() {
    let base = everything();
    let edited = set_fields(&base, &[("limits.launch.enabled", "yes"), ("trims.air.enabled", "no")]).unwrap();
    let taken = take_back_sections(&base, &edited, &[Section::Limits], "start of season").unwrap();
    assert_eq!(taken.label, "Take back Limits from start of season");
    let left: Vec<_> = differences(&base, &taken.project).list.into_iter().map(|field| field.path).collect();
    assert_eq!(left, ["trims.air.enabled"]);
    let again = take_back_sections(&base, &taken.project, &[Section::Limits], "base");
    assert_eq!(again.unwrap_err(), TakeBackError::AlreadyAlike);
}

#[test]
fn axes_and_marks_come_back_one_by_one() {
    let base = everything();
    let moved = set_fields(&base, &[("advance.speed_rpm[3]", "1234"), ("advance.held[1][2]", "true")]).unwrap();
    let axis = take_field(&base, &moved, "advance.speed_rpm").unwrap().project;
    assert_eq!(axis, set_fields(&base, &[("advance.held[1][2]", "true")]).unwrap());
    let mark = take_field(&base, &axis, "advance.held[1][2]").unwrap();
    assert_eq!(mark.project, base);
    let smaller = project(crate::compare::samples::advance(
        (&[500.0, 6000.0], &[0.0, 100.0]),
        &[10.0; 4],
        crate::project::Origin::Typed,
    ));
    let error = take_field(&base, &smaller, "advance.load").unwrap_err();
    assert_eq!(error, TakeBackError::AxisLength { axis: TableAxis::Load, base: 16, edited: 2 });
}

#[test]
fn points_come_back_by_their_names_wherever_they_stand() {
    use crate::project::{MeasuredPoint, OnTwin, Project};
    let with = |names: &[(&str, f64)]| -> Project {
        let point = |(name, advance_deg): &(&str, f64)| MeasuredPoint {
            name: (*name).into(),
            advance_deg: *advance_deg,
            in_use: true,
            ..MeasuredPoint::default()
        };
        let bare = everything().edit(|parts| parts.evidence.points.clear()).unwrap();
        bare.with_points(names.iter().map(point).collect(), OnTwin::Refuse).unwrap().0
    };
    let names = |project: &Project| -> Vec<String> {
        project.evidence.points.iter().map(|point| format!("{} {}", point.name, point.advance_deg)).collect()
    };
    let base = with(&[("a", 1.0), ("b", 2.0), ("c", 3.0), ("4", 4.0)]);
    let edited = with(&[("x", 9.0), ("y", 8.0), ("b", 2.5)]);
    let after = |path: &str| names(&take_field(&base, &edited, path).unwrap().project);
    assert_eq!(after("evidence.points[a]"), ["a 1", "x 9", "y 8", "b 2.5"]);
    assert_eq!(after("evidence.points[c]"), ["x 9", "y 8", "b 2.5", "c 3"]);
    assert_eq!(after("evidence.points[y]"), ["x 9", "b 2.5"]);
    assert_eq!(after("evidence.points[b].advance_deg"), ["x 9", "y 8", "b 2"]);
    let found = differences(&base, &edited);
    let all: Vec<_> = found.list.iter().collect();
    assert_eq!(take_back_fields(&base, &edited, &all, "base").unwrap().project, base);
    let stale = take_back_fields(&base, &with(&[]), &[found.at("evidence.points[b].advance_deg").unwrap()], "base");
    assert!(stale.unwrap_err().to_string().starts_with("evidence.points[b].advance_deg has changed since"));
    assert_eq!(take_back_sections(&base, &edited, &[Section::Evidence], "base").unwrap().project, base);
}

#[test]
fn a_difference_of_other_projects_is_refused() {
    let base = everything();
    let edited = base.edit(|parts| parts.outputs[1].inverted = true).unwrap();
    let found = differences(&base, &edited);
    let fewer = base.edit(|parts| parts.outputs.clear()).unwrap();
    let stale = take_back_fields(&base, &fewer, &[&found.list[0]], "base").unwrap_err();
    assert_eq!(
        stale.to_string(),
        "outputs[1].inverted has changed since the projects were compared; compare them again"
    );
}

/// Otherwise loads in kPa would be read as per cent.
#[test]
fn what_is_written_over_another_load_comes_back_all_together_or_not_at_all() {
    let (base, edited) = (crate::compare::samples::over_pressure(), everything());
    let refused = |error: TakeBackError| matches!(error, TakeBackError::Relabelled { .. });
    for path in ["sensors.load", "engine.idle_load", "full_load_line.from_load", "advance.load"] {
        assert!(refused(take_field(&base, &edited, path).unwrap_err()), "{path}");
    }
    // A list of one curve brings the other along, and a list of records their numbers.
    let paths = ["trims.coolant.weight.at", "trims.coolant.weight.value", "runs", "outputs", "checks.accepted"];
    let there: Vec<&str> = paths.into_iter().filter(|path| differences(&base, &edited).at(path).is_some()).collect();
    assert!(there.len() >= 3, "{there:?}");
    for path in there {
        assert!(refused(take_field(&base, &edited, path).unwrap_err()), "{path}");
    }
    for section in [Section::Sensors, Section::Trims, Section::Advance, Section::FullLoadLine, Section::Image] {
        assert!(refused(take_back_sections(&base, &edited, &[section], "base").unwrap_err()), "{section:?}");
    }
    assert!(take_back_sections(&base, &edited, &[Section::Coil], "base").is_ok());
    assert!(!is_different(&base, &take_back_sections(&base, &edited, &Section::ALL, "base").unwrap().project));
}

#[test]
fn snapshots_stay_when_everything_is_taken_back() {
    let base = everything();
    let snapshot = Snapshot { name: "a".into(), note: String::new(), taken_at: String::new(), state: base.as_state() };
    let edited = base.edit(|parts| parts.snapshots.push(snapshot.into())).unwrap();
    assert!(!is_different(&base, &edited));
    let edited = edited.edit(|parts| parts.step_deg = 0.25).unwrap();
    let taken = take_back_sections(&base, &edited, &Section::ALL, "a").unwrap();
    assert_eq!(taken.label, "Take back everything from a");
    assert_eq!(taken.project.snapshots.len(), 1);
    let field = take_field(&base, &edited, "step_deg").unwrap();
    assert_eq!(field.project, taken.project);
}

proptest! {
    // Two projects take longer to make than to compare.
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn after_taking_everything_back_nothing_differs(base in any_project(), edited in any_project()) {
        match take_back_sections(&base, &edited, &Section::ALL, "base") {
            Ok(taken) => prop_assert!(!is_different(&base, &taken.project)),
            Err(error) => {
                prop_assert_eq!(error, TakeBackError::AlreadyAlike);
                prop_assert!(!is_different(&base, &edited));
            }
        }
    }

    #[test]
    fn taking_every_field_back_leaves_only_the_degrees((base, edited) in any_two_of_one_size()) {
        let found = differences(&base, &edited);
        let all: Vec<_> = found.list.iter().collect();
        match take_back_fields(&base, &edited, &all, "base") {
            Ok(taken) => {
                prop_assert!(differences(&base, &taken.project).is_empty());
                prop_assert_eq!(taken.project.advance.table().values(), edited.advance.table().values());
            }
            Err(TakeBackError::Relabelled { base: kind, edited: other }) => {
                prop_assert_eq!((kind, other), (base.sensors.load, edited.sensors.load));
                prop_assert_ne!(kind, other);
            }
            Err(error) => {
                prop_assert_eq!(error, TakeBackError::AlreadyAlike);
                prop_assert!(found.is_empty());
            }
        }
    }
}

proptest! {
    #[test]
    fn taking_cells_back_touches_no_other_cell(base in any_advance(), edited in any_advance(), chosen in proptest::collection::vec(any::<bool>(), 144)) {
        let (base, edited) = (project(base), project(edited));
        let table = edited.advance.table();
        let mut selection = Selection::none(table.load().len(), table.speed().len());
        selection.extend(table.cells().filter(|cell| chosen[table.index(*cell)]));
        let Ok(taken) = take_back_cells(&base, &edited, &selection, "base") else { return Ok(()); };
        prop_assert_eq!(taken.cells.selected(), selection.count());
        let after = &taken.project.advance;
        prop_assert_eq!(after.held(), edited.advance.held());
        for cell in table.cells() {
            let held = edited.advance.held().contains(cell) && selection.count() > 1;
            if held || !selection.contains(cell) {
                prop_assert_eq!(after.table().at(cell).to_bits(), table.at(cell).to_bits());
                prop_assert_eq!(after.origin(cell), edited.advance.origin(cell));
            }
        }
    }

    #[test]
    fn cells_taken_back_have_no_delta(advance in any_advance(), values in proptest::collection::vec(-60.0..90.0, 144)) {
        let base = project(advance);
        let count = base.advance.table().values().len();
        let edited = base.advance.with_values(values[..count].to_vec(), crate::project::Origin::Typed).unwrap();
        let all = Selection::all(edited.table());
        let edited = project(edited.with_held(&all, false));
        let taken = take_back_cells(&base, &edited, &all, "base").unwrap();
        prop_assert_eq!(taken.project.advance.table(), base.advance.table());
        prop_assert_eq!(taken.project.advance.origins(), base.advance.origins());
    }
}
