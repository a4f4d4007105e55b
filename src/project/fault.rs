//! Why parts make no project.

use thiserror::Error;

/// Why parts make no project: which field, what is wrong and what to do.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{path}: {message}{}", if .hint.is_empty() { String::new() } else { format!("; {}", .hint) })]
pub struct Fault {
    /// The dotted path of the field.
    pub path: String,
    /// What is wrong, with the value and the range allowed.
    pub message: String,
    /// What to do; may be empty.
    pub hint: String,
}

impl Fault {
    /// A fault in the field at `path`, without a hint.
    pub fn new(path: impl Into<String>, message: impl Into<String>) -> Self {
        Self { path: path.into(), message: message.into(), hint: String::new() }
    }
}
