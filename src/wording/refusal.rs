//! Why something cannot be done, as a person reads it.

use std::error::Error;
use std::fmt;

/// Why something cannot be done: where, what is wrong with which value, and what to do instead. Rooms whose
/// callers act on the reason have error types with a variant for each; `?` turns those into a refusal where the
/// error is only shown to a person.
///
/// ```
/// use sparkloft::wording::Refusal;
///
/// let refusal = Refusal::new("0 is outside 2..64").at("speeds").remedy("choose a size in between");
/// assert_eq!(refusal.to_string(), "speeds: 0 is outside 2..64: choose a size in between");
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal(Box<Told>);

#[derive(Clone, Debug, PartialEq, Eq)]
struct Told {
    place: Option<String>,
    what: String,
    remedy: Option<String>,
}

impl Refusal {
    /// A refusal with what is wrong: the value and what is allowed.
    pub fn new(what: impl Into<String>) -> Self {
        Self(Box::new(Told { place: None, what: what.into(), remedy: None }))
    }

    /// The same refusal with the place at fault: a field, a line, a file.
    #[must_use]
    pub fn at(mut self, place: impl Into<String>) -> Self {
        self.0.place = Some(place.into());
        self
    }

    /// The same refusal with what to do about it.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.0.remedy = Some(remedy.into());
        self
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Told { place, what, remedy } = &*self.0;
        if let Some(place) = place {
            write!(f, "{place}: ")?;
        }
        f.write_str(what)?;
        remedy.as_ref().map_or(Ok(()), |remedy| write!(f, ": {remedy}"))
    }
}

/// Any error can become a refusal. A refusal therefore cannot implement [`Error`] itself: the conversion would
/// overlap with `From<T> for T`.
impl<E: Error> From<E> for Refusal {
    fn from(error: E) -> Self {
        Self::new(error.to_string())
    }
}

impl From<Refusal> for String {
    fn from(refusal: Refusal) -> Self {
        refusal.to_string()
    }
}

/// For argument parsers, whose errors have to be boxed.
impl From<Refusal> for Box<dyn Error + Send + Sync> {
    fn from(refusal: Refusal) -> Self {
        refusal.to_string().into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_known_is_told() {
        assert_eq!(Refusal::new("no room").to_string(), "no room");
        assert_eq!(Refusal::new("no room").at("row 3").to_string(), "row 3: no room");
        assert_eq!(Refusal::new("no room").remedy("take one out").to_string(), "no room: take one out");
        let parsed: Result<u8, Refusal> = "300".parse::<u8>().map_err(Into::into);
        assert_eq!(parsed.unwrap_err().to_string(), "number too large to fit in target type");
    }
}
