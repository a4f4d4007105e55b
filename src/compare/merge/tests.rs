//! Merges of a few known edits.

use std::sync::Arc;

use super::*;
use crate::compare::Section;
use crate::compare::samples::{advance, everything, project};
use crate::project::{LoadKind, NewProject, Origin, Output, Parts, Snapshot, Wheel, set_fields};
use crate::table::{Cell, Curve, Selection};
use crate::watch::Watch;

const AXES: (&[f64], &[f64]) = (&[1000.0, 2000.0, 3000.0], &[0.0, 50.0]);

fn merged(base: &Project, mine: &Project, theirs: &Project) -> Merge {
    Merge::new(base, mine, theirs, Watch::NOBODY).unwrap()
}

/// The merged project, if there is nothing to decide.
fn clean(base: &Project, mine: &Project, theirs: &Project) -> Project {
    let merge = merged(base, mine, theirs);
    assert_eq!(merge.conflicts(), []);
    merge.resolve(|_| Version::Base).unwrap()
}

fn edit(project: &Project, change: impl FnOnce(&mut Parts)) -> Project {
    project.edit(change).unwrap()
}

fn set(project: &Project, fields: &[(&str, &str)]) -> Project {
    set_fields(project, fields).unwrap()
}

/// Label, base, mine and theirs of each conflict.
fn told(merge: &Merge) -> Vec<String> {
    let line = |conflict: &Conflict| {
        let [base, mine, theirs] = &conflict.words;
        format!("{} | {base} | {mine} | {theirs}", conflict.label)
    };
    merge.conflicts().iter().map(line).collect()
}

fn table() -> Project {
    project(advance(AXES, &[10.0, 20.0, 30.0, 9.0, 19.0, 29.0], Origin::Starter))
}

fn with_cell(project: &Project, cell: Cell, deg: f64, origin: Origin) -> Project {
    let table = project.advance.table();
    let mut values = table.values().to_vec();
    values[table.index(cell)] = deg;
    project.with_advance(project.advance.with_values(values, origin).unwrap()).unwrap()
}

fn hold(project: &Project, cell: Cell) -> Project {
    let selection = Selection::cell(project.advance.table(), cell);
    project.with_advance(project.advance.with_held(&selection, true)).unwrap()
}

/// A point is decided whole, by its name: an advance of one side is not put to an interval of the other.
#[test]
fn measured_points_of_both_sides_stay_and_one_that_both_changed_is_one_conflict() {
    use crate::project::{MeasuredPoint, OnTwin};
    let point = |name: &str, advance_deg: f64| MeasuredPoint {
        name: name.into(),
        speed_rpm: 3000.0,
        load: 60.0,
        advance_deg,
        in_use: true,
        ..MeasuredPoint::default()
    };
    let with = |project: &Project, points: Vec<MeasuredPoint>| project.with_points(points, OnTwin::Replace).unwrap().0;
    let base = with(&table(), vec![point("P1", 20.0), point("P3", 24.5), point("P5", 30.0)]);
    let names = |project: &Project| -> Vec<String> {
        project.evidence.points.iter().map(|point| format!("{} {}", point.name, point.advance_deg)).collect()
    };
    let mine = with(&base.without_points(&["P5".into()]).unwrap(), vec![point("P7", 33.0), point("P1", 21.0)]);
    let theirs = with(&base, vec![point("P9", 18.0), MeasuredPoint { note: "hot".into(), ..point("P3", 24.5) }]);
    let both = clean(&base, &mine, &theirs);
    assert_eq!(names(&both), ["P1 21", "P3 24.5", "P7 33", "P9 18"]);
    assert_eq!(both.evidence.point("P3").unwrap().note, "hot");

    let mine = with(&base, vec![point("P3", 25.0)]);
    let theirs = set(&base, &[("evidence.points[P3].high_deg", "26"), ("evidence.points[P3].bound", "at_most")]);
    let merge = merged(&base, &mine, &theirs);
    let wanted = "Measured point P3 | advance 24.5° · interval to none · bound about | advance 25.0° · interval to none · \
                  bound about | advance 24.5° · interval to 26.0° · bound at most";
    assert_eq!(told(&merge), [wanted]);
    for (version, project) in [(Version::Base, &base), (Version::Mine, &mine), (Version::Theirs, &theirs)] {
        assert_eq!(merge.resolve(|_| version).unwrap().evidence, project.evidence);
    }
}

