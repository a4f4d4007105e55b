//! Three-way merge: combines the changes that two people made to one base.
//!
//! A *unit* is taken whole from one version. If all three tables have the same axes, each cell with its value,
//! hold and origin is a unit; otherwise the table is one unit. Elsewhere each field is a unit. A unit changed
//! on one side is taken from there, one changed in the same way on both is taken, any other is a [`Conflict`]
//! with three values.
//!
//! Fields that mean something only together are one unit: the wheel's teeth, a sensor's two points of
//! calibration, a sender's three points, a condition's signal with its thresholds, an item's number format, the
//! checksum, the timing-light readings with the trigger they were taken with, the readings that are only typed,
//! the rows of a run, and a measured point or a timing sweep as a whole. A curve is merged value by value as long as its breakpoints are unchanged, otherwise
//! as one unit. Cylinders, firing order and coil channels are one unit as soon as cylinders or firing order
//! differ; the table, trims' weights and whatever else the project lists as being in the load's unit
//! (`project/load_unit.rs`) are one as soon as the kind of load differs; and the whole project is one as soon as the mark of a locked-timing
//! copy differs: the flat table of such a copy must not slip into a real map.
//!
//! Outputs, image items, runs, measured points, timing sweeps and snapshots are known by their name, accepted findings by their check and
//! place; what either side added stays. Where merging unit by unit would make an invalid project, or break an
//! order of limits that both sides kept, the part around them becomes one unit. Taking either side in all
//! conflicts is therefore always possible.

mod bonds;
mod conflict_words;
mod kept;
#[cfg(test)]
mod proofs;
mod table;
#[cfg(test)]
mod tests;
mod version;
mod walk;

use std::fmt;

use self::bonds::Bonds;
use self::conflict_words::Teller;
use self::kept::KeptRecords;
use self::table::TableMerge;
use self::version::Node;
use super::field_differences;
use crate::compare::{FieldDifferences, Unfinished};
use crate::project::{Fault, Parts, Project, Tree};
use crate::table::Cell;
use crate::watch::{Stopped, Watch};
use crate::wording::count;

pub use self::version::{Conflict, ConflictPlace, Version};

/// Base, mine and theirs merged, with what is still to be decided.
#[derive(Clone, Debug)]
pub struct Merge {
    versions: [Project; 3],
    content: Content,
    kept: KeptRecords,
    conflicts: Vec<Conflict>,
}

#[derive(Clone, Debug)]
enum Content {
    /// The whole project is one unit; the index of its conflict.
    Whole(usize),
    /// Table and setup unit by unit.
    Parts { table: TableMerge, setup: Box<Node> },
}

impl Merge {
    /// Merges what `mine` and `theirs` made of `base`. The watch is asked before every unit, and before the merged
    /// project is tried as a whole.
    ///
    /// ```
    /// use sparkloft::compare::{Merge, Version};
    /// use sparkloft::project::SAMPLES;
    /// use sparkloft::watch::Watch;
    ///
    /// let base = SAMPLES[0].project()?;
    /// let mine = base.edit(|parts| parts.name = "Tarn, winter".into())?;
    /// let theirs = base.edit(|parts| parts.engine.plug_gap_mm = 0.65)?;
    /// let merge = Merge::new(&base, &mine, &theirs, Watch::NOBODY)?;
    /// assert!(merge.conflicts().is_empty());
    /// let merged = merge.resolve(|_| Version::Mine)?;
    /// assert_eq!((merged.name.as_str(), merged.engine.plug_gap_mm), ("Tarn, winter", 0.65));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`Unfinished`] when it is stopped.
    pub fn new(base: &Project, mine: &Project, theirs: &Project, watch: Watch<'_>) -> Result<Self, Unfinished> {
        let assumed = Parts::assumed_by_both(base, mine, theirs);
        let with_assumed = |project: &Project| {
            let with = project.edit(|parts| parts.assumed.clone_from(&assumed));
            with.unwrap_or_else(|_| project.clone())
        };
        let versions = [base, mine, theirs].map(with_assumed);
        let forms = field_differences::of_each(&versions, watch)?;
        let mut bonds = Bonds::between(&versions);
        loop {
            let merge = Self::within(&bonds, &versions, &forms, watch)?;
            // Each round ties more together; in the end the whole project is one unit, which is always valid.
            match merge.weak_spot(watch)? {
                Some(path) if !bonds.is_whole() => bonds.tighten(&path),
                _ => return Ok(merge),
            }
        }
    }

    fn within(bonds: &Bonds, versions: &[Project; 3], forms: &[Tree; 3], watch: Watch<'_>) -> Result<Self, Stopped> {
        let teller = Teller::new(versions, forms);
        let mut conflicts = Vec::new();
        let content = if bonds.is_whole() {
            whole(versions, &teller, &mut conflicts)
        } else {
            let groups = bonds.decide(forms, &teller, &mut conflicts);
            let table = table::merge(versions, groups.of("advance"), &teller, &mut conflicts, watch)?;
            let setup = Box::new(walk::merge(bonds, &groups, forms, &teller, &mut conflicts, watch)?);
            Content::Parts { table, setup }
        };
        let kept = KeptRecords::merge(versions, &mut conflicts, watch)?;
        Ok(Self { versions: versions.clone(), content, kept, conflicts })
    }

