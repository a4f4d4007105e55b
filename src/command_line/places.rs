//! Where in an item a number stands, for JSON.

use serde::Serialize;

use crate::image::Place;

/// Only what the place has is written; `place` is the same in words.
#[derive(Debug, Default, PartialEq, Serialize)]
pub(super) struct Where {
    #[serde(skip_serializing_if = "Option::is_none")]
    speed_rpm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    load: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    load_unit: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    at: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    at_unit: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    breakpoint: Option<usize>,
    place: String,
}

impl Where {
    pub(super) fn of(place: &Place) -> Self {
        let words = place.to_string();
        let plain = Self { place: words.trim_start_matches([',', ' ']).to_owned(), ..Self::default() };
        match *place {
            Place::Cell { speed_rpm, load, load_unit, .. } => {
                Self { speed_rpm: Some(speed_rpm), load: Some(load), load_unit: Some(load_unit), ..plain }
            }
            Place::Point { at, unit, .. } => Self { at: Some(at), at_unit: Some(unit), ..plain },
            Place::Breakpoint { index } => Self { breakpoint: Some(index + 1), ..plain },
            Place::Only => plain,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_given_in_numbers_and_words() {
        let point = Where::of(&Place::Point { index: 2, at: 80.0, unit: "°C" });
        assert_eq!(serde_json::to_string(&point).unwrap(), r#"{"at":80.0,"at_unit":"°C","place":"at 80 °C"}"#);
        let breakpoint = Where::of(&Place::Breakpoint { index: 0 });
        assert_eq!(serde_json::to_string(&breakpoint).unwrap(), r#"{"breakpoint":1,"place":"breakpoint 1"}"#);
        assert_eq!(serde_json::to_string(&Where::of(&Place::Only)).unwrap(), r#"{"place":""}"#);
    }
}
