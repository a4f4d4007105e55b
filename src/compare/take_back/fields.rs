//! Taking fields and whole sections back.

use super::{TakeBackError, TakenBack, label};
use crate::compare::take_back::CellCounts;
use crate::compare::{FieldDifference, Section, TableAxis, field_differences};
use crate::project::{Advance, Fault, Project, Step, Tree, is_in_load_unit, lie_together, parts_in_load_unit};
use crate::shaping::{Keep, change_axes};
use crate::table::{Axis, Cell, Selection, Table};

/// Takes whole sections back from the base, which is called `from` in the label. With [`Section::ALL`] the
/// project becomes the base except for its snapshots and its last export, which are the project's own record.
///
/// # Errors
/// [`TakeBackError`] if the sections do not fit the rest of the project, or are the same already.
pub fn take_back_sections(
    base: &Project,
    edited: &Project,
    sections: &[Section],
    from: &str,
) -> Result<TakenBack, TakeBackError> {
    let is_all = Section::ALL.iter().all(|section| sections.contains(section));
    let mixes_copies = !is_all && sections.contains(&Section::Project);
    if mixes_copies && base.locked_timing_deg != edited.locked_timing_deg {
        return Err(TakeBackError::Locked);
    }
    if !is_all && sections.iter().any(|section| is_over_load(*section)) {
        same_load(base, edited)?;
    }
    let project = edited.edit(|parts| {
        sections.iter().for_each(|section| section.copy(base, parts));
        parts.take_assumed_of(base, |path| Section::of_path(path).is_some_and(|section| sections.contains(&section)));
    })?;
    let names: Vec<&str> = sections.iter().map(|section| section.name()).collect();
    let what = if is_all { "everything".into() } else { names.join(", ") };
    finish(project, edited, &what, from)
}

/// Takes fields back from the base, which is called `from` in the label, in one step.
///
/// If the breakpoints of a curve differ, its breakpoints and its values come back together. An axis of the
/// advance table comes back under the present numbers, as when breakpoints are typed. A held mark or an origin
/// comes back for its cell alone.
///
/// # Errors
/// [`TakeBackError`] if a field no longer exists, an axis has another length, the fields do not fit the rest of
/// the project, or they are the same already.
pub fn take_back_fields(
    base: &Project,
    edited: &Project,
    differences: &[&FieldDifference],
    from: &str,
) -> Result<TakenBack, TakeBackError> {
    if differences.iter().any(|difference| difference.path == "locked_timing_deg") {
        return Err(TakeBackError::Locked);
    }
    if differences.iter().any(|difference| is_in_load_unit(&difference.path)) {
        same_load(base, edited)?;
    }
    let source = Tree::of(&base.as_state())?;
    let mut form = Tree::of(&edited.as_state())?;
    let mut advance = edited.advance.clone();
    for difference in differences {
        let gone = || TakeBackError::Gone { path: difference.path.clone() };
        match difference.steps.as_slice() {
            [Step::Field(part), rest @ ..] if part == "advance" => {
                advance = advance_field(&base.advance, &advance, rest)?.ok_or_else(gone)?;
            }
            steps => copy(&source, &mut form, whole_curve(&source, steps)).ok_or_else(gone)?,
        }
    }
    let project = field_differences::project(Some(form), &advance)?.edit(|parts| {
        parts.snapshots.clone_from(&edited.snapshots);
        parts.last_export.clone_from(&edited.last_export);
        let is_taken = |path: &str| differences.iter().any(|difference| lie_together(path, &difference.path));
        parts.take_assumed_of(base, is_taken);
    })?;
    let what = match differences {
        [one] => one.label.clone(),
        many => format!("{} fields", many.len()),
    };
    finish(project, edited, &what, from)
}

/// Whether a section holds numbers in the load's unit: from a project with another kind of load they have to be
/// taken back all together or not at all, since the numbers would otherwise change their meaning.
fn is_over_load(section: Section) -> bool {
    parts_in_load_unit().into_iter().any(|part| Section::of_path(part) == Some(section))
}

fn same_load(base: &Project, edited: &Project) -> Result<(), TakeBackError> {
    let kinds = (base.sensors.load, edited.sensors.load);
    if kinds.0 == kinds.1 { Ok(()) } else { Err(TakeBackError::Relabelled { base: kinds.0, edited: kinds.1 }) }
}

fn finish(project: Project, edited: &Project, what: &str, from: &str) -> Result<TakenBack, TakeBackError> {
    if project == *edited {
        return Err(TakeBackError::AlreadyAlike);
    }
    Ok(TakenBack { project, label: label(what, from), cells: CellCounts::default() })
}

