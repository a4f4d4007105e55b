//! True top dead centre by a piston stop, and degrees on a pulley.

use eframe::egui::{self, Align2, Role, Sense, Stroke, WidgetInfo, pos2, vec2};

use crate::project::cautions;
use crate::window::kit::theme::engine_sheet_sizes::{ENGINE_SIZES, STOP_TICK};
use crate::window::kit::theme::kit_sizes::{CHART, CHART_SIZES};
use crate::window::kit::theme::{color, hairline};
use crate::window::sheets::engine::answers::{self, Part};
use crate::window::state::commands::Command;
use crate::window::state::edits::WorksheetEdit;
use crate::window::state::engine_state::{EngineMessage, EngineNumber};
use crate::window::state::outbox::Outbox;
use crate::window::views::command_buttons::button;
use crate::window::views::form::choice::{self, Choice};
use crate::window::views::form::{self, Amount, Blank};
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, figure, given};
use crate::worksheet::{PistonStop, TrueTdc, pulley_mm};

/// Degrees shown beyond the marks.
const BEYOND_DEG: f64 = 25.0;

pub(super) fn ask(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let stop = &view.screen.engine.stop;
    form::heading(ui, view.theme, "Read from a degree wheel on the crank");
    let labels = ["Stop, one way", "Stop, other way"];
    form::note(ui, view.theme, cautions::TRUE_TDC);
    for (place, (label, value)) in labels.into_iter().zip(stop.marks_deg).enumerate() {
        degrees(ui, view, outbox, label, value, EngineNumber::StopMark(place));
    }
    let places = form::room(ui);
    form::label(ui, view.theme, places.label, "Reference edge");
    let choice = Choice {
        key: "edge read",
        name: "Reference edge",
        words: &["not read", "read"],
        now: Some(usize::from(stop.has_edge)),
        tooltip: "Whether the reading with the first edge after the gap at the sensor was taken: with it, the reference \
                  is measured, and not only the timing mark proved.",
    };
    if let Some(taken) = choice::show_at_end(ui, view.theme, places.rest, &choice) {
        outbox.send(EngineMessage::ReadEdge(taken == 1));
    }
    if stop.has_edge {
        degrees(ui, view, outbox, "Reading there", stop.edge_deg, EngineNumber::StopEdge);
    } else {
        // Its place is kept, so that what is below stays where it is.
        let places = form::room(ui);
        form::small(ui, view.theme, places.label.left_center(), "Reading there: not read");
    }
    let words = "The wheel counts 0..360 in the direction of rotation, its zero at the engine's timing mark. The stop \
                 stands in the first cylinder; turn gently until the piston touches, one way and then the other.";
    form::note(ui, view.theme, words);
    pulley(ui, view, outbox);
}

fn degrees(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    label: &str,
    value: Option<f64>,
    number: EngineNumber,
) {
    let blank =
        Blank { key: label, label, name: label, unit: Unit::Degree, value, hint: "", range: (0.0, 360.0), step: 0.5 };
    form::blank(ui, view, outbox, &blank, |value| EngineMessage::Put(number, value));
}

fn pulley(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let stop = &view.screen.engine.stop;
    form::heading(ui, view.theme, "Degrees on a pulley");
    let diameter = Blank {
        key: "pulley diameter",
        label: "Diameter",
        name: "Pulley diameter",
        unit: Unit::Millimetre,
        value: stop.diameter_mm,
        hint: "",
        range: (20.0, 600.0),
        step: 1.0,
    };
    form::blank(ui, view, outbox, &diameter, |value| EngineMessage::Put(EngineNumber::PulleyDiameter, value));
    let angle = Blank {
        key: "pulley angle",
        label: "Angle",
        name: "Angle on the pulley",
        unit: Unit::Degree,
        value: stop.pulley_deg,
        hint: "",
        range: (-360.0, 360.0),
        step: 1.0,
    };
    form::blank(ui, view, outbox, &angle, |value| EngineMessage::Put(EngineNumber::PulleyAngle, value));
    let along = match stop.diameter_mm.zip(stop.pulley_deg).map(|(mm, deg)| pulley_mm(mm, deg)) {
        None => "for a diameter and an angle".to_owned(),
        Some(Ok(mm)) => format!("{} along the rim", figure(mm, Unit::Millimetre)),
        Some(Err(error)) => error.to_string(),
    };
    form::fact(ui, view.theme, "Is", &along);
    for (place, (label, name)) in
        [("Strip from", "First degree of the strip before TDC"), ("Strip to", "Last degree of the strip before TDC")]
            .into_iter()
            .enumerate()
    {
        let value = stop.strip_deg.get(place).copied().unwrap_or_default();
        let amount = Amount { key: name, label, name, unit: Unit::Degree, value, range: (-180.0, 180.0), step: 5.0 };
        form::amount(ui, view, outbox, &amount, |value| EngineMessage::Put(EngineNumber::StripEnd(place), Some(value)));
    }
    ui.add_space(form::FORM_SIZES.row_gap);
    button(ui, view, outbox, Command::DegreeStrip, "Degree strip (SVG)…");
}

