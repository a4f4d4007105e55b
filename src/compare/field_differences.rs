//! Everything except the table's degrees, field by field.
//!
//! Projects are turned into trees that can be compared in parts, and back.

use std::collections::BTreeMap;

use thiserror::Error;

use super::Section;
use super::labels::Namer;
use crate::project::{Advance, Fault, Project, ReadError, Step, Tree, TreeError, path_of, read};
use crate::watch::{Stopped, Watch};

/// A field that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldDifference {
    /// Its dotted path, as used to set fields.
    pub path: String,
    /// What people call it, with the place on its curve or table: 'Coolant trim at −10 °C'.
    pub label: String,
    /// The section it belongs to.
    pub section: Section,
    /// Its value in the base; `None` where the base has no such field.
    pub base: Option<Tree>,
    /// Its value in the edited project; `None` where that has no such field.
    pub edited: Option<Tree>,
    /// The base's value as people read it, with its unit: '7200 rpm'.
    pub base_words: String,
    /// The edited value as people read it.
    pub edited_words: String,
    /// The path in steps: needed because keys may contain dots.
    pub(super) steps: Vec<Step>,
}

/// Why a comparison or a merge has no result.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Unfinished {
    /// It was stopped by its watch.
    #[error(transparent)]
    Stopped(#[from] Stopped),
    /// A project cannot be turned into a tree: never one that exists.
    #[error(transparent)]
    Tree(#[from] TreeError),
}

/// Every field that differs, in the order of [`Section::ALL`] and within a section in that of the project file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FieldDifferences {
    /// The fields.
    pub list: Vec<FieldDifference>,
    /// Whether held marks and origins were compared cell by cell: only between tables of the same size.
    pub marks_compared: bool,
}

impl FieldDifferences {
    /// Compares two projects field by field. The degrees of the table, snapshots and the last export are left out.
    ///
    /// Lists of the same length are compared element by element; lists of different length, and curves whose
    /// breakpoints differ, as a whole. Always compared as a whole are the axes of the table, the firing order
    /// and the cylinders of a coil, whose entries make sense only together. Outputs, image items and the like
    /// are compared by their index, measured points and timing sweeps by their names.
    ///
    /// The watch is asked before each project is turned into a tree, and before every field that differs.
    ///
    /// # Errors
    /// [`Unfinished`] when it is stopped.
    pub fn between(base: &Project, edited: &Project, watch: Watch<'_>) -> Result<Self, Unfinished> {
        let tree = |project: &Project| {
            watch.next()?;
            Ok::<_, Unfinished>(project.field_tree()?)
        };
        let trees = (tree(base)?, tree(edited)?);
        let same_size = base.advance.held().fits(edited.advance.table());
        let mut walk = Walk {
            namer: Namer::new(base, &trees.0, edited, &trees.1),
            same_size,
            watch,
            steps: Vec::new(),
            found: Vec::new(),
        };
        walk.compare(&trees.0, &trees.1)?;
        let mut list = walk.found;
        // The list of assumed values follows from the values themselves and is no setting of its own.
        list.retain(|difference| difference.steps.first() != Some(&Step::Field("assumed".into())));
        list.sort_by_key(|difference| difference.section);
        Ok(Self { list, marks_compared: same_size })
    }

    /// Whether no field differs.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// The sections with differences and their fields, in order.
    pub fn by_section(&self) -> impl Iterator<Item = (Section, &[FieldDifference])> {
        self.list.chunk_by(|a, b| a.section == b.section).filter_map(|group| Some((group.first()?.section, group)))
    }

    /// The difference at a path.
    pub fn at(&self, path: &str) -> Option<&FieldDifference> {
        self.list.iter().find(|difference| difference.path == path)
    }
}

struct Walk<'a> {
    namer: Namer<'a>,
    same_size: bool,
    watch: Watch<'a>,
    steps: Vec<Step>,
    found: Vec<FieldDifference>,
}

