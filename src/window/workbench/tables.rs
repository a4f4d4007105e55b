//! The advance table to and from a file of its own.

use std::path::{Path, PathBuf};

use eframe::egui;

use super::Workbench;
use crate::document::{read_bounded, write_file};
use crate::interchange::{MAX_FILE_BYTES, Separator, TableFile, WriteOptions, read_table, write_table};
use crate::window::dialogs::{Floating, ImportForm};
use crate::window::files::{News, file_name};

impl Workbench {
    /// Writes the table on a thread.
    pub(super) fn export_table(&mut self, ctx: &egui::Context, options: WriteOptions, path: PathBuf) {
        let options = with_separator(&path, options);
        let text = match write_table(self.document.project().advance.table(), &options) {
            Ok(text) => text,
            Err(error) => return self.complain(error.to_string()),
        };
        let write = move || {
            let done = write_file(&path, text.as_bytes());
            let done =
                done.map(|warning| warning.map(|warning| warning.to_string())).map_err(|error| error.to_string());
            News::Exported { path, done }
        };
        if !self.worker.start(ctx, "export", write) {
            self.complain("The table was not exported: the system gives no thread; close other programs");
        }
    }

    pub(super) fn exported(&mut self, path: &Path, done: Result<Option<String>, String>) {
        match done {
            Ok(warning) => {
                self.close_path_panel();
                self.say(format!("Exported the table to {}", file_name(path)));
                if let Some(warning) = warning {
                    self.complain(format!("{}: {warning}", file_name(path)));
                }
            }
            Err(why) => self.fail_job(format!("The table was not exported: {why}")),
        }
    }

    /// Reads a table on a thread.
    pub(super) fn read_table(&mut self, ctx: &egui::Context, path: PathBuf) {
        let read = move || {
            let read = read(&path);
            News::TableRead { path, read }
        };
        if !self.worker.start(ctx, "import", read) {
            self.complain("The table was not read: the system gives no thread; close other programs");
        }
    }

    pub(super) fn table_read(&mut self, path: PathBuf, read: Result<Box<TableFile>, String>) {
        self.dialogs.panel = Some(Floating::Import(ImportForm { path, read, refusal: None }));
    }

    /// Replaces the table by the one that was read, as one step.
    pub(super) fn import_table(&mut self) {
        let Some(Floating::Import(ImportForm { path, read: Ok(file), .. })) = self.dialogs.panel.clone() else {
            return;
        };
        let label = format!("Import table from {}", file_name(&path));
        let edit = |project: &crate::project::Project| {
            let advance = file.import().map_err(|error| error.to_string())?;
            project.with_advance(advance).map_err(|fault| fault.to_string())
        };
        match self.step(label.clone(), None, edit) {
            Ok(changed) => {
                self.dialogs.panel = None;
                let same = "The file holds the same table; nothing changed";
                self.say(if changed { &label } else { same });
            }
            Err(told) => {
                if let Some(Floating::Import(form)) = &mut self.dialogs.panel {
                    form.refusal = Some(told.clone());
                }
                self.complain(told);
            }
        }
    }
}

fn read(path: &Path) -> Result<Box<TableFile>, String> {
    let bytes = read_bounded(path, MAX_FILE_BYTES as u64).map_err(|error| error.to_string())?;
    read_table(&bytes).map(Box::new).map_err(|error| error.to_string())
}

/// What the ending of a TSV file says about what stands between its fields.
fn with_separator(path: &Path, options: WriteOptions) -> WriteOptions {
    let is_tsv = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("tsv"));
    if is_tsv { WriteOptions { separator: Separator::Tab, ..options } } else { options }
}
