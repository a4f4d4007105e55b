//! Degrees added for coolant and air temperature: the curves, their weight over load, and what they do to the table.

mod effect;
mod sum_bar;
mod sum_view;
mod sum_words;

use eframe::egui::{self, Rect, RichText, ScrollArea, Sense, UiBuilder, pos2, vec2};

use self::effect::{Effect, EffectGrid};
use self::sum_view::Asked;
use self::sum_words::Source;
use crate::project::Trim;
use crate::window::kit::theme::table_sheet_sizes::{EFFECT_CONTROLS, EFFECT_FIELD, EFFECT_HEADING, TRIMS_SIZES};
use crate::window::kit::theme::view_sizes::GRID_HEADING_MIDDLE;
use crate::window::kit::theme::{color, hairline};
use crate::window::state::outbox::Outbox;
use crate::window::state::trims_state::TrimsMessage;
use crate::window::views::curve_editor::{CurveEditor, CurveOf, CurveSpec};
use crate::window::views::form::{self, Amount};
use crate::window::views::grid::Places;
use crate::window::views::grip;
use crate::window::views::surface::{heading, quiet_button};
use crate::window::views::table_layout::TableLayout;
use crate::window::views::view::View;
use crate::wording::{Unit, signed, step_decimals, with_unit};

/// What the sheet's views keep for speed, and the drags that are going on in them.
pub struct TrimsSheet {
    coolant: TrimView,
    air: TrimView,
    effect: Effect,
    grid: EffectGrid,
}

impl Default for TrimsSheet {
    fn default() -> Self {
        Self {
            coolant: TrimView::coolant(),
            air: TrimView::air(),
            effect: Effect::default(),
            grid: EffectGrid::default(),
        }
    }
}

/// One of the two trims.
struct TrimView {
    name: &'static str,
    enabled: &'static str,
    stand_in: &'static str,
    degrees: CurveEditor,
    weight: CurveEditor,
}

impl TrimView {
    const fn coolant() -> Self {
        Self {
            name: "Coolant trim",
            enabled: "trims.coolant.enabled",
            stand_in: "sensors.coolant.stand_in_c",
            degrees: CurveEditor::new(CurveOf::CoolantTrim),
            weight: CurveEditor::new(CurveOf::CoolantWeight),
        }
    }

    const fn air() -> Self {
        Self {
            name: "Air trim",
            enabled: "trims.air.enabled",
            stand_in: "sensors.air.stand_in_c",
            degrees: CurveEditor::new(CurveOf::AirTrim),
            weight: CurveEditor::new(CurveOf::AirWeight),
        }
    }

    /// Draws the trim into a place: switches, then degrees and weight beside each other, or below where it is narrow.
    fn show(
        &mut self,
        ui: &mut egui::Ui,
        rect: Rect,
        (trim, temperature_c, is_lit): (&Trim, f64, bool),
        view: &View<'_>,
        outbox: &mut Outbox,
    ) -> Option<String> {
        let (sizes, theme) = (&TRIMS_SIZES, view.theme);
        if is_lit {
            ui.painter().rect_filled(rect.expand(theme.gap / 2.0), theme.radius, color(theme.palette.field_hover));
        }
        let is_wide = rect.width() >= sizes.both_curves;
        let line = Rect::from_min_size(rect.min, vec2(rect.width(), theme.field_height));
        let second = if is_wide { line } else { line.translate(vec2(0.0, theme.field_height + theme.gap)) };
        self.switches(ui, [line, second], view, outbox);
        let below = rect.with_min_y(second.bottom() + theme.gap);
        let (degrees, weight) = if is_wide {
            let split = (below.left() + (below.width() - sizes.between_curves) * sizes.degrees_share).round();
            (below.with_max_x(split), below.with_min_x(split + sizes.between_curves))
        } else {
            let split = (below.center().y).round();
            (below.with_max_y(split), below.with_min_y(split))
        };
        let mut spec = CurveSpec::new("Degrees added", 6.0);
        (spec.is_off, spec.mark) = (!trim.enabled, Some(temperature_c));
        let pointed = self.degrees.show(ui, degrees, view, outbox, &spec);
        let mut spec = CurveSpec::new("Weight", 1.0);
        let load = view.table().load();
        (spec.is_off, spec.shows, spec.reach) = (!trim.enabled, (0.0, 1.0), Some((load.first(), load.last())));
        spec.remark = format!("share over load {}", view.project.sensors.load.unit());
        spec.mark = load.breakpoints().get(view.screen.selection.cursor.load).copied();
        pointed.or(self.weight.show(ui, weight, view, outbox, &spec))
    }

