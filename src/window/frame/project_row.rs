//! The open projects as a row of tabs below the top bar, as soon as there are two of them.

use std::ops::Range;

use eframe::egui::{
    self, Align, Align2, FontId, Id, PointerButton, Rect, Role, Sense, StrokeKind, WidgetInfo, pos2, vec2,
};

use crate::window::kit::marks;
use crate::window::kit::theme::frame_sizes::PROJECT_ROW;
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::{color, elided_middle, hairline, ring, strong_font};
use crate::window::state::file_jobs::Next;
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::state::projects::ProjectTab;
use crate::window::state::screen::ScreenMessage;
use crate::window::views::view::View;

/// What finds the open projects in the list of commands.
pub(super) const GO_TO: &str = "Go to";

/// Draws the row.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let bar = ui.max_rect();
    let (theme, projects) = (view.theme, view.projects);
    let room = bar.width() - 2.0 * (theme.margin - PROJECT_ROW.inset);
    let natural: Vec<f32> = projects.list.iter().map(|tab| natural_width(ui, view, tab)).collect();
    let first_id = Id::unique("first tab of a project");
    let first = ui.data(|data| data.get_temp(first_id)).unwrap_or_default();
    let row = Row::of(&natural, room, projects.shown, first);
    ui.data_mut(|data| data.insert_temp(first_id, row.tabs.start));
    let mut left = bar.left() + theme.margin - PROJECT_ROW.inset;
    for (place, width) in row.tabs.clone().zip(&row.widths) {
        let rect = Rect::from_min_size(pos2(left, bar.top()), vec2(*width, bar.height()));
        left = rect.right();
        if let Some(tab) = projects.list.get(place) {
            show_tab(ui, view, outbox, (tab, place == projects.shown), rect);
        }
    }
    if row.tabs.len() < projects.list.len() {
        let width = PROJECT_ROW.all_width;
        let rect = Rect::from_min_size(pos2(bar.right() - theme.margin - width, bar.top()), vec2(width, bar.height()));
        all(ui, view, outbox, rect);
    }
}

/// Which tabs have room, and how wide each is.
#[derive(Debug, PartialEq)]
struct Row {
    tabs: Range<usize>,
    widths: Vec<f32>,
}

impl Row {
    /// Names get the room that they need. If that is too much, the widest tabs become narrower; if even narrow ones are too
    /// many, those from `first` on are there, moved by as little as brings the one shown into view.
    fn of(natural: &[f32], room: f32, shown: usize, first: usize) -> Self {
        let least = PROJECT_ROW.least_width;
        #[expect(clippy::cast_precision_loss, reason = "a handful of projects")]
        let narrow = least * natural.len() as f32;
        if narrow <= room {
            let cap = common_cap(natural, room).max(least);
            return Self { tabs: 0..natural.len(), widths: natural.iter().map(|width| width.min(cap)).collect() };
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a handful of projects")]
        let count = (((room - PROJECT_ROW.all_width) / least).floor().max(1.0) as usize).min(natural.len());
        let first = first.min(shown).max((shown + 1).saturating_sub(count)).min(natural.len() - count);
        Self { tabs: first..first + count, widths: vec![least; count] }
    }
}

/// The greatest width of a tab with which all of them have room.
fn common_cap(natural: &[f32], room: f32) -> f32 {
    let mut sorted = natural.to_vec();
    sorted.sort_by(f32::total_cmp);
    let mut left = room;
    for (place, width) in sorted.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a handful of projects")]
        let share = left / (sorted.len() - place) as f32;
        if *width > share {
            return share;
        }
        left -= width;
    }
    f32::INFINITY
}

/// How wide a tab is that has all the room that its name needs. It is the same whether the project is shown or not, changed
/// or not: nothing moves.
fn natural_width(ui: &egui::Ui, view: &View<'_>, tab: &ProjectTab) -> f32 {
    let font = strong_font(&view.theme.body_font());
    let name = ui.painter().layout_no_wrap(tab.name.clone(), font, egui::Color32::BLACK).size().x;
    let width = name.ceil() + 2.0 * PROJECT_ROW.inset + PROJECT_ROW.star_room + view.theme.cross;
    width.clamp(PROJECT_ROW.least_width, PROJECT_ROW.most_width)
}