    /// Everything that is to be decided: the table first, then in the order of the project file.
    pub fn conflicts(&self) -> &[Conflict] {
        &self.conflicts
    }

    /// The merged project, with each conflict decided; `choose` is called with the conflict's index in the
    /// list.
    ///
    /// # Errors
    /// [`Fault`] when the decisions do not fit together. Taking one version in all conflicts always fits.
    pub fn resolve(&self, choose: impl Fn(usize) -> Version) -> Result<Project, Fault> {
        self.resolve_cells(choose, |_| None)
    }

    /// Whether each cell of the table can be taken from any version: the three tables have the same breakpoints, and
    /// nothing ties the table to other parts.
    pub fn is_by_cell(&self) -> bool {
        matches!(&self.content, Content::Parts { table, .. } if table.is_by_cell())
    }

    /// As [`Merge::resolve`]; where the table is merged by cell, cells that are no conflict come from the version that
    /// `of_cell` names, if it names one, instead of from the side that changed them.
    ///
    /// # Errors
    /// [`Fault`] when the decisions do not fit together.
    pub fn resolve_cells(
        &self,
        choose: impl Fn(usize) -> Version,
        of_cell: impl Fn(Cell) -> Option<Version>,
    ) -> Result<Project, Fault> {
        let project = match &self.content {
            Content::Whole(conflict) => self.versions[choose(*conflict).index()].as_state(),
            Content::Parts { table, setup } => {
                let advance = table.resolve(&self.versions, &choose, &of_cell)?;
                field_differences::project(setup.resolve(&choose), &advance)?
            }
        };
        // A tick 'set in the unit' only counts for the numbers that it was given for, so it is dropped if the
        // other side's numbers are next to it.
        let [_, mine, theirs] = &self.versions;
        let project = project.with_ticks_of(&[mine.clone(), theirs.clone()])?;
        self.kept.resolve(&project, &self.versions, &choose)
    }

    /// The part in which the merged project is invalid, or in which it breaks an order that both sides kept.
    fn weak_spot(&self, watch: Watch<'_>) -> Result<Option<String>, Stopped> {
        let undecided = if self.conflicts.is_empty() { &Version::ALL[..1] } else { &Version::ALL[..] };
        for version in undecided {
            watch.next()?;
            match self.resolve(|_| *version) {
                Err(fault) => return Ok(Some(fault.path)),
                Ok(project) => {
                    if let Some(path) = broken(&project, &self.versions) {
                        return Ok(Some(path.to_owned()));
                    }
                }
            }
        }
        Ok(None)
    }
}

/// The whole project as one unit.
fn whole(versions: &[Project; 3], teller: &Teller<'_>, conflicts: &mut Vec<Conflict>) -> Content {
    let states = versions.each_ref().map(Project::as_state);
    let [base, mine, theirs] = &states;
    match version::verdict([base, mine, theirs]) {
        // Only reached if the mark of a locked-timing copy or repeated tightening makes the whole project one
        // unit: then one side's project is the result.
        version::Verdict::Take(version) => {
            let advance = versions[version.index()].advance.clone();
            let setup = Node::Settled(Some(teller.form(version).clone()));
            Content::Parts { table: TableMerge::Settled { advance, is_by_cell: false }, setup: Box::new(setup) }
        }
        version::Verdict::Conflict => {
            conflicts.push(teller.whole_project());
            Content::Whole(conflicts.len() - 1)
        }
    }
}

/// A part of a project, and the functions for the lower and the higher of two of its values.
type Order = (&'static str, fn(&Parts) -> (f64, f64));

/// Every inequality separately: a side that breaks one inequality of a part does not excuse breaking the
/// others.
const ORDERS: [Order; 8] = [
    ("limits.cranking", |parts| (parts.limits.cranking.no_spark_below_rpm, parts.limits.cranking.below_rpm)),
    ("limits.cranking", |parts| (parts.limits.cranking.below_rpm, parts.limits.cranking.leave_at_rpm)),
    ("limits.over_speed", |parts| (parts.limits.over_speed.eases_from_rpm, parts.limits.over_speed.cuts_at_rpm)),
    ("limits.over_speed", |parts| (parts.limits.over_speed.fires_again_below_rpm, parts.limits.over_speed.cuts_at_rpm)),
    ("limits.over_speed", |parts| (parts.limits.over_speed.cuts_at_rpm, parts.limits.over_speed.cuts_all_at_rpm)),
    ("limits.launch", |parts| (parts.limits.launch.retards_from_rpm, parts.limits.launch.cuts_at_rpm)),
    ("limits.clamp", |parts| (parts.limits.clamp.floor_deg, parts.limits.clamp.ceiling_deg)),
    ("sensors", |parts| (parts.sensors.lowest_battery_v, parts.sensors.highest_battery_v)),
];

/// The part in which the merged project breaks an order that both mine and theirs keep.
fn broken(merged: &Project, [_, mine, theirs]: &[Project; 3]) -> Option<&'static str> {
    let is_broken = |(_, values): &&Order| {
        let keeps = |parts: &Parts| {
            let (lower, higher) = values(parts);
            lower <= higher
        };
        !keeps(merged) && keeps(mine) && keeps(theirs)
    };
    ORDERS.iter().find(is_broken).map(|(part, _)| *part)
}