#[test]
fn a_sweep_is_decided_whole_and_told_by_its_readings() {
    let base = everything();
    let sweep = |project: &Project, change: fn(&mut crate::project::KeptSweep)| {
        edit(project, |parts| change(Arc::make_mut(&mut parts.evidence.sweeps[0])))
    };
    let mine = sweep(&base, |sweep| sweep.readings[0].left_out = None);
    let theirs = sweep(&base, |sweep| sweep.note = "fuel 95".into());
    let merge = merged(&base, &mine, &theirs);
    let wanted = "Timing sweep May sweep | note fuel 98 · readings 2 entries | note fuel 98 · readings 2 entries | note fuel \
                  95 · readings 2 entries";
    assert_eq!(told(&merge), [wanted]);
    assert_eq!(merge.resolve(|_| Version::Mine).unwrap(), mine);
    assert_eq!(clean(&base, &mine, &base), mine);
}

/// Otherwise what both sides brought would be more than a project holds.
#[test]
fn more_points_than_a_project_holds_are_one_conflict() {
    use crate::project::{MOST_POINTS, MeasuredPoint};
    let with = |project: &Project, prefix: &str, count: usize| {
        edit(project, |parts| {
            let point = |at| MeasuredPoint { name: format!("{prefix}{at}"), ..MeasuredPoint::default() };
            parts.evidence.points.extend((0..count).map(|at| Arc::new(point(at))));
        })
    };
    let base = table();
    let (mine, theirs) = (with(&base, "m", MOST_POINTS / 2 + 1), with(&base, "t", MOST_POINTS / 2));
    let merge = merged(&base, &mine, &theirs);
    assert_eq!(merge.conflicts().len(), 1);
    assert_eq!(merge.resolve(|_| Version::Theirs).unwrap(), theirs);
}

#[test]
fn cells_of_both_sides_meet_in_one_table() {
    let base = table();
    let mine = hold(&with_cell(&base, Cell::new(0, 0), 11.0, Origin::Typed), Cell::new(1, 1));
    let theirs = with_cell(&base, Cell::new(1, 2), 27.5, Origin::Measured);
    let result = clean(&base, &mine, &theirs);
    assert_eq!(result.advance.table().values(), [11.0, 20.0, 30.0, 9.0, 19.0, 27.5]);
    assert_eq!(result.advance.origins()[0], Origin::Typed);
    assert_eq!(result.advance.origins()[5], Origin::Measured);
    assert!(result.advance.held().contains(Cell::new(1, 1)) && result.advance.held().count() == 1);
}

#[test]
fn a_cell_is_one_unit_with_value_hold_and_origin() {
    let (base, at) = (table(), Cell::new(0, 1));
    let (mine, theirs) = (with_cell(&base, at, 21.5, Origin::Measured), hold(&base, at));
    let merge = merged(&base, &mine, &theirs);
    assert_eq!(told(&merge), ["Advance at 2000 rpm, 0 % | 20.0° starter | 21.5° measured | 20.0° starter, held"]);
    let place = ConflictPlace::Cell { cell: at, speed_rpm: 2000.0, load: 0.0 };
    assert_eq!(merge.conflicts()[0].place, place);
    for (version, whole) in [(Version::Base, &base), (Version::Mine, &mine), (Version::Theirs, &theirs)] {
        assert_eq!(merge.resolve(|_| version).unwrap(), *whole);
    }
}

#[test]
fn alike_changes_are_no_conflict() {
    let base = table();
    let both = with_cell(&base, Cell::new(0, 1), 25.0, Origin::Typed);
    let mine = set(&both, &[("notes", "mine")]);
    let theirs = set(&both, &[("step_deg", "0.25")]);
    assert_eq!(clean(&base, &mine, &theirs), set(&both, &[("notes", "mine"), ("step_deg", "0.25")]));
}

#[test]
fn axes_on_one_side_and_cells_on_the_other_are_one_conflict() {
    let base = table();
    let mine = set(&base, &[("advance.speed_rpm[1]", "2100")]);
    let theirs = with_cell(&base, Cell::new(0, 0), 12.0, Origin::Typed);
    let merge = merged(&base, &mine, &theirs);
    assert_eq!(
        told(&merge),
        [
            "Advance table | 3 × 2, 1000–3000 rpm, 0–50 % | 3 × 2, 1000–3000 rpm, 0–50 %, other breakpoints | 3 × 2, 1000–3000 rpm, 0–50 %, 1 cell changed"
        ]
    );
    assert_eq!(merge.resolve(|_| Version::Theirs).unwrap(), theirs);
    let ends = |theirs: &Project| told(&merged(&base, &mine, theirs))[0].rsplit_once("50 %, ").unwrap().1.to_owned();
    assert_eq!(ends(&hold(&base, Cell::new(0, 0))), "1 held mark changed");
    assert_eq!(ends(&set(&base, &[("advance.origin[0][1]", "measured")])), "1 origin changed");
    assert_eq!(ends(&hold(&theirs, Cell::new(1, 1))), "1 cell changed, 1 held mark changed");
    let notes = set(&base, &[("notes", "run 7")]);
    assert_eq!(clean(&base, &mine, &notes), set(&mine, &[("notes", "run 7")]));
}

