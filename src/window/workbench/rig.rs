//! The rig between frames: playing, and reading or writing for it.

use std::path::PathBuf;

use eframe::egui;

use super::Workbench;
use crate::interchange::DecimalMark;
use crate::window::sheets::engine::paste_readings;
use crate::window::sheets::rig::paste_rows;
use crate::window::state::commands::Command;
use crate::window::state::dialogs::{Doubtful, Floating, MarksForm};
use crate::window::state::file_jobs::{FileJob, RigJob, file_name};
use crate::window::tasks::jobs::{Job, News};
use crate::window::tasks::rig_files::{self, RigNews, do_job, put_on};
use crate::wording::{Unit, count, fixed, with_unit};

impl Workbench {
    /// Updates the run, and requests the next frame while it plays.
    pub(super) fn settle_rig(&mut self, ctx: &egui::Context) {
        let now_s = ctx.input(|input| input.time);
        if self.screen.rig.settle(self.document.project(), now_s) {
            ctx.request_repaint();
        }
    }

    /// Carries out a command of the rig.
    pub(super) fn run_rig(&mut self, ctx: &egui::Context, command: Command) {
        let rig = &mut self.screen.rig;
        let here_s = rig.cursor_s;
        match command {
            Command::RigPlay => rig.toggle_play(),
            Command::RigRows => rig.toggle_rows(),
            Command::RigDropEdge => {
                rig.settings.dropped_at_s.push(here_s);
                self.say(format!("The next edge after {} is dropped", with_unit(&fixed(here_s, 3), Unit::Second)));
            }
            Command::RigExtraEdge => {
                rig.settings.extra_at_s.push(here_s);
                self.say(format!("An edge is added at {}", with_unit(&fixed(here_s, 3), Unit::Second)));
            }
            Command::RigNoFaults => {
                rig.settings = crate::rig::Settings::default();
                rig.one_gap = false;
            }
            Command::RigShowPoint => {
                rig.hides_point = !rig.hides_point;
                let told = if rig.hides_point { "hidden" } else { "shown" };
                self.say(format!("The running point is {told} on the Advance sheet"));
            }
            Command::RigReadRun => self.choose(ctx, FileJob::Rig(RigJob::ReadRun)),
            Command::RigExportRun => self.choose(ctx, FileJob::Rig(RigJob::WriteRun)),
            Command::RigExportEvents => self.choose(ctx, FileJob::Rig(RigJob::WriteEvents)),
            Command::RigExportPicture => self.choose(ctx, FileJob::Rig(RigJob::WritePicture)),
            _ => {}
        }
    }

    /// Reads or writes on a thread.
    pub(super) fn rig_job(&mut self, ctx: &egui::Context, job: RigJob, path: PathBuf) {
        let work = match do_job(job, path, &self.screen.rig, self.document.project(), self.theme.palette.look) {
            Ok(work) => work,
            Err(why) => return self.complain(format!("{}: {why}", job.title())),
        };
        if job == RigJob::WriteEvents {
            self.say("Driving the run to write its events…");
        }
        self.files.jobs.start(ctx, Job::Rig, move || News::Rig(work()));
    }

    /// Reads the run or the readings in question again, now that their decimal mark is known.
    pub(super) fn read_marked_as(&mut self, ctx: &egui::Context, mark: DecimalMark) {
        let Some(Floating::Marks(MarksForm { what, .. })) =
            self.files.dialogs.panel.take_if(|panel| matches!(panel, Floating::Marks(_)))
        else {
            return;
        };
        let mut outbox = std::mem::take(&mut self.outbox);
        match what {
            Doubtful::Run(path, bytes) => {
                let load = self.document.project().sensors.load;
                let read = move || News::Rig(rig_files::read(path, bytes, Some(mark), load));
                self.files.jobs.start(ctx, Job::Rig, read);
            }
            Doubtful::RunRows(text) => paste_rows(&text, Some(mark), &self.view(), &mut outbox),
            Doubtful::Readings(text) => paste_readings(&text, Some(mark), &self.view(), &mut outbox),
        }
        for action in outbox.take() {
            self.carry_out(ctx, action);
        }
    }

    pub(super) fn hear_of_rig(&mut self, news: RigNews) {
        match news {
            RigNews::Read(path, Ok(run)) => {
                self.close_path_panel();
                self.say(format!("The rig runs {}, {}", file_name(&path), count(run.rows().len(), "row")));
                put_on(&mut self.screen.rig, path, run);
            }
            RigNews::Ask(form) => {
                self.close_path_panel();
                self.files.dialogs.panel = Some(Floating::Marks(form));
            }
            RigNews::Read(path, Err(why)) => self.fail_job_at(&path, &format!("This is no run: {why}")),
            RigNews::Written(_, path, Ok(warning)) => {
                self.close_path_panel();
                self.say(format!("Exported {}", file_name(&path)));
                if let Some(warning) = warning {
                    self.complain(format!("{}: {warning}", file_name(&path)));
                }
            }
            RigNews::Written(job, path, Err(why)) => self.fail_job_at(&path, &format!("{}: {why}", job.title())),
        }
    }
}