pub(super) fn answer(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, part: Part) {
    let stop = &view.screen.engine.stop;
    if part == Part::Picture {
        return picture(ui, view);
    }
    form::heading(ui, view.theme, "Result");
    let [Some(first_deg), Some(second_deg)] = stop.marks_deg else {
        return answers::no_answer(ui, view, "Type both readings at the stop.");
    };
    if stop.has_edge && stop.edge_deg.is_none() {
        return answers::no_answer(
            ui,
            view,
            "Type the reading at the reference edge as well, or say that it was not read.",
        );
    }
    let question = PistonStop { first_deg, second_deg, edge_deg: stop.edge_deg.filter(|_| stop.has_edge) };
    let found = match TrueTdc::of(&question) {
        Ok(found) => found,
        Err(error) => return answers::no_answer(ui, view, &error.to_string()),
    };
    form::fact(ui, view.theme, "True TDC at", &figure(found.tdc_deg, Unit::Degree));
    let project = view.document.project();
    let reference = figure(found.new_reference_deg(project), Unit::Degree);
    form::fact(
        ui,
        view.theme,
        "Reference becomes",
        &format!("{reference}, from {}", figure(project.trigger.reference_deg, Unit::Degree)),
    );
    let same = found.new_reference_deg(project) == project.trigger.reference_deg
        && (found.reference_deg.is_none() || project.trigger.zero_offset_deg == 0.0);
    let label =
        if same { Err(Refusal::new("the project has this reference already")) } else { Ok(found.label(project)) };
    answers::apply(ui, outbox, label, || WorksheetEdit::TrueTdc(found.clone()));
    answers::verdicts(ui, view.theme, &found.verdicts);
}

/// The degree wheel with what was read on it, and its scale around dead centre as soon as that is known.
fn picture(ui: &mut egui::Ui, view: &View<'_>) {
    let stop = &view.screen.engine.stop;
    form::heading(ui, view.theme, "On the degree wheel");
    let edge_deg = stop.edge_deg.filter(|_| stop.has_edge);
    let question = match stop.marks_deg {
        [Some(first_deg), Some(second_deg)] => Some(PistonStop { first_deg, second_deg, edge_deg }),
        _ => None,
    };
    let found = question.as_ref().and_then(|question| Some((question, TrueTdc::of(question).ok()?)));
    wheel(ui, view, found.as_ref().map(|(_, found)| found));
    if let Some((question, found)) = &found {
        scale(ui, view, question, found);
    }
}

