//! Tools whose result is shown before it is applied.

use crate::shaping::Tool;
use crate::table::Selection;

/// Which part of the window previews a tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proposer {
    /// A sentence of the inspector.
    Sentence,
    /// The panel of breakpoints.
    Breakpoints,
}

/// A tool whose result is shown before it is applied.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// Who previews it, and so who may end the preview.
    pub by: Proposer,
    /// The tool.
    pub tool: Tool,
    /// The cells it would act on.
    pub cells: Selection,
}

/// What is being previewed, and what was just before.
#[derive(Clone, Debug, Default)]
pub struct Proposals {
    /// The tool whose result is shown before it is applied.
    pub shown: Option<Proposal>,
    /// A tool that was just applied or cancelled; it is not previewed again before the pointer has left it.
    pub settled: Option<Proposal>,
}

impl Proposals {
    /// Previews the proposal of a part of the window, or ends its preview; what another part previews stays.
    pub fn propose(&mut self, by: Proposer, proposal: Option<Proposal>) {
        let own = |held: &Option<Proposal>| held.as_ref().is_none_or(|held| held.by == by);
        if own(&self.settled) && self.settled != proposal {
            self.settled = None;
        }
        if proposal.is_some() && self.settled == proposal {
            return;
        }
        if proposal.is_some() || own(&self.shown) {
            self.shown = proposal;
        }
    }

    /// Ends the preview until something else is proposed.
    pub fn settle(&mut self) {
        if let Some(proposal) = self.shown.take() {
            self.settled = Some(proposal);
        }
    }
}
