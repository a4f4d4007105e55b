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
    /// Who shows it, and so who may take it away.
    pub by: Proposer,
    /// The tool.
    pub tool: Tool,
    /// The cells it would act on.
    pub cells: Selection,
}

/// What is proposed, and what was a moment ago.
#[derive(Clone, Debug, Default)]
pub struct Proposals {
    /// The tool whose result is shown before it is applied.
    pub shown: Option<Proposal>,
    /// A tool that was applied or given up a moment ago; it is not previewed again before the pointer has left it.
    pub settled: Option<Proposal>,
}

impl Proposals {
    /// Previews what a part of the window proposes, or takes its preview away; what another part previews stays.
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

    /// Takes the preview away until something else is proposed.
    pub fn settle(&mut self) {
        if let Some(proposal) = self.shown.take() {
            self.settled = Some(proposal);
        }
    }
}
