//! What holds for every merge, whatever the projects.

use std::collections::BTreeMap;
use std::sync::Arc;

use proptest::prelude::*;
use proptest::sample::Index;

use super::*;
use crate::compare::samples::{CANDIDATES, any_project, any_project_of};
use crate::project::{
    AcceptedFinding, CoveredPart, FindingPlace, LoadKind, Origin, Parts, Signal, Snapshot, Tree, list_fields,
    parts_in_load_unit, set_fields, steps,
};
use crate::table::{Axis, Cell, Curve, Selection, Table};
use crate::watch::stopped_after;

/// A change that tuners make, with the numbers that say where and how much.
type Change = (u8, Index, Index);

fn any_changes() -> impl Strategy<Value = Vec<Change>> {
    proptest::collection::vec((0..16_u8, any::<Index>(), any::<Index>()), 0..8)
}

/// A base and what two people made of it: some changes of their own, some the same, some of the same thing to
/// other values.
fn any_three() -> impl Strategy<Value = [Project; 3]> {
    (any_project(), any_changes(), any_changes(), any_changes()).prop_map(|(base, mine, theirs, both)| {
        let alike = apply_all(&base, &both);
        let by_mine = apply_all(&alike, &mine);
        // The same places once more, changed to other values.
        let same_places = mine.iter().map(|(kind, place, _)| (*kind, *place, mine[0].1)).take(mine.len() / 2);
        let by_theirs = apply_all(&apply_all(&alike, &theirs), &same_places.collect::<Vec<_>>());
        [base, by_mine, by_theirs]
    })
}

fn apply_all(project: &Project, changes: &[Change]) -> Project {
    changes.iter().fold(project.clone(), |project, change| apply(&project, *change).unwrap_or(project))
}

fn apply(project: &Project, (kind, place, value): Change) -> Option<Project> {
    let text = |index: Index| ["a", "b", "c"][index.index(3)].to_owned();
    match kind {
        0..=3 => {
            let fields = list_fields(project).unwrap();
            let path = &fields[place.index(fields.len())].path;
            set_fields(project, &[(path, CANDIDATES[value.index(CANDIDATES.len())])]).ok()
        }
        4 | 5 => move_cell(project, place, value),
        6 => move_axis(project, place, value),
        7 => project.edit(|parts| add_output(parts, text(place), value)).ok(),
        8 => project.edit(|parts| rotate(&mut parts.outputs, place)).ok(),
        9 => project.edit(|parts| drop(pop(&mut parts.outputs, place))).ok(),
        10 => project.edit(|parts| move_item(parts, place, value)).ok(),
        11 => project.edit(|parts| new_curve(parts, place, value)).ok(),
        12 => project.edit(|parts| accept(parts, text(place), value)).ok(),
        13 => project.edit(|parts| measure(parts, text(place), value)).ok(),
        14 => project.edit(|parts| drop(pop(&mut parts.evidence.points, place))).ok(),
        _ => project.edit(|parts| keep(parts, project, text(place), value)).ok(),
    }
}

fn number(index: Index) -> f64 {
    f64::from(u8::try_from(index.index(40)).unwrap())
}

fn move_cell(project: &Project, place: Index, value: Index) -> Option<Project> {
    let table = project.advance.table();
    let at = place.index(table.values().len());
    let mut values = table.values().to_vec();
    values[at] = number(value);
    let origin = Origin::ALL[value.index(Origin::ALL.len())];
    let mut advance = project.advance.with_values(values, origin).ok()?;
    if value.index(3) == 0 {
        let cell = table.cells().nth(at)?;
        advance = advance.with_held(&Selection::cell(table, cell), true);
    }
    project.with_advance(advance).ok()
}

