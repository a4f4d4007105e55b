//! What each control of the panel of breakpoints would do.

use super::Plan;
use crate::shaping::{Along, Keep, Tool, resized};
use crate::table::{Axis, Selection, Table};
use crate::window::state::inspector_state::Field;
use crate::window::state::inspector_state::{Proposal, Proposer};
use crate::window::views::inspector::fields::read_amount;
use crate::window::views::view::View;
use crate::wording::{Refusal, settle};

/// The table as it is, without what is previewed.
fn table<'a>(view: &View<'a>) -> &'a Table {
    view.document.project().advance.table()
}

fn plan(view: &View<'_>, tool: Tool) -> Proposal {
    Proposal { by: Proposer::Breakpoints, tool, cells: Selection::all(table(view)) }
}

/// Where a breakpoint is to be inserted: as typed, otherwise in the middle of the widest gap.
pub(in crate::window) fn insert_at(view: &View<'_>) -> f64 {
    let form = &view.screen.inspector.breakpoints;
    form.insert_at.unwrap_or_else(|| middle_of_widest_gap(form.along.axis(table(view))))
}

fn middle_of_widest_gap(axis: &Axis) -> f64 {
    let gaps = axis.breakpoints().windows(2);
    let widest = gaps.reduce(|most, next| if next[1] - next[0] > most[1] - most[0] { next } else { most });
    widest.map_or(0.0, |pair| settle(f64::midpoint(pair[0], pair[1])))
}

pub(in crate::window) fn insert(view: &View<'_>, at: f64) -> Plan {
    let along = view.screen.inspector.breakpoints.along;
    along.axis(table(view)).with_inserted(at).map_err(|error| Refusal::new(format!("{along}: {error}")))?;
    Ok(plan(view, Tool::InsertBreakpoint { along, at }))
}

/// Inserting a breakpoint between the cursor's and the next one, or before the cursor's at the end of the axis.
///
/// # Errors
/// Why there is no room for it, and what to do.
pub fn insert_at_cursor(view: &View<'_>, along: Along) -> Plan {
    let (axis, cursor) = (along.axis(table(view)), view.selection.cursor);
    let own = if along == Along::Speed { cursor.speed } else { cursor.load };
    let low = own.min(axis.len().saturating_sub(2));
    let at = axis.breakpoints().get(low..low + 2).map_or(0.0, |pair| between(pair[0], pair[1], along));
    let refused = |error| {
        let remedy = "delete one that is not needed, or select where there is more room";
        Refusal::new(format!("{along}: {error}")).remedy(remedy)
    };
    axis.with_inserted(at).map_err(refused)?;
    Ok(plan(view, Tool::InsertBreakpoint { along, at }))
}

/// The middle of two breakpoints, or a round number near it that still lies in between.
fn between(low: f64, high: f64, along: Along) -> f64 {
    let step = if along == Along::Speed { 50.0 } else { 1.0 };
    let middle = f64::midpoint(low, high);
    let round = (middle / step).round() * step;
    let quarter = (high - low) / 4.0;
    if (low + quarter..=high - quarter).contains(&round) { round } else { settle(middle) }
}

pub(in crate::window) fn delete(view: &View<'_>, along: Along, index: usize) -> Plan {
    along.axis(table(view)).without(index).map_err(|error| Refusal::new(format!("{along}: {error}")))?;
    Ok(plan(view, Tool::DeleteBreakpoint { along, index }))
}

/// Moving a breakpoint to the number being typed into its field.
pub(in crate::window) fn shift(view: &View<'_>, along: Along, index: usize, present: f64) -> Plan {
    let field = Field::Breakpoint(along, index);
    let typed = view.screen.inspector.typing.as_ref().filter(|(typed, _)| *typed == field);
    let to = typed.map_or(Ok(present), |(_, text)| field.read(text))?;
    along.axis(table(view)).with_moved(index, to).map_err(|error| Refusal::new(format!("{along}: {error}")))?;
    let keep = view.screen.inspector.breakpoints.keep;
    Ok(plan(view, Tool::MoveBreakpoint { along, index, to, keep }))
}

