//! What a proposed tool would do, computed before it is applied; on a thread of its own where it may take long.

use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};

use eframe::egui;

use super::newest::Wake;
use crate::document::{Document, Revision};
use crate::project::{Advance, Project};
use crate::shaping::{Shaped, Tool};
use crate::table::Selection;
use crate::window::state::screen::Proposal;

/// More cells than this are smoothed on a thread of their own: 256 take well under a millisecond.
const SMOOTHED_AT_ONCE: usize = 256;
/// The same for limiting slopes, which goes in rounds.
const LIMITED_AT_ONCE: usize = 64;

/// What has become of a proposal.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// It is being computed; meanwhile the result of the same tool with the amount before is shown, if there is one.
    Working(Option<Box<Done>>),
    /// It is known.
    Done(Box<Done>),
    /// The tool refuses, for this reason.
    Refused(String),
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
    fn of(project: &Project, shaped: Result<Shaped, String>) -> Self {
        let done = shaped.and_then(|shaped| {
            let project = project.with_advance(shaped.advance.clone()).map_err(|fault| fault.to_string())?;
            Ok(Done { shaped, project })
        });
        done.map_or_else(Self::Refused, |done| Self::Done(Box::new(done)))
    }

    /// The result to show.
    pub fn shown(&self) -> Option<&Done> {
        match self {
            Self::Working(before) => before.as_deref(),
            Self::Done(done) => Some(done),
            Self::Refused(_) => None,
        }
    }
}

/// Keeps the result of the proposal of the moment.
#[derive(Default)]
pub struct Previewer {
    current: Option<Current>,
    worker: Option<Worker>,
    /// How many proposals there have been: names the jobs, so that a late answer is known as such.
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
    /// What has become of the proposal of the moment.
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

    /// Changes whenever [`Previewer::project`] does.
    pub fn serial(&self) -> u64 {
        self.serial
    }

    /// Turns to a proposal, or to none, and takes in what has been computed meanwhile.
    pub fn turn_to(&mut self, wanted: Option<&Proposal>, document: &Document, ctx: &egui::Context) {
        let Some(wanted) = wanted else {
            self.serial += u64::from(self.project().is_some());
            self.current = None;
            return;
        };
        if self.outcome_of(wanted, document).is_some() {
            return self.take_answer(document);
        }
        let before = self.current.take();
        self.job += 1;
        self.serial += 1;
        let outcome = if takes_long(wanted) { self.ask(wanted, document, ctx, before) } else { None };
        let outcome = outcome.unwrap_or_else(|| at_once(wanted, document));
        self.current = Some(Current { proposal: wanted.clone(), revision: document.revision(), outcome });
    }

    /// Gives the proposal to the thread; `None` when there can be no thread.
    fn ask(
        &mut self,
        wanted: &Proposal,
        document: &Document,
        ctx: &egui::Context,
        before: Option<Current>,
    ) -> Option<Outcome> {
        if self.worker.is_none() {
            self.worker = Worker::start(ctx.clone());
        }
        let Proposal { tool, cells, .. } = wanted.clone();
        let job = Job { number: self.job, advance: document.project().advance.clone(), tool, cells };
        self.worker.as_ref()?.jobs.send(job).ok()?;
        let alike = |before: &Current| {
            std::mem::discriminant(&before.proposal.tool) == std::mem::discriminant(&wanted.tool)
                && before.proposal.cells == wanted.cells
                && before.revision == document.revision()
        };
        let last = before.filter(alike).and_then(|before| before.outcome.shown().cloned());
        Some(Outcome::Working(last.map(Box::new)))
    }

    fn take_answer(&mut self, document: &Document) {
        let (Some(current), Some(worker)) = (&mut self.current, &self.worker) else {
            return;
        };
        if !matches!(current.outcome, Outcome::Working(_)) {
            return;
        }
        let answer = match worker.answers.try_recv() {
            Ok(answer) if answer.number == self.job => answer.shaped,
            Ok(_) => return self.take_answer(document),
            Err(TryRecvError::Empty) => return,
            Err(TryRecvError::Disconnected) => {
                // The next proposal has another.
                self.worker = None;
                Err("the computation broke off; the table is unchanged".to_owned())
            }
        };
        current.outcome = Outcome::of(document.project(), answer);
        self.serial += 1;
    }
}

/// Whether a tool may take longer than a frame on these cells.
pub fn takes_long(proposal: &Proposal) -> bool {
    match proposal.tool {
        Tool::Smooth { .. } => proposal.cells.count() > SMOOTHED_AT_ONCE,
        Tool::LimitSlope { .. } => proposal.cells.count() > LIMITED_AT_ONCE,
        _ => false,
    }
}

fn at_once(proposal: &Proposal, document: &Document) -> Outcome {
    let shaped = proposal.tool.apply(&document.project().advance, &proposal.cells);
    Outcome::of(document.project(), shaped.map_err(|error| error.to_string()))
}

/// The thread that computes what may take long, one proposal after the other, the newest first.
struct Worker {
    jobs: Sender<Job>,
    answers: Receiver<Answer>,
}

struct Job {
    number: u64,
    advance: Advance,
    tool: Tool,
    cells: Selection,
}

struct Answer {
    number: u64,
    shaped: Result<Shaped, String>,
}

impl Worker {
    fn start(ctx: egui::Context) -> Option<Self> {
        let (jobs, waiting) = channel();
        let (done, answers) = channel();
        let thread = std::thread::Builder::new().name("preview".into());
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
        let job = waiting.try_iter().last().unwrap_or(oldest);
        let shaped = job.tool.apply(&job.advance, &job.cells).map_err(|error| error.to_string());
        if done.send(Answer { number: job.number, shaped }).is_err() {
            return;
        }
        ctx.request_repaint();
    }
}
