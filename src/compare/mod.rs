//! Floor 3: comparing two projects, describing the difference in figures and words, taking parts of the base
//! back, and merging what two people made of one base.
//!
//! Throughout, *base* is what is compared with and *edited* is the project at hand; a delta is edited − base.

mod delta;
mod field_differences;
mod figures;
mod labels;
mod merge;
mod regions;
#[cfg(test)]
pub(crate) mod samples;
mod section;
mod take_back;
mod value_words;

use crate::project::Project;
use crate::watch::{Stopped, Watch};

pub use delta::{CHANGED_ABOVE_DEG, Delta, NotCompared, Refusal, Side, TableAxis, changed_cells};
pub use field_differences::{FieldDifference, FieldDifferences, Unfinished};
pub use figures::{Extreme, Figures, UNWEIGHTED_NOTE, WITHIN_DEG};
pub use labels::{FieldWords, value_words};
pub use merge::{Brought, Conflict, ConflictPlace, Merge, Version};
pub use regions::{Region, Sign, Threshold, ThresholdError, region_at, regions};
pub use section::Section;
pub use take_back::{CellCounts, TakeBackError, TakenBack, take_back_cells, take_back_fields, take_back_sections};
pub use value_words::Told;

/// Everything that differs between a base and an edited project.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The advance tables, or why they cannot be compared.
    pub table: Result<TableComparison, Refusal>,
    /// All other fields.
    pub fields: FieldDifferences,
}

/// How two advance tables differ.
#[derive(Clone, Debug, PartialEq)]
pub struct TableComparison {
    /// Point by point.
    pub delta: Delta,
    /// In figures.
    pub figures: Figures,
    /// Region by region, the largest first.
    pub regions: Vec<Region>,
}

impl Comparison {
    /// Compares an edited project with its base; regions are made of points whose delta reaches `threshold`. The
    /// watch is asked before every row, every region and every field that differs.
    ///
    /// ```
    /// use sparkloft::compare::{Comparison, Threshold};
    /// use sparkloft::project::SAMPLES;
    /// use sparkloft::watch::Watch;
    ///
    /// let base = SAMPLES[0].project()?;
    /// let edited = base.edit(|parts| parts.engine.plug_gap_mm = 0.65)?;
    /// let comparison = Comparison::new(&base, &edited, Threshold::default(), Watch::NOBODY)?;
    /// assert_eq!(comparison.fields.list[0].path, "engine.plug_gap_mm");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`Unfinished`] when it is stopped.
    pub fn new(base: &Project, edited: &Project, threshold: Threshold, watch: Watch<'_>) -> Result<Self, Unfinished> {
        Ok(Self {
            table: TableComparison::new(base, edited, threshold, watch)?,
            fields: FieldDifferences::between(base, edited, watch)?,
        })
    }

    /// Whether any point of the table or any field differs; tables that cannot be compared count as different.
    pub fn is_different(&self) -> bool {
        !self.fields.is_empty() || self.table.as_ref().map_or(true, |table| table.figures.changed > 0)
    }
}