#[test]
fn fields_are_merged_one_by_one() {
    let base = everything();
    let mine = set(&base, &[("limits.over_speed.cuts_at_rpm", "6100"), ("engine.channels[0].wiring", "grey")]);
    let theirs = set(&base, &[("limits.launch.enabled", "yes"), ("engine.channels[1].wiring", "blue")]);
    let expected = [("limits.launch.enabled", "yes"), ("engine.channels[1].wiring", "blue")];
    assert_eq!(clean(&base, &mine, &theirs), set(&mine, &expected));
    let other = set(&base, &[("engine.channels[0].wiring", "red")]);
    let merge = merged(&base, &mine, &other);
    assert_eq!(told(&merge), ["Coil A, wiring | empty | grey | red"]);
    assert_eq!(merge.conflicts()[0].section, Some(Section::Engine));
    let path = "engine.channels[0].wiring".into();
    assert_eq!(merge.conflicts()[0].place, ConflictPlace::Field { path });
}

#[test]
fn what_means_something_only_together_is_one_unit() {
    let base = everything();
    let mine = edit(&base, |parts| parts.trigger.wheel = Wheel { teeth: 60, missing: 2 });
    let theirs = edit(&base, |parts| parts.trigger.wheel = Wheel { teeth: 24, missing: 1 });
    let merge = merged(&base, &mine, &theirs);
    assert_eq!(merge.conflicts().len(), 1);
    assert_eq!(merge.conflicts()[0].label, "Trigger wheel");
    assert_eq!(merge.conflicts()[0].words[1], "wheel teeth 60 · missing teeth 2");
    let mine = set(&base, &[("sensors.throttle.first_v", "0.7")]);
    let theirs = set(&base, &[("sensors.throttle.second_v", "4.1"), ("sensors.throttle.fitted", "no")]);
    let merge = merged(&base, &mine, &theirs);
    assert_eq!(merge.conflicts().len(), 1, "{:?}", told(&merge));
    assert_eq!(merge.conflicts()[0].label, "Throttle sensor calibration");
    let taken = merge.resolve(|_| Version::Mine).unwrap();
    assert_eq!(taken, set(&mine, &[("sensors.throttle.fitted", "no")]));
}

#[test]
fn a_curve_is_merged_by_value_while_its_points_stay() {
    let curve = |points| Curve::from_points(points).unwrap();
    let base = edit(&everything(), |parts| {
        parts.trims.coolant.degrees = curve(&[(-10.0, 4.0), (20.0, 2.0), (80.0, 0.0)]);
    });
    let mine = set(&base, &[("trims.coolant.degrees.value[0]", "5")]);
    let theirs = set(&base, &[("trims.coolant.degrees.value[2]", "-1")]);
    assert_eq!(clean(&base, &mine, &theirs), set(&mine, &[("trims.coolant.degrees.value[2]", "-1")]));
    let moved = edit(&base, |parts| parts.trims.coolant.degrees = curve(&[(-20.0, 6.0), (80.0, 0.0)]));
    let merge = merged(&base, &mine, &moved);
    assert_eq!(
        told(&merge),
        [
            "Coolant trim | −10 °C 4.0°, 20 °C 2.0°, 80 °C 0.0° | −10 °C 5.0°, 20 °C 2.0°, 80 °C 0.0° | −20 °C 6.0°, 80 °C 0.0°"
        ]
    );
    assert_eq!(merge.resolve(|_| Version::Theirs).unwrap(), moved);
}