/// Replacing all breakpoints of the axis by the list.
pub(in crate::window) fn replace(view: &View<'_>) -> Plan {
    let form = &view.screen.inspector.breakpoints;
    let along = form.along;
    if form.list.trim().is_empty() {
        return Err(Refusal::new("Type or paste the new breakpoints first."));
    }
    let list = read_list(&form.list).map_err(|error| Refusal::new(format!("{along}: {error}")))?;
    let axis = Axis::new(list).map_err(|error| Refusal::new(format!("{along}: {error}")))?;
    let (speed, load) = match along {
        Along::Speed => (axis, table(view).load().clone()),
        Along::Load => (table(view).speed().clone(), axis),
    };
    let tool = Tool::Axes { speed, load, keep: form.keep };
    tool.apply(&view.document.project().advance, &Selection::all(table(view)))?;
    Ok(plan(view, tool))
}

/// How many speeds and loads to resize to.
pub(in crate::window) fn sizes(view: &View<'_>) -> (f64, f64) {
    let form = &view.screen.inspector.breakpoints;
    #[expect(clippy::cast_precision_loss, reason = "at most 64")]
    let [speeds, loads] = [table(view).speed(), table(view).load()].map(|axis| axis.len() as f64);
    (form.speeds.unwrap_or(speeds), form.loads.unwrap_or(loads))
}

pub(in crate::window) fn resize(view: &View<'_>, speeds: f64, loads: f64) -> Plan {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "fields keep both between 2 and 64")]
    let [speeds, loads] = [speeds as usize, loads as usize];
    let now = table(view);
    if (speeds, loads) == (now.speed().len(), now.load().len()) {
        return Err(Refusal::new(format!(
            "The table has {speeds} speeds × {loads} loads now: type another size first."
        )));
    }
    let speed = resized(now.speed(), speeds).map_err(|error| Refusal::new(format!("speed: {error}")))?;
    let load = resized(now.load(), loads).map_err(|error| Refusal::new(format!("load: {error}")))?;
    Ok(plan(view, Tool::Axes { speed, load, keep: Keep::Surface }))
}

/// Reads breakpoints separated by blanks, tabs or semicolons, or by commas if nothing else separates them.
fn read_list(text: &str) -> Result<Vec<f64>, Refusal> {
    let parted = text.trim().contains(|c: char| c.is_whitespace() || c == ';');
    let is_gap = |c: char| c.is_whitespace() || c == ';' || (c == ',' && !parted);
    let words = text.split(is_gap).map(|word| word.trim_end_matches(',')).filter(|word| !word.is_empty());
    let read = |(place, word): (usize, &str)| {
        read_amount(word).map_err(|error| Refusal::new(format!("breakpoint {} ('{word}'): {error}", place + 1)))
    };
    words.enumerate().map(read).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_are_parted_as_people_part_them() {
        for text in
            ["500 800 1000", "500\t800\t1000", "500; 800; 1000", "500,800,1000", "500, 800, 1000,", " 500\n800\n1000 "]
        {
            assert_eq!(read_list(text).unwrap(), [500.0, 800.0, 1000.0], "{text:?}");
        }
        assert_eq!(read_list("0 2,5 5").unwrap(), [0.0, 2.5, 5.0]);
        let error = read_list("500 fast 1000").unwrap_err().to_string();
        assert!(error.starts_with("breakpoint 2 ('fast')"), "{error}");
    }

    #[test]
    fn between_two_breakpoints_is_a_round_number_if_one_lies_near_the_middle() {
        let cases = [
            (1000.0, 1500.0, Along::Speed, 1250.0),
            (1000.0, 1330.0, Along::Speed, 1150.0),
            (1000.0, 1010.0, Along::Speed, 1005.0),
            (10.0, 15.0, Along::Load, 13.0),
            (0.0, 1.0, Along::Load, 0.5),
        ];
        for (low, high, along, at) in cases {
            assert_eq!(between(low, high, along), at, "{low} {high}");
        }
    }

    #[test]
    fn the_widest_gap_is_halved() {
        assert_eq!(middle_of_widest_gap(&Axis::new(vec![0.0, 10.0, 30.0, 40.0]).unwrap()), 20.0);
    }
}
