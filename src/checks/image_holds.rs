//! Values that the image cannot hold.

use super::Severity;
use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::Subject;
use crate::compare::Section;
use crate::image::{ImageError, Quantity};
use crate::wording::Unit;

pub(super) const CHECK: Check = Check {
    id: "image_holds",
    title: "Image cannot hold it",
    reason: "What the image cannot hold cannot be flashed; the export is refused as a whole.",
    since: 1,
    sections: &[Section::Image],
    is_of_map: false,
    grounds: &[],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    subject.image().err().unwrap_or_default().iter().map(|error| noticed(subject, error)).collect()
}

fn noticed(subject: &Subject<'_>, error: &ImageError) -> Noticed {
    let items = &subject.image.items;
    let index = items.iter().position(|item| Some(item.name.as_str()) == error.item());
    let field = index.map_or_else(|| "image.items".to_owned(), |index| format!("image.items[{index}]"));
    let unit = index.and_then(|index| items.get(index)).map_or(Unit::None, |item| Quantity::of(item, subject).unit);
    let (value, threshold, unit) = match error {
        ImageError::OutOfRange { value, range, .. } => (*value, if *value > range.1 { range.1 } else { range.0 }, unit),
        ImageError::PastRange { past, .. } => {
            (past.rounded, if past.rounded > past.range.1 { past.range.1 } else { past.range.0 }, unit)
        }
        ImageError::BreakpointsMeet { lower, upper, .. } => (*upper, *lower, unit),
        _ => (1.0, 0.0, Unit::None),
    };
    Noticed {
        severity: Severity::Error,
        place: Place::field(field, format!("image item {}", error.item().unwrap_or("?"))),
        message: error.to_string(),
        remedy: "Change the item in the image layout, or the value itself.".into(),
        value,
        bound: Bound::of(threshold, unit),
        cure: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound};
    use crate::project::{CellType, Project};

    /// The cells in one byte, in half degrees: up to 63.5.
    fn in_a_byte(deg: f64) -> Project {
        let change = |parts: &mut crate::project::Parts| {
            if let Some(item) = parts.image.items.iter_mut().find(|item| item.name == "advance") {
                (item.cell, item.scale) = (CellType::I8, 0.5);
            }
        };
        let start = sound().edit(change).unwrap();
        let mut values = start.advance.table().values().to_vec();
        values[5] = deg;
        let advance = start.advance.with_values(values, crate::project::Origin::Typed).unwrap();
        start.with_advance(advance).unwrap()
    }

    #[test]
    fn fires_when_a_cell_is_beyond_its_type() {
        assert_eq!(of(&in_a_byte(63.5), "image_holds"), []);
        let found = only(&in_a_byte(64.0), "image_holds");
        assert_eq!((found.severity, found.value, found.threshold), (Severity::Error, 64.0, 63.5));
        assert_eq!(found.place.words, "image item advance");
        assert!(found.message.contains("choose a larger type or another scale"), "{}", found.message);
    }

    #[test]
    fn tells_every_item_at_fault() {
        let change = |parts: &mut crate::project::Parts| {
            for item in &mut parts.image.items {
                (item.cell, item.scale, item.offset) = (CellType::I8, 0.001, 0.0);
            }
        };
        let found = of(&sound().edit(change).unwrap(), "image_holds");
        assert!(found.len() > 3, "{found:?}");
        assert!(found.iter().any(|finding| finding.place.words == "image item over_speed_cuts_at"));
    }
}
