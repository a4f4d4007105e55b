//! Setting fields by their dotted path, all or none.

use super::advance_fields::{advance_tree, set_in_advance};
use super::field_ranges::kind_at;
use super::fields::{FIELDS, Field, FieldKind};
use super::locate::{Step, path_of, steps};
use super::paths::{FieldValue, PathError, list_fields, parse_value};
use super::ron_form::parse;
use super::threshold_fields::{check_reasons, check_thresholds, set_reason, set_threshold};
use super::{Advance, CoveredPart, Fault, Parts, Project, ReadError, Tree, coverage, ron_text};
use crate::wording::count;

/// Sets fields by path, all or none.
///
/// Numbers, names, flags and text are written plainly, lists of them with commas (`1,3,4,2`), `none` takes an optional
/// value away, and whole records and lists of records are written in RON.
///
/// ```
/// use sparkloft::project::{SAMPLES, set_fields};
///
/// let project = SAMPLES[0].project()?;
/// let changed = set_fields(&project, &[("step_deg", "0.5"), ("engine.plug_gap_mm", "0.7")])?;
/// assert_eq!((changed.step_deg, changed.engine.plug_gap_mm), (0.5, 0.7));
/// assert!(set_fields(&project, &[("engine.plug_gap_mm", "7")]).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`PathError`] for an unknown path (with the nearest one), a value of the wrong kind or out of range (with the
/// range), or values that do not fit together. The project is as it was.
pub fn set_fields(project: &Project, assignments: &[(&str, &str)]) -> Result<Project, PathError> {
    let mut draft = Draft { project, form: tree_of(&project.as_state())?, advance: project.advance.clone() };
    assignments.iter().try_for_each(|&(path, text)| draft.set(path, text))?;
    let last = assignments.last().map_or("", |(path, _)| *path);
    let mut parts = draft.parts(last)?;
    parts.advance = draft.advance;
    parts.snapshots.clone_from(&project.snapshots);
    parts.last_export.clone_from(&project.last_export);
    check_thresholds(project, &parts)?;
    check_load_kind(project, &parts)?;
    // Setting a value confirms it, even when it stays the same.
    assignments.iter().filter(|(path, _)| *path != "assumed").for_each(|(path, _)| parts.confirm(path));
    let ticks = |part: CoveredPart| format!("image.coverage.{}.set", part.name());
    let is_given = |part| assignments.iter().any(|(path, _)| *path == ticks(part));
    coverage::withdraw_ticks(project, &mut parts, is_given);
    check_reasons(project, &parts)?;
    let kinds = parts.clone();
    Project::new(parts).map_err(|Fault { path, message, hint }| {
        let range = kind_at(&path, &kinds).map(FieldKind::range).unwrap_or_default();
        let hint = if hint.is_empty() && !message.contains(&range) { format!("allowed: {range}") } else { hint };
        PathError::Refused { path, message, hint }
    })
}

/// A project while its fields are set one after the other: every path is looked up in what the earlier ones
/// left.
struct Draft<'a> {
    project: &'a Project,
    /// The file's form of everything except the table.
    form: Tree,
    advance: Advance,
}

