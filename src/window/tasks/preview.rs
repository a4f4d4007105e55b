//! What a proposed tool would do, computed before it is applied; on a thread if it may take long.

use eframe::egui;

use super::task::Task;
use crate::document::{Document, Revision};
use crate::project::Project;
use crate::shaping::{Contradiction, Shaped, ShapingError, Tool};
use crate::watch::Watch;
use crate::window::state::inspector_state::Proposal;
use crate::wording::Refusal;

/// The name of the work in messages.
pub(in crate::window) const PREVIEWING: &str = "the preview";

/// The state of a proposal.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// It is being computed.
    Working {
        /// The result of the same tool with its previous parameters, to be shown meanwhile.
        before: Option<Box<Done>>,
        /// How far the tool is, as a share 0..=1 of the longest that it can take, if it reports that.
        share: Option<f64>,
    },
    /// It is known.
    Done(Box<Done>),
    /// The tool refuses.
    Refused {
        /// Why.
        why: Refusal,
        /// The demands that cannot all be kept, if that is why.
        clash: Option<Box<Contradiction>>,
    },
}

/// A tool's result.
#[derive(Clone, Debug)]
pub struct Done {
    /// The new table with its figures.
    pub shaped: Shaped,
    /// The project with the new table.
    pub project: Project,
}

impl Outcome {
    fn of(project: &Project, shaped: Result<Shaped, ShapingError>) -> Self {
        let shaped = match shaped {
            Ok(shaped) => shaped,
            Err(ShapingError::Contradiction(clash)) => {
                let why = Refusal::from(ShapingError::Contradiction(clash.clone()));
                return Self::Refused { why, clash: Some(clash) };
            }
            Err(error) => return Self::refused(error.into()),
        };
        match project.with_advance(shaped.advance.clone()) {
            Ok(project) => Self::Done(Box::new(Done { shaped, project })),
            Err(fault) => Self::refused(fault.into()),
        }
    }

    const fn refused(why: Refusal) -> Self {
        Self::Refused { why, clash: None }
    }

    /// The result to show.
    pub fn shown(&self) -> Option<&Done> {
        match self {
            Self::Working { before, .. } => before.as_deref(),
            Self::Done(done) => Some(done),
            Self::Refused { .. } => None,
        }
    }
}

/// Keeps the result of the present proposal.
#[derive(Default)]
pub struct Previewer {
    current: Option<Current>,
    results: Task<u64, Result<Shaped, ShapingError>>,
    /// How many proposals there have been: identifies the jobs.
    job: u64,
    /// How often what is shown has changed.
    serial: u64,
}

struct Current {
    proposal: Proposal,
    revision: Revision,
    outcome: Outcome,
}

impl Previewer {
    /// The state of the present proposal.
    pub fn outcome(&self) -> Option<&Outcome> {
        self.current.as_ref().map(|current| &current.outcome)
    }

    /// The tool whose result is shown, and that result.
    pub fn done(&self) -> Option<(&Tool, &Done)> {
        let current = self.current.as_ref()?;
        current.outcome.shown().map(|done| (&current.proposal.tool, done))
    }

    /// The project to show instead of the document's.
    pub fn project(&self) -> Option<&Project> {
        self.outcome()?.shown().map(|done| &done.project)
    }

    /// The outcome of exactly this proposal for the document as it is now.
    pub fn outcome_of(&self, proposal: &Proposal, document: &Document) -> Option<&Outcome> {
        let current = self.current.as_ref()?;
        let is_it = current.proposal == *proposal && current.revision == document.revision();
        is_it.then_some(&current.outcome)
    }

    /// Whether a thread computes a result.
    pub fn is_at_work(&self) -> bool {
        self.results.working().is_some()
    }

    /// Changes whenever [`Previewer::project`] does.
    pub fn serial(&self) -> u64 {
        self.serial
    }

    /// Switches to a proposal, or to none, and takes in what has been computed meanwhile.
    pub fn turn_to(&mut self, wanted: Option<&Proposal>, document: &Document, ctx: &egui::Context) {
        let Some(wanted) = wanted else {
            self.serial += u64::from(self.project().is_some());
            self.current = None;
            self.results.give_up();
            return;
        };
        if self.outcome_of(wanted, document).is_some() {
            return self.take_answer(document, ctx);
        }
        let before = self.current.take();
        self.job += 1;
        self.results.give_up();
        self.serial += 1;
        let outcome = if takes_long(wanted) { working(wanted, document, before) } else { at_once(wanted, document) };
        self.current = Some(Current { proposal: wanted.clone(), revision: document.revision(), outcome });
        self.take_answer(document, ctx);
    }

    /// Has long work computed on a thread, and takes in the result when it is there.
    fn take_answer(&mut self, document: &Document, ctx: &egui::Context) {
        self.results.receive();
        let Some(current) = self.current.as_mut().filter(|current| matches!(current.outcome, Outcome::Working { .. }))
        else {
            return;
        };
        let (advance, Proposal { tool, cells, .. }) = (document.project().advance.clone(), current.proposal.clone());
        self.results.ask(&self.job, ctx, PREVIEWING, move |link| {
            let goes_on = |share| link.goes_on(share);
            Ok(tool.apply_watched(&advance, &cells, Watch::new(&goes_on)))
        });
        if let Outcome::Working { share, .. } = &mut current.outcome {
            *share = self.results.share();
        }
        current.outcome = match (self.results.shown(&self.job), self.results.fault_of(&self.job)) {
            (Some(shaped), _) => Outcome::of(document.project(), Result::clone(shaped)),
            (None, Some(why)) => Outcome::refused(why.clone().into()),
            (None, None) => return,
        };
        self.serial += 1;
    }
}

/// The state until the result is there: shows that of the same tool with its previous parameters.
fn working(wanted: &Proposal, document: &Document, before: Option<Current>) -> Outcome {
    let alike = |before: &Current| {
        std::mem::discriminant(&before.proposal.tool) == std::mem::discriminant(&wanted.tool)
            && before.proposal.cells == wanted.cells
            && before.revision == document.revision()
    };
    let before = before.filter(alike).and_then(|before| before.outcome.shown().cloned()).map(Box::new);
    Outcome::Working { before, share: None }
}

/// Whether a tool may take longer than a frame on these cells.
pub fn takes_long(proposal: &Proposal) -> bool {
    proposal.cells.count() > proposal.tool.manner().at_once_cells
}

fn at_once(proposal: &Proposal, document: &Document) -> Outcome {
    let shaped = proposal.tool.apply(&document.project().advance, &proposal.cells);
    Outcome::of(document.project(), shaped)
}