/// How much of a merged project differs from mine.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Brought {
    /// Cells whose value, hold or origin differs; all of them if the breakpoints differ.
    pub cells: usize,
    /// Other fields.
    pub fields: usize,
    /// Snapshots that are new, gone or different.
    pub snapshots: usize,
}

impl Brought {
    /// Counts what differs between mine and the merged project; `differences` are those of the two.
    pub fn into_mine(mine: &Project, merged: &Project, differences: &FieldDifferences) -> Self {
        let fields = differences.list.iter().filter(|field| !field.path.starts_with("advance.")).count();
        let has = |project: &Project, snapshot| project.snapshots.contains(snapshot);
        let new = merged.snapshots.iter().filter(|kept| !has(mine, kept)).count();
        let is_gone = |name: &str| merged.snapshots.iter().all(|kept| kept.name != *name);
        let gone = mine.snapshots.iter().filter(|kept| is_gone(&kept.name)).count();
        Self { cells: cells(mine, merged), fields, snapshots: new + gone }
    }
}

fn cells(mine: &Project, merged: &Project) -> usize {
    let (was, is) = (&mine.advance, &merged.advance);
    let axes = |project: &Project| (project.advance.table().speed().clone(), project.advance.table().load().clone());
    if axes(mine) != axes(merged) {
        return is.table().values().len();
    }
    let differs = |cell: &Cell| {
        was.table().at(*cell).to_bits() != is.table().at(*cell).to_bits()
            || was.origin(*cell) != is.origin(*cell)
            || was.held().contains(*cell) != is.held().contains(*cell)
    };
    is.table().cells().filter(differs).count()
}

impl fmt::Display for Brought {
    /// '12 cells, 3 fields and 1 snapshot', or 'nothing'.
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let all = [(self.cells, "cell"), (self.fields, "field"), (self.snapshots, "snapshot")];
        let told: Vec<String> =
            all.into_iter().filter(|(number, _)| *number > 0).map(|(number, noun)| count(number, noun)).collect();
        match told.as_slice() {
            [] => formatter.write_str("nothing"),
            [one] => formatter.write_str(one),
            [firsts @ .., last] => write!(formatter, "{} and {last}", firsts.join(", ")),
        }
    }
}

#[cfg(test)]
mod brought_tests {
    use super::*;
    use crate::compare::samples::everything;
    use crate::project::set_fields;

    #[test]
    fn a_side_out_of_order_does_not_allow_another_order_to_be_broken() {
        let with = |fires_again_rpm: f64, eases_rpm: f64, cuts_rpm: f64| {
            let limited = everything().edit(|parts| {
                let limit = &mut parts.limits.over_speed;
                (limit.fires_again_below_rpm, limit.eases_from_rpm) = (fires_again_rpm, eases_rpm);
                (limit.cuts_at_rpm, limit.cuts_all_at_rpm) = (cuts_rpm, 9000.0);
            });
            limited.unwrap()
        };
        let base = with(6900.0, 6800.0, 7000.0);
        // In mine, the speed below which it fires again is above its own cut; theirs eases from a higher speed,
        // below its own cut but above that of mine.
        let (mine, theirs) = (with(6900.0, 6300.0, 6500.0), with(6900.0, 6900.0, 7000.0));
        let merged = with(6900.0, 6900.0, 6500.0);
        assert_eq!(broken(&merged, &[base.clone(), mine.clone(), theirs.clone()]), Some("limits.over_speed"));
        // An order that one side broke itself may stay broken in a merge.
        assert_eq!(broken(&with(6900.0, 6300.0, 6500.0), &[base, mine, theirs]), None);
    }

    fn brought_into(mine: &Project, merged: &Project) -> Brought {
        Brought::into_mine(mine, merged, &FieldDifferences::between(mine, merged, Watch::NOBODY).unwrap())
    }

    #[test]
    fn cells_and_fields_are_counted_apart() {
        let mine = everything();
        let merged = set_fields(&mine, &[("advance.deg[0][0]", "1"), ("notes", "x"), ("step_deg", "0.25")]).unwrap();
        let brought = brought_into(&mine, &merged);
        assert_eq!(
            (brought, brought.to_string()),
            (Brought { cells: 1, fields: 2, snapshots: 0 }, "1 cell and 2 fields".into())
        );
        assert_eq!(brought_into(&mine, &mine).to_string(), "nothing");
        let axes = set_fields(&mine, &[("advance.load[15]", "99")]).unwrap();
        assert_eq!(brought_into(&mine, &axes).cells, 256);
    }
}