/// The steps to the curve, if a whole list of one is meant: breakpoints and values only fit together.
fn whole_curve<'a>(source: &Tree, steps: &'a [Step]) -> &'a [Step] {
    let Some((_, curve)) = steps.split_last() else {
        return steps;
    };
    match source.at(curve) {
        Some(Tree::Record(fields)) if crate::compare::field_differences::is_curve(fields) => curve,
        _ => steps,
    }
}

/// Copies the value at a path; `None` if there is no place for it.
fn copy(source: &Tree, into: &mut Tree, steps: &[Step]) -> Option<()> {
    let (last, parent) = steps.split_last()?;
    let value = source.at(steps);
    if let (Tree::Map(entries), Step::Field(key)) = (into.at_mut(parent)?, last) {
        entries.retain(|(name, _)| name != key);
        entries.extend(value.map(|value| (key.clone(), value.clone())));
        return Some(());
    }
    if let (Tree::List(entries), Step::Name(name)) = (into.at_mut(parent)?, last) {
        let Some(Tree::List(of_source)) = source.at(parent) else { return None };
        put_entry(entries, name, of_source);
        return Some(());
    }
    *into.at_mut(steps)? = value?.clone();
    Some(())
}

/// Makes an entry of a list what it is in the source, where it may not be: then it is removed. One that was removed
/// comes back behind the entry that it stood behind.
fn put_entry(entries: &mut Vec<Tree>, name: &str, source: &[Tree]) {
    let place = |list: &[Tree], name: &str| list.iter().position(|entry| entry.entry_name() == Some(name));
    let (own, wanted) = (place(entries, name), place(source, name));
    match (own, wanted.and_then(|at| Some((at, source.get(at)?)))) {
        (Some(own), Some((_, entry))) => drop(entries.splice(own..=own, [entry.clone()])),
        (Some(own), None) => drop(entries.remove(own)),
        (None, Some((at, entry))) => {
            let before = source.iter().take(at).rev().filter_map(Tree::entry_name);
            let behind = before.filter_map(|name| place(entries, name)).next();
            entries.insert(behind.map_or(0, |behind| behind + 1), entry.clone());
        }
        (None, None) => {}
    }
}

/// The edited table with one of its fields taken from the base; `None` if either table has no such field.
fn advance_field(base: &Advance, edited: &Advance, steps: &[Step]) -> Result<Option<Advance>, TakeBackError> {
    Ok(match steps {
        [Step::Field(axis)] if axis == "speed_rpm" => Some(with_axis(base, edited, TableAxis::Speed)?),
        [Step::Field(axis)] if axis == "load" => Some(with_axis(base, edited, TableAxis::Load)?),
        [Step::Field(mark), Step::Index(load), Step::Index(speed)] => {
            with_mark(base, edited, mark, Cell::new(*load, *speed))
        }
        _ => None,
    })
}

fn with_axis(base: &Advance, edited: &Advance, axis: TableAxis) -> Result<Advance, TakeBackError> {
    let (table, is_speed) = (edited.table(), axis == TableAxis::Speed);
    let of = |table: &Table| -> Axis { if is_speed { table.speed().clone() } else { table.load().clone() } };
    let (new, old) = (of(base.table()), of(table));
    if new.len() != old.len() {
        return Err(TakeBackError::AxisLength { axis, base: new.len(), edited: old.len() });
    }
    let (speed, load) = if is_speed { (new, table.load().clone()) } else { (table.speed().clone(), new) };
    let fault = |error: &dyn std::fmt::Display| TakeBackError::from(Fault::new("advance", error.to_string()));
    let changed = change_axes(edited, speed, load, Keep::Numbers).map_err(|error| fault(&error))?;
    // These breakpoints were in use before, so no cell counts as extended.
    let (table, held, origins) = (changed.advance.table().clone(), edited.held().clone(), edited.origins().to_vec());
    Advance::new(table, held, origins).map_err(|error| fault(&error))
}

fn with_mark(base: &Advance, edited: &Advance, mark: &str, cell: Cell) -> Option<Advance> {
    let is_in =
        |advance: &Advance| cell.load < advance.table().load().len() && cell.speed < advance.table().speed().len();
    if !is_in(base) || !is_in(edited) {
        return None;
    }
    let selection = Selection::cell(edited.table(), cell);
    match mark {
        "held" => Some(edited.with_held(&selection, base.held().contains(cell))),
        "origin" => Some(edited.with_origin(&selection, base.origin(cell))),
        _ => None,
    }
}
