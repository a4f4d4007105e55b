//! The clauses of the sentence: their words, numbers and switches, and the demands that they make.

use std::cell::RefCell;

use eframe::egui::{self, Align, DragValue, Layout, Role, WidgetInfo, vec2};

use crate::interchange::typed_number;
use crate::shaping::{
    Ceiling, DemandKind, Demands, FAIR_NOT_RISING, FAIR_SLOPE_LOAD, FAIR_SLOPE_SPEED, FAIR_STEP, FAIR_WITHIN, Number,
    points_of,
};
use crate::window::kit::slider::is_given_up;
use crate::window::kit::theme::view_sizes::CLAUSE_NUMBER;
use crate::window::state::inspector_state::{FairClause, Field, InspectorMessage};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;
use crate::wording::{given, settle, with_unit};

/// A clause as a row of the panel.
#[derive(Debug)]
pub(in crate::window::views::inspector) struct Row {
    pub(super) clause: FairClause,
    /// What stands before the number.
    words: &'static str,
    number: Option<&'static Number>,
    tip: &'static str,
}

/// The rows, in the order of the sentence.
pub(super) const ROWS: [Row; 8] = [
    Row {
        clause: FairClause::Within,
        words: "within ± of today",
        number: Some(&FAIR_WITHIN),
        tip: "No cell moves further than this from where it is.",
    },
    Row {
        clause: FairClause::NotRising,
        words: "never rising with load above",
        number: Some(&FAIR_NOT_RISING),
        tip: "From this load on, no row may have more advance than the one below it.",
    },
    Row {
        clause: FairClause::SlopeSpeed,
        words: "at most, along speed",
        number: Some(&FAIR_SLOPE_SPEED),
        tip: "No neighbours along speed differ by more than this.",
    },
    Row {
        clause: FairClause::SlopeLoad,
        words: "at most, along load",
        number: Some(&FAIR_SLOPE_LOAD),
        tip: "No neighbours along load differ by more than this.",
    },
    Row {
        clause: FairClause::UnderLine,
        words: "under the full-load line",
        number: None,
        tip: "Nothing above the project's full-load line, less what the trims may add.",
    },
    Row {
        clause: FairClause::ThroughPoints,
        words: "through the measured points",
        number: None,
        tip: "The table passes every measured point in use within its tolerance, and keeps those that say at most or at least.",
    },
    Row {
        clause: FairClause::OnStep,
        words: "on steps of",
        number: Some(&FAIR_STEP),
        tip: "Every cell that moves becomes a multiple of this; every demand still holds exactly.",
    },
    Row {
        clause: FairClause::LeaveIdle,
        words: "idle left alone",
        number: None,
        tip: "The cells in which the engine idles stay as they are.",
    },
];

/// Why a clause cannot be used in this project, if it cannot.
fn unfit(view: &View<'_>, clause: FairClause) -> Option<&'static str> {
    let project = view.settled();
    match clause {
        FairClause::UnderLine if !project.full_load_line.enabled => {
            Some("The project's full-load line is switched off, on the Limits sheet.")
        }
        FairClause::ThroughPoints if points_of(project).is_empty() => {
            Some("The project has no measured points in use: take some on the Evidence sheet.")
        }
        _ => None,
    }
}

/// The demands of the clauses that are on; `None` if none is.
pub(super) fn demands(view: &View<'_>) -> Option<Demands> {
    let (state, project) = (&view.screen.inspector, view.settled());
    let is_on = |clause: FairClause| state.fairing.has(clause) && unfit(view, clause).is_none();
    let number = |clause: FairClause, number: &Number| is_on(clause).then(|| state.amounts.of(number));
    let demands = Demands {
        within_deg: number(FairClause::Within, &FAIR_WITHIN),
        not_rising_above: number(FairClause::NotRising, &FAIR_NOT_RISING),
        max_slope_per_1000rpm: number(FairClause::SlopeSpeed, &FAIR_SLOPE_SPEED),
        max_slope_per_load: number(FairClause::SlopeLoad, &FAIR_SLOPE_LOAD),
        ceiling: if is_on(FairClause::UnderLine) { Ceiling::full_load(project) } else { None },
        points: if is_on(FairClause::ThroughPoints) { points_of(project) } else { Vec::new() },
        step_deg: number(FairClause::OnStep, &FAIR_STEP),
        idle: is_on(FairClause::LeaveIdle).then(|| project.idle_cells()),
    };
    (demands != Demands::default()).then_some(demands)
}

/// Draws a row: its switch, and its number at the right end.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, row: &Row, outbox: &mut Outbox) {
    let refusal = unfit(view, row.clause);
    let mut is_on = view.screen.inspector.fairing.has(row.clause) && refusal.is_none();
    ui.horizontal(|ui| {
        let switch = ui.add_enabled(refusal.is_none(), egui::Checkbox::new(&mut is_on, row.words));
        let switch = switch.on_hover_text(row.tip).on_disabled_hover_text(refusal.unwrap_or_default());
        if switch.changed() {
            outbox.send(InspectorMessage::SwitchClause(row.clause));
        }
        if let Some(number) = row.number {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| amount(ui, view, row, number, outbox));
        }
    });
}

