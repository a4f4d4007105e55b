//! The measured points in the views of the table: which one is pointed at, and what is said of it.

use std::collections::BTreeMap;

use eframe::egui::{Id, PopupAnchor, Tooltip, Ui};

use crate::drawing::CellSpace;
use crate::project::{MeasuredPoint, Project};
use crate::shaping::nearest_cell;
use crate::table::{Cell, Selection, Table};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::ScreenMessage;
use crate::window::state::surface_state::{Beside, SurfaceState};
use crate::window::views::view::View;
use crate::wording::{Unit, count, point, with_unit};

/// What the surface shows beside the table: what was chosen, and until then the measured points if there are any.
pub fn beside(view: &View<'_>) -> Beside {
    beside_of(&view.screen.surface, view.project)
}

/// The same for a project.
pub(in crate::window) fn beside_of(surface: &SurfaceState, project: &Project) -> Beside {
    surface.beside(!project.evidence.points.is_empty(), has_ceiling(project))
}

/// Whether the full-load line bounds any of the table.
pub(in crate::window) fn has_ceiling(project: &Project) -> bool {
    let line = &project.full_load_line;
    line.enabled && line.from_load < project.advance.table().load().last()
}

/// The point under the pointer, in whichever view.
pub fn pointed<'a>(view: &View<'a>) -> Option<&'a MeasuredPoint> {
    view.project.evidence.points.get(view.screen.pointer.measured?).map(AsRef::as_ref)
}

/// What is known of a point: 'P3: 24.5° (23.9–25.2°), best torque, table 25.1°, from dyno-day.csv'.
pub fn words(view: &View<'_>, of: &MeasuredPoint) -> String {
    let table = view.table();
    let set = if of.is_over(table) {
        format!("table {}", with_unit(&view.degrees(table.lookup(of.speed_rpm, of.load)), Unit::Degree))
    } else {
        "beyond the axes".to_owned()
    };
    let from = if of.source.is_empty() { String::new() } else { format!(", from {}", of.source) };
    let idle = if of.in_use { "" } else { ", not in use" };
    format!("{}: {}, {}, {set}{from}{idle}", of.name, of.words(), of.kind.words())
}

/// What is said of a point in a table of cells, for a screen reader: 'measured P3 24.5° (23.9–25.2°)'.
pub fn brief_words(of: &MeasuredPoint) -> String {
    let idle = if of.in_use { "" } else { ", not in use" };
    format!("measured {} {}{idle}", of.name, of.words())
}

/// How many points lie beyond the axes of the table on show: '2 points beyond the axes'; `None` if none does.
pub fn beyond_words(view: &View<'_>) -> Option<String> {
    let table = view.table();
    let beyond = view.project.evidence.points.iter().filter(|point| !point.is_over(table)).count();
    (beyond > 0).then(|| format!("{} beyond the axes", count(beyond, "point")))
}

/// Reports which point is under the pointer in one view. `before` is what that view reported last.
pub fn hover(view: &View<'_>, before: &mut Option<usize>, now: Option<usize>, outbox: &mut Outbox) {
    let shown = view.screen.pointer.measured;
    // Another view may have reported another point meanwhile.
    if (now.is_some() && now != shown) || (now.is_none() && before.is_some() && *before == shown) {
        outbox.send(ScreenMessage::PointMeasured(now));
    }
    *before = now;
}

/// Says at the pointer what is known of a point, and where it lies.
pub fn tip(ui: &Ui, view: &View<'_>, id: Id, of: &MeasuredPoint) {
    let place = point(of.speed_rpm, of.load, view.project.sensors.load.unit());
    let text = format!("{}\nat {place}", words(view, of));
    let tip = Tooltip::always_open(ui.ctx().clone(), ui.layer_id(), id.with("measured"), PopupAnchor::Pointer);
    tip.gap(view.theme.margin).show(|ui| ui.label(text));
}

/// The points nearest to each cell, those beyond the axes to none, by their indices.
pub fn by_cell(project: &Project) -> BTreeMap<Cell, Vec<usize>> {
    let table = project.advance.table();
    let mut cells: BTreeMap<Cell, Vec<usize>> = BTreeMap::new();
    for (index, point) in project.evidence.points.iter().enumerate().filter(|(_, point)| point.is_over(table)) {
        cells.entry(nearest_cell(table, point.speed_rpm, point.load)).or_default().push(index);
    }
    cells
}

/// The cells round the points in use: four, or two or one where a point lies on breakpoints.
pub fn cells_round<'a>(table: &Table, points: impl Iterator<Item = &'a MeasuredPoint>) -> Selection {
    let space = CellSpace::new(table);
    let mut cells = Selection::none(table.load().len(), table.speed().len());
    for point in points.filter(|point| point.is_over(table)) {
        let (column, row) = space.from_axes((point.speed_rpm, point.load));
        for load in around(row) {
            cells.extend(around(column).map(|speed| Cell::new(load, speed)));
        }
    }
    cells
}

/// The whole numbers on both sides of a place, or the one that it is.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "places in a table, 0..=63")]
fn around(place: f64) -> std::ops::RangeInclusive<usize> {
    place.floor() as usize..=place.ceil() as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Axis;

    #[test]
    fn four_cells_are_round_a_point_between_breakpoints_and_one_on_them() {
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        let table = Table::from_fn(axis(&[1000.0, 2000.0, 3000.0]), axis(&[20.0, 40.0, 60.0]), |_, _| 20.0).unwrap();
        let round = |speed_rpm, load| {
            let point = MeasuredPoint { speed_rpm, load, ..MeasuredPoint::default() };
            cells_round(&table, std::iter::once(&point)).cells().map(|cell| (cell.load, cell.speed)).collect::<Vec<_>>()
        };
        assert_eq!(round(1500.0, 50.0), [(1, 0), (1, 1), (2, 0), (2, 1)]);
        assert_eq!(round(2000.0, 50.0), [(1, 1), (2, 1)]);
        assert_eq!(round(3000.0, 60.0), [(2, 2)]);
        assert_eq!(round(3100.0, 60.0), []);
    }
}
