//! Edited against base: the difference as a grid, as a surface, in words and in figures, and the way back.

mod chooser;
mod comparing;
mod delta_grid;
mod field_list;
mod merge;
mod names;
mod region_list;
mod region_mark;
mod rows;
mod snapshots;
mod surface;
mod take_back;

use std::sync::Arc;

use eframe::egui::{self, Align, Label, Rect, Role, Sense, UiBuilder, WidgetInfo, pos2, vec2};

use self::chooser::Chosen;
use self::comparing::{Compared, Comparing};
use self::delta_grid::DeltaGrid;
use self::merge::MergeView;
use self::region_list::RegionList;
use self::surface::CompareSurface;
use self::take_back::Reasons;
use crate::compare::FieldDifferences;
use crate::window::kit::grid::axis_name;
use crate::window::kit::parts::part;
use crate::window::kit::theme::kit_sizes::TIGHT_GAP;
use crate::window::kit::theme::table_sheet_sizes::{GRID_SHARE, LEAST_SCALE, LISTS_SHARE, TOGGLE_WIDTH};
use crate::window::kit::theme::{Theme, color, hairline, strong_label};
use crate::window::state::commands::Command;
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::command_buttons::button;
use crate::window::views::grid::axes;
use crate::window::views::layers::{self, Legend, SureLegend};
use crate::window::views::view::View;
use crate::wording::capital;

/// What the sheet's views cache.
#[derive(Default)]
pub struct CompareSheet {
    comparing: Comparing,
    grid: DeltaGrid,
    regions: RegionList,
    surface: CompareSurface,
    reasons: Reasons,
    /// The fields with a line.
    fields: Option<FieldDifferences>,
    merge: MergeView,
}

/// What the status line says on this sheet.
pub fn pointed_at(view: &View<'_>) -> String {
    names::pointed_at(view)
}

/// The form for a snapshot, which opens over any sheet.
pub fn snapshot_form(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    snapshots::show(ctx, view, outbox);
}