    /// The least height of such a trim.
    fn least_height(width: f32, view: &View<'_>) -> f32 {
        let sizes = &TRIMS_SIZES;
        if width >= sizes.both_curves {
            return sizes.curves_height.0;
        }
        2.0 * (sizes.curves_height.0 - view.theme.field_height - view.theme.gap) + 2.0 * view.theme.field_height
    }

    /// On or off, and what a failed sender counts as.
    fn switches(&self, ui: &mut egui::Ui, [line, second]: [Rect; 2], view: &View<'_>, outbox: &mut Outbox) {
        let sizes = &TRIMS_SIZES;
        let part = |line: Rect, left: f32, width: f32| {
            Rect::from_min_size(pos2(line.left() + left, line.top()), vec2(width, line.height()))
        };
        let field_width = form::FORM_SIZES.field_width;
        heading(ui, part(line, 0.0, sizes.name_width), self.name, "", view.theme);
        let words = part(line, sizes.name_width, sizes.switch_width - sizes.name_width);
        form::label(ui, view.theme, words, "Switched on");
        form::field_at(ui, view, outbox, part(line, sizes.switch_width, field_width), self.enabled);
        let box_left = line.width() - field_width;
        let (words, from) = if line == second {
            ("A failed sender counts as", box_left - sizes.stand_in_width)
        } else {
            ("Failed sender", 0.0)
        };
        form::label(ui, view.theme, part(second, from, box_left - from), words);
        let refused = form::field_at(ui, view, outbox, part(second, box_left, field_width), self.stand_in);
        if let Some(why) = refused {
            let from = sizes.switch_width + field_width / 2.0;
            let room = line.width() - from - if line == second { field_width + sizes.stand_in_width } else { 0.0 };
            form::remark(ui, view.theme, part(line, from, room), self.stand_in, &why);
        }
    }
}

