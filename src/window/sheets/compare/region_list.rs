//! What changed in the table: its regions in words.

use eframe::egui::{self, Align, Rect, Role, ScrollArea, Sense, WidgetInfo, pos2};

use super::comparing::Compared;
use super::delta_grid::{DeltaGrid, badge};
use super::rows::{column, line, second, small, text};
use crate::compare::{Region, Threshold};
use crate::window::kit::theme::table_sheet_sizes::{CELLS_WIDTH, ROW_GROUND, WORDS_LEFT};
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::view::View;
use crate::wording::{Unit, given, quantity, step_decimals};

/// Draws the heading, the threshold and the regions.
pub(super) fn show(
    ui: &mut egui::Ui,
    view: &View<'_>,
    compared: Option<&Compared>,
    grid: &mut DeltaGrid,
    outbox: &mut Outbox,
) {
    ui.horizontal(|ui| {
        ui.set_height(view.theme.compare.header_height);
        strong_label(ui, "What changed in the table", view.theme.heading_font());
        ui.with_layout(egui::Layout::right_to_left(Align::Center), |ui| threshold(ui, view, outbox));
    });
    let Some((compared, table)) = compared.and_then(|compared| Some((compared, compared.table()?))) else {
        ui.label(second("The tables cannot be compared; see above.", view.theme));
        return;
    };
    if table.regions.is_empty() {
        ui.add(egui::Label::new(second(nothing(table.figures.changed, view), view.theme)).wrap());
        return;
    }
    ScrollArea::vertical().id_salt("regions").auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = view.theme.gap / 2.0;
        for (number, region) in table.regions.iter().enumerate() {
            entry(ui, view, compared, (number, region), grid, outbox);
        }
    });
}

fn nothing(changed: usize, view: &View<'_>) -> String {
    match changed {
        0 => "No differences: every cell has the base's value.".into(),
        1 => format!(
            "No region: the changed point stays below {}.",
            quantity(view.screen.compare.region_threshold_deg, Unit::Degree)
        ),
        changed => format!(
            "No region: all {changed} changed points stay below {}.",
            quantity(view.screen.compare.region_threshold_deg, Unit::Degree)
        ),
    }
}

/// From how many degrees on points make regions.
fn threshold(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let mut deg = view.screen.compare.region_threshold_deg;
    let drag = egui::DragValue::new(&mut deg).range(0.0..=30.0).speed(0.05).max_decimals(2).suffix("°");
    let drag = drag.custom_formatter(|deg, _| given(deg, Unit::None));
    let response =
        ui.add(drag).on_hover_text("Points that differ by at least this much make regions; 0 takes in every one.");
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::SpinButton, true, "Regions from, degrees");
        info.value = Some(deg);
        info
    });
    ui.label(small("regions from", view.theme));
    if response.changed() && Threshold::new(deg).is_ok() {
        outbox.send(CompareMessage::Threshold(deg));
    }
}

fn entry(
    ui: &mut egui::Ui,
    view: &View<'_>,
    compared: &Compared,
    (number, region): (usize, &Region),
    grid: &mut DeltaGrid,
    outbox: &mut Outbox,
) {
    let (theme, sizes) = (view.theme, &view.theme.compare);
    let top = ui.cursor().min;
    let all = Rect::from_min_size(top, egui::vec2(ui.available_width(), sizes.line_height + sizes.small_line_height));
    let response = ui.interact(all, ui.scope_id().with(("region", number)), Sense::click());
    let load = compared.edited().sensors.load;
    let digits = step_decimals(compared.edited().step_deg);
    let name = format!("Region {}: {}", number + 1, region.words(load, digits));
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(all.expand2(ROW_GROUND), theme.radius, color(theme.palette.field));
    }
    let words = line(ui, sizes.line_height);
    badge(ui.painter(), pos2(words.left() + sizes.badge_radius, words.center().y), number, 1.0, theme);
    let width = words.width() - WORDS_LEFT - CELLS_WIDTH;
    text(ui, column(words, WORDS_LEFT, width), Align::Min, region.headline(digits).into());
    let cells = if region.cells() == 1 { "1 cell".to_owned() } else { format!("{} cells", region.cells()) };
    text(ui, column(words, words.width() - CELLS_WIDTH, CELLS_WIDTH - theme.gap), Align::Max, second(cells, theme));
    ui.add_space(-theme.gap);
    let place = line(ui, sizes.small_line_height);
    text(ui, column(place, WORDS_LEFT, width), Align::Min, small(region.place_words(load), theme));
    let response = response.on_hover_text("Select the cells of this region");
    if response.clicked() {
        if let Some(&point) = region.points.last() {
            grid.bring_into_view(point);
        }
        select(compared, region, outbox);
    }
}

fn select(compared: &Compared, region: &Region, outbox: &mut Outbox) {
    let cells = compared.cells_of(region);
    let Some(cursor) = cells.cells().next() else {
        return outbox.say("This region lies between the table's breakpoints: it has no cell to select");
    };
    outbox.send(ScreenMessage::Select(CellSelection { cells, cursor, anchor: cursor }));
}
