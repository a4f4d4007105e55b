//! Tests of work that breaks off: whatever it is, an error is shown, and what requested it can be used again.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use eframe::egui::{self, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use tempfile::TempDir;

use super::{Surroundings, Workbench};
use crate::checks::{Change, Cure, SlopeLimit};
use crate::document::{DataFolder, Document, write_project};
use crate::drawing::Layer;
use crate::interchange::{WriteOptions, write_table};
use crate::project::{LoadKind, MeasuredPoint, NewProject, Project, Snapshot};
use crate::shaping::Tool;
use crate::table::Selection;
use crate::window::state::commands::Command;
use crate::window::state::compare_state::{BaseChoice, MergeScreen};
use crate::window::state::file_jobs::{FileJob, Next, RigJob};
use crate::window::state::grid_state::FlashedGrid;
use crate::window::state::inspector_state::{Proposal, Proposer};
use crate::window::state::outbox::{Action, FileAction};
use crate::window::state::screen::{Screen, Sheet};
use crate::window::tasks::base::READING;
use crate::window::tasks::checking::{CHECKING, CURING};
use crate::window::tasks::how_sure::FINDING;
use crate::window::tasks::jobs::Job;
use crate::window::tasks::leftovers::READING_RECENT;
use crate::window::tasks::preview::{self, PREVIEWING};
use crate::window::tasks::settings_file::{SettingsFile, WRITING};
use crate::window::tasks::task::breaking::{break_next, was_taken};
use crate::window::tasks::watcher::WATCHING;

/// The end of the report of every job that a mistake broke off.
const BROKEN_OFF: &str = "was broken off by a mistake in this program; the project is unchanged";

/// A window with a folder of its own.
struct Trial {
    window: Harness<'static, Workbench>,
    folder: TempDir,
}