#[test]
fn outputs_are_known_by_their_name() {
    let base = everything();
    let named = |name: &str, from: &Project| Output { name: name.into(), ..from.outputs[1].clone() };
    let mine = edit(&base, |parts| parts.outputs.push(named("pump", &base)));
    let theirs = edit(&base, |parts| {
        parts.outputs.insert(0, named("lamp", &base));
        parts.outputs[1].inverted = true;
    });
    let result = clean(&base, &mine, &theirs);
    let names: Vec<_> = result.outputs.iter().map(|output| output.name.as_str()).collect();
    let [first, second] = [&base.outputs[0].name, &base.outputs[1].name];
    assert_eq!(names, ["lamp", first, second, "pump"]);
    assert!(result.outputs[1].inverted);
}

#[test]
fn removed_here_and_changed_there_is_a_conflict() {
    let base = everything();
    let name = base.outputs[1].name.clone();
    let mine = edit(&base, |parts| drop(parts.outputs.remove(1)));
    let theirs = edit(&base, |parts| parts.outputs[1].inverted = true);
    let merge = merged(&base, &mine, &theirs);
    assert_eq!(told(&merge), [format!("Output {name} | inverted no | — | inverted yes")]);
    assert_eq!(merge.resolve(|_| Version::Mine).unwrap(), mine);
    assert_eq!(merge.resolve(|_| Version::Theirs).unwrap(), theirs);
    let untouched = set(&base, &[("notes", "nothing about outputs")]);
    assert_eq!(clean(&base, &mine, &untouched).outputs, mine.outputs);
}

#[test]
fn a_name_added_on_both_sides_with_other_contents_is_a_conflict() {
    let base = everything();
    let new = |on: f64| {
        let mut output = base.outputs[0].clone();
        output.name = "lamp".into();
        output.conditions[0].on = on;
        edit(&base, |parts| parts.outputs.push(output))
    };
    let merge = merged(&base, &new(6900.0), &new(7000.0));
    assert_eq!(merge.conflicts().len(), 1);
    assert_eq!(merge.conflicts()[0].label, "Output lamp");
    assert_eq!(merge.conflicts()[0].words[0], "—");
    assert_eq!(merge.resolve(|_| Version::Theirs).unwrap(), new(7000.0));
    assert_eq!(merge.resolve(|_| Version::Base).unwrap(), base);
    assert_eq!(clean(&base, &new(6900.0), &new(6900.0)), new(6900.0));
}

#[test]
fn thresholds_are_merged_by_key() {
    let base = everything();
    let threshold = |project: &Project, key: &str, value: f64| {
        edit(project, |parts| _ = parts.checks.thresholds.insert(key.into(), value))
    };
    let (mine, theirs) = (threshold(&base, "a.b", 1.0), threshold(&base, "c", 2.0));
    assert_eq!(clean(&base, &mine, &theirs), threshold(&mine, "c", 2.0));
    let gone = edit(&base, |parts| parts.checks.thresholds.clear());
    assert_eq!(clean(&base, &gone, &theirs), threshold(&gone, "c", 2.0));
    let other = threshold(&base, "stands_out_deg", 4.0);
    assert_eq!(told(&merged(&base, &gone, &other)), ["Check threshold stands_out_deg | 2.5° | — | 4.0°"]);
}

#[test]
fn items_that_would_share_addresses_make_the_image_one_unit() {
    let base = everything();
    let free = base.image.items.iter().map(|item| item.address).max().unwrap() + 4096;
    let place = |project: &Project, item: usize| {
        edit(project, |parts| {
            parts.image.size = parts.image.size.max(free + 8192 - parts.image.start);
            parts.image.items[item].address = free;
        })
    };
    let (mine, theirs) = (place(&base, 0), place(&base, 1));
    let merge = merged(&base, &mine, &theirs);
    assert_eq!(merge.conflicts().len(), 1, "{:?}", told(&merge));
    assert_eq!(merge.conflicts()[0].label, "Image layout");
    assert_eq!(merge.resolve(|_| Version::Mine).unwrap(), mine);
    assert_eq!(merge.resolve(|_| Version::Theirs).unwrap(), theirs);
}

#[test]
fn a_table_that_outgrows_the_others_image_is_tied_to_it() {
    let tight = edit(&everything(), |parts| {
        // Each item directly after the one before it, at the size of the present table.
        let mut address = parts.image.start;
        for at in 0..parts.image.items.len() {
            parts.image.items[at].speeds = None;
            parts.image.items[at].loads = None;
            parts.image.items[at].address = address;
            let size = parts.content_size(&parts.image.items[at]);
            let bytes = u32::try_from(size.speeds * size.loads).unwrap() * parts.image.items[at].cell.size();
            address += bytes;
        }
        parts.image.checksum.kind = crate::project::ChecksumKind::None;
    });
    let mine = set(&tight, &[("notes", "image packed")]);
    let mine = edit(&mine, |parts| parts.image.items.swap(0, 1));
    let larger = NewProject { name: "l".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 20, loads: 20 };
    let theirs = tight.with_advance(larger.create().unwrap().advance.clone()).unwrap();
    let merge = merged(&tight, &mine, &theirs);
    for version in Version::ALL {
        merge.resolve(|_| version).unwrap();
    }
    let result = merge.resolve(|_| Version::Mine).unwrap();
    assert_eq!(result.notes, "image packed");
}