impl Draft<'_> {
    fn set(&mut self, path: &str, text: &str) -> Result<(), PathError> {
        let unknown = || PathError::Unknown { path: path.into(), nearest: nearest_path(self.project, path) };
        let steps = steps(path).ok_or_else(unknown)?;
        match steps.as_slice() {
            [Step::Field(part), below @ ..] if part == "advance" => {
                let tree = advance_tree(&self.advance);
                if below.is_empty() || tree.at(below).is_none() {
                    return Err(missing(&tree, below, "advance").map_or_else(unknown, |told| told.of(path)));
                }
                self.advance = set_in_advance(&self.advance, path, below, text)?;
                Ok(())
            }
            [Step::Field(checks), Step::Field(map), Step::Field(name)]
                if (&**checks, &**map) == ("checks", "thresholds") =>
            {
                set_threshold(&mut self.form, self.project, path, name, text)
            }
            [Step::Field(checks), Step::Field(map), Step::Field(name)]
                if (&**checks, &**map) == ("checks", "threshold_reasons") =>
            {
                set_reason(&mut self.form, path, name, text)
            }
            [Step::Field(part), ..] if is_part(part) => self.set_below(path, &steps, text),
            _ => Err(unknown()),
        }
    }

    fn set_below(&mut self, path: &str, steps: &[Step], text: &str) -> Result<(), PathError> {
        let Some(current) = self.form.at(steps) else {
            let told = missing(&self.form, steps, "");
            return Err(match told {
                Some(told) => told.of(path),
                None => PathError::Unknown { path: path.into(), nearest: nearest_path(self.project, path) },
            });
        };
        let value = parse_value(path, current, text)?;
        if path == "locked_timing_deg" && value != *current {
            let hint = "'sparkloft locked-timing' makes such a copy of the real project";
            return Err(PathError::refused(path, "the mark of a locked-timing copy is not set by itself", hint));
        }
        let is_ron = matches!(value, Tree::Ron(_));
        if let Some(slot) = self.form.at_mut(steps) {
            *slot = value;
        }
        if is_ron {
            // Later paths may lead into what this one added.
            self.form = tree_of(&self.parts(path)?)?;
        }
        Ok(())
    }

    fn parts(&self, path: &str) -> Result<Parts, PathError> {
        parse(&ron_text::print(&self.form)).map_err(|error| from_read_error(error, path))
    }
}

fn tree_of<T: serde::Serialize>(value: &T) -> Result<Tree, PathError> {
    Tree::of(value).map_err(|error| PathError::refused("", error.to_string(), ""))
}

/// Whether a part of the project has fields that can be set.
fn is_part(name: &str) -> bool {
    let below = |field: &Field| field.path.strip_prefix(name);
    FIELDS.iter().filter_map(below).any(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
}

/// Refuses another kind of load: it would change the meaning of every number that is defined over load.
fn check_load_kind(before: &Project, after: &Parts) -> Result<(), PathError> {
    let (old, new) = (before.sensors.load, after.sensors.load);
    if old == new {
        return Ok(());
    }
    let message = format!(
        "everything written over load is in {}; as {} its numbers would mean something else",
        old.unit(),
        new.unit()
    );
    let hint = "'sparkloft set --start-anew' starts it anew for the other kind of load";
    Err(PathError::refused("sensors.load", message, hint))
}

/// A list with fewer entries than a path asks for.
struct TooShort {
    list: String,
    length: usize,
}

impl TooShort {
    fn of(self, path: &str) -> PathError {
        let Self { list, length } = self;
        let hint = match length {
            0 => String::new(),
            1 => format!("{list}[0]"),
            length => format!("{list}[0] to {list}[{}]", length - 1),
        };
        PathError::refused(path, format!("{list} has {}", count(length, "entry")), hint)
    }
}

/// The list in which a path leads out of the tree; `None` if it does not do so in a list.
fn missing(tree: &Tree, steps: &[Step], root: &str) -> Option<TooShort> {
    let end = (0..steps.len()).find(|&end| tree.at(&steps[..=end]).is_none())?;
    let (there, next) = (steps.get(..end)?, steps.get(end)?);
    let (Step::Index(_), Tree::List(items) | Tree::Tuple(items)) = (next, tree.at(there)?) else {
        return None;
    };
    let list = match (root, path_of(there)) {
        ("", below) => below,
        (root, below) => format!("{root}.{below}"),
    };
    Some(TooShort { list, length: items.len() })
}

/// Names less alike than this are not suggested.
const LEAST_LIKENESS: f64 = 0.85;

/// The path most like a misspelt one, compared as a whole and by its last part: so a right name in a wrong
/// section is found too.
fn nearest_path(project: &Project, path: &str) -> Option<String> {
    let last = |path: &str| path.rsplit('.').next().unwrap_or_default().to_owned();
    let (fields, wanted) = (list_fields(project).ok()?, last(path));
    let likeness = |field: &FieldValue| {
        let (whole, end) = (strsim::jaro_winkler(path, &field.path), strsim::jaro_winkler(&wanted, &last(&field.path)));
        let same_name = if end == 1.0 { 1.0 } else { 0.0 };
        (whole.max(end) >= LEAST_LIKENESS).then_some(same_name + whole + end)
    };
    let alike = fields.iter().filter_map(|field| Some((likeness(field)?, field)));
    alike.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, field)| field.path.clone())
}