impl TrimsSheet {
    /// Draws the sheet: the table with the trims where Advance has it, the sum at its cell below, the curves beside both;
    /// all below each other where it is narrow.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        self.effect.settle(view);
        let (sizes, margin) = (&TRIMS_SIZES, view.theme.margin);
        let whole = ui.available_rect_before_wrap();
        ui.expand_to_include_rect(whole);
        let at = TableLayout::of(ui, view, whole, 0.0);
        let column = whole.with_min_x(at.grid.right());
        if column.width() < sizes.least_column {
            let mut page = ui.new_child(UiBuilder::new().max_rect(whole).id_salt("trims"));
            form::page(&mut page, view.theme, "trims", |ui| self.narrow(ui, view, outbox));
            return;
        }
        let rule = hairline(color(view.theme.palette.rule));
        let under = at.below.with_max_x(at.grid.right());
        ui.painter().vline(column.left() + rule.width / 2.0, column.y_range(), rule);
        ui.painter().hline(under.x_range(), under.top(), rule);
        let pointed = self.table(ui, (at.tabs, at.grid), view, outbox);
        let under = under.shrink2(vec2(margin, view.theme.gap));
        let sum_height = sum_view::height(view.theme);
        let has_row = under.height() >= sum_height + margin + sizes.row_height;
        let sum = if has_row { under.with_max_y(under.top() + sum_height) } else { under };
        let asked = sum_view::show(ui, sum, view, outbox);
        if has_row {
            effect::show(ui, under.with_min_y(sum.bottom() + margin), &self.effect, view);
        }
        let inner = column.shrink2(vec2(margin, view.theme.gap));
        let in_curves = self.column(ui, (inner, !has_row), asked, view, outbox);
        sum_view::arrive(ui, asked, view);
        let leads = || asked.lit.and_then(sum_view::leads_to);
        outbox.point_at(view.screen, in_curves.or(pointed).or_else(leads).unwrap_or_default());
    }

    /// The two trims below each other, and where there is room the row of the table; it scrolls where there is too little.
    fn column(
        &mut self,
        ui: &mut egui::Ui,
        (column, wants_row): (Rect, bool),
        asked: Asked,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) -> Option<String> {
        let (sizes, margin) = (&TRIMS_SIZES, view.theme.margin);
        let least = TrimView::least_height(column.width(), view);
        let spare = column.height() - 2.0 * least - margin;
        if spare < 0.0 {
            let mut ui = ui.new_child(UiBuilder::new().max_rect(column).id_salt("curves"));
            let shown = ScrollArea::vertical().id_salt("curves").auto_shrink(false).show(&mut ui, |ui| {
                let width = ui.available_width() - margin;
                let least = TrimView::least_height(width, view);
                let room = |ui: &mut egui::Ui| ui.allocate_exact_size(vec2(width, least), Sense::hover()).0;
                let coolant = room(ui);
                ui.add_space(margin);
                let trims = [coolant, room(ui)];
                for (place, source) in trims.into_iter().zip([Source::Coolant, Source::Air]) {
                    if asked.to == Some(source) {
                        ui.scroll_to_rect(place, None);
                    }
                }
                self.trims(ui, trims, asked, view, outbox)
            });
            return shown.inner;
        }
        let row = if wants_row && spare >= margin + sizes.row_height {
            (spare - margin).min(column.height() * sizes.row_share).max(sizes.row_height)
        } else {
            0.0
        };
        let rest = if row > 0.0 { column.height() - row - margin } else { column.height() };
        let height = ((rest - margin) / 2.0).min(sizes.curves_height.1).floor();
        let coolant = Rect::from_min_size(column.min, vec2(column.width(), height));
        let air = coolant.translate(vec2(0.0, height + margin));
        if row > 0.0 {
            effect::show(ui, column.with_min_y(air.bottom() + margin), &self.effect, view);
        }
        self.trims(ui, [coolant, air], asked, view, outbox)
    }

    fn trims(
        &mut self,
        ui: &mut egui::Ui,
        [coolant, air]: [Rect; 2],
        asked: Asked,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) -> Option<String> {
        let (trims, state) = (&view.project.trims, &view.screen.trims);
        let of = (&trims.coolant, state.coolant_c, asked.lit == Some(Source::Coolant));
        let pointed = self.coolant.show(ui, coolant, of, view, outbox);
        let of = (&trims.air, state.air_c, asked.lit == Some(Source::Air));
        pointed.or(self.air.show(ui, air, of, view, outbox))
    }

    /// Everything below each other.
    fn narrow(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let sizes = &TRIMS_SIZES;
        let width = ui.available_width();
        let mut room = |height: f32| {
            let (rect, _) = ui.allocate_exact_size(vec2(width, height), Sense::hover());
            ui.add_space(view.theme.margin);
            rect
        };
        let table = room(sizes.preview_height);
        let sum = room(sum_view::height(view.theme));
        let least = TrimView::least_height(width, view);
        let trims = [room(least), room(least)];
        let pointed = self.table(ui, (None, table.expand2(vec2(view.theme.margin, 0.0))), view, outbox);
        let asked = sum_view::show(ui, sum, view, outbox);
        let in_curves = self.trims(ui, trims, asked, view, outbox);
        for (place, source) in trims.into_iter().zip([Source::Coolant, Source::Air]) {
            if asked.to == Some(source) {
                ui.scroll_to_rect(place, None);
            }
        }
        sum_view::arrive(ui, asked, view);
        let leads = || asked.lit.and_then(sum_view::leads_to);
        outbox.point_at(view.screen, in_curves.or(pointed).or_else(leads).unwrap_or_default());
    }

    /// The table with the trims, with the temperatures over it; gives what the pointer is over, in words.
    fn table(
        &mut self,
        ui: &mut egui::Ui,
        (tabs, part): (Option<Rect>, Rect),
        view: &View<'_>,
        outbox: &mut Outbox,
    ) -> Option<String> {
        let places = Places::within(view, part, tabs.is_none());
        let names = places.line.with_min_x(places.line.left() + EFFECT_CONTROLS);
        let at = self.grid.show(ui, (part, &places, names.left()), &self.effect, view, outbox);
        temperatures(ui, places.line, view, outbox);
        what_is_shown(ui, tabs.unwrap_or(places.words), view, outbox);
        let at = at?;
        let trimmed = self.effect.at(view.table().index(at));
        let by = signed(trimmed.change_deg, step_decimals(view.project.step_deg));
        let (place, deg) = (grip::place(view, at).replace(", ", " · "), view.degrees(trimmed.with_deg));
        Some(format!("{place} · {} ({by})", with_unit(&deg, Unit::Degree)))
    }
}