impl CompareSheet {
    /// Draws the sheet.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let whole = ui.available_rect_before_wrap();
        if view.screen.compare.merging.is_some() {
            self.merge.show(&mut part(ui, whole), view, outbox);
        } else {
            self.show_comparison(ui, view, outbox);
        }
        ui.allocate_rect(whole, egui::Sense::hover());
    }

    fn show_comparison(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let (theme, sizes) = (view.theme, &view.theme.compare);
        let whole = ui.available_rect_before_wrap();
        let compared = self.comparing.get(view, ui.ctx());
        let fault = compared.as_ref().err().map(ToString::to_string);
        let compared = compared.ok().flatten();
        let grid = compared.as_ref().and_then(|compared| Some((compared, compared.table()?)));
        let needed = grid.map_or(0.0, |(compared, table)| DeltaGrid::whole_size(ui, view, compared, table).y);
        let left = whole.height() - needed - height_around(theme);
        // If the grid scrolls in any case, the lists keep their room.
        let scrolls = left < sizes.least_lists_height;
        let left = if scrolls { whole.height() * LISTS_SHARE } else { left };
        let lists = sizes.lists_height.min(left).max(sizes.least_lists_height);
        let rule = whole.bottom() - lists;
        let above = Rect::from_min_max(whole.min, pos2(whole.right(), rule));
        let below = Rect::from_min_max(pos2(whole.left(), rule), whole.max);
        ui.painter().hline(whole.x_range(), rule, hairline(color(theme.palette.rule)));
        let margin = vec2(theme.margin, 0.0);
        self.tables(&mut part(ui, above.shrink2(margin)), view, compared.as_ref(), fault, outbox);
        self.lists(&mut part(ui, below.shrink2(margin)), view, compared.as_deref(), outbox);
    }

    /// Grid and surface side by side, or one of them where there is room for one.
    fn tables(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        compared: Option<&Arc<Compared>>,
        fault: Option<String>,
        outbox: &mut Outbox,
    ) {
        let (theme, sizes) = (view.theme, &view.theme.compare);
        let whole = ui.available_rect_before_wrap();
        let Some((compared, table)) = compared.and_then(|compared| Some((compared, compared.table()?))) else {
            let mut ui = part(ui, whole);
            header(&mut ui, view, Beside::Nothing, outbox);
            let refusal =
                compared.and_then(|compared| compared.comparison.table.as_ref().err().map(ToString::to_string));
            let why = fault.or(refusal).map_or_else(|| "Comparing…".to_owned(), |why| sentence(&why));
            ui.add_space(theme.margin);
            ui.add(Label::new(why).wrap());
            return;
        };
        let share = whole.width() * GRID_SHARE;
        let most = whole.width() - sizes.least_surface_width - theme.margin;
        let needed = DeltaGrid::whole_size(ui, view, compared, table).x;
        // If the grid scrolls in any case, it need not take room from the surface.
        let width = if needed <= most { needed.max(share) } else { share };
        let both = width <= most;
        let split = whole.left() + width;
        let (left, right) = if both {
            (
                Rect::from_min_max(whole.min, pos2(split, whole.bottom())),
                Rect::from_min_max(pos2(split + theme.margin, whole.top()), whole.max),
            )
        } else {
            (whole, whole)
        };
        if both || !view.screen.surface.tab {
            let beside = if both { Beside::Nothing } else { Beside::Tab };
            self.grid(&mut part(ui, left), view, compared, beside, outbox);
        }
        if both || view.screen.surface.tab {
            let mut ui = part(ui, right);
            if !both {
                header(&mut ui, view, Beside::Tab, outbox);
            } else {
                ui.add_space(theme.gap + TIGHT_GAP);
            }
            self.surface.show(&mut ui, view, compared, outbox);
        }
    }

    fn grid(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        compared: &Arc<Compared>,
        beside: Beside,
        outbox: &mut Outbox,
    ) {
        let theme = view.theme;
        let free = header(ui, view, beside, outbox);
        let Some(table) = compared.table() else { return };
        let rest = ui.available_rect_before_wrap();
        let buttons = theme.sentence_height + 2.0 * theme.gap;
        let body = Rect::from_min_max(rest.min, rest.max - vec2(0.0, buttons + theme.small_target + TIGHT_GAP));
        let layout = self.grid.show(&mut part(ui, body), view, (compared, table), outbox);
        name_speeds(ui, view, free, layout.cells.right().min(free.right()));
        // Where the cells have all the room that they can use, scale and buttons follow them.
        let foot = (layout.cells.bottom() + theme.grid.bar).min(body.bottom());
        let width = (layout.cells.right() - body.left()).max(LEAST_SCALE).min(body.width());
        let strip = Rect::from_min_size(pos2(body.left(), foot + TIGHT_GAP), vec2(width, theme.small_target));
        let legend = Legend {
            scale: delta_grid::scale(view, compared),
            origins: Vec::new(),
            base: Some(&view.base.name),
            beyond: None,
            sure: SureLegend::default(),
        };
        layers::legend(ui, view, outbox, strip, &legend);
        let at = Rect::from_min_max(pos2(body.left(), strip.bottom() + theme.gap), rest.max);
        let at = at.with_max_y(at.top() + theme.sentence_height);
        let mut row = ui.new_child(UiBuilder::new().max_rect(at).layout(egui::Layout::left_to_right(Align::Center)));
        take_back::buttons(&mut row, view, compared, &mut self.reasons, outbox);
        let is_on = view.screen.compare.difference_as_surface;
        let text = if is_on { "Show both surfaces" } else { "Show difference as surface" };
        if take_back::button(
            &mut row,
            (text, TOGGLE_WIDTH),
            "What the surface shows: edited over base, or edited minus base.",
            None,
        )
        .clicked()
        {
            outbox.send(CompareMessage::AsSurface(!is_on));
        }
    }

    /// Regions, fields, figures.
    fn lists(&mut self, ui: &mut egui::Ui, view: &View<'_>, compared: Option<&Compared>, outbox: &mut Outbox) {
        let (theme, sizes) = (view.theme, &view.theme.compare);
        let whole = ui.available_rect_before_wrap().shrink2(vec2(0.0, theme.gap));
        let table = compared.and_then(Compared::table);
        // If there is little room the figures get one line; the rest is in the tooltip.
        let lines = if whole.height() < 1.5 * sizes.least_lists_height { 1.0 } else { 2.0 };
        let figures = if table.is_some() { lines * sizes.small_line_height + theme.gap } else { 0.0 };
        let lists = Rect::from_min_max(whole.min, whole.max - vec2(0.0, figures));
        let regions_width = sizes.regions_width.min(whole.width() * 0.45);
        let regions = Rect::from_min_size(lists.min, vec2(regions_width, lists.height()));
        let gap = theme.margin * 2.0;
        let fields_left = regions.right() + gap;
        let fields = Rect::from_min_max(pos2(fields_left, lists.top()), lists.max);
        self.regions.show(&mut part(ui, regions), view, compared, &mut self.grid, outbox);
        field_list::show(&mut part(ui, fields), view, compared, &mut self.fields, outbox);
        if let (Some(compared), Some(table)) = (compared, table) {
            let at = Rect::from_min_max(pos2(whole.left(), lists.bottom() + theme.gap), whole.max);
            rows::show_figures(&mut part(ui, at), view, (compared, table), fields_left);
        }
    }
}

