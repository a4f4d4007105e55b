//! The advance table by path: `speed_rpm`, `load`, `deg`, `held` and `origin`.

use super::locate::Step;
use super::paths::{PathError, parse_flag, split_list};
use super::{Advance, Origin, Tree};
use crate::table::{Axis, Cell, Selection};
use crate::wording::{Unit, quantity};

/// The advance table as a tree of fields.
pub(super) fn advance_tree(advance: &Advance) -> Tree {
    let table = advance.table();
    let numbers = |values: &[f64]| Tree::List(values.iter().map(|&x| Tree::Number(x)).collect());
    let rows = |cell_value: &dyn Fn(Cell) -> Tree| {
        let columns = 0..table.speed().len();
        let row = |load: usize| Tree::List(columns.clone().map(|speed| cell_value(Cell::new(load, speed))).collect());
        Tree::List((0..table.load().len()).map(row).collect())
    };
    Tree::Record(vec![
        ("speed_rpm", numbers(table.speed().breakpoints())),
        ("load", numbers(table.load().breakpoints())),
        ("deg", rows(&|cell| Tree::Number(table.at(cell)))),
        ("held", rows(&|cell| Tree::Flag(advance.held().contains(cell)))),
        ("origin", rows(&|cell| Tree::Name(advance.origin(cell).name()))),
    ])
}

/// Sets an axis, a row or a cell of the advance table. Cells get the origin *typed*, as when typed into the grid.
pub(super) fn set_in_advance(advance: &Advance, path: &str, steps: &[Step], text: &str) -> Result<Advance, PathError> {
    let refused = |message: String| PathError::refused(path, message, "");
    let Some((Step::Field(what), place)) = steps.split_first() else {
        return Err(refused("name an axis, a row or a cell".into()));
    };
    let table = advance.table();
    let cells: Vec<Cell> = match place {
        [Step::Index(load), Step::Index(speed)] => vec![Cell::new(*load, *speed)],
        [Step::Index(load)] => (0..table.speed().len()).map(|speed| Cell::new(*load, speed)).collect(),
        _ => table.cells().collect(),
    };
    let items: Vec<&str> = split_list(text).collect();
    if let "speed_rpm" | "load" = what.as_str() {
        return set_axis(advance, path, what == "speed_rpm", place, &items);
    }
    if items.len() != cells.len() {
        return Err(refused(format!("{} values for {} cells", items.len(), cells.len())));
    }
    let mut result = advance.clone();
    match what.as_str() {
        "deg" => {
            let mut values = table.values().to_vec();
            for (&cell, item) in cells.iter().zip(&items) {
                let value = parse_number(path, item)?;
                let changes = value.to_bits() != table.at(cell).to_bits();
                if changes && advance.held().contains(cell) {
                    return Err(held(advance, path, cell));
                }
                values[table.index(cell)] = value;
            }
            result = result.with_values(values, Origin::Typed).map_err(|error| refused(error.to_string()))?;
        }
        "held" => {
            for (cell, item) in cells.iter().zip(&items) {
                let held = parse_flag(item).ok_or_else(|| refused(format!("'{item}' is not yes or no")))?;
                result = result.with_held(&Selection::cell(table, *cell), held);
            }
        }
        _ => {
            for (cell, item) in cells.iter().zip(&items) {
                let origin = Origin::ALL.into_iter().find(|origin| origin.name() == *item);
                let origin = origin.ok_or_else(|| refused(format!("'{item}' is no origin")))?;
                result = result.with_origin(&Selection::cell(table, *cell), origin);
            }
        }
    }
    Ok(result)
}

/// The error for setting a held cell: it keeps its value until it is released.
fn held(advance: &Advance, path: &str, cell: Cell) -> PathError {
    let table = advance.table();
    let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
    let at = |breakpoints: &[f64], index: usize, unit| {
        breakpoints.get(index).map(|&breakpoint| quantity(breakpoint, unit)).unwrap_or_default()
    };
    let [speed, load] = [at(speeds, cell.speed, Unit::Rpm), at(loads, cell.load, Unit::None)];
    let message = format!("the cell at {speed} and load {load} is held");
    let hint = format!(
        "release it first: advance.held[{}][{}]=no before it, or 'sparkloft shape … release'",
        cell.load, cell.speed
    );
    PathError::refused(path, message, hint)
}

fn parse_number(path: &str, text: &str) -> Result<f64, PathError> {
    let number = text.parse().ok().filter(|x: &f64| x.is_finite());
    number.ok_or_else(|| PathError::refused(path, format!("'{text}' is not a number"), ""))
}

/// Puts the same numbers over new breakpoints.
fn set_axis(
    advance: &Advance,
    path: &str,
    is_speed: bool,
    place: &[Step],
    items: &[&str],
) -> Result<Advance, PathError> {
    let table = advance.table();
    let old = if is_speed { table.speed() } else { table.load() };
    let mut breakpoints = old.breakpoints().to_vec();
    let numbers = items.iter().map(|item| parse_number(path, item)).collect::<Result<Vec<_>, _>>()?;
    match (place, numbers.as_slice()) {
        ([Step::Index(index)], &[x]) if *index < breakpoints.len() => breakpoints[*index] = x,
        ([], numbers) if numbers.len() == breakpoints.len() => numbers.clone_into(&mut breakpoints),
        _ => {
            let message = format!("{} breakpoints given, the table has {}", numbers.len(), breakpoints.len());
            return Err(PathError::refused(path, message, "to change the size use new breakpoints"));
        }
    }
    let refused = |message: String| PathError::refused(path, message, "");
    let axis = Axis::new(breakpoints).map_err(|error| refused(error.to_string()))?;
    let (speed, load) = if is_speed { (axis, table.load().clone()) } else { (table.speed().clone(), axis) };
    advance.under_axes(speed, load).map_err(|error| refused(error.to_string()))
}
