//! Reading and writing the advance table as a file of its own.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use eframe::egui;

use super::Files;
use crate::interchange::{DecimalMark, Separator, TableFile, WriteOptions, write_table};
use crate::table::Table;
use crate::window::state::dialogs::{Floating, ImportForm, ReadTable};
use crate::window::state::file_jobs::file_name;
use crate::window::state::screen::Screen;
use crate::window::tasks::exchange_files;
use crate::window::tasks::jobs::Job;
use crate::wording::Refusal;

impl Files {
    /// Writes the table on a thread.
    pub(in crate::window::workbench) fn export_table(
        &mut self,
        ctx: &egui::Context,
        table: &Table,
        screen: &mut Screen,
        options: WriteOptions,
        path: PathBuf,
    ) {
        let options = with_separator(&path, options);
        let text = match write_table(table, &options) {
            Ok(text) => text,
            Err(error) => return screen.complain(error.to_string()),
        };
        self.jobs.start(ctx, Job::Table, move || exchange_files::write_table(path, &text));
    }

    pub(super) fn exported(&mut self, screen: &mut Screen, path: &Path, done: Result<Option<String>, Refusal>) {
        match done {
            Ok(warning) => {
                self.tell_written(screen, path, format!("Exported the table to {}", file_name(path)), warning)
            }
            Err(why) => self.fail_job_at(screen, path, &format!("The table was not exported: {why}")),
        }
    }

    /// Reports that a file was written, with its warning.
    pub(super) fn tell_written(&mut self, screen: &mut Screen, path: &Path, told: String, warning: Option<String>) {
        self.close_path_panel();
        screen.say(told);
        if let Some(warning) = warning {
            screen.complain(format!("{}: {warning}", file_name(path)));
        }
    }

    /// Reads a table on a thread.
    pub(in crate::window::workbench) fn read_table(&mut self, ctx: &egui::Context, path: PathBuf) {
        self.jobs.start(ctx, Job::Table, move || exchange_files::read_table(path));
    }

    /// Reads the table in question again, now that its decimal mark is known.
    pub(in crate::window::workbench) fn read_table_as(&mut self, ctx: &egui::Context, mark: DecimalMark) {
        let Some(Floating::Import(ImportForm { path, read: ReadTable::Ask { bytes, .. }, .. })) = &self.dialogs.panel
        else {
            return;
        };
        let (path, bytes) = (path.clone(), Arc::clone(bytes));
        self.jobs.start(ctx, Job::Table, move || exchange_files::read_table_marked(path, bytes, Some(mark)));
    }

    pub(super) fn table_read(&mut self, path: PathBuf, read: ReadTable) {
        self.dialogs.panel = Some(Floating::Import(ImportForm { path, read, refusal: None }));
    }

    /// The table that was read and is shown, and the label of the step that imports it.
    pub(in crate::window::workbench) fn table_to_import(&self) -> Option<(String, Box<TableFile>)> {
        let Some(Floating::Import(ImportForm { path, read: ReadTable::Found(file), .. })) = &self.dialogs.panel else {
            return None;
        };
        Some((format!("Import table from {}", file_name(path)), file.clone()))
    }

    /// Reports the result of the import.
    pub(in crate::window::workbench) fn imported(
        &mut self,
        screen: &mut Screen,
        label: String,
        done: Result<bool, Refusal>,
    ) {
        match done {
            Ok(changed) => {
                self.dialogs.panel = None;
                if changed {
                    screen.say(label);
                } else {
                    screen.complain("Nothing changed: the file holds the project's table");
                }
            }
            Err(told) => {
                if let Some(Floating::Import(form)) = &mut self.dialogs.panel {
                    form.refusal = Some(told.to_string());
                }
                screen.complain(told);
            }
        }
    }
}

/// The options for a file: a TSV ending decides the separator.
fn with_separator(path: &Path, options: WriteOptions) -> WriteOptions {
    let is_tsv = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("tsv"));
    if is_tsv { WriteOptions { separator: Separator::Tab, ..options } } else { options }
}
