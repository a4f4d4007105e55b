//! The numbers of an item, taken from the project and brought to the unit's own size, and where each of them
//! belongs.
//!
//! A field of the project is one number: yes is 1 and no is 0; a name is its index in the field's list of
//! names, from 0, in the order of the catalogue of fields.

use super::unit_axis::{spread, unit_axis};
use super::{DecodeError, ImageError, Place};
use crate::project::{Content, ContentSize, FieldKind, HeldCurve, Item, Parts, Tree, field, steps};
use crate::shaping::{self, Keep};
use crate::table::{Axis, Curve, Table};
use crate::wording::{Unit, shortest};

/// A table or curve brought to the unit's own number of breakpoints.
#[derive(Clone, Debug, PartialEq)]
pub struct Resampled {
    /// The project's size.
    pub from: ContentSize,
    /// The unit's size.
    pub to: ContentSize,
    /// The largest change anywhere, unit's minus project's, in the item's unit. Both are linear between the
    /// breakpoints of either, so it is found at one of those.
    pub largest_change: f64,
    /// Where.
    pub place: Place,
}

/// The numbers of an item before rounding, lowest load and lowest speed first, row by row.
pub(super) struct Values {
    pub(super) numbers: Vec<f64>,
    pub(super) size: ContentSize,
    pub(super) resampled: Option<Resampled>,
    pub(super) standing: Standing,
}

/// What an item's numbers are over: breakpoints of the unit, with the unit of measure.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Standing {
    Table(Table, Unit),
    Curve(Axis, Unit),
    Axis,
    Alone,
}

impl Standing {
    /// Where the number at an index belongs.
    pub(super) fn place(&self, index: usize) -> Place {
        match self {
            Self::Table(table, load_unit) => table.cells().nth(index).map_or(Place::Only, |cell| Place::Cell {
                cell,
                speed_rpm: table.speed().breakpoints()[cell.speed],
                load: table.load().breakpoints()[cell.load],
                load_unit: *load_unit,
            }),
            Self::Curve(axis, unit) => {
                let at = axis.breakpoints().get(index).copied();
                at.map_or(Place::Only, |at| Place::Point { index, at, unit: *unit })
            }
            Self::Axis => Place::Breakpoint { index },
            Self::Alone => Place::Only,
        }
    }
}

/// The numbers of an item. `fields` is the project by path.
///
/// # Errors
/// [`ImageError`] if a field is not a number or sizes do not fit.
pub(super) fn values_of(project: &Parts, fields: &Tree, item: &Item) -> Result<Values, ImageError> {
    let table = project.advance.table();
    match item.content {
        Content::AdvanceCells => table_values(project, item),
        Content::AdvanceSpeeds => Ok(axis_values(project, item, table.speed())),
        Content::AdvanceLoads => Ok(axis_values(project, item, table.load())),
        Content::Field => {
            let numbers = vec![number(item, fields)?];
            let size = ContentSize { speeds: 1, loads: 1 };
            Ok(Values { numbers, size, resampled: None, standing: Standing::Alone })
        }
        of_curve => match of_curve.curve() {
            Some(curve) if curve.axis == of_curve => Ok(axis_values(project, item, curve.of(project).axis())),
            Some(curve) => curve_values(project, item, curve),
            None => Err(ImageError::NoField { item: item.name.clone(), path: item.field.clone() }),
        },
    }
}

fn axis_values(project: &Parts, item: &Item, axis: &Axis) -> Values {
    let size = project.content_size(item);
    let numbers = spread(axis, size.speeds.max(size.loads));
    Values { numbers, size, resampled: None, standing: Standing::Axis }
}

fn table_values(project: &Parts, item: &Item) -> Result<Values, ImageError> {
    let own = project.advance.table();
    let load_unit = project.sensors.load.unit();
    let speed = unit_axis(project, item, Content::AdvanceSpeeds, own.speed())?;
    let load = unit_axis(project, item, Content::AdvanceLoads, own.load())?;
    let from = ContentSize { speeds: own.speed().len(), loads: own.load().len() };
    let size = ContentSize { speeds: speed.len(), loads: load.len() };
    if (&speed, &load) == (own.speed(), own.load()) {
        let standing = Standing::Table(own.clone(), load_unit);
        return Ok(Values { numbers: own.values().to_vec(), size, resampled: None, standing });
    }
    let shaped = shaping::change_axes(&project.advance, speed, load, Keep::Surface)
        .map_err(|error| ImageError::Resample { item: item.name.clone(), error })?;
    let table = shaped.advance.table().clone();
    let resampled = shaped.largest_change.map(|change| {
        let cell = crate::table::Cell::new(table.load().nearest(change.load), table.speed().nearest(change.speed_rpm));
        let place = Place::Cell { cell, speed_rpm: change.speed_rpm, load: change.load, load_unit };
        Resampled { from, to: size, largest_change: change.deg, place }
    });
    Ok(Values { numbers: table.values().to_vec(), size, resampled, standing: Standing::Table(table, load_unit) })
}

fn curve_values(project: &Parts, item: &Item, curve: &HeldCurve) -> Result<Values, ImageError> {
    let (own, unit) = (curve.of(project), curve.axis_unit(project));
    let size = project.content_size(item);
    let axis = unit_axis(project, item, curve.axis, own.axis())?;
    let numbers: Vec<f64> = axis.breakpoints().iter().map(|&x| own.lookup(x)).collect();
    let resampled = if axis == *own.axis() { None } else { curve_change(own, &axis, &numbers, unit) };
    Ok(Values { numbers, size, resampled, standing: Standing::Curve(axis, unit) })
}

fn curve_change(own: &Curve, axis: &Axis, numbers: &[f64], unit: Unit) -> Option<Resampled> {
    let new = Curve::new(axis.breakpoints().to_vec(), numbers.to_vec()).ok()?;
    let change = |x: f64| new.lookup(x) - own.lookup(x);
    let union = own.axis().union(axis);
    let at = union.into_iter().max_by(|a, b| change(*a).abs().total_cmp(&change(*b).abs()))?;
    let size = |points| ContentSize { speeds: points, loads: 1 };
    let place = Place::Point { index: axis.nearest(at), at, unit };
    Some(Resampled { from: size(own.axis().len()), to: size(axis.len()), largest_change: change(at), place })
}

/// The number of an item's field.
///
/// # Errors
/// [`ImageError`] if there is no such field, or it is not a single number.
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
/// [`DecodeError::NoSuchChoice`] if no name has that number, or if it is neither 0 nor 1 for a yes or no.
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
