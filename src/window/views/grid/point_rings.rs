//! The rings of measured points among the cells: at their places between the breakpoints, clear of digits and marks.

use eframe::egui::{Pos2, Rect, Shape, vec2};

use crate::drawing::{self, CellSpace, PointPlaces, Scene, draw_measured};
use crate::table::Cell;
use crate::window::kit::grid::Layout;
use crate::window::kit::scene_painter::{self, point, to_egui, viewport};
use crate::window::kit::theme::kit_sizes::{FOUND_MARK, HAIRLINE, POINT_AIR};
use crate::window::views::view::View;

/// The rings that are seen, and of which point each is.
pub(super) type Rings = Vec<(usize, Rect)>;

/// Places and shapes of the rings in the visible part; `marked` is where other marks stand.
pub(super) fn rings(
    view: &View<'_>,
    layout: &Layout,
    digits: &dyn Fn(Cell) -> Option<Rect>,
    marked: Vec<drawing::Rect>,
) -> (Rings, Vec<Shape>) {
    let (table, points) = (view.table(), &view.project.evidence.points);
    if points.is_empty() {
        return (Vec::new(), Vec::new());
    }
    let written: Vec<Rect> = layout.visible_cells().filter_map(digits).collect();
    let tallest = written.iter().map(Rect::height).fold(0.0, f32::max);
    let between = layout.cell_size().y - tallest;
    let side = FOUND_MARK.min(between);
    let air = ((between - side) / 2.0).clamp(0.0, POINT_AIR);
    // Digits of selected cells are a little wider.
    let kept = written.iter().map(|rect| viewport(rect.expand2(vec2(HAIRLINE, air)))).collect();
    // Above the first row there is as much room as the strip of breakpoints leaves.
    let within = layout.cells.with_min_y(layout.cells.top() - FOUND_MARK / 2.0);
    let mut places = PointPlaces::new(side, viewport(within), kept, marked);
    let (space, palette) = (CellSpace::new(table), view.theme.palette);
    let (mut rings, mut shapes) = (Vec::new(), Vec::new());
    for (index, measured) in points.iter().enumerate().filter(|(_, point)| point.is_over(table)) {
        let at = layout.at(space.from_axes((measured.speed_rpm, measured.load)));
        let Some(place) = layout.cells.contains(at).then(|| places.place(point(at))).flatten() else { continue };
        let mut scene = Scene::default();
        draw_measured(&place, measured.in_use, palette.ink, palette.paper, 0.0, &mut scene);
        shapes.push(scene_painter::shape(&scene));
        rings.push((index, to_egui(&place)));
    }
    (rings, shapes)
}

/// The point whose ring is at a place.
pub(super) fn ring_at(rings: &Rings, at: Pos2) -> Option<usize> {
    rings.iter().rev().find(|(_, place)| place.expand(HAIRLINE).contains(at)).map(|(index, _)| *index)
}