fn move_axis(project: &Project, place: Index, value: Index) -> Option<Project> {
    let table = project.advance.table();
    let mut speeds = table.speed().breakpoints().to_vec();
    let at = place.index(speeds.len());
    speeds[at] += number(value);
    let moved = Table::new(Axis::new(speeds).ok()?, table.load().clone(), table.values().to_vec()).ok()?;
    let advance = project.advance.clone();
    project
        .with_advance(crate::project::Advance::new(moved, advance.held().clone(), advance.origins().to_vec()).ok()?)
        .ok()
}

fn add_output(parts: &mut Parts, name: String, value: Index) {
    if let Some(mut output) = parts.outputs.first().cloned() {
        output.name = name;
        output.inverted = value.index(2) == 0;
        let at = value.index(parts.outputs.len() + 1);
        parts.outputs.insert(at, output);
    }
}

/// A point that may be new, moved, said otherwise or put somewhere else in the list.
fn measure(parts: &mut Parts, name: String, value: Index) {
    use crate::project::MeasuredPoint;
    let points = &mut parts.evidence.points;
    let there = points.iter().position(|point| point.name == name).map(|at| points.remove(at));
    let before = there.map_or_else(MeasuredPoint::default, |point| (*point).clone());
    let changed = match value.index(3) {
        0 => MeasuredPoint { advance_deg: number(value), ..before },
        1 => MeasuredPoint { in_use: !before.in_use, ..before },
        _ => before,
    };
    let loads = parts.sensors.load.range();
    let load = changed.load.clamp(loads.0, loads.1);
    let at = value.index(points.len() + 1);
    points.insert(at, MeasuredPoint { name, load, ..changed }.into());
}

fn rotate<T>(list: &mut [T], by: Index) {
    if !list.is_empty() {
        list.rotate_left(by.index(list.len()));
    }
}

fn pop<T>(list: &mut Vec<T>, at: Index) -> Option<T> {
    if list.is_empty() { None } else { Some(list.remove(at.index(list.len()))) }
}

fn move_item(parts: &mut Parts, place: Index, value: Index) {
    let start = parts.image.start;
    if !parts.image.items.is_empty() {
        let at = place.index(parts.image.items.len());
        parts.image.items[at].address = start + u32::try_from(value.index(64)).unwrap() * 64;
    }
}

fn new_curve(parts: &mut Parts, place: Index, value: Index) {
    let points = [(number(place) - 30.0, number(value)), (90.0, 0.0)];
    parts.trims.coolant.degrees = Curve::from_points(&points).unwrap();
}

fn accept(parts: &mut Parts, place: String, value: Index) {
    let place = FindingPlace::field(place);
    let finding = AcceptedFinding { id: "idle".into(), place, value: number(value), reason: "so it is".into() };
    parts.checks.accepted.push(finding);
}

fn keep(parts: &mut Parts, project: &Project, name: String, value: Index) {
    let state = project.as_state();
    let taken_at = "2026-01-02T03:04:05Z".into();
    parts.snapshots.push(Arc::new(Snapshot { name, note: number(value).to_string(), taken_at, state }));
}

fn merged(base: &Project, mine: &Project, theirs: &Project) -> Merge {
    Merge::new(base, mine, theirs, Watch::NOBODY).unwrap()
}

/// Every value of a project outside lists whose entries come and go, by path; without the ticks 'set in the
/// unit', which depend on numbers elsewhere.
fn single_values(project: &Project) -> BTreeMap<String, Tree> {
    let is_listed = |path: &str| {
        ["outputs", "image.items", "checks", "timing_light.readings", "trims.", "advance."]
            .iter()
            .any(|list| path.starts_with(list))
            || (path.starts_with("image.coverage.") && path.ends_with(".set"))
    };
    let fields = list_fields(project).unwrap().into_iter().filter(|field| !is_listed(&field.path));
    fields.map(|field| (field.path, field.value)).collect()
}

/// A project with its single values, which are read once for all comparisons.
struct Read<'a> {
    project: &'a Project,
    single_values: BTreeMap<String, Tree>,
}