/// At which temperatures the effect is shown.
fn temperatures(ui: &mut egui::Ui, line: Rect, view: &View<'_>, outbox: &mut Outbox) {
    let middle = line.top() + GRID_HEADING_MIDDLE;
    let half = view.theme.small_target / 2.0;
    let line = Rect::from_x_y_ranges(line.x_range(), middle - half..=middle + half);
    heading(ui, line.with_max_x(line.left() + EFFECT_HEADING), "Table with trims", "", view.theme);
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    let rest = line.with_min_x(line.left() + EFFECT_HEADING);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rest).layout(layout).id_salt("effect"));
    let state = &view.screen.trims;
    let unit_range = |path: &str| match crate::project::field(path).map(|field| field.kind) {
        Some(crate::project::FieldKind::Number { low, high, .. }) => (low, high),
        _ => (-60.0, 200.0),
    };
    for (named, path, put) in [
        (("coolant", "Coolant", state.coolant_c), "trims.coolant.degrees.at[]", TrimsMessage::Coolant as fn(f64) -> _),
        (("air", "Air", state.air_c), "trims.air.degrees.at[]", TrimsMessage::Air as fn(f64) -> _),
    ] {
        temperature(&mut ui, view, outbox, named, unit_range(path), put);
    }
}

/// Whether the change alone is shown.
fn what_is_shown(ui: &mut egui::Ui, line: Rect, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(line).layout(layout).id_salt("shown"));
    ui.spacing_mut().item_spacing.x = theme.gap;
    ui.label(RichText::new("shows").size(theme.small).color(color(theme.palette.ink_secondary)));
    let tip = "Shows the degrees that the trims add to each cell, or the table with them added. Nothing in the table changes.";
    for (text, name, shows_change) in
        [("change alone", "Show the change alone", true), ("table with trims", "Show the table with trims", false)]
    {
        let chosen = view.screen.trims.shows_change == shows_change;
        if quiet_button(&mut ui, theme, text, name, chosen, tip).clicked() {
            outbox.send(TrimsMessage::ShowChange(shows_change));
        }
    }
}

fn temperature(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    (words, label, value): (&str, &str, f64),
    range: (f64, f64),
    put: fn(f64) -> TrimsMessage,
) {
    ui.label(words);
    let (rect, _) = ui.allocate_exact_size(vec2(EFFECT_FIELD, ui.available_height()), Sense::hover());
    let name = format!("{label} temperature of the preview");
    let key = format!("preview {label}");
    let amount = Amount { key: &key, label: "", name: &name, unit: Unit::Celsius, value, range, step: 1.0 };
    form::amount_at(ui, view, outbox, rect, &amount, put);
    ui.add_space(view.theme.gap);
}
