//! The words of the sheet: breakpoints, deltas, and the names of cells for those who listen.

use super::comparing::Compared;
use crate::table::Cell;
use crate::window::views::view::View;
use crate::wording::{self, Unit, change, change_size, fixed, quantity, step_decimals, with_unit};

/// A delta with its sign and the decimals of the step, or as many more as it takes not to read as zero.
pub(super) fn delta(deg: f64, step_deg: f64) -> String {
    change(deg, step_decimals(step_deg))
}

/// '3200 rpm, 76 %'.
pub(super) fn place(compared: &Compared, (speed_rpm, load): (f64, f64)) -> String {
    wording::point(speed_rpm, load, compared.edited().sensors.load.unit())
}

/// What a point says: 'lowered 2.0 degrees to 21.0, region 1'.
pub(super) fn point(compared: &Compared, at: Cell, deg: f64, place_of: (f64, f64)) -> String {
    let step = compared.edited().step_deg;
    let value = compared.edited().advance.table().lookup(place_of.0, place_of.1);
    let value = fixed(value, step_decimals(step));
    let amount = change_size(deg, step_decimals(step));
    let mut name = match deg {
        deg if deg > 0.0 => format!("raised {amount} degrees to {value}"),
        deg if deg < 0.0 => format!("lowered {amount} degrees to {value}"),
        _ => format!("unchanged at {value}"),
    };
    if let Some(region) = compared.region_of(at) {
        name.push_str(&format!(", region {}", region + 1));
    }
    if compared.cell_at(at).is_none() {
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
    let Some((speed_rpm, load)) = view.screen.compare.hover.or(at_cursor) else {
        return String::new();
    };
    let unit = view.project.sensors.load.unit();
    let at = format!("{} · {} · ", quantity(speed_rpm, Unit::Rpm), quantity(load, unit));
    let edited_deg = with_unit(&view.degrees(edited.lookup(speed_rpm, load)), Unit::Degree);
    let covers = |axis: &crate::table::Axis, x: f64| (axis.first()..=axis.last()).contains(&x);
    let same_kind = view.base.project.sensors.load == view.project.sensors.load;
    if same_kind && covers(base.speed(), speed_rpm) && covers(base.load(), load) {
        let base_deg = with_unit(&view.degrees(base.lookup(speed_rpm, load)), Unit::Degree);
        format!("{at}edited {edited_deg} · base {base_deg}")
    } else {
        format!("{at}edited {edited_deg} · the base says nothing here")
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
        assert_eq!(delta(-1e-6, 0.5), "−0.000001");
    }
}