impl<'a> Read<'a> {
    fn new(project: &'a Project) -> Self {
        Self { project, single_values: single_values(project) }
    }
}

/// Nothing that `changed` changed and `other` left alone is missing from the result.
fn assert_kept(result: &Read<'_>, [base, changed, other]: [&Read<'_>; 3]) -> Result<(), TestCaseError> {
    for (path, value) in &changed.single_values {
        if base.single_values.get(path) == other.single_values.get(path) {
            prop_assert_eq!(result.single_values.get(path), Some(value), "{}", path);
        }
    }
    assert_kept_in_lists(result.project, [base.project, changed.project, other.project])
}

fn assert_kept_in_lists(result: &Project, [base, changed, other]: [&Project; 3]) -> Result<(), TestCaseError> {
    for part in CoveredPart::ALL {
        let is_set = |project: &Project| project.image.coverage.of(part).set;
        if is_set(base) == is_set(other) {
            // A tick would be false if the other side had changed the numbers that it was given for.
            let holds = || {
                let ticked = result.edit(|parts| parts.image.coverage.of_mut(part).set = true).unwrap();
                is_set(&ticked.with_ticks_of(&[changed.clone(), other.clone()]).unwrap())
            };
            prop_assert_eq!(is_set(result), is_set(changed) && holds(), "{}", part.name());
        }
    }
    let tables = [base, changed, other, result].map(|project| project.advance.table());
    if tables.iter().all(|table| (table.speed(), table.load()) == (tables[0].speed(), tables[0].load())) {
        for cell in tables[0].cells() {
            let state = |project: &Project| {
                let advance = &project.advance;
                (advance.table().at(cell), advance.held().contains(cell), advance.origin(cell))
            };
            if state(base) == state(other) {
                prop_assert_eq!(state(result), state(changed), "{:?}", cell);
            }
        }
    }
    for name in changed.outputs.iter().map(|output| &output.name) {
        let has = |project: &Project| project.outputs.iter().any(|output| output.name == *name);
        if !has(base) && !has(other) {
            prop_assert!(has(result), "output {}", name);
        }
    }
    Ok(())
}

/// The parts in the load's unit of a merged project that are not those of one of the versions with its kind of load.
fn relabelled(merged: &Project, versions: &[Project; 3]) -> Vec<&'static str> {
    let tree = |project: &Project| project.field_tree().unwrap();
    let (own, forms) = (tree(merged), versions.each_ref().map(tree));
    let is_alike = |part: &str| {
        let at = |form: &Tree| form.at(&steps(part).unwrap()).cloned();
        let mut same = versions.iter().zip(&forms).filter(|(version, _)| version.sensors.load == merged.sensors.load);
        same.any(|(_, form)| at(form) == at(&own))
    };
    let holds = |part: &str| match part {
        "outputs" => versions
            .iter()
            .flat_map(|project| &project.outputs)
            .any(|output| output.conditions.iter().any(|condition| condition.signal == Signal::Load)),
        "runs" => {
            versions.iter().flat_map(|project| &project.runs).any(|run| run.rows.iter().any(|row| row.load.is_some()))
        }
        _ => true,
    };
    parts_in_load_unit().into_iter().filter(|part| holds(part) && !is_alike(part)).collect()
}

/// A base, mine and theirs.
type Three<'a> = [&'a Project; 3];

