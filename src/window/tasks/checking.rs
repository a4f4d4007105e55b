//! The checks, run on a thread whenever the project changes, and the preview of the remedy that is looked at.

use std::sync::Arc;

use eframe::egui;

use super::task::{Link, Same, Task};
use crate::checks::{Change, Cure, Finding, Severity, Tally, marked_cells, run_watched};
use crate::document::{Document, Revision};
use crate::project::Project;
use crate::table::{Cell, Selection, Table};
use crate::watch::{Stopped, Watch};
use crate::wording::Refusal;

/// The result of the last run of the checks.
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
    /// The same without findings about whole rows and columns: those are about the table's edge, not about the
    /// surface.
    points: Vec<(Cell, Severity)>,
    /// Number of loads and speeds of the table that was checked.
    size: (usize, usize),
    /// Why there is no newer result.
    pub fault: Option<String>,
}

impl Checked {
    /// Nothing shows how far the search is.
    fn search(revision: Revision, project: &Project, link: &Link<Self>) -> Result<Self, Refusal> {
        let goes_on = |_| !link.is_stopped();
        Ok(Self::of(revision, project, run_watched(project, Watch::new(&goes_on))?))
    }

    fn of(revision: Revision, project: &Project, findings: Vec<Finding>) -> Self {
        let (tally, size) = (Tally::of(&findings), size(project.advance.table()));
        let marks = marked_cells(&findings, |_| true);
        let points = marked_cells(&findings, |finding| !is_whole_line(finding, size));
        Self { findings, tally, revision: Some(revision), marks, points, size, fault: None }
    }

    /// Whether they are for the document as it is now.
    pub fn is_current(&self, document: &Document) -> bool {
        self.revision == Some(document.revision())
    }

    /// Whether there has been a run at all.
    pub fn is_known(&self) -> bool {
        self.revision.is_some()
    }

    /// The worst open finding at a cell of a table; `None` if the table has another size than the checked one.
    pub fn severity_at(&self, table: &Table, cell: Cell) -> Option<Severity> {
        let marked = self.marked(table);
        marked.binary_search_by_key(&cell, |(cell, _)| *cell).ok().map(|at| marked[at].1)
    }

    /// The marked cells of a table with their worst finding, in order; none if the table has another size than
    /// the checked one.
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

/// Whether a finding's cells are exactly one whole row or column of a table with that many loads and speeds.
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
    /// It is being computed.
    Working,
    /// The project afterwards, and how many findings would then be open.
    Done(Project, Tally),
    /// It cannot be carried out, for this reason.
    Refused(Refusal),
}

/// With more cells than this, the slope is limited, or cells are faired, on a thread.
const LIMITED_AT_ONCE: usize = 512;

