//! Why a worksheet has no answer, or its answer is not applied.

use thiserror::Error;

use crate::project::{Fault, Tree, field};
use crate::wording::outside;

/// Why a worksheet has no answer, or its answer is not applied; the project is as it was.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum WorksheetError {
    /// A value that cannot be meant.
    #[error("{name}: {message}")]
    Value {
        /// What people call it.
        name: String,
        /// The value and the range allowed.
        message: String,
    },
    /// Values that contradict each other.
    #[error("{0}")]
    Contradiction(String),
    /// A verdict forbids applying the result.
    #[error("not applied: {0}")]
    Obstacle(String),
    /// The changed project would be none.
    #[error(transparent)]
    Fault(#[from] Fault),
}

/// Holds a value against the range of a project's field. `name` is what the worksheet calls it.
pub(super) fn check_field(path: &str, name: &str, value: f64) -> Result<(), WorksheetError> {
    let refusal = field(path).and_then(|field| field.kind.refusal(&Tree::Number(value)));
    refusal.map_or(Ok(()), |message| Err(WorksheetError::Value { name: name.into(), message }))
}

/// Holds a value that no project has against a range of its own.
pub(super) fn check(name: &str, value: f64, low: f64, high: f64, unit: &str) -> Result<(), WorksheetError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(WorksheetError::Value { name: name.into(), message: outside(value, (low, high), unit) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_out_of_range_are_named() {
        let error = check_field("trigger.latency_us", "latency", -5.0).unwrap_err();
        assert_eq!(error.to_string(), "latency: −5 is outside 0..1000 µs");
        assert_eq!(check("pitch", 0.5, 1.0, 60.0, "°").unwrap_err().to_string(), "pitch: 0.5 is outside 1..60°");
        assert!(check("pitch", f64::NAN, 1.0, 60.0, "°").unwrap_err().to_string().contains("not finite"));
        assert_eq!(check("pitch", 6.0, 1.0, 60.0, "°"), Ok(()));
    }
}