/// The height of heading and buttons round the grid.
fn height_around(theme: &Theme) -> f32 {
    let (heading, buttons) = (theme.compare.header_height + 3.0 * theme.gap, theme.sentence_height + 3.0 * theme.gap);
    heading + buttons + theme.small_target + TIGHT_GAP
}

/// What stands at the right end of the heading.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Beside {
    /// Nothing.
    Nothing,
    /// A tab to switch to the part that there is no room for.
    Tab,
}

/// Heading and choice of the base; gives what they leave free.
fn header(ui: &mut egui::Ui, view: &View<'_>, beside: Beside, outbox: &mut Outbox) -> Rect {
    let theme = view.theme;
    ui.add_space(theme.gap + TIGHT_GAP);
    ui.horizontal(|ui| {
        ui.set_height(theme.compare.header_height);
        strong_label(ui, "Difference ° edited \u{2212} base", theme.heading_font());
        ui.add_space(theme.margin);
        chooser::show(ui, view, Chosen::Base, outbox);
        button(ui, view, outbox, Command::Merge, "Merge…");
        ui.with_layout(egui::Layout::right_to_left(Align::Center), |ui| {
            if beside == Beside::Tab {
                let other = if view.screen.surface.tab { "Show grid" } else { "Show surface" };
                button(ui, view, outbox, Command::SurfaceTab, other);
            }
            ui.available_rect_before_wrap()
        })
        .inner
    })
    .inner
}

/// The name of the speed axis in what the heading leaves free, if there is room: a panel may take it.
fn name_speeds(ui: &mut egui::Ui, view: &View<'_>, free: Rect, right: f32) {
    // Over the right end of the cells, or where they end under the buttons, at the end of the line.
    let at = |right: f32| {
        let tip = pos2(right, free.center().y);
        axis_name(ui, view.theme, &axes(view)[0], tip, free.left() + view.theme.gap)
    };
    if let Some(name) = at(right).or_else(|| at(free.right())) {
        let response = ui.interact(name, ui.scope_id().with("speed axis"), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, "speed runs to the right, rpm"));
    }
}

/// With a capital and a full stop.
fn sentence(text: &str) -> String {
    format!("{}.", capital(text).trim_end_matches('.'))
}
