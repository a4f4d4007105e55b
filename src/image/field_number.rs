//! A field of the project as the one number of an item, and back.
//!
//! A yes or no is 1 or 0; one of a list of names is its place in that list, from 0, as the catalogue of fields has it.

use super::decode_error::DecodeError;
use super::error::ImageError;
use crate::project::{FieldKind, Item, Tree, field, steps};
use crate::wording::shortest;

/// The number of an item's field.
///
/// # Errors
/// [`ImageError`] when there is no such field, or it is no single number.
pub(super) fn number(item: &Item, fields: &Tree) -> Result<f64, ImageError> {
    let path = &item.field;
    let missing = || ImageError::NoField { item: item.name.clone(), path: path.clone() };
    let value = steps(path).and_then(|steps| fields.at(&steps)).ok_or_else(missing)?;
    let refused = |what| Err(ImageError::NotANumber { item: item.name.clone(), path: path.clone(), what });
    match value {
        Tree::Number(number) => Ok(*number),
        Tree::Present(inner) if matches!(**inner, Tree::Number(_)) => match **inner {
            Tree::Number(number) => Ok(number),
            _ => refused("something else"),
        },
        Tree::Flag(flag) => Ok(f64::from(u8::from(*flag))),
        Tree::Name(name) => place_of(path, name).map_or_else(|| refused("a name without a list"), Ok),
        Tree::Absent => refused("not set"),
        Tree::Text(_) | Tree::Ron(_) => refused("text"),
        Tree::List(_) | Tree::Tuple(_) => refused("a list"),
        Tree::Record(_) | Tree::Map(_) | Tree::Present(_) => refused("a group of fields"),
    }
}

fn names(path: &str) -> Option<&'static [&'static str]> {
    match field(path)?.kind {
        FieldKind::Choice(names) => Some(names),
        _ => None,
    }
}

#[expect(clippy::cast_precision_loss, reason = "a handful of names")]
fn place_of(path: &str, name: &str) -> Option<f64> {
    names(path)?.iter().position(|known| *known == name).map(|place| place as f64)
}

/// The text that sets an item's field to a number.
///
/// # Errors
/// [`DecodeError::NoSuchChoice`] when the number stands for no name, or is neither 0 nor 1 for a yes or no.
pub(super) fn text(item: &Item, number: f64) -> Result<String, DecodeError> {
    let choices: &[&str] = match field(&item.field).map(|field| field.kind) {
        Some(FieldKind::Flag) => &["false", "true"],
        Some(FieldKind::Choice(names)) => names,
        _ => return Ok(shortest(number)),
    };
    #[expect(clippy::cast_precision_loss, reason = "a handful of names")]
    let chosen = choices.iter().enumerate().find(|(place, _)| *place as f64 == number);
    let (_, chosen) = chosen.ok_or_else(|| DecodeError::NoSuchChoice {
        item: item.name.clone(),
        number,
        path: item.field.clone(),
        choices: choices.join(", "),
    })?;
    Ok((*chosen).to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::image::samples::{item, project};
    use crate::project::Content;

    fn of(path: &str) -> Item {
        Item { field: path.into(), ..item("x", Content::Field, 0) }
    }

    #[test]
    fn numbers_flags_and_names_are_numbers() {
        let tree = project().field_tree().unwrap();
        let read = |path: &str| number(&of(path), &tree);
        assert_eq!(read("limits.over_speed.cuts_at_rpm"), Ok(6500.0));
        assert_eq!(read("limits.over_speed.enabled"), Ok(1.0));
        assert_eq!(read("limits.launch.enabled"), Ok(0.0));
        assert_eq!(read("limits.over_speed.pattern"), Ok(0.0));
        assert_eq!(read("outputs[0].conditions[0].on"), Ok(6050.0));
        assert!(matches!(read("limits.nothing"), Err(ImageError::NoField { .. })));
        assert!(matches!(read("coil.current_limit_a"), Err(ImageError::NotANumber { what: "not set", .. })));
        assert!(matches!(read("name"), Err(ImageError::NotANumber { what: "text", .. })));
        assert!(matches!(read("engine"), Err(ImageError::NotANumber { .. })));
    }

    #[test]
    fn numbers_become_what_set_takes() {
        assert_eq!(text(&of("limits.launch.enabled"), 1.0).unwrap(), "true");
        assert_eq!(text(&of("limits.over_speed.pattern"), 1.0).unwrap(), "all");
        assert_eq!(text(&of("trigger.zero_offset_deg"), -2.5).unwrap(), "-2.5");
        let error = text(&of("limits.over_speed.pattern"), 2.0).unwrap_err();
        assert_eq!(
            error.to_string(),
            "'x' is 2, which stands for no value of 'limits.over_speed.pattern': counted from 0 they are alternate_coils, all"
        );
    }
}