/// The degree wheel as it is on the crank, its zero at the timing mark: the readings at the stop, and dead centre halfway
/// between them.
fn wheel(ui: &mut egui::Ui, view: &View<'_>, found: Option<&TrueTdc>) {
    let (theme, sizes) = (view.theme, ENGINE_SIZES);
    let side = ui.available_width().min(sizes.degree_wheel.side);
    let (rect, response) = ui.allocate_exact_size(vec2(side, side), Sense::hover());
    let words = match found {
        Some(found) => format!("Degree wheel, dead centre at {}", figure(found.tdc_deg, Unit::Degree)),
        None => "Degree wheel, nothing read yet".to_owned(),
    };
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    let radius = side / 2.0 - sizes.degree_wheel.margin;
    let (ink, second) = (color(theme.palette.ink), color(theme.palette.ink_secondary));
    let rule = color(theme.palette.rule_strong);
    #[expect(clippy::cast_possible_truncation, reason = "screen points are f32")]
    let towards = |deg: f64| egui::Vec2::angled((deg - 90.0).to_radians() as f32);
    let at = |deg: f64, radius: f32| rect.center() + radius * towards(deg);
    let painter = ui.painter();
    painter.circle_stroke(rect.center(), radius, hairline(rule));
    for deg in (0..360).step_by(5) {
        let length = if deg % 30 == 0 { sizes.degree_wheel.long_tick } else { sizes.degree_wheel.tick };
        let deg = f64::from(deg);
        painter.line_segment([at(deg, radius), at(deg, radius - length)], hairline(second));
    }
    for deg in (0..360).step_by(30) {
        let place = at(f64::from(deg), radius - sizes.degree_wheel.number);
        let text = given(f64::from(deg), Unit::None);
        painter.text(place, Align2::CENTER_CENTER, text, theme.small_font(), second);
    }
    let Some(found) = found else { return };
    // The piston's way from one touch to the other, over dead centre, which the stop bars.
    let arc: Vec<egui::Pos2> = (-32..=32)
        .map(|step| at(found.tdc_deg + found.half_span_deg * f64::from(step) / 32.0, radius * sizes.degree_wheel.arc))
        .collect();
    painter.add(egui::Shape::line(arc, Stroke::new(CHART.outline, second)));
    let half = found.half_span_deg;
    for deg in [found.tdc_deg - half, found.tdc_deg + half] {
        painter.line_segment([rect.center(), at(deg, radius)], Stroke::new(CHART.outline, ink));
    }
    painter.line_segment([rect.center(), at(found.tdc_deg, radius)], Stroke::new(CHART.main, ink));
    let place = at(found.tdc_deg, radius * sizes.degree_wheel.name);
    let text = format!("true TDC {}", figure(found.tdc_deg, Unit::Degree));
    let galley = painter.layout_no_wrap(text, theme.small_font(), ink);
    let ground = Align2::CENTER_CENTER.anchor_size(place, galley.size());
    painter.rect_filled(ground.expand(CHART_SIZES.name_air), 0.0, color(theme.palette.paper));
    painter.galley(ground.min, galley, ink);
}

/// The degree wheel's scale unrolled around dead centre, with what was read on it.
fn scale(ui: &mut egui::Ui, view: &View<'_>, stop: &PistonStop, found: &TrueTdc) {
    let theme = view.theme;
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ENGINE_SIZES.scale.0), Sense::hover());
    let words = format!(
        "The degree wheel's scale: dead centre at {}, halfway between the marks",
        figure(found.tdc_deg, Unit::Degree)
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    let around = |at: f64| (at - found.tdc_deg + 180.0).rem_euclid(360.0) - 180.0;
    let reach = (found.half_span_deg.max(found.mark_error_deg.abs()) + BEYOND_DEG).min(180.0);
    #[expect(clippy::cast_possible_truncation, reason = "screen points are f32")]
    let x = |at: f64| rect.center().x + (around(at) / reach) as f32 * (rect.width() / 2.0 - 20.0);
    let (ink, second) = (color(theme.palette.ink), color(theme.palette.ink_secondary));
    let base = rect.center().y;
    ui.painter().hline(rect.x_range(), base, hairline(color(theme.palette.rule_strong)));
    #[expect(clippy::cast_possible_truncation, reason = "at most 180")]
    let reach_whole = reach as i32;
    for step in (-reach_whole..=reach_whole).filter(|step| step % 10 == 0) {
        let at = found.tdc_deg.round() + f64::from(step);
        if around(at).abs() <= reach {
            ui.painter().vline(x(at), base..=base + STOP_TICK, hairline(second));
        }
    }
    let mut marks =
        vec![(found.tdc_deg, "true TDC", true), (stop.first_deg, "stop", false), (stop.second_deg, "stop", false)];
    marks.push((0.0, "timing mark", true));
    marks.extend(stop.edge_deg.filter(|edge| around(*edge).abs() <= reach).map(|edge| (edge, "reference edge", true)));
    for (at, name, is_below) in marks {
        if around(at).abs() > reach {
            continue;
        }
        let is_dead_centre = name == "true TDC";
        let width = if is_dead_centre { 2.2 } else { 1.4 };
        let up = is_dead_centre || !is_below;
        let (tip, align) = if up {
            (base - ENGINE_SIZES.scale.1, Align2::CENTER_BOTTOM)
        } else {
            (base + ENGINE_SIZES.scale.1, Align2::CENTER_TOP)
        };
        ui.painter().vline(x(at), tip.min(base)..=tip.max(base), Stroke::new(width, ink));
        let text = format!("{name} {}", figure(at, Unit::Degree));
        ui.painter().text(pos2(x(at), tip), align, text, theme.small_font(), ink);
    }
}