/// Cells are taken one by one from any version, many at once are the same, and nothing but those cells moves.
fn each_cell_comes_from_the_version_that_is_named(
    merge: &Merge,
    [base, mine, theirs]: Three<'_>,
    of: &[usize],
) -> Result<(), TestCaseError> {
    let plain = merge.resolve(|_| Version::Mine).unwrap();
    let columns = plain.advance.table().speed().len();
    let named = |cell: Cell| Version::ALL.get(of[(cell.load * columns + cell.speed) % of.len()]).copied();
    let open = |cell: Cell| {
        let is_at = |place: &ConflictPlace| matches!(place, ConflictPlace::Cell { cell: at, .. } if *at == cell);
        merge.conflicts().iter().any(|conflict| is_at(&conflict.place))
    };
    let Ok(found) = merge.resolve_cells(|_| Version::Mine, named) else { return Ok(()) };
    if !merge.is_by_cell() {
        prop_assert_eq!(found, plain);
        return Ok(());
    }
    for cell in plain.advance.table().cells() {
        let from = match named(cell) {
            _ if open(cell) => mine,
            Some(version) => [base, mine, theirs][version.index()],
            None => &plain,
        };
        let state = |project: &Project| {
            let advance = &project.advance;
            (advance.table().at(cell).to_bits(), advance.held().contains(cell), advance.origin(cell))
        };
        prop_assert_eq!(state(&found), state(from));
    }
    let back = found.edit(|parts| parts.advance = plain.advance.clone());
    prop_assert_eq!(back.unwrap(), plain);
    Ok(())
}

fn no_load_is_read_in_another_unit([base, mine, theirs]: Three<'_>, side: bool) -> Result<(), TestCaseError> {
    let other = match mine.sensors.load {
        LoadKind::Throttle => LoadKind::Pressure,
        LoadKind::Pressure => LoadKind::Throttle,
    };
    let Ok((_, turned)) = mine.with_load_kind(other) else { return Ok(()) };
    let (base, theirs) = (base.clone(), theirs.clone());
    let versions = if side { [base, turned, theirs] } else { [base, theirs, turned] };
    let merge = merged(&versions[0], &versions[1], &versions[2]);
    for version in Version::ALL {
        let merged = merge.resolve(|_| version).unwrap();
        prop_assert_eq!(relabelled(&merged, &versions), Vec::<&str>::new());
    }
    Ok(())
}

fn what_one_side_left_alone_is_the_others([base, mine, theirs]: Three<'_>) -> Result<(), TestCaseError> {
    for other in [base, mine] {
        let merge = merged(base, mine, other);
        prop_assert_eq!(merge.conflicts(), []);
        prop_assert_eq!(&merge.resolve(|_| Version::Base).unwrap(), mine);
    }
    let merge = merged(base, base, theirs);
    prop_assert_eq!(merge.conflicts(), []);
    prop_assert_eq!(&merge.resolve(|_| Version::Base).unwrap(), theirs);
    Ok(())
}

fn it_does_not_matter_which_side_is_which(there: &Merge, [base, mine, theirs]: Three<'_>) -> Result<(), TestCaseError> {
    let back = merged(base, theirs, mine);
    prop_assert_eq!(there.conflicts().len(), back.conflicts().len());
    prop_assert_eq!(there.resolve(|_| Version::Mine).unwrap(), back.resolve(|_| Version::Theirs).unwrap());
    prop_assert_eq!(there.resolve(|_| Version::Theirs).unwrap(), back.resolve(|_| Version::Mine).unwrap());
    prop_assert_eq!(there.resolve(|_| Version::Base).unwrap(), back.resolve(|_| Version::Base).unwrap());
    for conflict in there.conflicts() {
        let [was, by_mine, by_theirs] = &conflict.values;
        let turned = [was.clone(), by_theirs.clone(), by_mine.clone()];
        prop_assert!(back.conflicts().iter().any(|other| other.values == turned), "{:?}", conflict);
    }
    Ok(())
}

fn a_change_of_one_side_is_never_lost(merge: &Merge, three: Three<'_>) -> Result<(), TestCaseError> {
    let by_mine = merge.resolve(|_| Version::Mine).unwrap();
    let by_theirs = merge.resolve(|_| Version::Theirs).unwrap();
    let [base, mine, theirs] = three.map(Read::new);
    let [by_mine, by_theirs] = [&by_mine, &by_theirs].map(Read::new);
    assert_kept(&by_mine, [&base, &mine, &theirs])?;
    assert_kept(&by_theirs, [&base, &theirs, &mine])?;
    if merge.conflicts().is_empty() {
        assert_kept(&by_mine, [&base, &theirs, &mine])?;
    }
    Ok(())
}