impl Trial {
    /// A window on a project that is saved in the folder.
    fn saved(project: Project) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let mut document = Document::untitled_in(&data(folder.path()), project, "trial");
        document.save_as(&folder.path().join("a.ron")).unwrap();
        Self::on(document, folder, false)
    }

    fn on(document: Document, folder: TempDir, greets: bool) -> Self {
        let settings = SettingsFile::at(folder.path().join("settings.ron"));
        let surroundings = Surroundings { data: data(folder.path()), settings, greets, ..Surroundings::none() };
        let workbench = Workbench::within(document, surroundings);
        let window = Harness::builder().with_size(Vec2::new(1280.0, 800.0)).with_max_steps(16).build_ui_state(
            |ui: &mut egui::Ui, workbench: &mut Workbench| {
                workbench.logic(ui.ctx());
                workbench.ui(ui);
            },
            workbench,
        );
        Self { window, folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn ask(&mut self, action: Action) {
        self.window.state_mut().ask(action);
    }

    fn file(&mut self, action: FileAction) {
        self.ask(Action::File(action));
    }

    fn run(&mut self, command: Command) {
        self.ask(Action::Run(command));
    }

    /// Changes the screen, as views do.
    fn screen(&mut self, change: impl FnOnce(&mut Screen)) {
        change(&mut self.window.state_mut().screen);
    }

    fn close_panel(&mut self) {
        self.window.state_mut().files.close_panel();
    }

    /// Changes the notes.
    fn edit(&mut self) {
        let edit = |project: &Project| {
            let notes = format!("{} later", project.notes);
            project.edit(|parts| parts.notes = notes).map_err(crate::wording::Refusal::from)
        };
        assert_eq!(self.window.state_mut().step("Later", None, edit), Ok(true));
    }

    fn notice(&self) -> String {
        self.window.state().screen.notice.as_ref().map_or_else(String::new, |notice| notice.whole())
    }

    fn has(&self, words: &str) -> bool {
        self.window.query_all_by_label_contains(words).next().is_some()
    }

    fn until(&mut self, what: &str, is_so: impl Fn(&Self) -> bool) {
        let began = Instant::now();
        loop {
            self.window.run_ok();
            if is_so(self) {
                return;
            }
            assert!(began.elapsed() < Duration::from_secs(30), "never: {what}; notice: {}", self.notice());
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    fn until_told(&mut self, words: &str) {
        self.until(words, |trial| trial.notice().contains(words));
    }

    fn until_shown(&mut self, words: &str) {
        self.until(words, |trial| trial.has(words));
    }

    /// Makes a job break off: that is reported, and nothing waits for it any more.
    fn breaks(&mut self, job: Job, ask: impl Fn(&mut Self)) {
        self.screen(|screen| screen.notice = None);
        self.window.run_ok();
        break_next(job.name());
        ask(self);
        self.until_told(&format!("{} {BROKEN_OFF}", job.name()));
        assert!(was_taken(), "{job:?}");
        self.until("an end of it", |trial| !trial.window.state().files.is_at(job));
        assert!(!self.window.state().screen.export.is_busy);
    }
}

fn data(folder: &Path) -> DataFolder {
    DataFolder::at(folder.join("data"))
}

fn project(size: usize) -> Project {
    let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: size, loads: size };
    new.create().unwrap()
}

/// The same with bumps, so that limiting its slope takes a long search.
fn bumpy(size: usize) -> Project {
    let project = project(size);
    let everywhere = Selection::all(project.advance.table());
    let free = project.advance.with_held(&everywhere, false);
    let table = free.table();
    let values = table.cells().map(|cell| table.at(cell) + if (cell.speed + cell.load) % 2 == 0 { 3.0 } else { 0.0 });
    let bumpy = free.with_values(values.collect(), crate::project::Origin::Typed).unwrap();
    project.with_advance(bumpy).unwrap()
}

#[test]
fn a_file_dialog_or_a_path_that_breaks_off_is_told_and_asked_for_again() {
    let mut trial = Trial::saved(project(8));
    break_next("The file dialog");
    trial.run(Command::Open);
    trial.until_shown("The system's file dialog broke off: type the path.");
    assert!(trial.window.state().files.dialogs().choosing.is_none());
    trial.close_panel();
    let table = trial.path("t.csv");
    let export = |trial: &mut Trial| {
        trial.file(FileAction::Do(FileJob::ExportTable(WriteOptions::default()), table.clone()));
    };
    break_next("Looking at the path");
    export(&mut trial);
    trial.until_told(&format!("Looking at the path {BROKEN_OFF}"));
    assert!(!table.exists() && !trial.window.state().files.is_preparing());
    export(&mut trial);
    trial.until_told("Exported the table to t.csv");
}

#[test]
fn saving_and_opening_that_break_off_are_told_and_can_be_tried_again() {
    let mut trial = Trial::saved(project(8));
    let other = trial.path("other.ron");
    write_project(&other, &project(4)).unwrap();
    trial.edit();
    break_next(Job::Saving.name());
    trial.run(Command::Save);
    trial.until_told("The project was not saved: a mistake in this program broke the saving off");
    assert!(!trial.window.state().files.dialogs().saving && trial.window.state().document().is_changed());
    trial.breaks(Job::Rereading, |trial| trial.run(Command::Revert));
    trial.run(Command::Save);
    trial.until_told("Saved a.ron at");
    assert!(!trial.window.state().document().is_changed());
    trial.edit();
    trial.run(Command::Revert);
    trial.until_told("Went back to the saved file");
    trial.breaks(Job::Looking, |trial| trial.window.event(egui::Event::WindowFocused(true)));
    std::fs::write(trial.path("a.ron"), crate::project::write(&project(4)).unwrap()).unwrap();
    trial.window.event(egui::Event::WindowFocused(true));
    trial.until_shown("a.ron was changed by another program");
    trial.file(FileAction::Reload);
    trial.until_told("Took over what is in the file");
    let (ticket, open) = (trial.window.state().files.last_ticket() + 1, Next::Open(other));
    trial.breaks(Job::Opening(ticket), |trial| trial.file(FileAction::Leave(open.clone())));
    trial.file(FileAction::Leave(open));
    trial.until("other.ron", |trial| trial.window.state().document().title() == "other");
}

#[test]
fn tables_images_and_the_rigs_files_that_break_off_are_told_and_can_be_tried_again() {
    let mut trial = Trial::saved(project(8));
    let (table, image, run) = (trial.path("t.csv"), trial.path("i.hex"), trial.path("r.csv"));
    let text = write_table(project(8).advance.table(), &WriteOptions::default()).unwrap();
    [&table, &image].into_iter().for_each(|path| std::fs::write(path, &text).unwrap());
    let import = |trial: &mut Trial| trial.file(FileAction::Do(FileJob::ImportTable, table.clone()));
    trial.breaks(Job::Table, import);
    import(&mut trial);
    trial.until("the panel", |trial| trial.window.state().files.dialogs().panel.is_some());
    trial.close_panel();
    let compare = |trial: &mut Trial| trial.file(FileAction::Do(FileJob::CompareImage, image.clone()));
    trial.breaks(Job::Image, compare);
    compare(&mut trial);
    trial.until("the comparison", |trial| trial.window.state().screen.export.compared.is_some());
    assert!(!trial.window.state().screen.export.is_busy);
    let write = |trial: &mut Trial| trial.file(FileAction::Do(FileJob::Rig(RigJob::WriteRun), run.clone()));
    trial.breaks(Job::Rig, write);
    write(&mut trial);
    trial.until_told("Exported r.csv");
}

#[test]
fn what_is_kept_in_the_data_folder_and_breaks_off_is_told_and_read_again() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["lost", "left"] {
        let mut lost = Document::untitled_in(&data(folder.path()), project(4), name);
        let edit = |project: &Project| project.edit(|parts| parts.notes = "unsaved".into());
        assert!(lost.apply("Change", None, edit).unwrap());
    }
    let document = Document::untitled_in(&data(folder.path()), project(8), "trial");
    break_next(Job::FindingLeftovers.name());
    let mut trial = Trial::on(document, folder, true);
    trial.until_told(&format!("Looking for recovery copies {BROKEN_OFF}"));
    let ctx = trial.window.ctx.clone();
    let workbench = trial.window.state_mut();
    workbench.files.find_leftovers(&ctx, &workbench.surroundings.data, None);
    trial.until("the offers", |trial| trial.window.state().files.dialogs().offers.len() == 2);
    trial.breaks(Job::Discarding, |trial| trial.file(FileAction::DiscardOffer(0)));
    trial.file(FileAction::DiscardOffer(0));
    trial.until_told("is deleted");
    break_next(READING_RECENT);
    trial.run(Command::Finder);
    trial.until_told("Reading the list of recent files broke off");
    assert!(trial.window.state().files.dialogs().recent.is_empty());
    trial.window.state().files.recent().files().add(Path::new("/somewhere/b.ron"));
    trial.run(Command::Finder);
    trial.run(Command::Finder);
    trial.until("the list", |trial| trial.window.state().files.dialogs().recent.len() == 1);
    break_next(WRITING);
    trial.run(Command::LookDark);
    trial.until_told("the settings cannot be written: Writing the settings broke off");
    trial.run(Command::LookLight);
    let settings = trial.path("settings.ron");
    trial.until("the settings", |_| settings.exists());
}

#[test]
fn a_watcher_that_breaks_off_is_told_and_focus_still_looks() {
    let folder = tempfile::tempdir().unwrap();
    let mut document = Document::untitled_in(&data(folder.path()), project(8), "trial");
    document.save_as(&folder.path().join("a.ron")).unwrap();
    break_next(WATCHING);
    let mut trial = Trial::on(document, folder, false);
    trial.until_told("Watching the project's file broke off");
    std::fs::remove_file(trial.path("a.ron")).unwrap();
    trial.window.event(egui::Event::WindowFocused(true));
    trial.until_told("moved or deleted");
    trial.file(FileAction::Do(FileJob::SaveAs { then: None }, trial.path("b.ron")));
    trial.until_told("Saved b.ron");
    std::fs::remove_file(trial.path("b.ron")).unwrap();
    trial.until_told("b.ron was moved or deleted");
}

#[test]
fn checks_that_break_off_are_shown_so_until_something_changes() {
    break_next(CHECKING);
    let mut trial = Trial::saved(bumpy(8));
    trial.run(Command::Sheet(Sheet::Checks));
    trial.until_shown("the search for findings broke off; any change tries again");
    trial.edit();
    trial.until("findings", |trial| trial.window.state().is_checked());
    assert!(!trial.has("broke off"));
}

/// A proposal that takes long.
fn smoothing(project: &Project) -> Proposal {
    let cells = Selection::all(project.advance.table());
    Proposal { by: Proposer::Sentence, tool: Tool::Smooth { strength: 2.0, most_deg: 150.0 }, cells }
}

#[test]
fn a_preview_or_a_tool_that_breaks_off_is_refused_and_can_be_tried_again() {
    let mut trial = Trial::saved(bumpy(32));
    let proposal = smoothing(trial.window.state().document().project());
    assert!(preview::takes_long(&proposal));
    break_next(PREVIEWING);
    trial.ask(Action::Commit(proposal.clone()));
    trial.until_told("the preview broke off; any change tries again");
    assert!(!trial.window.state().shown.awaits_tool() && trial.window.state().document().steps().len() == 1);
    trial.ask(Action::Commit(proposal));
    trial.until("the step", |trial| trial.window.state().document().steps().len() == 2);
}

#[test]
fn escape_stops_a_long_tool_and_leaves_the_document_as_it_was() {
    let mut trial = Trial::saved(bumpy(64));
    let before = trial.window.state().document().project().clone();
    let cells = Selection::all(before.advance.table());
    let limit = Tool::LimitSlope { per_1000rpm: 0.01, per_load_unit: 0.001 };
    for tool in [limit, Tool::Smooth { strength: 10.0, most_deg: 150.0 }] {
        let is_long = matches!(tool, Tool::LimitSlope { .. });
        // It begins in the frame in which it is requested; its key is there in the next.
        trial.ask(Action::Commit(Proposal { by: Proposer::Sentence, tool, cells: cells.clone() }));
        trial.window.step();
        trial.window.key_press(egui::Key::Escape);
        trial.window.step();
        trial.window.step();
        let shown = &trial.window.state().shown;
        let is_stopped = trial.window.state().document().steps().len() == 1;
        assert!(is_stopped || !is_long, "Esc came too late");
        if is_stopped {
            assert!(!shown.awaits_tool() && !shown.is_previewing(), "its thread is no longer waited for");
        }
        trial.run(Command::Undo);
        trial.window.run_ok();
        assert!(trial.window.state().document().project().is_same(&before));
    }
}

#[test]
fn a_long_remedy_is_carried_out_beside_the_frame_and_stops_with_escape_or_when_it_breaks_off() {
    let mut trial = Trial::saved(bumpy(64));
    let cells = trial.window.state().document().project().advance.table().cells().collect();
    let change = Change::LimitSlope { cells, limit: SlopeLimit::Speed(0.01) };
    let cure = Cure { label: "Limit the slope".into(), change };
    let steps = |trial: &Trial| trial.window.state().document().steps().len();
    break_next(CURING);
    trial.ask(Action::Cure(cure.clone()));
    trial.until_told("the remedy broke off; any change tries again");
    assert!(!trial.window.state().shown.awaits_remedy() && steps(&trial) == 1);
    trial.edit();
    trial.ask(Action::Cure(cure.clone()));
    trial.window.step();
    trial.window.key_press(egui::Key::Escape);
    trial.window.step();
    trial.window.step();
    assert!(!trial.window.state().shown.awaits_remedy());
    assert_eq!(steps(&trial), 2, "Esc came too late");
    let gentle = Change::LimitSlope { cells: cure.change.cells(), limit: SlopeLimit::Speed(15.0) };
    trial.ask(Action::Cure(Cure { change: gentle, ..cure }));
    trial.until("the step", |trial| steps(trial) == 3);
    assert_eq!(trial.notice(), "Limit the slope");
}

#[test]
fn a_base_that_breaks_off_is_told_and_can_be_chosen_again() {
    let mut trial = Trial::saved(project(8));
    let base = trial.path("base.ron");
    write_project(&base, &project(8)).unwrap();
    let choose = |trial: &mut Trial| trial.file(FileAction::Do(FileJob::Base, base.clone()));
    break_next(READING);
    choose(&mut trial);
    trial.until_told("reading the base broke off");
    assert_eq!(trial.window.state().screen.compare.base, BaseChoice::default());
    choose(&mut trial);
    trial.until("the base", |trial| trial.window.state().shown.base().name == "base.ron");
}

#[test]
fn what_sheets_compute_and_breaks_off_is_shown_so_until_something_changes() {
    let large = |size: usize| bumpy(size).edit(|parts| parts.image.size = 1 << 19).unwrap();
    let flashed = |screen: &mut Screen| screen.grid.flashed = FlashedGrid::Degrees;
    let cases: [(&'static str, usize, Sheet, &'static str); 6] = [
        ("the table as flashed", 8, Sheet::Advance, "There is no image: the table as flashed broke off"),
        (
            "the comparison of the spark",
            8,
            Sheet::Export,
            "What the unit would command cannot be told: the comparison of the spark",
        ),
        ("the image", 8, Sheet::Export, "There is no image: the image broke off"),
        ("the comparison", 40, Sheet::Compare, "he comparison broke off"),
        ("the merge", 8, Sheet::Compare, "he merge broke off"),
        ("driving the run", 8, Sheet::Rig, "driving the run broke off"),
    ];
    for (name, size, sheet, words) in cases {
        let project = if name == "the image" { large(size) } else { bumpy(size) };
        let snapshot = Snapshot { state: project.as_state(), ..some_snapshot() };
        let project = project.edit(|parts| parts.snapshots = vec![snapshot.into()]).unwrap();
        let mut trial = Trial::saved(project);
        trial.window.run_ok();
        break_next(name);
        trial.screen(move |screen| {
            screen.go_to(sheet);
            if sheet == Sheet::Advance {
                flashed(screen);
            }
            if name == "the merge" {
                let theirs = Some(BaseChoice::Snapshot("first".into()));
                screen.compare.merging = Some(MergeScreen { theirs, ..MergeScreen::default() });
            }
            if name == "the comparison of the spark" {
                screen.export.shown = crate::window::state::export_state::Shown::Unit;
            }
        });
        trial.until_shown(words);
        assert!(was_taken(), "{name}");
        trial.edit();
        if name == "driving the run" {
            trial.screen(|screen| screen.rig.settings.dropped_at_s.push(0.5));
        }
        trial.until("another answer", |trial| !trial.has("broke off"));
    }
}

#[test]
fn how_sure_cells_are_is_told_as_unknown_when_it_breaks_off_until_something_changes() {
    let point = MeasuredPoint {
        name: "P1".into(),
        speed_rpm: 3000.0,
        load: 40.0,
        advance_deg: 24.0,
        ..MeasuredPoint::default()
    };
    let point = MeasuredPoint { in_use: true, ..point };
    let project = project(8).edit(|parts| parts.evidence.points = vec![point.into()]).unwrap();
    let mut trial = Trial::saved(project);
    break_next(FINDING);
    trial.run(Command::Layer(Layer::Sure));
    trial.until_shown("hatched: not known yet; how sure the cells are broke off; any change tries again");
    assert!(was_taken());
    trial.edit();
    trial.until("what cells rest on", |trial| trial.has("falling lines in pairs: today's table"));
    assert!(!trial.has("broke off"));
}

fn some_snapshot() -> Snapshot {
    let sample = crate::project::SAMPLES.iter().find(|sample| sample.name == "tarn-special").unwrap();
    let snapshot = Snapshot::clone(sample.project().unwrap().snapshots.first().unwrap());
    Snapshot { name: "first".into(), ..snapshot }
}