impl Walk<'_> {
    fn compare(&mut self, base: &Tree, edited: &Tree) -> Result<(), Stopped> {
        if base == edited {
            return Ok(());
        }
        match (base, edited) {
            (Tree::Record(was), Tree::Record(is)) => self.compare_records(was, is),
            (Tree::Map(was), Tree::Map(is)) => self.compare_maps(was, is),
            (Tree::List(was), Tree::List(is)) if self.is_known_by_name() => self.compare_entries(was, is),
            (Tree::List(was), Tree::List(is)) | (Tree::Tuple(was), Tree::Tuple(is))
                if was.len() == is.len() && !self.is_indivisible() =>
            {
                for (index, (was, is)) in was.iter().zip(is).enumerate() {
                    self.within(Step::Index(index), |walk| walk.compare(was, is))?;
                }
                Ok(())
            }
            _ => self.note(Some(base), Some(edited)),
        }
    }

    fn within(&mut self, step: Step, compare: impl FnOnce(&mut Self) -> Result<(), Stopped>) -> Result<(), Stopped> {
        self.steps.push(step);
        compare(self)?;
        self.steps.pop();
        Ok(())
    }

    /// Records of one type have the same fields in the same order.
    fn compare_records(
        &mut self,
        base: &[(&'static str, Tree)],
        edited: &[(&'static str, Tree)],
    ) -> Result<(), Stopped> {
        let elsewhere = is_curve(base) && base[0] != edited[0];
        for ((name, was), (_, is)) in base.iter().zip(edited) {
            self.within(Step::Field((*name).to_owned()), |walk| match walk.treatment() {
                Treatment::LeaveOut => Ok(()),
                Treatment::Whole => walk.note_if_different(was, is),
                Treatment::Parts if elsewhere => walk.note_if_different(was, is),
                Treatment::Parts => walk.compare(was, is),
            })?;
        }
        Ok(())
    }

    fn compare_maps(&mut self, base: &[(String, Tree)], edited: &[(String, Tree)]) -> Result<(), Stopped> {
        let find = |entries: &'_ [(String, Tree)], key: &String| entries.iter().position(|(name, _)| name == key);
        for (key, was) in base {
            let is = find(edited, key).map(|at| &edited[at].1);
            self.within(Step::Field(key.clone()), |walk| match is {
                Some(is) => walk.compare(was, is),
                None => walk.note(Some(was), None),
            })?;
        }
        for (key, is) in edited.iter().filter(|(key, _)| find(base, key).is_none()) {
            self.within(Step::Field(key.clone()), |walk| walk.note(None, Some(is)))?;
        }
        Ok(())
    }

    /// Lists whose entries are known by their names: an entry that only one side has is a difference of its own. If
    /// those that both have are in another order, the list is one difference.
    fn compare_entries(&mut self, base: &[Tree], edited: &[Tree]) -> Result<(), Stopped> {
        let places = |list: &[Tree]| -> BTreeMap<String, usize> {
            let names = list.iter().enumerate().filter_map(|(at, entry)| Some((entry.entry_name()?.to_owned(), at)));
            names.collect()
        };
        let (in_base, in_edited) = (places(base), places(edited));
        let twins: Vec<usize> = base.iter().filter_map(|entry| in_edited.get(entry.entry_name()?).copied()).collect();
        if !twins.is_sorted() {
            return self.note(Some(&Tree::List(base.to_vec())), Some(&Tree::List(edited.to_vec())));
        }
        for was in base {
            let name = was.entry_name().unwrap_or_default();
            let is = in_edited.get(name).and_then(|at| edited.get(*at));
            self.within(Step::Name(name.to_owned()), |walk| match is {
                Some(is) => walk.compare(was, is),
                None => walk.note(Some(was), None),
            })?;
        }
        for is in edited {
            let name = is.entry_name().unwrap_or_default();
            if !in_base.contains_key(name) {
                self.within(Step::Name(name.to_owned()), |walk| walk.note(None, Some(is)))?;
            }
        }
        Ok(())
    }

    fn is_known_by_name(&self) -> bool {
        matches!(self.steps.as_slice(), [Step::Field(part), Step::Field(_)] if part == "evidence")
    }

    /// How a field of the advance table is compared; all other fields are compared part by part.
    fn treatment(&self) -> Treatment {
        match self.steps.as_slice() {
            [Step::Field(part), Step::Field(field)] if part == "advance" => match field.as_str() {
                "speed_rpm" | "load" => Treatment::Whole,
                "held" | "origin" if self.same_size => Treatment::Parts,
                _ => Treatment::LeaveOut,
            },
            _ => Treatment::Parts,
        }
    }

    fn is_indivisible(&self) -> bool {
        matches!(self.steps.last(), Some(Step::Field(name)) if name == "firing_order" || name == "cylinders")
    }

    fn note_if_different(&mut self, base: &Tree, edited: &Tree) -> Result<(), Stopped> {
        if base == edited { Ok(()) } else { self.note(Some(base), Some(edited)) }
    }

    fn note(&mut self, base: Option<&Tree>, edited: Option<&Tree>) -> Result<(), Stopped> {
        let Some(Step::Field(part)) = self.steps.first() else {
            return Ok(());
        };
        let Some(section) = Section::of_part(part) else {
            return Ok(());
        };
        self.watch.next()?;
        let path = path_of(&self.steps);
        let (base_words, edited_words) = self.namer.value_words(&path, base, edited);
        self.found.push(FieldDifference {
            label: self.namer.label(&path, &self.steps),
            path,
            section,
            base: base.cloned(),
            edited: edited.cloned(),
            base_words,
            edited_words,
            steps: self.steps.clone(),
        });
        Ok(())
    }
}

enum Treatment {
    LeaveOut,
    Whole,
    Parts,
}

/// Whether a record is a curve: breakpoints and values.
pub(super) fn is_curve(record: &[(&'static str, Tree)]) -> bool {
    matches!(record, [("at", _), ("value", _)])
}

/// The trees of three projects, without their snapshots and last exports. The watch is asked before each.
///
/// # Errors
/// [`Unfinished`] when it is stopped.
pub(super) fn of_each([a, b, c]: &[Project; 3], watch: Watch<'_>) -> Result<[Tree; 3], Unfinished> {
    let tree = |project: &Project| {
        watch.next()?;
        Ok::<_, Unfinished>(Tree::of(&project.as_state())?)
    };
    Ok([tree(a)?, tree(b)?, tree(c)?])
}

/// The project of a tree, with this advance table.
///
/// # Errors
/// [`Fault`] when the values do not fit together.
pub(super) fn project(form: Option<Tree>, advance: &Advance) -> Result<Project, Fault> {
    let internal = |what: &str| Fault::new("", format!("the project's form has no {what}"));
    let mut form = form.ok_or_else(|| internal("fields"))?;
    let place = form.at_mut(&[Step::Field("advance".into())]).ok_or_else(|| internal("advance table"))?;
    *place = Tree::of(advance).map_err(|error| Fault::new("advance", error.to_string()))?;
    read(form.to_string().as_bytes()).map_err(fault)
}

/// The error's line and column in the printed form are of no use; the field and the reason are.
fn fault(error: ReadError) -> Fault {
    match error {
        ReadError::Invalid { path, message, hint, .. } => Fault { path, message, hint },
        other => Fault::new("", other.to_string()),
    }
}

#[cfg(test)]
mod tests {
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
            parts.outputs[1].conditions =
                vec![condition(Signal::Coolant, 95.0, 90.0), condition(Signal::Load, 50.0, 40.0)];
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
        let found = after(&[
            ("advance.deg[1][1]", "17.25"),
            ("advance.held[1][1]", "true"),
            ("advance.origin[0][1]", "measured"),
        ]);
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
}
