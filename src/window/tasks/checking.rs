//! The checks, run off the frame whenever the project changes, and the remedy that is looked at, carried out for show.

use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};

use eframe::egui;

use super::newest::Wake;
use crate::checks::{Cure, Finding, Severity, Tally, run};
use crate::document::{Document, Revision};
use crate::project::Project;
use crate::table::{Cell, Selection, Table};

/// What the checks found, last they were done.
#[derive(Clone, Debug, Default)]
pub struct Checked {
    /// The findings, the worst first, accepted ones among them.
    pub findings: Vec<Finding>,
    /// How many are open.
    pub tally: Tally,
    /// The state they were found in; `None` before the first run.
    revision: Option<Revision>,
    /// The worst open finding of each cell that has one, in order.
    marks: Vec<(Cell, Severity)>,
    /// The same without findings about whole rows and columns: those are about the table's edge, not about the surface.
    points: Vec<(Cell, Severity)>,
    /// Loads and speeds of the table that was checked.
    size: (usize, usize),
    /// Why there is no newer result.
    pub fault: Option<String>,
}

impl Checked {
    fn of(revision: Revision, project: &Project, findings: Vec<Finding>) -> Self {
        let (tally, size) = (Tally::of(&findings), size(project.advance.table()));
        let marks = self::marks(&findings, |_| true);
        let points = self::marks(&findings, |finding| !is_whole_line(finding, size));
        Self { findings, tally, revision: Some(revision), marks, points, size, fault: None }
    }

    /// Whether they are those of the document as it is now.
    pub fn is_current(&self, document: &Document) -> bool {
        self.revision == Some(document.revision())
    }

    /// Whether there was a run at all.
    pub fn is_known(&self) -> bool {
        self.revision.is_some()
    }

    /// The worst open finding at a cell of a table; none where the table has another size than the checked one.
    pub fn severity_at(&self, table: &Table, cell: Cell) -> Option<Severity> {
        let marked = self.marked(table);
        marked.binary_search_by_key(&cell, |(cell, _)| *cell).ok().map(|at| marked[at].1)
    }

    /// The marked cells of a table with their worst finding, in order; none where the table has another size than the
    /// checked one.
    pub fn marked(&self, table: &Table) -> &[(Cell, Severity)] {
        if size(table) == self.size { &self.marks } else { &[] }
    }

    /// The marked cells without those of findings about a whole row or column.
    pub fn points(&self, table: &Table) -> &[(Cell, Severity)] {
        if size(table) == self.size { &self.points } else { &[] }
    }

    /// The open findings at any of the cells, the worst first.
    pub fn at<'a>(&'a self, table: &Table, cells: &'a Selection) -> impl Iterator<Item = &'a Finding> {
        let fits = size(table) == self.size && cells.fits(table);
        let is_here = move |finding: &&Finding| {
            fits && finding.is_open() && finding.place.cells().iter().any(|&cell| cells.contains(cell))
        };
        self.findings.iter().filter(is_here)
    }
}

/// The cells of the open findings meant, each with the worst.
fn marks(findings: &[Finding], is_meant: impl Fn(&Finding) -> bool) -> Vec<(Cell, Severity)> {
    let open = findings.iter().filter(|finding| finding.is_open() && is_meant(finding));
    let of = |finding: &Finding| -> Vec<(Cell, Severity)> {
        finding.place.cells().iter().map(|&cell| (cell, finding.severity)).collect()
    };
    let mut marks: Vec<(Cell, Severity)> = open.flat_map(of).collect();
    // Of each cell the worst comes first, and stays.
    marks.sort_unstable();
    marks.dedup_by_key(|(cell, _)| *cell);
    marks
}

/// Whether a finding's cells are just one whole row or column of a table of so many loads and speeds.
fn is_whole_line(finding: &Finding, (loads, speeds): (usize, usize)) -> bool {
    let cells = finding.place.cells();
    let first = cells.first();
    let is_row = cells.len() == speeds && cells.iter().all(|cell| Some(cell.load) == first.map(|first| first.load));
    let is_column = cells.len() == loads && cells.iter().all(|cell| Some(cell.speed) == first.map(|first| first.speed));
    is_row || is_column
}

fn size(table: &Table) -> (usize, usize) {
    (table.load().len(), table.speed().len())
}