fn from_read_error(error: ReadError, last: &str) -> PathError {
    match error {
        ReadError::Invalid { path, message, hint, .. } => {
            let path = if path.is_empty() { last.to_owned() } else { path };
            PathError::Refused { path, message, hint }
        }
        other => PathError::refused(last, other.to_string(), ""),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, fields::pattern};
    use crate::table::Cell;

    fn project() -> Project {
        NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 }
            .create_with_outputs()
    }

    #[test]
    fn every_listed_field_takes_its_own_value_back() {
        let project = project();
        // All entries of a list are read alike: of each field one is enough.
        let mut seen = std::collections::BTreeSet::new();
        let fields = list_fields(&project).unwrap().into_iter().filter(|field| seen.insert(pattern(&field.path)));
        for field in fields.collect::<Vec<_>>() {
            let same = set_fields(&project, &[(&field.path, &field.value.to_string())]);
            let same = same.map(|same| same.edit(|parts| parts.assumed.clone_from(&project.assumed)).unwrap());
            assert_eq!(same.as_ref().map_err(ToString::to_string), Ok(&project), "{}", field.path);
        }
    }

    #[test]
    fn sets_numbers_names_flags_lists_and_cells() {
        let after = set_fields(
            &project(),
            &[
                ("trigger.zero_offset_deg", "-2.5"),
                ("sensors.load", "throttle"),
                ("limits.launch.enabled", "yes"),
                ("engine.firing_order", "1,4,3,2"),
                ("engine.channels[0].cylinders", "1,3"),
                ("engine.channels[1].cylinders", "4,2"),
                ("coil.current_limit_a", "9.5"),
                ("advance.deg[2][3]", "17.25"),
                ("advance.held[2][3]", "true"),
                ("checks.thresholds.stands_out_deg", "3"),
                ("checks.threshold_reasons.stands_out_deg", "rough by design"),
                ("outputs", "[]"),
            ],
        )
        .unwrap();
        assert_eq!(after.trigger.zero_offset_deg, -2.5);
        assert!(after.limits.launch.enabled);
        assert_eq!(after.engine.firing_order, [1, 4, 3, 2]);
        assert_eq!(after.coil.current_limit_a, Some(9.5));
        assert_eq!(after.advance.table().at(Cell::new(2, 3)), 17.25);
        assert!(after.advance.held().contains(Cell::new(2, 3)));
        assert_eq!(after.checks.thresholds["stands_out_deg"], 3.0);
        assert!(after.outputs.is_empty());
    }

    #[test]
    fn errors_name_the_nearest_path_or_the_range() {
        let error = |path: &str, value: &str| set_fields(&project(), &[(path, value)]).unwrap_err().to_string();
        assert_eq!(
            error("trigger.zero_ofset_deg", "1"),
            "there is no field 'trigger.zero_ofset_deg'; did you mean 'trigger.zero_offset_deg'?"
        );
        assert_eq!(
            error("trigger.zero_offset_deg", "50"),
            "trigger.zero_offset_deg: 50 is outside −30..30°, three pitches of the wheel: move the reference by 5 teeth of 10.0° instead"
        );
        assert!(error("engine.induction", "steam").contains("naturally_aspirated, boosted"));
        assert!(error("engine.cylinders", "4.5").contains("whole number"));
        assert!(error("advance.deg[0][0]", "91").contains("outside −60..90"));
        assert!(error("advance.deg[0][99]", "1").contains("advance.deg[0] has 8 entries"));
        assert!(error("advance.speed_rpm", "1,2,3").contains("3 breakpoints given, the table has 8"));
        assert!(error("outputs", "[(name: \"x\"").contains("outputs"));
        assert!(error("engine.cylinders", "6").contains("firing order"));
        assert_eq!(error("engine.idle_load", "200"), "engine.idle_load: 200 is outside 0..100 %");
        assert_eq!(
            error("outputs[0].conditions[0].on", "40000"),
            "outputs[0].conditions[0].on: 40000 is outside 0..30000 rpm"
        );
        assert_eq!(error("advance.step_deg", "1"), "there is no field 'advance.step_deg'; did you mean 'step_deg'?");
        assert_eq!(error("format", "2"), "there is no field 'format'");
        assert_eq!(
            error("advance.deg[16][0]", "1"),
            "advance.deg[16][0]: advance.deg has 8 entries; advance.deg[0] to advance.deg[7]"
        );
        assert_eq!(error("outputs[9].name", "x"), "outputs[9].name: outputs has 2 entries; outputs[0] to outputs[1]");
        assert_eq!(error("checks.accepted[0].id", "x"), "checks.accepted[0].id: checks.accepted has 0 entries");
        assert_eq!(error("step_deg", "0"), "step_deg: 0 is outside 0.01..10°");
        let (copy, mark) = (project().locked_timing(10.0).unwrap(), "locked_timing_deg");
        assert!(error(mark, "10").contains("'sparkloft locked-timing' makes such a copy"));
        for value in ["none", "30"] {
            assert!(set_fields(&copy, &[(mark, value)]).unwrap_err().to_string().contains("is not set by itself"));
        }
        let told = set_fields(&copy, &[("advance.deg[1][1]", "11")]).unwrap_err().to_string();
        assert!(told.contains("11° in a cell would belie it"), "{told}");
    }

    #[test]
    fn every_assignment_is_carried_out_in_what_those_before_it_left_or_all_are_refused() {
        let set = |assignments: &[(&str, &str)]| set_fields(&project(), assignments);
        let output = "[(name: \"lamp\", enabled: true, conditions: [(signal: speed, on: 5000, off: 4800)], combine: all, \
                      inverted: false, blinks_from_rpm: None)]";
        let after = set(&[("outputs", output), ("outputs[0].name", "renamed")]).unwrap();
        assert_eq!(after.outputs[0].name, "renamed");
        let told = set(&[("outputs", output), ("outputs[1].name", "renamed")]).unwrap_err().to_string();
        assert_eq!(told, "outputs[1].name: outputs has 1 entry; outputs[0]");
        let curve = [("coil.dwell_ms.at", "6,16"), ("coil.dwell_ms.value", "10,2")];
        let told = set(&[curve[0], curve[1], ("coil.dwell_ms.value[5]", "3")]).unwrap_err().to_string();
        assert!(told.starts_with("coil.dwell_ms.value[5]: coil.dwell_ms.value has 2 entries"), "{told}");
        let after = set(&[curve[0], curve[1], ("coil.dwell_ms.value[1]", "3")]).unwrap();
        assert_eq!(after.coil.dwell_ms.values(), [10.0, 3.0]);
        let after = set(&[("sensors.load", "throttle"), ("engine.idle_load", "90")]).unwrap();
        assert_eq!(after.engine.idle_load, 90.0);
    }

    #[test]
    fn an_entry_of_a_list_is_found_by_its_name_too() {
        use crate::project::MeasuredPoint;
        let named = |name: &str| MeasuredPoint { name: name.into(), load: 60.0, ..MeasuredPoint::default() };
        let before = project().edit(|parts| {
            parts.evidence.points = ["P3", "12", "3.5 k, full"].map(|name| named(name).into()).to_vec();
        });
        let before = before.unwrap();
        let set = |assignments: &[(&str, &str)]| set_fields(&before, assignments);
        let after = set(&[
            ("evidence.points[P3].advance_deg", "25"),
            ("evidence.points[\"12\"].note", "by ear"),
            ("evidence.points[2].high_deg", "3"),
            ("evidence.points[3.5 k, full].low_deg", "-3"),
            ("outputs[fan].enabled", "no"),
        ]);
        let after = after.unwrap();
        let points = &after.evidence.points;
        assert_eq!((points[0].advance_deg, points[1].note.as_str()), (25.0, "by ear"));
        assert_eq!((points[2].low_deg, points[2].high_deg), (Some(-3.0), Some(3.0)));
        assert!(!after.outputs[1].enabled);
        let told = |path: &str, value: &str| set(&[(path, value)]).unwrap_err().to_string();
        assert!(told("evidence.points[P4].note", "x").starts_with("there is no field 'evidence.points[P4].note'"));
        assert_eq!(told("evidence.points[P3].load", "150"), "evidence.points[0].load: 150 is outside 0..100 %");
        assert!(told("evidence.points[P3].kind", "knock").contains("let it say at_most"));
        assert!(told("evidence.points[P3].bound", "maybe").contains("allowed: about, at_most, at_least"));
    }

    #[test]
    fn a_held_cell_keeps_its_value_until_it_is_released() {
        let held = set_fields(&project(), &[("advance.held[1][2]", "yes")]).unwrap();
        let told = set_fields(&held, &[("advance.deg[1][2]", "30.125")]).unwrap_err().to_string();
        assert!(told.contains("is held; release it first: advance.held[1][2]=no"), "{told}");
        assert!(set_fields(&held, &[("advance.deg[1]", "1,2,3,4,5,6,7,8")]).is_err());
        let same = held.advance.table().at(Cell::new(1, 2)).to_string();
        assert_eq!(set_fields(&held, &[("advance.deg[1][2]", &same)]).as_ref(), Ok(&held));
        let released = [("advance.held[1][2]", "no"), ("advance.deg[1][2]", "30.125")];
        assert_eq!(set_fields(&held, &released).unwrap().advance.table().at(Cell::new(1, 2)), 30.125);
    }

    /// Otherwise 20 to 100 kPa would silently become 20 to 100 %.
    #[test]
    fn another_kind_of_load_relabels_nothing() {
        let new = NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Pressure, speeds: 4, loads: 3 };
        let start = set_fields(&new.create().unwrap(), &[("advance.load", "20,60,100")]).unwrap();
        let sensors = ron::to_string(&start.sensors).unwrap().replace("load:pressure", "load:throttle");
        for (path, text) in [("sensors.load", "throttle"), ("sensors", sensors.as_str())] {
            let told = set_fields(&start, &[(path, text)]).unwrap_err().to_string();
            assert!(told.starts_with("sensors.load: everything written over load is in kPa; as % its"), "{told}");
            assert!(told.ends_with("'sparkloft set --start-anew' starts it anew for the other kind of load"), "{told}");
        }
        assert_eq!(set_fields(&start, &[("sensors.load", "pressure")]).unwrap(), start);
    }

    #[test]
    fn what_must_be_set_together_is_named() {
        let assignments = [("engine.cylinders", "6"), ("engine.firing_order", "1,5,3,6,2,4")];
        let told = set_fields(&project(), &assignments).unwrap_err().to_string();
        let (fault, channels) = told.split_once("; set engine.channels together with them: ").unwrap();
        assert_eq!(fault, "engine.channels: 2 coil channels, but 3 pairs of cylinders");
        let [cylinders, order] = assignments;
        let after = set_fields(&project(), &[cylinders, order, ("engine.channels", channels)]).unwrap();
        assert_eq!((after.engine.cylinders, after.engine.channels[1].cylinders), (6, [5, 2]));
    }
}
