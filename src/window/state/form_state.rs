//! The screen state of forms: half-typed text, and what was refused.

use std::collections::BTreeMap;

/// The remark beside a text that has not been accepted yet.
pub(in crate::window) const NOT_SET: &str = "not set yet: Enter sets it";

/// Half-typed and refused texts, by the key of their field: its path, or the name of an entry.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FormState {
    typed: BTreeMap<String, Typed>,
}

/// The text in a field in place of its value.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Typed {
    /// The text.
    pub text: String,
    /// Why it was refused, once it was.
    pub refusal: Option<String>,
}

impl FormState {
    /// What is typed into a field.
    pub fn typed(&self, key: &str) -> Option<&Typed> {
        self.typed.get(key)
    }

    /// Everything that is typed, by key.
    pub fn all(&self) -> impl Iterator<Item = (&str, &Typed)> {
        self.typed.iter().map(|(key, typed)| (key.as_str(), typed))
    }

    /// How many texts were refused.
    pub fn refused(&self) -> usize {
        self.typed.values().filter(|typed| typed.refusal.is_some()).count()
    }

    /// Whether something is typed that has been neither accepted nor refused.
    pub fn has_unset(&self) -> bool {
        self.typed.values().any(|typed| typed.refusal.is_none())
    }

    /// Marks every text that has been neither accepted nor refused as refused; returns one of those fields and
    /// the reason.
    pub fn refuse_unset(&mut self) -> Option<(String, &'static str)> {
        let mut first = None;
        for (key, typed) in self.typed.iter_mut().filter(|(_, typed)| typed.refusal.is_none()) {
            typed.refusal = Some(NOT_SET.to_owned());
            first.get_or_insert_with(|| (key.clone(), NOT_SET));
        }
        first
    }

    /// Sets the text typed into a field.
    pub fn put(&mut self, key: &str, text: String) {
        self.typed.insert(key.to_owned(), Typed { text, refusal: None });
    }

    /// Marks what is typed as refused.
    pub fn refuse(&mut self, key: &str, text: String, why: String) {
        self.typed.insert(key.to_owned(), Typed { text, refusal: Some(why) });
    }

    /// Discards the text typed into a field.
    pub fn drop(&mut self, key: &str) {
        self.typed.remove(key);
    }
}

/// What a view may ask of the texts typed into forms, each identified by the key of its field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FormMessage {
    /// This is typed.
    Type(String, String),
    /// This is refused, and why.
    Refuse(String, String, String),
    /// Nothing is typed there any more: it was accepted or cancelled.
    Drop(String),
}

impl FormState {
    /// Carries out the message.
    pub fn apply(&mut self, message: FormMessage) {
        match message {
            FormMessage::Type(key, text) => self.put(&key, text),
            FormMessage::Refuse(key, text, why) => self.refuse(&key, text, why),
            FormMessage::Drop(key) => self.drop(&key),
        }
    }
}
