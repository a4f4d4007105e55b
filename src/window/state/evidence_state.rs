//! The screen state of the Evidence sheet: which sweep is shown large, which are gathered, and what is pointed at.

use std::collections::BTreeSet;

use crate::worksheet::SweepChoice;

/// An operating point of a kept sweep.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SweptPoint {
    /// The name of the sweep.
    pub sweep: String,
    /// The name of the point in it.
    pub point: String,
}

/// What the sheet shows of the sweeps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct EvidenceState {
    /// The one that is shown large; the first if `None`, or if it is gone.
    pub chosen: Option<SweptPoint>,
    /// Those that are to be taken; all that can be if there are none.
    pub gathered: BTreeSet<SweptPoint>,
    /// Which advance is taken from a sweep.
    pub choice: SweepChoice,
    /// The sweep under the pointer, in whichever part of the sheet.
    pub pointed: Option<SweptPoint>,
    /// The advance under the pointer, degrees before TDC.
    pub pointed_deg: Option<f64>,
    /// Why the chosen sweep is rejected, as it is being typed; `None` while it is not.
    pub rejecting: Option<String>,
}

/// What a view may ask of the Evidence sheet's state.
#[derive(Clone, Debug, PartialEq)]
pub enum EvidenceMessage {
    /// Show a sweep large.
    Look(SweptPoint),
    /// Gather a sweep, or let it go.
    Gather(SweptPoint),
    /// Let all gathered sweeps go.
    GatherNone,
    /// Take this advance from sweeps.
    Choose(SweepChoice),
    /// The pointer is over this sweep and over this advance, or over none.
    Point(Option<SweptPoint>, Option<f64>),
    /// This is typed as the reason for rejecting the chosen sweep; `None` gives it up.
    Reject(Option<String>),
}

impl EvidenceState {
    /// Carries out the message.
    pub fn apply(&mut self, message: EvidenceMessage) {
        match message {
            EvidenceMessage::Look(point) => {
                if self.chosen.as_ref() != Some(&point) {
                    self.rejecting = None;
                }
                self.chosen = Some(point);
            }
            EvidenceMessage::Gather(point) => {
                if !self.gathered.remove(&point) {
                    self.gathered.insert(point);
                }
            }
            EvidenceMessage::GatherNone => self.gathered.clear(),
            EvidenceMessage::Choose(choice) => self.choice = choice,
            EvidenceMessage::Point(point, deg) => (self.pointed, self.pointed_deg) = (point, deg),
            EvidenceMessage::Reject(why) => self.rejecting = why,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(name: &str) -> SweptPoint {
        SweptPoint { sweep: "day".into(), point: name.into() }
    }

    #[test]
    fn gathering_twice_lets_go() {
        let mut state = EvidenceState::default();
        for name in ["a", "b", "a"] {
            state.apply(EvidenceMessage::Gather(point(name)));
        }
        assert_eq!(state.gathered, BTreeSet::from([point("b")]));
        state.apply(EvidenceMessage::GatherNone);
        assert!(state.gathered.is_empty());
    }

    #[test]
    fn a_reason_belongs_to_the_sweep_it_was_typed_for() {
        let mut state = EvidenceState::default();
        state.apply(EvidenceMessage::Look(point("a")));
        state.apply(EvidenceMessage::Reject(Some("the belt slipped".into())));
        state.apply(EvidenceMessage::Look(point("a")));
        assert!(state.rejecting.is_some());
        state.apply(EvidenceMessage::Look(point("b")));
        assert_eq!(state.rejecting, None);
    }
}
