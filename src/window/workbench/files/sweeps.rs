//! Reading files with the readings of timing sweeps into the project.

use std::path::PathBuf;

use eframe::egui;

use super::Files;
use crate::document::Document;
use crate::project::LoadKind;
use crate::window::state::dialogs::Floating;
use crate::window::state::edits::{DocumentEdit, EvidenceEdit, brought_words};
use crate::window::state::file_jobs::file_name;
use crate::window::state::screen::{Screen, Sheet};
use crate::window::tasks::jobs::{Job, News};
use crate::window::tasks::sweep_files::{self, SweepNews};
use crate::wording::count;

impl Files {
    /// Reads a file of readings on a thread.
    pub(in crate::window::workbench) fn read_sweeps(&mut self, ctx: &egui::Context, load: LoadKind, path: PathBuf) {
        self.jobs.start(ctx, Job::Sweeps, move || News::Sweeps(sweep_files::read(path, load)));
    }

    pub(super) fn hear_of_sweeps(&mut self, document: &mut Document, screen: &mut Screen, news: SweepNews) {
        match news {
            SweepNews::Read(path, Ok(sweep)) => {
                self.close_path_panel();
                let (name, readings) = (file_name(&path), count(sweep.readings.len(), "reading"));
                let fresh = document.project().evidence.with_sweep(sweep.clone()).fresh;
                let kept = format!("{name}: {} kept in the project.", count(fresh, "reading"));
                let told = brought_words(kept, document.project(), &sweep);
                let edit = DocumentEdit::from(EvidenceEdit::Keep(sweep));
                match document.apply(format!("Read {name}: {readings}"), None, |project| edit.apply(project)) {
                    Ok(false) => screen.complain(format!("{name}: the project has these readings already")),
                    Ok(true) => {
                        screen.go_to(Sheet::Evidence);
                        screen.say(told);
                    }
                    Err(why) => screen.complain_at(&path, &why.to_string()),
                }
            }
            SweepNews::Ask(form) => {
                self.close_path_panel();
                self.dialogs.panel = Some(Floating::Marks(form));
            }
            SweepNews::Read(path, Err(why)) => {
                self.fail_job_at(screen, &path, &format!("These are no sweep readings: {why}"));
            }
        }
    }
}