#[test]
fn limits_stay_in_the_order_that_both_sides_kept() {
    let base = set(
        &everything(),
        &[
            ("limits.over_speed.fires_again_below_rpm", "6800"),
            ("limits.over_speed.eases_from_rpm", "6900"),
            ("limits.over_speed.cuts_at_rpm", "7200"),
            ("limits.over_speed.cuts_all_at_rpm", "7400"),
        ],
    );
    let mine = set(&base, &[("limits.over_speed.eases_from_rpm", "7100")]);
    let theirs = set(&base, &[("limits.over_speed.cuts_at_rpm", "7000")]);
    let merge = merged(&base, &mine, &theirs);
    assert_eq!(merge.conflicts().len(), 1, "{:?}", told(&merge));
    assert_eq!(merge.conflicts()[0].label, "Over-speed limit");
    assert_eq!(
        merge.conflicts()[0].words,
        [
            "over-speed eases off from 6900 rpm · over-speed cuts at 7200 rpm",
            "over-speed eases off from 7100 rpm · over-speed cuts at 7200 rpm",
            "over-speed eases off from 6900 rpm · over-speed cuts at 7000 rpm"
        ]
    );
    let further = set(&base, &[("limits.over_speed.cuts_at_rpm", "7300")]);
    assert_eq!(clean(&base, &mine, &further), set(&mine, &[("limits.over_speed.cuts_at_rpm", "7300")]));
}

#[test]
fn another_firing_order_ties_the_coils() {
    let base = everything();
    let mine = set(
        &base,
        &[
            ("engine.firing_order", "1,4,3,2"),
            ("engine.channels[0].cylinders", "1,3"),
            ("engine.channels[1].cylinders", "4,2"),
        ],
    );
    let theirs = set(&base, &[("engine.channels[0].wiring", "grey"), ("engine.plug_gap_mm", "0.7")]);
    let merge = merged(&base, &mine, &theirs);
    assert_eq!(merge.conflicts().len(), 1, "{:?}", told(&merge));
    assert_eq!(merge.conflicts()[0].label, "Cylinders, firing order and coils");
    assert_eq!(merge.resolve(|_| Version::Mine).unwrap(), set(&mine, &[("engine.plug_gap_mm", "0.7")]));
    assert_eq!(merge.resolve(|_| Version::Theirs).unwrap(), theirs);
}

#[test]
fn another_kind_of_load_ties_everything_in_its_unit() {
    let new = |load| NewProject { name: "t".into(), cylinders: 4, load, speeds: 8, loads: 8 }.create().unwrap();
    let (base, mine) = (new(LoadKind::Throttle), new(LoadKind::Pressure));
    let theirs = set(&base, &[("engine.idle_load", "4"), ("coil.harness_ohm", "0.4")]);
    let merge = merged(&base, &mine, &theirs);
    let in_load_units = |conflict: &&Conflict| conflict.label == "Load kind and everything in its unit";
    assert_eq!(merge.conflicts().iter().filter(in_load_units).count(), 1, "{:?}", told(&merge));
    let by_mine = merge.resolve(|_| Version::Mine).unwrap();
    assert_eq!((by_mine.sensors.load, by_mine.coil.harness_ohm), (LoadKind::Pressure, 0.4));
    assert_eq!(by_mine.advance, mine.advance);
    let by_theirs = merge.resolve(|_| Version::Theirs).unwrap();
    assert_eq!((by_theirs.sensors.load, by_theirs.engine.idle_load), (LoadKind::Throttle, 4.0));
}

