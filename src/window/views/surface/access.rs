//! What a screen reader reads of the surface.

use eframe::egui::{Response, Role, WidgetInfo};

use super::controls;
use crate::window::views::grip::place;
use crate::window::views::view::View;

pub(in crate::window) fn describe_surface(canvas: &Response, view: &View<'_>) {
    canvas.widget_info(|| {
        let cursor = view.screen.selection.cursor;
        let (place, value) = (place(view, cursor), view.degrees(view.table().at(cursor)));
        let seen = controls::view_name(&view.screen.surface.camera);
        WidgetInfo::labeled(Role::Canvas, true, format!("surface of advance, {seen}, cursor {place}, {value} degrees"))
    });
}