/// The number of a clause: dragged, or clicked and typed.
fn amount(ui: &mut egui::Ui, view: &View<'_>, row: &Row, number: &'static Number, outbox: &mut Outbox) {
    let field = Field::Amount(number);
    let unit = (number.unit)(view.project.sensors.load);
    let step = field.step(view);
    let mut value = view.screen.inspector.amounts.of(number);
    let refused = RefCell::new(None);
    let drag = DragValue::new(&mut value)
        .range(number.typed.0..=number.typed.1)
        .speed(step / 8.0)
        .custom_formatter(|value, _| given(value, unit))
        .custom_parser(|text| {
            typed_number(text.trim_end_matches(unit.text()).trim()).map_err(|why| refused.replace(Some(why))).ok()
        })
        .update_while_editing(false)
        .suffix(with_unit("", unit));
    let size = vec2(ui.available_width().min(view.theme.field_height * CLAUSE_NUMBER), ui.spacing().interact_size.y);
    let response = ui.add_sized(size, drag);
    let is_given_up = is_given_up(ui, &response);
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::SpinButton, true, number.name);
        info.value = Some(value);
        info
    });
    if let Some(why) = refused.into_inner().filter(|_| !is_given_up) {
        outbox.complain(format!("{}: {why}", number.name));
    }
    if response.changed() && !is_given_up {
        // A drag goes in steps; what is typed is taken as it is.
        let value = if response.dragged() { settle((value / step).round() * step) } else { settle(value) };
        outbox.send(InspectorMessage::SetClause(row.clause, number, value));
    }
    response.on_hover_text("Drag to change it while the table follows, or click and type.");
}

/// What a cell stands at, in a few words.
pub(super) const fn at(kind: DemandKind) -> &'static str {
    match kind {
        DemandKind::Held => "beside a held cell",
        DemandKind::NotSelected => "beside a cell that is not selected",
        DemandKind::Idle => "beside idle",
        DemandKind::Within => "at the limit of how far it may move",
        DemandKind::NotRising => "at not rising with load",
        DemandKind::SlopeSpeed => "at the slope along speed",
        DemandKind::SlopeLoad => "at the slope along load",
        DemandKind::FullLoadLine => "at the full-load line",
        DemandKind::Point => "at a measured point",
        DemandKind::Step => "at the step",
    }
}

/// The clause that makes a demand.
pub(super) const fn clause_of(kind: DemandKind) -> Option<FairClause> {
    Some(match kind {
        DemandKind::Idle => FairClause::LeaveIdle,
        DemandKind::Within => FairClause::Within,
        DemandKind::NotRising => FairClause::NotRising,
        DemandKind::SlopeSpeed => FairClause::SlopeSpeed,
        DemandKind::SlopeLoad => FairClause::SlopeLoad,
        DemandKind::FullLoadLine => FairClause::UnderLine,
        DemandKind::Point => FairClause::ThroughPoints,
        DemandKind::Step => FairClause::OnStep,
        DemandKind::Held | DemandKind::NotSelected => return None,
    })
}