/// Whether a remedy may take longer than a frame: limiting the slope and fairing are iterative, and may move whole
/// rows or columns.
pub fn takes_long(cure: &Cure, project: &Project) -> bool {
    let (loads, speeds) = size(project.advance.table());
    let lines = match cure.change {
        Change::LimitSlope { ref cells, .. } | Change::Fair { ref cells, .. } => cells.len(),
        _ => 0,
    };
    lines * loads.max(speeds) > LIMITED_AT_ONCE
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

/// The name of the work in messages.
pub(in crate::window) const CHECKING: &str = "the search for findings";
pub(in crate::window) const CURING: &str = "the remedy";

/// Keeps the findings and the previewed remedy up to date with the document.
#[derive(Default)]
pub struct Checker {
    checked: Arc<Checked>,
    findings: Task<Revision, Checked>,
    cured: Option<Cured>,
    remedies: Task<(Revision, Cure), Outcome>,
    /// How often [`Checker::project`] has changed.
    serial: u64,
}

impl Checker {
    /// The findings.
    pub fn checked(&self) -> &Checked {
        &self.checked
    }

    /// The remedy that is looked at.
    pub const fn cured(&self) -> Option<&Cured> {
        self.cured.as_ref()
    }

    /// What exactly this remedy would do to the document as it is now, if it is the one that is looked at.
    pub fn outcome_of(&self, cure: &Cure, document: &Document) -> Option<&Outcome> {
        let is_it = |cured: &&Cured| cured.cure == *cure && cured.revision == document.revision();
        self.cured.as_ref().filter(is_it).map(|cured| &cured.outcome)
    }

    /// The project with the previewed remedy carried out.
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

    /// Starts what is needed after a change and takes in what has been computed meanwhile. Results for another
    /// state of the document are discarded.
    pub fn settle(&mut self, proposed: Option<&Cure>, document: &Document, ctx: &egui::Context) {
        self.settle_findings(document, ctx);
        self.turn_to(proposed, document.revision());
        self.settle_remedy(document, ctx);
    }

    fn settle_findings(&mut self, document: &Document, ctx: &egui::Context) {
        let revision = document.revision();
        self.findings.receive();
        let project = document.project().clone();
        self.findings.give_up_others(&revision);
        self.findings.ask(&revision, ctx, CHECKING, move |link| Checked::search(revision, &project, link));
        if let Some(found) = self.findings.shown(&revision) {
            self.checked = found.clone();
        } else if let Some(why) = self.findings.fault_of(&revision).filter(|_| self.checked.fault.is_none()) {
            Arc::make_mut(&mut self.checked).fault = Some(why.to_string());
        }
    }

    /// Switches to a remedy, or to none.
    fn turn_to(&mut self, proposed: Option<&Cure>, revision: Revision) {
        let is_same = |cured: &Cured| Some(&cured.cure) == proposed && cured.revision == revision;
        if self.cured.as_ref().is_some_and(is_same) || self.cured.is_none() && proposed.is_none() {
            return;
        }
        self.serial += u64::from(self.project().is_some());
        self.cured = proposed.map(|cure| Cured { cure: cure.clone(), revision, outcome: Outcome::Working });
    }

    fn settle_remedy(&mut self, document: &Document, ctx: &egui::Context) {
        self.remedies.receive();
        let Some(cured) = self.cured.as_mut().filter(|cured| matches!(cured.outcome, Outcome::Working)) else {
            self.remedies.give_up();
            return;
        };
        let key = (cured.revision, cured.cure.clone());
        let (project, cure) = (document.project().clone(), cured.cure.clone());
        self.remedies.give_up_others(&key);
        self.remedies.ask(&key, ctx, CURING, move |link| {
            let goes_on = |share| link.goes_on(share);
            Ok(Outcome::of(&cure, &project, Watch::new(&goes_on))?)
        });
        let refused = || self.remedies.fault_of(&key).map(|why| Outcome::Refused(why.clone().into()));
        let outcome = self.remedies.shown(&key).map(|outcome| Outcome::clone(outcome)).or_else(refused);
        if let Some(outcome) = outcome {
            cured.outcome = outcome;
            self.serial += 1;
        }
    }
}

impl Outcome {
    fn of(cure: &Cure, project: &Project, watch: Watch<'_>) -> Result<Self, Stopped> {
        Ok(match cure.apply_watched(project, watch) {
            Ok(after) => {
                let tally = Tally::of(&run_watched(&after, watch)?);
                Self::Done(after, tally)
            }
            Err(uncured) => Self::Refused(uncured.into()),
        })
    }
}

impl Same for Revision {
    fn is_same(&self, other: &Self) -> bool {
        self == other
    }
}

impl Same for (Revision, Cure) {
    fn is_same(&self, other: &Self) -> bool {
        self == other
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::DataFolder;
    use crate::project::{SAMPLES, set_fields};
    use crate::window::tasks::task::breaking;

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
        // The last column ends short of the cut: that is marked in the grid, but it is no kink of the surface.
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
    fn an_outdated_search_ends() {
        let (mut checker, mut document, ctx) = (Checker::default(), neglected(), egui::Context::default());
        let (outdated, project) = (document.revision(), document.project().clone());
        let held = checker.findings.ask_held(&outdated, &ctx, move |link| Checked::search(outdated, &project, link));
        document.apply("Rename", None, |project| set_fields(project, &[("name", "changed")])).unwrap();
        checker.settle(None, &document, &ctx);
        assert_eq!(checker.findings.working(), Some(&document.revision()));
        assert_eq!(held.let_go(), Some(Refusal::new("stopped")));
        until(&mut checker, None, &document, |checker| checker.checked().is_current(&document));
    }

    #[test]
    fn a_remedy_that_breaks_off_is_refused_and_can_be_looked_at_again() {
        let (mut checker, document) = (Checker::default(), neglected());
        until(&mut checker, None, &document, |checker| checker.checked().is_known());
        let bump = checker.checked().findings.iter().find(|finding| finding.id == "stands_out").unwrap();
        let cure = bump.cure.clone().unwrap();
        breaking::break_next(CURING);
        let refusal = |checker: &Checker| match &checker.cured()?.outcome {
            Outcome::Refused(why) => Some(why.to_string()),
            Outcome::Working | Outcome::Done(..) => None,
        };
        until(&mut checker, Some(&cure), &document, |checker| refusal(checker).is_some());
        assert_eq!(refusal(&checker).as_deref(), Some("the remedy broke off; any change tries again"));
        let mut changed = neglected();
        let change = |project: &Project| set_fields(project, &[("name", "changed")]);
        changed.apply("Rename", None, change).unwrap();
        until(&mut checker, Some(&cure), &changed, |checker| checker.project().is_some());
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
