//! Changes to the project's runs: their rows and names. The first change to any other run makes a run of the
//! project from it.

use std::sync::Arc;

use crate::project::{KeptRow, Project};
use crate::rig::Run;
use crate::wording::Refusal;

/// A change to the project's runs.
#[derive(Clone, Debug, PartialEq)]
pub enum RunEdit {
    /// Change the rows of a run; a run that is not one of the project's becomes one first.
    Rows(EditedRun, RowsEdit),
    /// Rename a run.
    Rename {
        /// Its present name.
        from: String,
        /// Its new name.
        to: String,
    },
    /// Delete a run, by its name.
    Remove(String),
}

/// The run to be changed.
#[derive(Clone, Debug, PartialEq)]
pub enum EditedRun {
    /// One of the project's, by name.
    Kept(String),
    /// A new one with this name, made from this run.
    New(String, Arc<Run>),
}

/// A change to the rows of a run.
#[derive(Clone, Debug, PartialEq)]
pub enum RowsEdit {
    /// No change: the run is kept as it is.
    Keep,
    /// Insert a copy of a row after it; its time is left to be typed.
    InsertAfter(usize),
    /// Delete a row.
    Remove(usize),
    /// Set one field of a row; `None` empties it.
    Put {
        /// Which row, from 0.
        row: usize,
        /// Which column, from 0.
        column: usize,
        /// The new content.
        value: Option<f64>,
    },
    /// Set fields from a row and a column on, row by row; rows are added below if necessary.
    PutBlock {
        /// The first row, from 0.
        row: usize,
        /// The first column, from 0.
        column: usize,
        /// The new content.
        values: Vec<Vec<Option<f64>>>,
    },
    /// Replace all rows.
    Replace(Vec<KeptRow>),
}

impl EditedRun {
    /// Its name, or the name that it will have.
    pub fn name(&self) -> &str {
        match self {
            Self::Kept(name) | Self::New(name, _) => name,
        }
    }
}

impl RunEdit {
    pub(super) fn apply(&self, project: &Project) -> Result<Project, Refusal> {
        let edited = match self {
            Self::Rows(run, edit) => project.edit(|parts| {
                let at = parts.runs.iter().position(|kept| kept.name == run.name());
                let at = match (at, run) {
                    (Some(at), _) => at,
                    (None, EditedRun::New(name, run)) => {
                        parts.runs.push(run.to_be_kept(name.clone()).into());
                        parts.runs.len() - 1
                    }
                    (None, EditedRun::Kept(_)) => return,
                };
                if let Some(run) = parts.runs.get_mut(at) {
                    edit.change(&mut Arc::make_mut(run).rows);
                }
            }),
            Self::Rename { from, to } => project.edit(|parts| {
                if let Some(run) = parts.runs.iter_mut().find(|run| run.name == *from) {
                    Arc::make_mut(run).name.clone_from(to);
                }
            }),
            Self::Remove(name) => project.edit(|parts| parts.runs.retain(|run| run.name != *name)),
        };
        edited.map_err(Refusal::from)
    }
}

impl RowsEdit {
    fn change(&self, rows: &mut Vec<KeptRow>) {
        match self {
            Self::Keep => {}
            Self::InsertAfter(row) => {
                if let Some(copy) = rows.get(*row).copied() {
                    rows.insert(row + 1, KeptRow { time_s: None, ..copy });
                }
            }
            Self::Remove(row) => {
                if *row < rows.len() {
                    rows.remove(*row);
                }
            }
            Self::Put { row, column, value } => {
                if let Some(row) = rows.get_mut(*row) {
                    put_into_row(row, *column, *value);
                }
            }
            Self::PutBlock { row, column, values } => put_block(rows, (*row, *column), values),
            Self::Replace(others) => rows.clone_from(others),
        }
    }
}

/// Sets a field; `None` empties it. The column that is not a number is the launch switch.
fn put_into_row(row: &mut KeptRow, column: usize, value: Option<f64>) {
    let KeptRow { time_s, speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct, launch } = row;
    match [time_s, speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct].into_iter().nth(column) {
        Some(slot) => *slot = value,
        None => *launch = value == Some(1.0),
    }
}

fn put_block(rows: &mut Vec<KeptRow>, (row, column): (usize, usize), block: &[Vec<Option<f64>>]) {
    for (down, values) in block.iter().enumerate() {
        while rows.len() <= row + down {
            rows.push(KeptRow::default());
        }
        if let Some(own) = rows.get_mut(row + down) {
            values.iter().enumerate().for_each(|(right, value)| put_into_row(own, column + right, *value));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interchange::RUN_COLUMNS;

    fn block(rows: &mut Vec<KeptRow>, row: usize, column: usize, values: Vec<Vec<Option<f64>>>) {
        RowsEdit::PutBlock { row, column, values }.change(rows);
    }

    #[test]
    fn pasted_fields_go_down_and_to_the_right_and_make_room() {
        let mut rows = vec![KeptRow::default(); 2];
        block(&mut rows, 1, 1, vec![vec![Some(900.0), Some(20.0)], vec![Some(950.5), None]]);
        assert_eq!(rows.len(), 3);
        assert_eq!((rows[1].speed_rpm, rows[2].speed_rpm, rows[2].load), (Some(900.0), Some(950.5), None));
        assert!(rows[1].time_s.is_none() && rows[0].speed_rpm.is_none());
        block(&mut rows, 0, RUN_COLUMNS.len() - 1, vec![vec![Some(1.0)]]);
        assert!(rows[0].launch);
    }

    #[test]
    fn rows_come_after_others_and_go() {
        let row =
            |time_s, speed_rpm| KeptRow { time_s: Some(time_s), speed_rpm: Some(speed_rpm), ..KeptRow::default() };
        let mut rows = vec![row(0.0, 900.0), row(1.0, 2000.0)];
        RowsEdit::InsertAfter(0).change(&mut rows);
        assert_eq!((rows.len(), rows[1].time_s, rows[1].speed_rpm), (3, None, Some(900.0)));
        RowsEdit::Remove(1).change(&mut rows);
        for nothing in [RowsEdit::Remove(2), RowsEdit::InsertAfter(2), RowsEdit::Keep] {
            nothing.change(&mut rows);
        }
        assert_eq!(rows, [row(0.0, 900.0), row(1.0, 2000.0)]);
    }
}