impl TableComparison {
    /// Compares the advance tables alone; [`Refusal`] where they cannot be compared.
    fn new(
        base: &Project,
        edited: &Project,
        threshold: Threshold,
        watch: Watch<'_>,
    ) -> Result<Result<Self, Refusal>, Stopped> {
        let delta = match Delta::watched(base, edited, watch)? {
            Ok(delta) => delta,
            Err(refusal) => return Ok(Err(refusal)),
        };
        Ok(Ok(Self { figures: Figures::of(&delta), regions: regions(&delta, threshold, watch)?, delta }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::samples::{any_project, everything, over_pressure};
    use crate::project::{Origin, set_fields};
    use crate::watch::stopped_after;
    use proptest::prelude::*;

    fn compare(base: &Project, edited: &Project) -> Comparison {
        Comparison::new(base, edited, Threshold::default(), Watch::NOBODY).unwrap()
    }

    #[test]
    fn one_cell_a_hair_off_or_one_field_is_a_difference() {
        let base = everything();
        let mut values = base.advance.table().values().to_vec();
        values[7] += 1e-6;
        let origin = base.advance.origins()[7];
        let nudged = base.with_advance(base.advance.with_values(values, origin).unwrap()).unwrap();
        let comparison = compare(&base, &nudged);
        assert!(comparison.is_different() && comparison.fields.is_empty());
        assert!(comparison.table.unwrap().regions.is_empty());
        assert!(compare(&base, &set_fields(&base, &[("notes", "new plugs")]).unwrap()).is_different());
    }

    #[test]
    fn other_load_kinds_still_tell_their_fields() {
        let comparison = compare(&everything(), &over_pressure());
        assert!(matches!(comparison.table, Err(Refusal::LoadKinds { .. })));
        assert!(comparison.is_different());
        assert!(comparison.fields.at("sensors.load").is_some());
    }

    #[test]
    fn a_changed_origin_alone_is_a_difference() {
        let base = everything();
        let all = crate::table::Selection::all(base.advance.table());
        let edited = base.with_advance(base.advance.with_origin(&all, Origin::Measured)).unwrap();
        assert_eq!(compare(&base, &edited).fields.list.len(), 256);
    }

    fn ends_in_the_round_in_which_it_is_stopped(
        base: &Project,
        edited: &Project,
        part: f64,
    ) -> Result<(), TestCaseError> {
        let watched =
            |rounds| stopped_after(rounds, |watch| Comparison::new(base, edited, Threshold::default(), watch));
        let (rounds, whole) = watched(usize::MAX);
        let whole = whole.unwrap();
        let rows = whole.table.as_ref().map_or(0, |table| table.delta.load().len() + table.regions.len());
        prop_assert!(rounds >= 2 + rows + whole.fields.list.len());
        prop_assert_eq!(whole.table.map(|table| table.delta), Delta::between(base, edited));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_precision_loss,
            clippy::cast_sign_loss,
            reason = "a part of the rounds"
        )]
        let stop_at = (part * rounds as f64) as usize;
        prop_assert_eq!(watched(stop_at), (stop_at + 1, Err(Unfinished::Stopped(Stopped))));
        Ok(())
    }

    fn does_not_differ_from_itself(project: &Project) -> Result<(), TestCaseError> {
        let comparison = compare(project, project);
        prop_assert!(!comparison.is_different());
        let table = comparison.table.unwrap();
        prop_assert!(table.regions.is_empty() && table.delta.not_compared().is_empty());
        Ok(())
    }

    fn turned_about_everything_turns(base: &Project, edited: &Project) -> Result<(), TestCaseError> {
        let (there, back) = (compare(base, edited), compare(edited, base));
        prop_assert_eq!(there.is_different(), back.is_different());
        prop_assert_eq!(there.fields.list.len(), back.fields.list.len());
        for field in &there.fields.list {
            let other = back.fields.at(&field.path).unwrap();
            prop_assert_eq!((&field.base, &field.edited), (&other.edited, &other.base));
        }
        let (Ok(there), Ok(back)) = (there.table, back.table) else { return Ok(()) };
        let (rise, fall) = (there.figures.largest_rise, back.figures.largest_fall);
        prop_assert_eq!(there.figures.mean_deg, -back.figures.mean_deg);
        prop_assert_eq!(rise.map(|rise| -rise.deg), fall.map(|fall| fall.deg));
        prop_assert_eq!(there.regions.len(), back.regions.len());
        for (a, b) in there.regions.iter().zip(&back.regions) {
            prop_assert_eq!((&a.points, a.mean_deg), (&b.points, -b.mean_deg));
        }
        Ok(())
    }

    proptest! {
        /// All that holds for any two projects, in one run of cases: to make them takes longer than to compare them.
        #[test]
        fn any_two_projects_are_compared_as_promised(
            base in any_project(), edited in any_project(), part in 0.0..1.0_f64,
        ) {
            ends_in_the_round_in_which_it_is_stopped(&base, &edited, part)?;
            does_not_differ_from_itself(&edited)?;
            turned_about_everything_turns(&base, &edited)?;
        }
    }
}