fn show_tab(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, (tab, is_shown): (&ProjectTab, bool), rect: Rect) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let response = ui.interact(rect, ui.scope_id().with(tab.id), Sense::click());
    let said = if tab.is_changed { format!("{}, unsaved", tab.name) } else { tab.name.clone() };
    response.widget_info(|| WidgetInfo::selected(Role::Tab, true, is_shown, &said));
    let ground = rect.shrink2(vec2(0.0, PROJECT_ROW.hover_inset));
    if response.hovered() {
        ui.painter().rect_filled(ground, theme.inner_radius(), color(palette.field_hover));
    }
    if response.has_focus() {
        let stroke = ring(color(palette.ink));
        ui.painter().rect_stroke(ground, theme.inner_radius(), stroke, StrokeKind::Inside);
    }
    let cross = Rect::from_center_size(
        pos2(rect.right() - PROJECT_ROW.cross_end - theme.cross / 2.0, rect.center().y),
        egui::Vec2::splat(theme.cross),
    );
    let room =
        Rect::from_x_y_ranges(rect.left() + PROJECT_ROW.inset..=cross.left() - PROJECT_ROW.star_room, rect.y_range());
    let font: FontId = if is_shown { strong_font(&theme.body_font()) } else { theme.body_font() };
    let ink =
        color(if is_shown || response.hovered() || response.has_focus() { palette.ink } else { palette.ink_secondary });
    let written = elided_middle(ui, room, tab.name.as_str(), font).paint(ui, Align::Min, ink);
    if is_shown {
        let y = ui.painter().round_to_pixel_center(written.bottom() + HAIRLINE);
        ui.painter().hline(written.x_range(), y, hairline(ink));
    }
    if tab.is_changed {
        // A dot would be the mark of what is changed from the base.
        let at = pos2(written.right() + PROJECT_ROW.star_room / 4.0, rect.center().y);
        ui.painter().text(at, Align2::LEFT_CENTER, "*", theme.body_font(), ink);
    }
    let place = tab.path.as_ref().map_or_else(|| "no file yet".to_owned(), |path| path.display().to_string());
    let closes = close_button(ui, view, tab, cross);
    let response = response.on_hover_text(format!("{said}\n{place}"));
    if closes || response.clicked_by(PointerButton::Middle) {
        outbox.file(FileAction::Leave(Next::Close(tab.id)));
    } else if response.clicked() && !is_shown {
        outbox.file(FileAction::Leave(Next::Show(tab.id)));
    }
}

/// The cross that closes a project; returns whether it was pressed.
fn close_button(ui: &mut egui::Ui, view: &View<'_>, tab: &ProjectTab, rect: Rect) -> bool {
    let (theme, palette) = (view.theme, view.theme.palette);
    let response = ui.interact(rect, ui.scope_id().with((tab.id, "close")), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Close {}", tab.name)));
    let is_lit = response.hovered() || response.has_focus();
    if is_lit {
        ui.painter().rect_filled(rect, theme.inner_radius(), color(palette.field_pressed));
    }
    let ink = color(if is_lit { palette.ink } else { palette.ink_secondary });
    marks::cross(ui.painter(), rect.shrink(PROJECT_ROW.cross_inset), ink);
    response.on_hover_text("Close this project, after asking about unsaved changes.").clicked()
}

/// Where not all tabs have room: the way to the list of all projects.
fn all(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let words = format!("all {}", view.projects.list.len());
    let response = ui.interact(rect, ui.scope_id().with("all projects"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("{words} projects")));
    let is_lit = response.hovered() || response.has_focus();
    if is_lit {
        let ground = rect.shrink2(vec2(0.0, PROJECT_ROW.hover_inset));
        ui.painter().rect_filled(ground, theme.inner_radius(), color(palette.field_hover));
    }
    let ink = color(if is_lit { palette.ink } else { palette.ink_secondary });
    ui.painter().text(rect.center(), Align2::CENTER_CENTER, words, theme.small_font(), ink);
    if response.on_hover_text("List every open project, to go to any of them.").clicked() {
        outbox.send(ScreenMessage::Find(GO_TO.to_lowercase()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LEAST: f32 = PROJECT_ROW.least_width;

    #[test]
    fn names_get_their_room_and_the_widest_tabs_give_way_first() {
        let natural = [LEAST, 1.5 * LEAST, 2.0 * LEAST];
        assert_eq!(Row::of(&natural, 5.0 * LEAST, 0, 0), Row { tabs: 0..3, widths: natural.to_vec() });
        let row = Row::of(&natural, 4.0 * LEAST, 0, 0);
        assert_eq!(row, Row { tabs: 0..3, widths: vec![LEAST, 1.5 * LEAST, 1.5 * LEAST] });
        assert_eq!(Row::of(&natural, 3.0 * LEAST, 0, 0).widths, vec![LEAST; 3]);
    }

    #[test]
    fn where_tabs_are_too_many_the_one_shown_is_among_those_in_view_and_they_move_little() {
        let natural = [LEAST; 9];
        let room = 4.2 * LEAST + PROJECT_ROW.all_width;
        let tabs = |shown, first| Row::of(&natural, room, shown, first).tabs;
        assert_eq!((tabs(0, 0), tabs(3, 0), tabs(4, 0)), (0..4, 0..4, 1..5));
        assert_eq!((tabs(8, 1), tabs(6, 5), tabs(2, 5)), (5..9, 5..9, 2..6));
        assert_eq!(tabs(8, 99), 5..9, "tabs were closed");
        for (shown, room) in [(0, 1.0), (8, 1.0)] {
            assert!(Row::of(&natural, room, shown, 0).tabs.contains(&shown), "however narrow the window is");
        }
    }
}