/// Otherwise loads in kPa would be read as per cent, or the other way round.
#[test]
fn loads_that_the_other_side_added_are_tied_to_the_kind_of_load() {
    use crate::project::{AcceptedFinding, FindingPlace, KeptRow, KeptRun};
    let base = NewProject { name: "t".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
    let base = base.create().unwrap();
    let mine = base.with_load_kind(LoadKind::Pressure).unwrap().1;
    let row = |time_s, load| KeptRow {
        time_s: Some(time_s),
        speed_rpm: Some(900.0),
        load: Some(load),
        coolant_c: None,
        air_c: None,
        battery_v: None,
        throttle_pct: None,
        launch: false,
    };
    let rows = vec![row(0.0, 40.0), row(5.0, 60.0)];
    let run = Arc::new(KeptRun { name: "hill".into(), rows, variation: 0.0, varies_below_rpm: 0.0 });
    let accepted = AcceptedFinding {
        id: "idle_slope".into(),
        place: FindingPlace::cells((900.0, 1300.0), (40.0, 60.0)),
        value: 3.5,
        reason: "steady".into(),
    };
    let others = [
        edit(&base, |parts| parts.runs.push(run)),
        edit(&base, |parts| _ = parts.checks.thresholds.insert("chatter_load".into(), 3.0)),
        edit(&base, |parts| parts.checks.accepted.push(accepted)),
        edit(&base, |parts| parts.image.items.iter_mut().for_each(|item| item.scale *= 1.25)),
    ];
    for (at, theirs) in others.iter().enumerate() {
        let merge = merged(&base, &mine, theirs);
        let labels: Vec<&str> = merge.conflicts().iter().map(|conflict| conflict.label.as_str()).collect();
        assert_eq!(labels, ["Load kind and everything in its unit"], "{at}");
        for (version, whole) in [(Version::Mine, &mine), (Version::Theirs, theirs)] {
            let merged = merge.resolve(|_| version).unwrap();
            assert!(merged.sensors.load == whole.sensors.load && merged.runs == whole.runs, "{at}");
            assert!(merged.checks == whole.checks && merged.image.items == whole.image.items, "{at}");
        }
    }
}

#[test]
fn a_locked_copy_is_never_mixed_with_a_map() {
    let base = table();
    let mine = with_cell(&base, Cell::new(0, 0), 11.0, Origin::Typed);
    let theirs = base.locked_timing(10.0).unwrap();
    let merge = merged(&base, &mine, &theirs);
    assert_eq!(told(&merge), ["The whole project | trial | trial | trial (locked timing 10°), locked timing at 10°"]);
    assert_eq!(merge.resolve(|_| Version::Mine).unwrap(), mine);
    assert_eq!(merge.resolve(|_| Version::Theirs).unwrap(), theirs);
    assert_eq!(clean(&base, &base, &theirs), theirs);
}

#[test]
fn snapshots_of_both_sides_are_kept() {
    let base = everything();
    let with = |project: &Project, name: &str, note: &str| {
        let state = project.as_state();
        let snapshot =
            Snapshot { name: name.into(), note: note.into(), taken_at: "2026-01-02T03:04:05Z".into(), state };
        edit(project, |parts| parts.snapshots.push(Arc::new(snapshot)))
    };
    let (mine, theirs) = (with(&base, "run 7", "fuel 98"), with(&base, "run 8", ""));
    let names = |project: &Project| project.snapshots.iter().map(|kept| kept.name.clone()).collect::<Vec<_>>();
    assert_eq!(names(&clean(&base, &mine, &theirs)), ["run 7", "run 8"]);
    let merge = merged(&base, &mine, &with(&base, "run 7", "fuel 95"));
    assert_eq!(
        told(&merge),
        ["Snapshot 'run 7' | — | taken 2026-01-02T03:04:05Z, fuel 98 | taken 2026-01-02T03:04:05Z, fuel 95"]
    );
    assert_eq!(merge.conflicts()[0].section, None);
    assert_eq!(merge.resolve(|_| Version::Mine).unwrap(), mine);
}

#[test]
fn a_tick_of_one_side_does_not_stand_for_numbers_of_the_other() {
    let base = everything().edit(|parts| parts.image.items.retain(|item| !item.field.starts_with("limits.clamp")));
    let base = base.unwrap();
    let mine = base.edit(|parts| parts.image.coverage.clamp.set = true).unwrap();
    let theirs = base.edit(|parts| parts.limits.clamp.ceiling_deg -= 3.0).unwrap();
    assert!(!clean(&base, &mine, &theirs).image.coverage.clamp.set);
    assert!(!clean(&base, &theirs, &mine).image.coverage.clamp.set);
    let elsewhere = base.edit(|parts| parts.limits.cranking.advance_deg += 1.0).unwrap();
    assert!(clean(&base, &mine, &elsewhere).image.coverage.clamp.set);
}
