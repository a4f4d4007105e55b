//! Degrees added for coolant and air temperature: the curves, their weight over load, and what they do to the table.

mod effect;
mod sum_words;

use eframe::egui::{self, Rect, UiBuilder, pos2, vec2};

use self::effect::Effect;
use self::effect::EffectGrid;
use crate::window::kit::theme::table_sheet_sizes::{EFFECT_FIELD, EFFECT_HEADING, TRIMS_SIZES, TrimsSizes};
use crate::window::state::outbox::Outbox;
use crate::window::state::trims_state::TrimsMessage;
use crate::window::views::curve_editor::{CurveEditor, CurveOf, CurveSpec};
use crate::window::views::form::{self, Amount};
use crate::window::views::grip;
use crate::window::views::surface::{heading, quiet_button};
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

    fn show(
        &mut self,
        ui: &mut egui::Ui,
        rect: Rect,
        is_on: bool,
        temperature_c: f64,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) -> Option<String> {
        let sizes = &TRIMS_SIZES;
        self.switches(
            ui,
            Rect::from_min_size(rect.min, vec2(rect.width(), form::FORM_SIZES.field_height)),
            sizes,
            view,
            outbox,
        );
        let below = Rect::from_min_max(
            pos2(rect.left(), rect.top() + form::FORM_SIZES.field_height + view.theme.gap),
            rect.max,
        );
        let split = (below.left() + (below.width() - sizes.between_curves) * sizes.degrees_share).round();
        let (degrees, weight) = (below.with_max_x(split), below.with_min_x(split + sizes.between_curves));
        let mut spec = CurveSpec::new("Degrees added", 6.0);
        (spec.is_off, spec.mark) = (!is_on, Some(temperature_c));
        let pointed = self.degrees.show(ui, degrees, view, outbox, &spec);
        let mut spec = CurveSpec::new("Weight", 1.0);
        let load = view.table().load();
        (spec.is_off, spec.shows, spec.reach) = (!is_on, (0.0, 1.0), Some((load.first(), load.last())));
        spec.remark = format!("share over load {}", view.project.sensors.load.unit());
        spec.mark = load.breakpoints().get(view.screen.selection.cursor.load).copied();
        pointed.or(self.weight.show(ui, weight, view, outbox, &spec))
    }

    /// On or off, and what a failed sender counts as.
    fn switches(&self, ui: &mut egui::Ui, line: Rect, sizes: &TrimsSizes, view: &View<'_>, outbox: &mut Outbox) {
        let part = |left: f32, width: f32| {
            Rect::from_min_size(pos2(line.left() + left, line.top()), vec2(width, line.height()))
        };
        heading(ui, part(0.0, sizes.name_width), self.name, "", view.theme);
        form::label(ui, view.theme, part(sizes.name_width, sizes.switch_width - sizes.name_width), "Switched on");
        form::field_at(ui, view, outbox, part(sizes.switch_width, form::FORM_SIZES.field_width), self.enabled);
        let box_left = line.width() - form::FORM_SIZES.field_width;
        form::label(
            ui,
            view.theme,
            part(box_left - sizes.stand_in_width, sizes.stand_in_width),
            "A failed sender counts as",
        );
        if let Some(why) = form::field_at(ui, view, outbox, part(box_left, form::FORM_SIZES.field_width), self.stand_in)
        {
            let from = sizes.switch_width + form::FORM_SIZES.field_width / 2.0;
            form::remark(ui, view.theme, part(from, box_left - sizes.stand_in_width - from), self.stand_in, &why);
        }
    }
}