/// What a remedy would do.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// It is being carried out for show.
    Working,
    /// The project after it, and how many findings would be open then.
    Done(Project, Tally),
    /// It cannot be carried out, for this reason.
    Refused(String),
}

/// The remedy that is looked at.
#[derive(Clone, Debug)]
pub struct Cured {
    /// Which.
    pub cure: Cure,
    /// The state from which it starts.
    revision: Revision,
    /// What it would do.
    pub outcome: Outcome,
}

/// Keeps findings and the remedy of the moment in step with the document.
#[derive(Default)]
pub struct Checker {
    checked: Checked,
    /// The state for which the checks were last asked.
    asked: Option<Revision>,
    cured: Option<Cured>,
    worker: Option<Worker>,
    /// How often [`Checker::shown_project`] or the findings have changed.
    serial: u64,
}

impl Checker {
    /// The findings.
    pub const fn checked(&self) -> &Checked {
        &self.checked
    }

    /// The remedy that is looked at.
    pub const fn cured(&self) -> Option<&Cured> {
        self.cured.as_ref()
    }

    /// The project with the remedy of the moment carried out.
    pub fn project(&self) -> Option<&Project> {
        match &self.cured.as_ref()?.outcome {
            Outcome::Done(project, _) => Some(project),
            Outcome::Working | Outcome::Refused(_) => None,
        }
    }

    /// Changes whenever [`Checker::project`] does.
    pub const fn serial(&self) -> u64 {
        self.serial
    }

    /// Asks for what has changed and takes in what has been computed meanwhile. Results for another state of the document
    /// are thrown away.
    pub fn settle(&mut self, proposed: Option<&Cure>, document: &Document, ctx: &egui::Context) {
        let revision = document.revision();
        if self.asked != Some(revision) {
            self.asked = Some(revision);
            self.ask(Job { revision, project: document.project().clone(), cure: None }, ctx);
        }
        let is_same = |cured: &Cured| Some(&cured.cure) == proposed && cured.revision == revision;
        if !self.cured.as_ref().is_some_and(is_same) && (self.cured.is_some() || proposed.is_some()) {
            self.serial += u64::from(self.project().is_some());
            self.cured = proposed.map(|cure| Cured { cure: cure.clone(), revision, outcome: Outcome::Working });
            if let Some(cure) = proposed {
                self.ask(Job { revision, project: document.project().clone(), cure: Some(cure.clone()) }, ctx);
            }
        }
        self.take_answers(revision);
    }

    fn ask(&mut self, job: Job, ctx: &egui::Context) {
        if self.worker.is_none() {
            self.worker = Worker::start(ctx.clone());
        }
        let sent = self.worker.as_ref().is_some_and(|worker| worker.jobs.send(job).is_ok());
        if !sent {
            self.break_off();
        }
    }

    fn break_off(&mut self) {
        self.worker = None;
        self.checked.fault = Some("the checks broke off; change something to start them again".into());
        if let Some(cured) = &mut self.cured {
            cured.outcome = Outcome::Refused("the computation broke off; the project is unchanged".into());
        }
    }

    fn take_answers(&mut self, revision: Revision) {
        while let Some(worker) = &self.worker {
            match worker.answers.try_recv() {
                Ok(answer) if answer.revision == revision => self.take(answer),
                Ok(_) => {}
                Err(TryRecvError::Empty) => return,
                Err(TryRecvError::Disconnected) => return self.break_off(),
            }
        }
    }

    fn take(&mut self, answer: Answer) {
        match answer.found {
            Found::Findings(checked) => self.checked = *checked,
            Found::Cured(cure, outcome) => {
                if let Some(cured) = self.cured.as_mut().filter(|cured| cured.cure == cure) {
                    cured.outcome = outcome;
                    self.serial += 1;
                }
            }
        }
    }
}

/// The thread that checks, the newest state first.
struct Worker {
    jobs: Sender<Job>,
    answers: Receiver<Answer>,
}

/// A state to check, or to carry a remedy out on.
struct Job {
    revision: Revision,
    project: Project,
    cure: Option<Cure>,
}

struct Answer {
    revision: Revision,
    found: Found,
}

enum Found {
    Findings(Box<Checked>),
    Cured(Cure, Outcome),
}

