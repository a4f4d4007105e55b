//! What the Checks sheet keeps on the screen.

use crate::checks::{Cure, Finding};

/// Names a finding while it is there.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct FindingKey {
    /// The check's id.
    pub id: &'static str,
    /// Its place, as accepted findings are known by it.
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

/// Which finding is looked at, and what is half done to it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChecksState {
    /// The finding that was last pointed at or gone to.
    pub looked_at: Option<FindingKey>,
    /// The remedy that is shown before it is carried out.
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
    /// Whether the question has not had the keyboard yet.
    pub is_new: bool,
}