/// Random decisions give a valid project or a reason, and the result has the chosen values.
fn conflicts_are_decided_one_by_one(
    merge: &Merge,
    versions: Three<'_>,
    choices: &[usize],
) -> Result<(), TestCaseError> {
    let choose = |conflict: usize| Version::ALL[choices[conflict % choices.len()]];
    let Ok(result) = merge.resolve(choose) else { return Ok(()) };
    for (number, conflict) in merge.conflicts().iter().enumerate() {
        if let ConflictPlace::Cell { cell, .. } = conflict.place {
            let version = versions[choose(number).index()];
            prop_assert_eq!(result.advance.table().at(cell), version.advance.table().at(cell));
            prop_assert_eq!(result.advance.origin(cell), version.advance.origin(cell));
        }
    }
    Ok(())
}

fn a_merge_ends_in_the_round_in_which_it_is_stopped(
    [base, mine, theirs]: Three<'_>,
    part: f64,
) -> Result<(), TestCaseError> {
    let watched = |rounds| stopped_after(rounds, |watch| Merge::new(base, mine, theirs, watch));
    let (rounds, whole) = watched(usize::MAX);
    let whole = whole.unwrap();
    prop_assert!(rounds > 3 + whole.conflicts().len(), "{}", rounds);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_precision_loss,
        clippy::cast_sign_loss,
        reason = "a part of the rounds"
    )]
    let stop_at = (part * rounds as f64) as usize;
    let (asked, stopped) = watched(stop_at);
    prop_assert_eq!((asked, stopped.err()), (stop_at + 1, Some(Unfinished::Stopped(Stopped))));
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    /// All that holds for a base and what two people made of it, in one run of cases: to make three projects and to merge
    /// them takes longer than to look at the result.
    #[test]
    fn whatever_two_people_make_of_a_base_merges_as_promised(
        [base, mine, theirs] in any_three(),
        of in proptest::collection::vec(0..4_usize, 144),
        choices in proptest::collection::vec(0..3_usize, 40),
        (side, part) in (any::<bool>(), 0.0..1.0_f64),
    ) {
        let three = [&base, &mine, &theirs];
        let merge = merged(&base, &mine, &theirs);
        each_cell_comes_from_the_version_that_is_named(&merge, three, &of)?;
        no_load_is_read_in_another_unit(three, side)?;
        what_one_side_left_alone_is_the_others(three)?;
        it_does_not_matter_which_side_is_which(&merge, three)?;
        a_change_of_one_side_is_never_lost(&merge, three)?;
        conflicts_are_decided_one_by_one(&merge, three, &choices)?;
        a_merge_ends_in_the_round_in_which_it_is_stopped(three, part)?;
    }

    /// Unrelated projects: the result is always valid, and every conflict is reported.
    #[test]
    fn any_three_projects_merge_to_valid_ones([base, mine, theirs] in any_strangers()) {
        let merge = merged(&base, &mine, &theirs);
        for version in Version::ALL {
            let result = merge.resolve(|_| version).unwrap();
            let text = crate::project::write(&result).unwrap();
            prop_assert_eq!(crate::project::read(text.as_bytes()).unwrap(), result);
        }
        for conflict in merge.conflicts() {
            let is_whole = conflict.place == ConflictPlace::Field { path: String::new() };
            let [_, by_mine, by_theirs] = &conflict.words;
            prop_assert!(is_whole || conflict.section.is_none() || by_mine != by_theirs, "{:?}", conflict);
        }
    }
}

/// Three projects of the same size that were made independently.
fn any_strangers() -> impl Strategy<Value = [Project; 3]> {
    let size = (2..6_usize, 2..6_usize);
    size.prop_flat_map(|size| [any_project_of(size), any_project_of(size), any_project_of(size)])
}
