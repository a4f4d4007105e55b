//! What changed in the table: its regions in words.

use eframe::egui::{self, Align, Rect, Role, ScrollArea, Sense, WidgetInfo, pos2};

use super::comparing::Compared;
use super::delta_grid::DeltaGrid;
use super::region_mark::{self, Badge};
use super::rows::{column, line, link, second, small, text};
use super::take_back;
use crate::compare::{Region, Threshold};
use crate::window::kit::slider::is_given_up;
use crate::window::kit::still::{Line, StillList};
use crate::window::kit::theme::table_sheet_sizes::{CELLS_WIDTH, CHOSEN_BAR, ROW_GROUND, WORDS_LEFT};
use crate::window::kit::theme::{Theme, color, strong_label};
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;
use crate::wording::{Unit, count, given, quantity, step_decimals};

/// What the list keeps between frames: its lines, while the pointer is over them.
#[derive(Default)]
pub(super) struct RegionList {
    still: StillList<Region>,
    /// Where the lines were drawn.
    drawn: Option<Rect>,
}

impl RegionList {
    /// Draws the heading, the threshold and the regions.
    pub(super) fn show(
        &mut self,
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
        let is_over = self.drawn.is_some_and(|rect| ui.rect_contains_pointer(rect));
        let lines = self.still.lines(&table.regions, is_over, |one, other| one.points == other.points);
        self.drawn = Some(ui.available_rect_before_wrap());
        if lines.is_empty() {
            ui.add(egui::Label::new(second(nothing(table.figures.changed, view), view.theme)).wrap());
            return;
        }
        let chosen = compared.chosen_region(view.screen.selection.cursor);
        ScrollArea::vertical().id_salt("regions").auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = view.theme.gap / 2.0;
            for (place, Line { shown, now, .. }) in lines.iter().enumerate() {
                let number = now.as_ref().and_then(|now| table.regions.iter().position(|region| region == now));
                match number.zip(now.as_ref()) {
                    Some((number, region)) => {
                        let entry = Entry { place, number, region, is_chosen: chosen == Some(number) };
                        entry.show(ui, view, compared, grid, outbox);
                    }
                    None => gone(ui, view, compared, shown),
                }
            }
        });
    }
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
    let drag = drag.update_while_editing(false).custom_formatter(|deg, _| given(deg, Unit::None));
    let response =
        ui.add(drag).on_hover_text("Points that differ by at least this much make regions; 0 takes in every one.");
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::SpinButton, true, "Regions from, degrees");
        info.value = Some(deg);
        info
    });
    ui.label(small("regions from", view.theme));
    let is_given_up = is_given_up(ui, &response);
    if response.changed() && !is_given_up && Threshold::new(deg).is_ok() {
        outbox.send(CompareMessage::Threshold(deg));
    }
}

/// The two rows of a line: what happened, and where.
fn room(ui: &mut egui::Ui, theme: &Theme) -> [Rect; 2] {
    let words = line(ui, theme.compare.line_height);
    ui.add_space(-theme.gap);
    [words, line(ui, theme.compare.small_line_height)]
}

/// A region that is no longer there, which keeps its line while the pointer is over the list.
fn gone(ui: &mut egui::Ui, view: &View<'_>, compared: &Compared, region: &Region) {
    let theme = view.theme;
    let [words, place] = room(ui, theme);
    let width = words.width() - WORDS_LEFT - theme.gap;
    let digits = step_decimals(compared.edited().step_deg);
    text(ui, column(words, WORDS_LEFT, width - CELLS_WIDTH), Align::Min, second(region.headline(digits), theme));
    text(ui, column(words, WORDS_LEFT, width), Align::Max, small("not so any more", theme));
    let load = compared.edited().sensors.load;
    text(ui, column(place, WORDS_LEFT, width), Align::Min, small(region.place_words(load), theme));
}

/// A region with a line of its own.
struct Entry<'a> {
    /// The line in the list.
    place: usize,
    /// The place among the regions.
    number: usize,
    region: &'a Region,
    is_chosen: bool,
}

impl Entry<'_> {
    fn show(&self, ui: &mut egui::Ui, view: &View<'_>, compared: &Compared, grid: &mut DeltaGrid, outbox: &mut Outbox) {
        let (theme, sizes) = (view.theme, &view.theme.compare);
        let Self { number, region, is_chosen, .. } = *self;
        let before = ui.cursor().min;
        let size = egui::vec2(ui.available_width(), sizes.line_height + sizes.small_line_height);
        let response =
            ui.interact(Rect::from_min_size(before, size), ui.scope_id().with(("region", self.place)), Sense::click());
        let load = compared.edited().sensors.load;
        let digits = step_decimals(compared.edited().step_deg);
        let name = format!("Region {}: {}", number + 1, region.words(load, digits));
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_chosen, &name));
        self.ground(ui, theme, &response);
        let [words, place] = room(ui, theme);
        let at = pos2(words.left() + sizes.badge_radius + CHOSEN_BAR, words.center().y);
        region_mark::paint(ui.painter(), at, Badge { number, size: 1.0, is_chosen }, theme);
        let width = words.width() - WORDS_LEFT - CELLS_WIDTH;
        text(ui, column(words, WORDS_LEFT, width), Align::Min, region.headline(digits).into());
        let cells = small(count(region.cells(), "cell"), theme);
        text(ui, column(place, place.width() - CELLS_WIDTH, CELLS_WIDTH - theme.gap), Align::Max, cells);
        text(ui, column(place, WORDS_LEFT, width), Align::Min, small(region.place_words(load), theme));
        let end = column(words, words.width() - CELLS_WIDTH, CELLS_WIDTH - theme.gap);
        let told = format!("Take region {} back", number + 1);
        let taken = link(ui, end, "take back", &told, theme);
        if taken.on_hover_text(format!("{told}: the base's values for its cells, as one step.")).clicked() {
            take_back::region(view, compared, region, outbox);
        } else if response.on_hover_text("Select the cells of this region").clicked() {
            if let Some(&point) = region.points.last() {
                grid.bring_into_view(point);
            }
            region_mark::choose(compared, region, outbox);
        }
    }

    /// What says that the line is chosen, or pointed at.
    fn ground(&self, ui: &egui::Ui, theme: &Theme, response: &egui::Response) {
        let all = response.rect.expand2(ROW_GROUND);
        if response.hovered() || response.has_focus() {
            ui.painter().rect_filled(all, theme.radius, color(theme.palette.field));
        }
        if self.is_chosen {
            ui.painter().rect_filled(all, 0.0, color(theme.palette.selection));
            let bar = all.with_max_x(all.left() + CHOSEN_BAR);
            ui.painter().rect_filled(bar, 0.0, color(theme.palette.accent));
        }
    }
}
