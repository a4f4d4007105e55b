//! Sections of a form in columns. As a column scrolls, the heading of the section at its upper edge stays there, so that a row
//! such as 'Switched on' still says what it switches.

use eframe::egui::{self, Id, Rect, Role, Sense, UiBuilder, WidgetInfo, pos2, vec2};

use super::FORM_SIZES;
use crate::window::kit::theme::kit_sizes::{HAIRLINE, ROUNDING};
use crate::window::kit::theme::{Theme, color, hairline};

/// A heading that a column has drawn in this frame.
#[derive(Clone)]
struct Drawn {
    text: String,
    rect: Rect,
    theme: Theme,
}

/// A heading over a group of rows, with room above it unless it is the first of its column.
pub fn heading(ui: &mut egui::Ui, theme: &Theme, text: &str) {
    if ui.cursor().top() > ui.max_rect().top() + ROUNDING {
        ui.add_space(FORM_SIZES.section_gap);
    }
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), FORM_SIZES.heading_height), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Heading, true, text));
    let ink = color(theme.palette.ink);
    let galley = ui.painter().layout_no_wrap(text.to_owned(), theme.heading_font(), ink);
    ui.painter().galley(rect.min, galley, ink);
    let drawn = Drawn { text: text.to_owned(), rect, theme: theme.clone() };
    remember(ui, key(ui), drawn);
}

/// Under what the headings of a column are remembered until it is drawn.
fn key(ui: &egui::Ui) -> Id {
    ui.unique_id().with("headings")
}

/// Draws the heading of the section that the upper edge of what is seen lies in, where it has scrolled away; the next one
/// pushes it out.
fn keep_heading(column: &egui::Ui, width: f32) {
    let headings = column.data_mut(|data| data.remove_temp::<Vec<Drawn>>(key(column))).unwrap_or_default();
    let top = column.clip_rect().top();
    let Some(at) = headings.iter().rposition(|heading| heading.rect.top() < top) else { return };
    let Some(Drawn { text, theme, .. }) = headings.get(at) else { return };
    let next = headings.get(at + 1).map_or(f32::INFINITY, |next| next.rect.top() - FORM_SIZES.row_gap);
    let end = next.min(column.min_rect().bottom());
    let bottom = (top + FORM_SIZES.heading_height).min(end);
    if bottom <= top {
        return;
    }
    let left = column.max_rect().left();
    let rect = Rect::from_min_max(pos2(left, bottom - FORM_SIZES.heading_height), pos2(left + width, bottom));
    // What lies below it is not clicked through it.
    column.interact(rect, column.unique_id().with("kept heading"), Sense::CLICK);
    let kept = Drawn { text: text.clone(), rect, theme: theme.clone() };
    remember(column, page_key(), kept);
}

/// Under what the headings that stay are remembered until their page is drawn.
fn page_key() -> Id {
    Id::unique("headings that stay")
}

/// Remembers a heading, but only where somebody asks for it.
fn remember(ui: &egui::Ui, key: Id, heading: Drawn) {
    ui.data_mut(|data| {
        if let Some(mut headings) = data.get_temp::<Vec<Drawn>>(key) {
            headings.push(heading);
            data.insert_temp(key, headings);
        }
    });
}

fn ask_for(ui: &egui::Ui, key: Id) {
    ui.data_mut(|data| data.insert_temp(key, Vec::<Drawn>::new()));
}

/// A page whose columns keep their headings: `draw` scrolls them and gives the part of the page that they are seen in.
/// What fades at its edges does not fade the headings.
pub(super) fn with_kept_headings(ui: &mut egui::Ui, draw: impl FnOnce(&mut egui::Ui) -> Rect) {
    ask_for(ui, page_key());
    let seen = draw(ui);
    let headings = ui.data_mut(|data| data.remove_temp::<Vec<Drawn>>(page_key())).unwrap_or_default();
    let painter = ui.painter().with_clip_rect(seen);
    for Drawn { text, rect, theme } in headings {
        painter.rect_filled(rect, 0.0, color(theme.palette.paper));
        let ink = color(theme.palette.ink);
        let galley = painter.layout_no_wrap(text, theme.heading_font(), ink);
        painter.galley(rect.min, galley, ink);
        let y = painter.round_to_pixel_center(rect.bottom() - HAIRLINE);
        painter.hline(rect.x_range(), y, hairline(color(theme.palette.rule)));
    }
}

/// Draws `count` columns of equal width side by side; they take the height of the longest.
pub fn columns(ui: &mut egui::Ui, count: usize, draw: impl FnMut(&mut egui::Ui, usize)) {
    #[expect(clippy::cast_precision_loss, reason = "a handful of columns")]
    let width = (ui.available_width() - FORM_SIZES.column_gap * (count.max(1) as f32 - 1.0)) / count.max(1) as f32;
    columns_of(ui, &vec![width; count.max(1)], draw);
}

/// Draws columns of these widths side by side; they take the height of the longest.
pub fn columns_of(ui: &mut egui::Ui, widths: &[f32], mut draw: impl FnMut(&mut egui::Ui, usize)) {
    let whole = ui.available_rect_before_wrap();
    let (mut left, mut bottom) = (whole.left(), whole.top());
    for (place, width) in widths.iter().enumerate() {
        let rect = egui::Rect::from_min_max(pos2(left, whole.top()), pos2(left + width, whole.bottom()));
        let mut column = ui.new_child(UiBuilder::new().max_rect(rect).id_salt(("form column", place)));
        column.spacing_mut().item_spacing.y = FORM_SIZES.row_gap;
        ask_for(&column, key(&column));
        draw(&mut column, place);
        keep_heading(&column, *width);
        bottom = bottom.max(column.min_rect().bottom());
        left += width + FORM_SIZES.column_gap;
    }
    ui.allocate_rect(egui::Rect::from_min_max(whole.min, pos2(whole.right(), bottom)), Sense::hover());
}
