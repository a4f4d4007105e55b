//! The words of the sheet: breakpoints, deltas, and the names of cells for those who listen.

use super::comparing::Compared;
use crate::table::Cell;
use crate::window::View;
use crate::window::numbers::{decimals, fixed, signed};

/// No more decimals than this are shown in a cell.
const MOST_DECIMALS: usize = 3;

/// A breakpoint with at most two decimals.
pub(super) fn breakpoint(value: f64) -> String {
    let text = fixed(value, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A delta with its sign and the decimals of the step; what would read as zero gets as many more as it takes.
pub(super) fn delta(deg: f64, step_deg: f64) -> String {
    let is_zero = |text: &String| !text.contains(|digit: char| ('1'..='9').contains(&digit));
    let tries = (decimals(step_deg)..=MOST_DECIMALS).map(|decimals| signed(deg, decimals));
    tries.into_iter().find(|text| !is_zero(text)).unwrap_or_else(|| if deg > 0.0 { "+0" } else { "\u{2212}0" }.into())
}

/// '3200 rpm, 76 %'.
pub(super) fn place(compared: &Compared, (speed_rpm, load): (f64, f64)) -> String {
    let unit = compared.edited().sensors.load.unit();
    format!("{} rpm, {} {unit}", breakpoint(speed_rpm), breakpoint(load))
}

/// What a point is called: '3200 rpm, 76 %, lowered 2.0 degrees to 21.0, region 1'.
pub(super) fn cell(compared: &Compared, point: Cell, deg: f64, place_of: (f64, f64)) -> String {
    let step = compared.edited().step_deg;
    let value = compared.edited().advance.table().lookup(place_of.0, place_of.1);
    let value = fixed(value, decimals(step));
    let at = place(compared, place_of);
    let amount = delta(deg, step);
    let amount = amount.trim_start_matches(['+', '\u{2212}']);
    let mut name = match deg {
        deg if deg > 0.0 => format!("{at}, raised {amount} degrees to {value}"),
        deg if deg < 0.0 => format!("{at}, lowered {amount} degrees to {value}"),
        _ => format!("{at}, unchanged at {value}"),
    };
    if let Some(region) = compared.region_of(point) {
        name.push_str(&format!(", region {}", region + 1));
    }
    if compared.cell_at(point).is_none() {
        name.push_str(", between cells");
    }
    name
}

/// What the status line says: '3200 rpm · 76 % · edited 21.0° · base 23.0°', under the pointer or at the cursor.
pub(super) fn pointed_at(view: &View<'_>) -> String {
    let (edited, base) = (view.table(), view.base.project.advance.table());
    let cursor = view.screen.selection.cursor;
    let at_cursor = (edited.speed().breakpoints().get(cursor.speed), edited.load().breakpoints().get(cursor.load));
    let at_cursor = if let (Some(&speed), Some(&load)) = at_cursor { Some((speed, load)) } else { None };
    let Some((speed_rpm, load)) = view.screen.compare_hover.or(at_cursor) else {
        return String::new();
    };
    let unit = view.project.sensors.load.unit();
    let at = format!("{} rpm · {} {unit} · ", breakpoint(speed_rpm), breakpoint(load));
    let edited_deg = view.degrees(edited.lookup(speed_rpm, load));
    let covers = |axis: &crate::table::Axis, x: f64| (axis.first()..=axis.last()).contains(&x);
    let same_kind = view.base.project.sensors.load == view.project.sensors.load;
    if same_kind && covers(base.speed(), speed_rpm) && covers(base.load(), load) {
        let base_deg = view.degrees(base.lookup(speed_rpm, load));
        format!("{at}edited {edited_deg}° · base {base_deg}°")
    } else {
        format!("{at}edited {edited_deg}° · the base says nothing here")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_never_reads_as_none() {
        assert_eq!(delta(-2.0, 0.5), "\u{2212}2.0");
        assert_eq!(delta(0.5, 0.5), "+0.5");
        assert_eq!(delta(0.04, 0.5), "+0.04");
        assert_eq!(delta(-1e-6, 0.5), "\u{2212}0");
    }

    #[test]
    fn breakpoints_are_short() {
        assert_eq!(breakpoint(3200.0), "3200");
        assert_eq!(breakpoint(33.333_333), "33.33");
        assert_eq!(breakpoint(100.0), "100");
        assert_eq!(breakpoint(0.0), "0");
    }
}
