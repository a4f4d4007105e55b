//! What the Checks sheet keeps on the screen.

use crate::checks::{Cure, Finding};

/// Identifies a finding as long as it exists.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct FindingKey {
    /// The check's id.
    pub id: &'static str,
    /// Its place, in the form by which accepted findings are known.
    pub place: String,
}

impl FindingKey {
    /// The name of a finding.
    pub fn of(finding: &Finding) -> Self {
        Self { id: finding.id, place: finding.place.known_by.to_string() }
    }

    /// Whether it is the name of a finding.
    pub fn is_of(&self, finding: &Finding) -> bool {
        *self == Self::of(finding)
    }
}

/// Which finding the user is looking at, and what is in progress for it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChecksState {
    /// The finding that was last pointed at or gone to.
    pub looked_at: Option<FindingKey>,
    /// The remedy that is previewed.
    pub proposed: Option<Cure>,
    /// The finding that is about to be accepted, and the reason as typed so far.
    pub accepting: Option<(FindingKey, String)>,
    /// The threshold that is about to let more pass.
    pub relaxing: Option<Relaxing>,
}

/// A threshold that is about to let more pass, for which a reason is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Relaxing {
    /// Its name.
    pub name: &'static str,
    /// What it is to be.
    pub value: f64,
    /// The reason as typed so far.
    pub reason: String,
    /// Whether the question has not had the keyboard focus yet.
    pub is_new: bool,
}

/// What a view may ask of the Checks sheet's state.
#[derive(Clone, Debug, PartialEq)]
pub enum ChecksMessage {
    /// This finding was pointed at.
    LookAt(FindingKey),
    /// Preview this remedy, or none.
    Propose(Option<Cure>),
    /// Ask why this finding is to be accepted; `None` cancels that.
    Accept(Option<FindingKey>),
    /// This is typed as the reason to accept.
    TypeReason(String),
    /// Ask why this threshold may let more pass; `None` cancels that.
    Relax(Option<Relaxing>),
    /// The question about the threshold has the keyboard focus.
    SeeRelaxing,
    /// This is typed as the reason to let more pass.
    TypeRelaxReason(String),
}

impl ChecksState {
    /// Carries out the message.
    pub fn apply(&mut self, message: ChecksMessage) {
        match message {
            ChecksMessage::LookAt(key) => self.looked_at = Some(key),
            ChecksMessage::Propose(cure) => self.proposed = cure,
            ChecksMessage::Accept(key) => self.accepting = key.map(|key| (key, String::new())),
            ChecksMessage::TypeReason(text) => {
                if let Some((_, reason)) = &mut self.accepting {
                    *reason = text;
                }
            }
            ChecksMessage::Relax(asked) => self.relaxing = asked,
            ChecksMessage::SeeRelaxing => {
                if let Some(asked) = &mut self.relaxing {
                    asked.is_new = false;
                }
            }
            ChecksMessage::TypeRelaxReason(text) => {
                if let Some(asked) = &mut self.relaxing {
                    asked.reason = text;
                }
            }
        }
    }
}
