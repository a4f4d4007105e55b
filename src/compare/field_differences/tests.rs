//! Differences of a few known edits.

use super::*;
use crate::compare::samples::{advance, everything, project};
use crate::project::{Condition, Origin, Project, Signal, set_fields};
use crate::table::Curve;

/// Path, label, base and edited value of every difference.
fn told(base: &Project, edited: &Project) -> Vec<String> {
    let found = FieldDifferences::between(base, edited, Watch::NOBODY).unwrap();
    let line = |field: &FieldDifference| {
        format!("{} | {} | {} → {}", field.path, field.label, field.base_words, field.edited_words)
    };
    found.list.iter().map(line).collect()
}

/// A base in which every value compared below is known.
fn base() -> Project {
    let curve = |points| Curve::from_points(points).unwrap();
    let condition = |signal, on, off| Condition { signal, on, off };
    let known = everything().edit(|parts| {
        parts.engine.idle_load = 2.0;
        parts.sensors.air.points_c[1] = 20.0;
        parts.trims.coolant.degrees = curve(&[(-10.0, 0.0), (80.0, 0.0)]);
        parts.trims.coolant.weight = curve(&[(0.0, 1.0), (100.0, 0.0)]);
        parts.limits.over_speed.cuts_at_rpm = 7200.0;
        parts.outputs[0].conditions = vec![condition(Signal::Speed, 6900.0, 6800.0)];
        parts.outputs[1].conditions = vec![condition(Signal::Coolant, 95.0, 90.0), condition(Signal::Load, 50.0, 40.0)];
        parts.advance = advance((&[500.0, 2400.0], &[0.0, 48.0]), &[1.0; 4], Origin::Starter);
    });
    known.unwrap()
}

fn after(assignments: &[(&str, &str)]) -> Vec<String> {
    told(&base(), &set_fields(&base(), assignments).unwrap())
}

#[test]
fn fields_are_named_with_their_place_and_unit() {
    let found = after(&[
        ("limits.over_speed.cuts_at_rpm", "7400"),
        ("trims.coolant.degrees.value[0]", "-2"),
        ("trims.coolant.weight.value[1]", "0.25"),
        ("outputs[0].conditions[0].on", "7050"),
        ("outputs[1].conditions[1].on", "60"),
        ("engine.channels[1].wiring", "grey"),
        ("coil.current_limit_a", "none"),
        ("sensors.air.points_c[1]", "21"),
        ("checks.thresholds.stands_out_deg", "2"),
        ("engine.idle_load", "3"),
        ("timing_light.readings[0].observed_deg", "13.5"),
        ("checks.accepted[0].reason", "steady at 850 rpm"),
    ]);
    let expected = [
        "engine.channels[1].wiring | Coil B, wiring | empty → grey",
        "engine.idle_load | Idle load | 2 % → 3 %",
        "sensors.air.points_c[1] | Air sender, temperatures, point 2 | 20 °C → 21 °C",
        "coil.current_limit_a | Driver current limit | 9 A → none",
        "trims.coolant.degrees.value[0] | Coolant trim at −10 °C | 0.0° → −2.0°",
        "trims.coolant.weight.value[1] | Coolant trim, weight at 100 % | 0 → 0.25",
        "limits.over_speed.cuts_at_rpm | Over-speed cuts at | 7200 rpm → 7400 rpm",
        "outputs[0].conditions[0].on | Shift light, on | 6900 rpm → 7050 rpm",
        "outputs[1].conditions[1].on | Fan, condition 2, on | 50 % → 60 %",
        "timing_light.readings[0].observed_deg | Timing light, reading 1, observed | 14.0° → 13.5°",
        "checks.thresholds.stands_out_deg | Check threshold stands_out_deg | 2.5° → 2.0°",
        "checks.accepted[0].reason | Accepted finding 1, reason | steady → steady at 850 rpm",
    ];
    assert_eq!(found, expected);
}

#[test]
fn what_belongs_together_is_one_difference() {
    let found = after(&[
        ("engine.firing_order", "1,4,3,2"),
        ("engine.channels[0].cylinders", "1,3"),
        ("engine.channels[1].cylinders", "4,2"),
        ("trims.coolant.degrees.at[0]", "-20"),
        ("outputs", "[]"),
        ("advance.speed_rpm[0]", "600"),
    ]);
    assert_eq!(found[0], "advance.speed_rpm | Advance, speeds | 500, 2400 rpm → 600, 2400 rpm");
    assert_eq!(found[1], "engine.firing_order | Firing order | 1, 3, 4, 2 → 1, 4, 3, 2");
    assert_eq!(found[2], "engine.channels[0].cylinders | Coil A, cylinders | 1, 4 → 1, 3");
    assert_eq!(found[3], "engine.channels[1].cylinders | Coil B, cylinders | 3, 2 → 4, 2");
    assert_eq!(found[4], "trims.coolant.degrees.at | Coolant trim, temperatures | −10, 80 °C → −20, 80 °C");
    assert!(found[5].starts_with("outputs | Outputs | ") && found[5].ends_with(" → none"), "{}", found[5]);
    assert_eq!(found.len(), 6);
}