impl TrimsSheet {
    /// Draws the sheet: curves above, what they do below; all below each other where it is narrow.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        self.effect.settle(view);
        let sizes = &TRIMS_SIZES;
        let whole = ui.available_rect_before_wrap();
        ui.expand_to_include_rect(whole);
        if whole.width() < sizes.wide_enough || whole.height() < sizes.tall_enough {
            let mut page = ui.new_child(UiBuilder::new().max_rect(whole).id_salt("trims"));
            form::page(&mut page, view.theme, "trims", |ui| self.narrow(ui, sizes, view, outbox));
            return;
        }
        let area = whole.shrink2(vec2(view.theme.margin, view.theme.margin / 2.0));
        let (least, most) = sizes.curves_height;
        // The curves become lower if the grid would otherwise have to scroll and need not.
        let grid = sizes.controls_height + view.theme.gap + EffectGrid::whole_height(ui, &self.effect, view);
        let left = (area.height() - view.theme.margin - grid).max(least);
        let height = (area.height() * sizes.curves_share).clamp(least, most).min(left).floor();
        let curves = Rect::from_min_size(area.min, vec2(area.width(), height));
        let below = Rect::from_min_max(pos2(area.left(), curves.bottom() + view.theme.margin), area.max);
        let width = ((curves.width() - sizes.between) / 2.0).floor();
        let trims = [curves.with_max_x(curves.left() + width), curves.with_min_x(curves.right() - width)];
        let split = below.right() - sizes.words_width;
        let parts = [below.with_max_x(split - sizes.between), below.with_min_x(split)];
        self.parts(ui, trims, parts, sizes, view, outbox);
    }

    fn narrow(&mut self, ui: &mut egui::Ui, sizes: &TrimsSizes, view: &View<'_>, outbox: &mut Outbox) {
        let mut room = |height: f32| {
            let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), egui::Sense::hover());
            ui.add_space(view.theme.margin);
            rect
        };
        let trims = [room(sizes.curves_height.1), room(sizes.curves_height.1)];
        let parts = [room(sizes.preview_height), room(sizes.preview_height)];
        self.parts(ui, trims, parts, sizes, view, outbox);
    }

    /// The two trims, then the table under them and the selected cell in words.
    fn parts(
        &mut self,
        ui: &mut egui::Ui,
        [coolant, air]: [Rect; 2],
        [table, cell]: [Rect; 2],
        sizes: &TrimsSizes,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) {
        let (trims, state) = (&view.project.trims, &view.screen.trims);
        let pointed = self.coolant.show(ui, coolant, trims.coolant.enabled, state.coolant_c, view, outbox);
        let pointed = pointed.or(self.air.show(ui, air, trims.air.enabled, state.air_c, view, outbox));
        let head = Rect::from_min_size(table.min, vec2(table.width(), sizes.controls_height));
        controls(ui, head, view, outbox);
        let grid = Rect::from_min_max(pos2(table.left(), head.bottom() + view.theme.gap), table.max);
        let at = self.grid.show(ui, (grid, head), &self.effect, view, outbox);
        let lines = sum_words::show(ui, cell, view);
        let row = Rect::from_min_max(pos2(cell.left(), lines + view.theme.margin), cell.max);
        effect::show(ui, row, &self.effect, view);
        let told = at.map(|at| {
            let trimmed = self.effect.at(view.table().index(at));
            let by = signed(trimmed.change_deg, step_decimals(view.project.step_deg));
            let (place, deg) = (grip::place(view, at).replace(", ", " · "), view.degrees(trimmed.with_deg));
            format!("{place} · {} ({by})", with_unit(&deg, Unit::Degree))
        });
        outbox.point_at(view.screen, pointed.or(told).unwrap_or_default());
    }
}

/// At which temperatures the effect is shown, and whether alone.
fn controls(ui: &mut egui::Ui, line: Rect, view: &View<'_>, outbox: &mut Outbox) {
    heading(ui, line.with_max_x(line.left() + EFFECT_HEADING), "Effect on the table", "", view.theme);
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    let mut ui = ui.new_child(
        UiBuilder::new().max_rect(line.with_min_x(line.left() + EFFECT_HEADING)).layout(layout).id_salt("effect"),
    );
    let state = &view.screen.trims;
    let unit_range = |path: &str| match crate::project::field(path).map(|field| field.kind) {
        Some(crate::project::FieldKind::Number { low, high, .. }) => (low, high),
        _ => (-60.0, 200.0),
    };
    temperature(
        &mut ui,
        view,
        outbox,
        ("Coolant", state.coolant_c),
        unit_range("trims.coolant.degrees.at[]"),
        TrimsMessage::Coolant,
    );
    temperature(&mut ui, view, outbox, ("Air", state.air_c), unit_range("trims.air.degrees.at[]"), TrimsMessage::Air);
    ui.add_space(view.theme.gap);
    let tip = "Shows the degrees that the trims add to each cell, or the table with them added. Nothing in the table changes.";
    for (text, name, shows_change) in
        [("change alone", "Show the change alone", true), ("table with trims", "Show the table with trims", false)]
    {
        if quiet_button(&mut ui, view.theme, text, name, state.shows_change == shows_change, tip).clicked() {
            outbox.send(TrimsMessage::ShowChange(shows_change));
        }
    }
}

fn temperature(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    (label, value): (&str, f64),
    range: (f64, f64),
    put: fn(f64) -> TrimsMessage,
) {
    ui.label(label);
    let (rect, _) = ui.allocate_exact_size(vec2(EFFECT_FIELD, form::FORM_SIZES.field_height), egui::Sense::hover());
    let name = format!("{label} temperature of the preview");
    let key = format!("preview {label}");
    let amount = Amount { key: &key, label: "", name: &name, unit: Unit::Celsius, value, range, step: 1.0 };
    form::amount_at(ui, view, outbox, rect, &amount, put);
    ui.add_space(view.theme.gap);
}