impl Worker {
    fn start(ctx: egui::Context) -> Option<Self> {
        let (jobs, waiting) = channel();
        let (done, answers) = channel();
        let thread = std::thread::Builder::new().name("checks".into());
        let wake = Wake(ctx);
        let work = move || {
            // Dropped last, when the answers are closed.
            let wake = wake;
            let (waiting, done) = (waiting, done);
            work(&waiting, &done, &wake);
        };
        thread.spawn(work).ok()?;
        Some(Self { jobs, answers })
    }
}

fn work(waiting: &Receiver<Job>, done: &Sender<Answer>, ctx: &egui::Context) {
    while let Ok(oldest) = waiting.recv() {
        let (mut check, mut cure) = (None, None);
        for job in std::iter::once(oldest).chain(waiting.try_iter()) {
            let newest = if job.cure.is_some() { &mut cure } else { &mut check };
            *newest = Some(job);
        }
        for job in [check, cure].into_iter().flatten() {
            if done.send(answer(job)).is_err() {
                return;
            }
            ctx.request_repaint();
        }
    }
}

fn answer(Job { revision, project, cure }: Job) -> Answer {
    let found = match cure {
        None => Found::Findings(Box::new(Checked::of(revision, &project, run(&project)))),
        Some(cure) => {
            let outcome = match cure.apply(&project) {
                Ok(after) => {
                    let tally = Tally::of(&run(&after));
                    Outcome::Done(after, tally)
                }
                Err(uncured) => Outcome::Refused(uncured.to_string()),
            };
            Found::Cured(cure, outcome)
        }
    };
    Answer { revision, found }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::DataFolder;
    use crate::project::{SAMPLES, set_fields};

    fn neglected() -> Document {
        let sample = SAMPLES.iter().find(|sample| sample.name == "wren-four").unwrap().project().unwrap();
        Document::untitled_in(&DataFolder::none(), sample, "trial")
    }

    fn until(checker: &mut Checker, proposed: Option<&Cure>, document: &Document, is_so: impl Fn(&Checker) -> bool) {
        let ctx = egui::Context::default();
        for _ in 0..5_000 {
            checker.settle(proposed, document, &ctx);
            if is_so(checker) {
                return;
            }
            std::thread::sleep(std::time::Duration::from_millis(2));
        }
        panic!("it never came to be");
    }

    #[test]
    fn findings_are_those_of_the_newest_state() {
        let (mut checker, mut document) = (Checker::default(), neglected());
        until(&mut checker, None, &document, |checker| checker.checked().is_known());
        assert_eq!(checker.checked().tally.words(), "8 warnings, 1 note");
        let table = document.project().advance.table().clone();
        assert_eq!(checker.checked().severity_at(&table, Cell::new(3, 6)), Some(Severity::Warning));
        // The last column ends short of the cut: marked in the grid, no kink of the surface.
        let edge = (Cell::new(0, 7), Severity::Warning);
        assert!(checker.checked().marked(&table).contains(&edge) && !checker.checked().points(&table).contains(&edge));
        for pulses in ["4", "3", "2"] {
            let change = |project: &Project| set_fields(project, &[("tachometer.pulses_per_revolution", pulses)]);
            document.apply("Pulses", None, change).unwrap();
            checker.settle(None, &document, &egui::Context::default());
            let notes = if pulses == "2" { 0 } else { 1 };
            assert!(!checker.checked().is_current(&document) || checker.checked().tally.notes == notes);
        }
        until(&mut checker, None, &document, |checker| checker.checked().is_current(&document));
        assert_eq!(checker.checked().tally.words(), "8 warnings");
    }

    #[test]
    fn a_remedy_is_carried_out_for_show_only() {
        let (mut checker, document) = (Checker::default(), neglected());
        until(&mut checker, None, &document, |checker| checker.checked().is_known());
        let bump = checker.checked().findings.iter().find(|finding| finding.id == "stands_out").unwrap();
        let cure = bump.cure.clone().unwrap();
        until(&mut checker, Some(&cure), &document, |checker| checker.project().is_some());
        assert_ne!(checker.project().unwrap().advance, document.project().advance);
        let Some(Cured { outcome: Outcome::Done(_, tally), .. }) = checker.cured() else { panic!("it is done") };
        assert_eq!(tally.words(), "7 warnings, 1 note");
        let serial = checker.serial();
        checker.settle(None, &document, &egui::Context::default());
        assert!(checker.project().is_none() && checker.serial() > serial);
    }
}