#[test]
fn measured_points_are_known_by_their_names() {
    use crate::project::{MeasuredPoint, OnTwin};
    let named = |name: &str, advance_deg: f64| MeasuredPoint {
        name: name.into(),
        speed_rpm: 3000.0,
        load: 60.0,
        advance_deg,
        in_use: true,
        ..MeasuredPoint::default()
    };
    let with = |points: &[(&str, f64)]| {
        let points = points.iter().map(|(name, deg)| named(name, *deg)).collect();
        let bare = base().edit(|parts| parts.evidence = Default::default()).unwrap();
        bare.with_points(points, OnTwin::Refuse).unwrap().0
    };
    let start = with(&[("P1", 20.0), ("P3", 24.5), ("7", 30.0)]);
    let found = told(&start, &with(&[("P9", 18.0), ("P3", 25.0), ("7", 30.0)]));
    let expected = [
        "evidence.points[P1] | Measured point P1 | 20.0° at 3000 rpm, 60 % → —",
        "evidence.points[P3].advance_deg | Measured point P3, advance | 24.5° → 25.0°",
        "evidence.points[P9] | Measured point P9 | — → 18.0° at 3000 rpm, 60 %",
    ];
    assert_eq!(found, expected);
    let idle = set_fields(&start, &[("evidence.points[\"7\"].in_use", "no")]).unwrap();
    assert_eq!(told(&start, &idle), ["evidence.points[\"7\"].in_use | Measured point 7, in use | yes → no"]);
    let turned = told(&start, &with(&[("P3", 24.5), ("P1", 20.0), ("7", 30.0)]));
    assert_eq!(turned, ["evidence.points | Measured points | P1, P3, 7 → P3, P1, 7"]);
}

#[test]
fn a_sweep_is_told_by_its_readings() {
    let start = base();
    let sweep = |change: &dyn Fn(&mut crate::project::KeptSweep)| {
        let edited = start.edit(|parts| change(std::sync::Arc::make_mut(&mut parts.evidence.sweeps[0])));
        told(&start, &edited.unwrap())
    };
    assert_eq!(
        sweep(&|sweep| sweep.readings[1].left_out = None),
        [
            "evidence.sweeps[May sweep].readings[1].left_out | Timing sweep May sweep, reading 2, left out | a gust → none"
        ]
    );
    assert_eq!(
        sweep(&|sweep| drop(sweep.readings.pop())),
        ["evidence.sweeps[May sweep].readings | Timing sweep May sweep, readings | 2 entries → 1 entry"]
    );
    assert_eq!(
        sweep(&|sweep| sweep.name = "June".into()),
        [
            "evidence.sweeps[May sweep] | Timing sweep May sweep | 2 readings → —",
            "evidence.sweeps[June] | Timing sweep June | — → 2 readings"
        ]
    );
}

#[test]
fn a_list_of_another_length_tells_what_changed_in_the_entries_that_stayed() {
    let fewer = base().edit(|parts| {
        parts.outputs[0].conditions[0].on = 7050.0;
        parts.outputs.truncate(1);
    });
    let found = told(&base(), &fewer.unwrap());
    let [was, is] = [&base().outputs[0].name, &base().outputs[1].name];
    assert_eq!(found, [format!("outputs | Outputs | {was} (on 6900 rpm), {is} → {was} (on 7050 rpm)")]);
}

#[test]
fn marks_are_compared_by_cell_and_degrees_are_not_listed() {
    let found =
        after(&[("advance.deg[1][1]", "17.25"), ("advance.held[1][1]", "true"), ("advance.origin[0][1]", "measured")]);
    let expected = [
        "advance.held[1][1] | Held at 2400 rpm, 48 % | no → yes",
        "advance.origin[0][1] | Origin at 2400 rpm, 0 % | starter → measured",
        "advance.origin[1][1] | Origin at 2400 rpm, 48 % | starter → typed",
    ];
    assert_eq!(found, expected);
}

#[test]
fn marks_of_tables_of_another_size_are_left_out_and_that_is_known() {
    let small = advance((&[500.0, 7000.0], &[0.0, 100.0]), &[1.0; 4], Origin::Typed);
    let smaller = everything().edit(|parts| parts.advance = small).unwrap();
    let found = FieldDifferences::between(&everything(), &smaller, Watch::NOBODY).unwrap();
    let paths: Vec<_> = found.list.iter().map(|field| field.path.as_str()).collect();
    assert_eq!(paths, ["advance.speed_rpm", "advance.load"]);
    assert!(!found.marks_compared);
}

#[test]
fn a_threshold_on_one_side_only_has_no_other_value() {
    let fewer = everything().edit(|parts| parts.checks.thresholds.clear()).unwrap();
    let found = FieldDifferences::between(&everything(), &fewer, Watch::NOBODY).unwrap();
    assert_eq!((found.list[0].base.clone(), found.list[0].edited.clone()), (Some(Tree::Number(2.5)), None));
    assert_eq!(found.list[0].edited_words, "—");
}

#[test]
fn sections_gather_their_fields() {
    let edited = set_fields(
        &everything(),
        &[
            ("trims.air.enabled", "no"),
            ("name", "other"),
            ("trims.coolant.enabled", "no"),
            ("limits.clamp.floor_deg", "-5"),
        ],
    );
    let found = FieldDifferences::between(&everything(), &edited.unwrap(), Watch::NOBODY).unwrap();
    let groups: Vec<_> = found.by_section().map(|(section, fields)| (section.name(), fields.len())).collect();
    assert_eq!(groups, [("Project", 1), ("Trims", 2), ("Limits", 1)]);
    assert!(FieldDifferences::between(&everything(), &everything(), Watch::NOBODY).unwrap().is_empty());
}

#[test]
fn every_field_that_can_differ_has_a_label_of_its_own() {
    let nothing = project(advance((&[500.0, 7000.0], &[0.0, 100.0]), &[1.0; 4], Origin::Typed));
    let found = FieldDifferences::between(&everything(), &nothing, Watch::NOBODY).unwrap();
    for field in &found.list {
        assert_ne!(field.label, field.path);
    }
}
