//! The selected cell's row as a curve: with the trims, and dashed without them.

use eframe::egui::{Rect, Role, Sense, Ui, UiBuilder, WidgetInfo, pos2, vec2};

use super::effect::Effect;
use crate::drawing::SliceSpec;
use crate::table::Cell;
use crate::window::kit::chart::paint_slice;
use crate::window::kit::scene_painter::viewport;
use crate::window::kit::theme::table_sheet_sizes::TRIMS_SIZES;
use crate::window::views::surface::heading;
use crate::window::views::view::View;
use crate::wording::{Unit, quantity};

/// Draws the row into a place, unless there is no room for it.
pub(super) fn show(ui: &mut Ui, rect: Rect, effect: &Effect, view: &View<'_>) {
    let sizes = &TRIMS_SIZES;
    if rect.height() < sizes.least_line_height {
        return;
    }
    let table = view.table();
    let cursor = view.screen.selection.cursor;
    let Some(&load) = table.load().breakpoints().get(cursor.load) else { return };
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("trimmed row"));
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), sizes.controls_height));
    let title = format!("Along {}", quantity(load, view.project.sensors.load.unit()));
    heading(&mut ui, head, &title, "dashed: without trims", view.theme);
    let speeds = table.speed().breakpoints().iter().enumerate();
    let trimmed = speeds.map(|(speed, &at)| {
        let cell = Cell::new(cursor.load, speed);
        ((at, effect.at(table.index(cell)).with_deg), (at, table.at(cell)))
    });
    let (points, base): (Vec<_>, Vec<_>) = trimmed.unzip();
    let place = Rect::from_min_max(pos2(rect.left(), head.bottom()), rect.max);
    let spec = SliceSpec {
        points: &points,
        base: &base,
        value_range: table.extremes(),
        scale_stands: false,
        now: &[],
        active: Some(cursor.speed),
        hovered: None,
        selected: &[],
        units: (Unit::Rpm, Unit::Degree),
        look: view.theme.palette.look,
        rect: viewport(place),
    };
    paint_slice(ui.painter(), place, &spec, view.theme);
    let canvas = ui.interact(place, ui.scope_id().with("row"), Sense::hover());
    canvas.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, format!("{title}, with and without trims")));
}
