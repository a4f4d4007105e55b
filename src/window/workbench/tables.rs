//! Reading and writing the advance table as a file of its own.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use eframe::egui;

use super::Workbench;
use crate::interchange::{DecimalMark, Separator, WriteOptions, write_table};
use crate::window::state::dialogs::{Floating, ImportForm, ReadTable};
use crate::window::state::file_jobs::file_name;
use crate::window::tasks::jobs::Job;
use crate::window::tasks::table_files;
use crate::wording::Refusal;

impl Workbench {
    /// Writes the table on a thread.
    pub(super) fn export_table(&mut self, ctx: &egui::Context, options: WriteOptions, path: PathBuf) {
        let options = with_separator(&path, options);
        let text = match write_table(self.document.project().advance.table(), &options) {
            Ok(text) => text,
            Err(error) => return self.complain(error.to_string()),
        };
        self.files.jobs.start(ctx, Job::Table, move || table_files::write(path, &text));
    }

    pub(super) fn exported(&mut self, path: &Path, done: Result<Option<String>, Refusal>) {
        match done {
            Ok(warning) => {
                self.close_path_panel();
                self.say(format!("Exported the table to {}", file_name(path)));
                if let Some(warning) = warning {
                    self.complain(format!("{}: {warning}", file_name(path)));
                }
            }
            Err(why) => self.fail_job_at(path, &format!("The table was not exported: {why}")),
        }
    }

    /// Reads a table on a thread.
    pub(super) fn read_table(&mut self, ctx: &egui::Context, path: PathBuf) {
        self.files.jobs.start(ctx, Job::Table, move || table_files::read(path));
    }

    /// Reads the table in question again, now that its decimal mark is known.
    pub(super) fn read_table_as(&mut self, ctx: &egui::Context, mark: DecimalMark) {
        let Some(Floating::Import(ImportForm { path, read: ReadTable::Ask { bytes, .. }, .. })) =
            &self.files.dialogs.panel
        else {
            return;
        };
        let (path, bytes) = (path.clone(), Arc::clone(bytes));
        self.files.jobs.start(ctx, Job::Table, move || table_files::read_as(path, bytes, Some(mark)));
    }

    pub(super) fn table_read(&mut self, path: PathBuf, read: ReadTable) {
        self.files.dialogs.panel = Some(Floating::Import(ImportForm { path, read, refusal: None }));
    }

    /// Replaces the table by the one that was read, as one step.
    pub(super) fn import_table(&mut self) {
        let Some(Floating::Import(ImportForm { path, read: ReadTable::Found(file), .. })) =
            self.files.dialogs.panel.clone()
        else {
            return;
        };
        let label = format!("Import table from {}", file_name(&path));
        let edit = |project: &crate::project::Project| {
            let advance = file.import()?;
            project.with_advance(advance).map_err(Refusal::from)
        };
        match self.step(label.clone(), None, edit) {
            Ok(changed) => {
                self.files.dialogs.panel = None;
                if changed {
                    self.say(label);
                } else {
                    self.complain("Nothing changed: the file holds the project's table");
                }
            }
            Err(told) => {
                if let Some(Floating::Import(form)) = &mut self.files.dialogs.panel {
                    form.refusal = Some(told.to_string());
                }
                self.complain(told);
            }
        }
    }
}

/// The options for a file: a TSV ending decides the separator.
fn with_separator(path: &Path, options: WriteOptions) -> WriteOptions {
    let is_tsv = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("tsv"));
    if is_tsv { WriteOptions { separator: Separator::Tab, ..options } } else { options }
}
