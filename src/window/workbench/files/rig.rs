//! Reading and writing files for the rig.

use std::path::PathBuf;

use eframe::egui;

use super::Files;
use crate::drawing::Look;
use crate::interchange::DecimalMark;
use crate::project::Project;
use crate::window::state::dialogs::{Doubtful, Floating, MarksForm};
use crate::window::state::file_jobs::{RigJob, file_name};
use crate::window::state::screen::Screen;
use crate::window::tasks::jobs::{Job, News};
use crate::window::tasks::rig_files::{self, RigNews, do_job, put_on};
use crate::window::tasks::sweep_files;
use crate::wording::count;

impl Files {
    /// Reads or writes on a thread.
    pub(in crate::window::workbench) fn rig_job(
        &mut self,
        ctx: &egui::Context,
        project: &Project,
        screen: &mut Screen,
        look: Look,
        (job, path): (RigJob, PathBuf),
    ) {
        let work = match do_job(job, path, &screen.rig, project, look) {
            Ok(work) => work,
            Err(why) => return screen.complain(format!("{}: {why}", job.title())),
        };
        if job == RigJob::WriteEvents {
            screen.say("Driving the run to write its events…");
        }
        self.jobs.start(ctx, Job::Rig, move || News::Rig(work()));
    }

    /// What was in question, now that its decimal mark is known. A file is read again on a thread and not returned.
    pub(in crate::window::workbench) fn take_doubtful(
        &mut self,
        ctx: &egui::Context,
        project: &Project,
        mark: DecimalMark,
    ) -> Option<Doubtful> {
        let panel = self.dialogs.panel.take_if(|panel| matches!(panel, Floating::Marks(_)));
        let Some(Floating::Marks(MarksForm { what, .. })) = panel else {
            return None;
        };
        let load = project.sensors.load;
        match what {
            Doubtful::Run(path, bytes) => {
                self.jobs.start(ctx, Job::Rig, move || News::Rig(rig_files::read(path, bytes, Some(mark), load)));
            }
            Doubtful::Sweep(path, bytes) => {
                let read = move || News::Sweeps(sweep_files::read_marked(path, bytes, Some(mark), load));
                self.jobs.start(ctx, Job::Sweeps, read);
            }
            Doubtful::RunRows(_) | Doubtful::Readings(_) | Doubtful::SweepRows(_) => return Some(what),
        }
        None
    }

    pub(super) fn hear_of_rig(&mut self, screen: &mut Screen, news: RigNews) {
        match news {
            RigNews::Read(path, Ok(run)) => {
                self.close_path_panel();
                screen.say(format!("The rig runs {}, {}", file_name(&path), count(run.rows().len(), "row")));
                put_on(&mut screen.rig, path, run);
            }
            RigNews::Ask(form) => {
                self.close_path_panel();
                self.dialogs.panel = Some(Floating::Marks(form));
            }
            RigNews::Read(path, Err(why)) => self.fail_job_at(screen, &path, &format!("This is no run: {why}")),
            RigNews::Written(_, path, Ok(warning)) => {
                self.tell_written(screen, &path, format!("Exported {}", file_name(&path)), warning);
            }
            RigNews::Written(job, path, Err(why)) => {
                self.fail_job_at(screen, &path, &format!("{}: {why}", job.title()));
            }
        }
    }
}
