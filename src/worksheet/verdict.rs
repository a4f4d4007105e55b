//! What a result means, in words.

use serde::{Serializer, ser::SerializeSeq};

/// How much a verdict weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Gravity {
    /// As it should be.
    Good,
    /// Worth knowing.
    Note,
    /// To be looked into before going on.
    Warning,
    /// The result must not be applied.
    Obstacle,
}

/// What a worksheet concludes from its figures.
pub trait Verdict {
    /// How much it weighs.
    fn gravity(&self) -> Gravity;
    /// What it means and what to do, as sentences.
    fn words(&self) -> String;
}

/// The first verdict that forbids applying the result.
pub(super) fn obstacle<V: Verdict>(verdicts: &[V]) -> Option<&V> {
    verdicts.iter().find(|verdict| verdict.gravity() == Gravity::Obstacle)
}

/// Writes verdicts as their words.
pub(super) fn as_words<V: Verdict, S: Serializer>(verdicts: &[V], serializer: S) -> Result<S::Ok, S::Error> {
    let mut list = serializer.serialize_seq(Some(verdicts.len()))?;
    verdicts.iter().try_for_each(|verdict| list.serialize_element(&verdict.words()))?;
    list.end()
}
