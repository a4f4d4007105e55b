//! What the advance of the selected cell is made of, in words.

use eframe::egui::{self, Align2, Rect, Role, Sense, Ui, UiBuilder, WidgetInfo, pos2, vec2};

use super::effect;
use crate::project::Trim;
use crate::spark::{Breakdown, State};
use crate::table::Cell;
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::table_sheet_sizes::TRIMS_SIZES;
use crate::window::kit::theme::{color, elided, hairline, strong_text};
use crate::window::views::grip;
use crate::window::views::surface::heading;
use crate::window::views::view::View;
use crate::wording::{Unit, fixed, quantity, signed, step_decimals, with_unit};

/// One line: what, how many degrees, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Part {
    pub name: &'static str,
    pub degrees: String,
    pub why: String,
    pub is_sum: bool,
}

/// Every part of the commanded advance at a cell that has something to say, in the order in which they are added.
pub(super) fn parts(view: &View<'_>, cell: Cell, breakdown: &Breakdown) -> Vec<Part> {
    let (given, places) = (breakdown.contributions, step_decimals(view.project.step_deg));
    let (project, state) = (view.project, &view.screen.trims);
    let load = effect::conditions(view, cell).load;
    let part = |name, degrees: String, why: String| Part { name, degrees, why, is_sum: false };
    let change = |deg: f64| signed(deg, places);
    let mut parts = Vec::new();
    if breakdown.state.is_cranking_or_stopped() {
        let why = "cranking: table and trims have no say".to_owned();
        parts.push(part("Cranking advance", fixed(given.cranking, places), why));
    } else {
        parts.push(part("Table", fixed(given.table, places), grip::place(view, cell)));
        for (name, trim, temperature_c, deg) in [
            ("Coolant trim", &project.trims.coolant, state.coolant_c, given.coolant_trim),
            ("Air trim", &project.trims.air, state.air_c, given.air_trim),
        ] {
            let (degrees, why) = trim_words(trim, temperature_c, load, deg, places);
            parts.push(part(name, degrees, why));
        }
    }
    let others = [
        ("Out of cranking", given.blend, "ramps from cranking to the table"),
        ("Launch", given.launch, "held back by launch"),
        ("Over-speed", given.over_speed, "eased off below the limit"),
        ("Safety margin", given.margin, "kept apart from the table"),
        ("Floor or ceiling", given.clamp, "no advance leaves that range"),
    ];
    for (name, deg, why) in others.into_iter().filter(|(_, deg, _)| *deg != 0.0) {
        parts.push(part(name, change(deg), why.to_owned()));
    }
    let sum = fixed(breakdown.commanded_deg, places);
    parts.push(Part { name: "Commanded", degrees: sum, why: state_words(breakdown).to_owned(), is_sum: true });
    parts
}

fn trim_words(trim: &Trim, temperature_c: f64, load: f64, deg: Option<f64>, places: usize) -> (String, String) {
    let Some(deg) = deg else { return ("none".into(), "no temperature".into()) };
    if !trim.enabled {
        return (signed(deg, places), "switched off".into());
    }
    let at = signed(trim.degrees.lookup(temperature_c), places);
    let weight = fixed(trim.weight.lookup(load), 2);
    let (at, temperature) = (with_unit(&at, Unit::Degree), quantity(temperature_c, Unit::Celsius));
    (signed(deg, places), format!("{at} at {temperature} × weight {weight}"))
}

const fn state_words(breakdown: &Breakdown) -> &'static str {
    match breakdown.state {
        State::Stopped => "no spark: slower than 'no spark below'",
        State::Cranking => "before TDC, cranking",
        State::LimitCut => "but the over-speed limit cuts here",
        State::LaunchCut => "but launch cuts here",
        State::OverSpeed => "before TDC, easing off below the limit",
        State::Launch => "before TDC, launch",
        State::Running => "before TDC",
    }
}

/// Draws the parts into a place, with room for the most there can be; the answer is where they end.
pub(super) fn show(ui: &mut Ui, rect: Rect, view: &View<'_>) -> f32 {
    let sizes = &TRIMS_SIZES;
    let cell = view.screen.selection.cursor;
    let breakdown = effect::breakdown(view, cell);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("contributions"));
    let line = Rect::from_min_size(rect.min, vec2(rect.width(), sizes.controls_height));
    heading(&mut ui, line, "What the cell's advance is made of", "", view.theme);
    let from = line.bottom() + view.theme.gap;
    let mut top = from;
    for part in parts(view, cell, &breakdown) {
        let place = Rect::from_min_size(pos2(rect.left(), top), vec2(rect.width(), sizes.line_height));
        line_of(&mut ui, place, &part, (sizes.number_end, sizes.words_start), view);
        top = place.bottom();
    }
    // What is below keeps its place from cell to cell.
    top.max(from + sizes.usual_lines * sizes.line_height)
}

fn line_of(ui: &mut Ui, rect: Rect, part: &Part, (number_end, words_start): (f32, f32), view: &View<'_>) {
    let (palette, theme) = (view.theme.palette, view.theme);
    let middle = rect.center().y;
    let [name_at, number_at] = [pos2(rect.left(), middle), pos2(rect.left() + number_end, middle)];
    let number = with_unit(&part.degrees, Unit::Degree);
    if part.is_sum {
        let y = ui.painter().round_to_pixel_center(rect.top() + HAIRLINE);
        ui.painter().hline(rect.left()..=rect.left() + number_end, y, hairline(color(palette.rule_strong)));
        strong_text(ui.painter(), name_at, Align2::LEFT_CENTER, part.name, theme.body_font(), color(palette.ink));
        strong_text(ui.painter(), number_at, Align2::RIGHT_CENTER, number, theme.body_font(), color(palette.ink));
    } else {
        ui.painter().text(name_at, Align2::LEFT_CENTER, part.name, theme.body_font(), color(palette.ink));
        ui.painter().text(number_at, Align2::RIGHT_CENTER, number, theme.body_font(), color(palette.ink));
    }
    let room = Rect::from_min_max(pos2((rect.left() + words_start).min(rect.right()), rect.top()), rect.max);
    elided(ui, room, &part.why, theme.small_font()).write(ui, egui::Align::Min, color(palette.ink_secondary));
    let response = ui.interact(rect, ui.scope_id().with(part.name), Sense::hover());
    let words = format!("{}: {}, {}", part.name, with_unit(&part.degrees, Unit::Degree), part.why);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
}
