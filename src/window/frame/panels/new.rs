//! For a new project: its size and kind, and what is known of the engine; or one of the samples.

use std::ops::RangeInclusive;

use eframe::egui::{
    self, Align, Align2, Color32, DragValue, FontId, Grid, Label, RichText, Role, Sense, TextEdit, Vec2, WidgetInfo,
    vec2,
};

use crate::project::{Chamber, FieldKind, Induction, KnownEngine, LoadKind, NewProject, SAMPLES, field};
use crate::table::{MAX_BREAKPOINTS, MIN_BREAKPOINTS};
use crate::window::frame::panels::{close, foot, replace, scrolled};
use crate::window::kit::theme::frame_sizes::{
    FORM_GAP, GROUP_GAP, NEW_GRID, NEW_LABEL_WIDTH, NEW_LIST_WIDTH, NEW_NAME_WIDTH, NEW_NUMBER_WIDTH,
    NEW_RESULT_HEIGHT, ROW_GAP, SAMPLE_INSET, SAMPLE_LINE, SAMPLE_ROW,
};
use crate::window::kit::theme::kit_sizes::LINE_GAP;
use crate::window::kit::theme::{Theme, choose_as_in_forms, color, strong_label, strong_text};
use crate::window::state::dialogs::Floating;
use crate::window::state::file_jobs::{NewCar, Next};
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::command_buttons::focus_when_new;
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, quantity, written};

const INDUCTIONS: [(Induction, &str, &str); 3] = [
    (Induction::NaturallyAspirated, "naturally aspirated", "Drawn in by the pistons alone."),
    (Induction::Boosted, "boosted", "Pressed in by a turbocharger."),
    (Induction::Supercharged, "supercharged", "Pressed in by a supercharger: no hot turbine in the exhaust."),
];

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, before: &NewCar) {
    let mut new = before.clone();
    scrolled(ui, NEW_RESULT_HEIGHT + view.theme.field_height + LINE_GAP + 4.0 * FORM_GAP, |ui| {
        table_rows(ui, view.theme, &mut new.table);
        ui.add_space(GROUP_GAP);
        strong_label(ui, "The engine", egui::FontId::proportional(view.theme.heading));
        let told = "What you leave as it is stays marked as assumed in the project until it is confirmed.";
        ui.add(Label::new(RichText::new(told).size(view.theme.small)).wrap());
        engine_rows(ui, view.theme, &mut new);
    });
    let made = preview(&new);
    result(ui, view.theme, &new, &made);
    let refusal = if new.table.name.trim().is_empty() {
        Some("give the project a name".to_owned())
    } else {
        made.err().map(String::from)
    };
    let told = "Make the project, with a table to start and warm the engine.";
    if foot(ui, outbox, "Start", told, refusal.as_deref()) {
        outbox.file(FileAction::Leave(Next::Create(Box::new(new.clone()))));
    }
    if new != *before {
        replace(outbox, Floating::New(Box::new(new)));
    }
}

fn label(ui: &mut egui::Ui, text: &str) -> egui::Response {
    let size = vec2(NEW_LABEL_WIDTH, ui.spacing().interact_size.y);
    ui.allocate_ui_with_layout(size, egui::Layout::left_to_right(Align::Center), |ui| {
        ui.set_min_width(NEW_LABEL_WIDTH);
        ui.label(text)
    })
    .inner
}

fn table_rows(ui: &mut egui::Ui, theme: &Theme, new: &mut NewProject) {
    Grid::new("new project").num_columns(2).spacing(between_rows(ui, theme)).show(ui, |ui| {
        let name = label(ui, "Name");
        let field = ui
            .add(TextEdit::singleline(&mut new.name).align(Align2::LEFT_CENTER).desired_width(NEW_NAME_WIDTH))
            .labelled_by(name.id);
        focus_when_new(&field, "new project");
        ui.end_row();
        label(ui, "Cylinders");
        ui.horizontal(|ui| {
            choose_as_in_forms(ui, theme);
            for cylinders in [4, 6, 8] {
                ui.selectable_value(&mut new.cylinders, cylinders, format!("{cylinders} cylinders"))
                    .on_hover_text("Wasted spark pairs cylinders that share top dead centre.");
            }
        });
        ui.end_row();
        label(ui, "Load");
        ui.horizontal(|ui| {
            choose_as_in_forms(ui, theme);
            ui.selectable_value(&mut new.load, LoadKind::Throttle, "Throttle, %")
                .on_hover_text("Load is the throttle opening: for individual throttles and carburettors.");
            ui.selectable_value(&mut new.load, LoadKind::Pressure, "Pressure, kPa")
                .on_hover_text("Load is the absolute manifold pressure: for a plenum, and for boost.");
        });
        ui.end_row();
        label(ui, "Table");
        ui.horizontal(|ui| {
            size(ui, &mut new.speeds, "Speeds");
            ui.label("speeds ×");
            size(ui, &mut new.loads, "Loads");
            ui.label("loads");
        });
        ui.end_row();
    });
}

/// Between columns and rows: in a low window the rows stand closer.
fn between_rows(ui: &egui::Ui, theme: &Theme) -> Vec2 {
    let is_low = ui.ctx().content_rect().height() < theme.tall_enough;
    if is_low { vec2(NEW_GRID.x, NEW_GRID.y / 2.0) } else { NEW_GRID }
}

fn size(ui: &mut egui::Ui, breakpoints: &mut usize, name: &str) {
    let drag = DragValue::new(breakpoints).range(MIN_BREAKPOINTS..=MAX_BREAKPOINTS);
    let told = format!("{name}: {MIN_BREAKPOINTS} to {MAX_BREAKPOINTS} breakpoints; 16 is usual. Drag or type.");
    ui.add(drag).accessible_name(name).on_hover_text(told);
}

fn engine_rows(ui: &mut egui::Ui, theme: &Theme, new: &mut NewCar) {
    let (cylinders, engine) = (new.table.cylinders, &mut new.engine);
    Grid::new("new engine").num_columns(2).spacing(between_rows(ui, theme)).show(ui, |ui| {
        let usual = engine.displacement_l(cylinders);
        number(ui, theme, ("Displacement", "engine.displacement_l", 0.05), &mut engine.displacement_l, usual);
        let usual = engine.compression_ratio();
        number(ui, theme, ("Compression", "engine.compression_ratio", 0.05), &mut engine.compression_ratio, usual);
        let usual = engine.fuel_octane_ron();
        number(ui, theme, ("Fuel octane", "engine.fuel_octane_ron", 0.2), &mut engine.fuel_octane_ron, usual);
        chamber(ui, theme, engine);
        induction(ui, theme, engine);
        let usual = engine.highest_pressure_kpa();
        let pressure = ("Highest pressure", "engine.highest_pressure_kpa", 1.0);
        number(ui, theme, pressure, &mut engine.highest_pressure_kpa, usual);
        let usual = engine.idle_speed_rpm();
        number(ui, theme, ("Idle speed", "engine.idle_speed_rpm", 10.0), &mut engine.idle_speed_rpm, usual);
        let safe = ("Highest safe speed", "engine.highest_safe_speed_rpm", 20.0);
        number(ui, theme, safe, &mut engine.highest_safe_speed_rpm, 6700.0);
    });
}

/// A number that is either given or has its usual value.
fn number(
    ui: &mut egui::Ui,
    theme: &Theme,
    (name, path, speed): (&str, &str, f64),
    told: &mut Option<f64>,
    usual: f64,
) {
    label(ui, name);
    ui.horizontal(|ui| {
        let mut value = told.unwrap_or(usual);
        let (unit, range) = unit_and_range(path);
        let suffix = if unit == Unit::ToOne { format!(" {unit}") } else { format!("\u{a0}{unit}") };
        let drag = DragValue::new(&mut value).range(range).speed(speed).max_decimals(2).suffix(suffix);
        let drag = drag.custom_formatter(|value, _| written(value));
        let response = ui.add_sized(vec2(NEW_NUMBER_WIDTH, ui.spacing().interact_size.y), drag).accessible_name(name);
        if response.on_hover_text(format!("{name}. Drag, or click and type.\n{path}")).changed() {
            *told = Some(value);
        }
        if told.is_none() && assumed(ui, theme, name) {
            *told = Some(value);
        }
    });
    ui.end_row();
}

fn unit_and_range(path: &str) -> (Unit, RangeInclusive<f64>) {
    match field(path).map(|field| field.kind) {
        Some(FieldKind::Number { unit, low, high }) => (unit, low..=high),
        _ => (Unit::None, f64::MIN..=f64::MAX),
    }
}

/// The word beside a value that was not given; a click takes the usual value as given.
fn assumed(ui: &mut egui::Ui, theme: &Theme, name: &str) -> bool {
    let text = RichText::new("assumed").size(theme.small).color(color(theme.palette.ink_secondary));
    let button = ui.add(egui::Button::new(text).frame_when_inactive(false)).accessible_name(format!("Confirm {name}"));
    button.on_hover_text("A usual value. Click this word when it is right for your engine, or set another.").clicked()
}

fn chamber(ui: &mut egui::Ui, theme: &Theme, engine: &mut KnownEngine) {
    label(ui, "Chamber");
    ui.horizontal(|ui| {
        let now = engine.chamber();
        let list = egui::ComboBox::from_id_salt("new chamber").width(NEW_LIST_WIDTH).selected_text(now.words());
        let shown = list.show_ui(ui, |ui| {
            for chamber in Chamber::ALL {
                if ui.selectable_label(chamber == now, chamber.words()).clicked() {
                    engine.chamber = Some(chamber);
                }
            }
        });
        shown.response.accessible_name("Chamber").on_hover_text(
            "How fast the charge burns: with four valves it burns fast, and wants and bears less advance.\n\
             engine.chamber",
        );
        if engine.chamber.is_none() && assumed(ui, theme, "Chamber") {
            engine.chamber = Some(now);
        }
    });
    ui.end_row();
}

fn induction(ui: &mut egui::Ui, theme: &Theme, engine: &mut KnownEngine) {
    label(ui, "Induction");
    ui.horizontal(|ui| {
        choose_as_in_forms(ui, theme);
        let now = engine.induction();
        for (induction, words, told) in INDUCTIONS {
            if ui.selectable_label(induction == now, words).on_hover_text(told).clicked() {
                engine.induction = Some(induction);
            }
        }
        if engine.induction.is_none() && assumed(ui, theme, "Induction") {
            engine.induction = Some(now);
        }
    });
    ui.end_row();
}

/// What a project for this engine would contain, in a sentence.
///
/// # Errors
/// Why such a project is impossible.
fn preview(new: &NewCar) -> Result<String, Refusal> {
    // The table's size does not matter here.
    let smallest = NewProject { speeds: MIN_BREAKPOINTS, loads: MIN_BREAKPOINTS, ..new.table.clone() };
    let project = smallest.create_for(&new.engine)?;
    let over = &project.limits.over_speed;
    Ok(format!(
        "Full-load line: at most {} from 3000 rpm up, less below and under boost; the starting table lies under it. \
         Sparks are cut from {}, all of them from {}.",
        quantity(project.engine.most_at_full_load_deg(), Unit::Degree),
        quantity(over.cuts_at_rpm, Unit::Rpm),
        quantity(over.cuts_all_at_rpm, Unit::Rpm)
    ))
}

fn result(ui: &mut egui::Ui, theme: &Theme, new: &NewCar, made: &Result<String, Refusal>) {
    let sees_no_boost = new.engine.induction().is_boosted() && new.table.load == LoadKind::Throttle;
    let words = match made {
        Err(why) => format!("Not yet: {why}."),
        Ok(_) if sees_no_boost => {
            "Throttle opening does not tell how much boost there is: choose pressure as load, unless the boost is \
             always the same."
                .to_owned()
        }
        Ok(words) => words.clone(),
    };
    let size = vec2(ui.available_width(), NEW_RESULT_HEIGHT);
    ui.allocate_ui_with_layout(size, egui::Layout::top_down(Align::Min), |ui| {
        ui.set_min_size(size);
        ui.add(Label::new(RichText::new(words).size(theme.small)).wrap());
    });
}

/// The width of the longest description of a sample.
fn widest_description(ui: &egui::Ui, font: FontId) -> f32 {
    let width = |text: &str| ui.painter().layout_no_wrap(text.to_owned(), font.clone(), Color32::BLACK).size().x;
    SAMPLES.iter().map(|sample| width(sample.description)).fold(0.0, f32::max)
}

pub(super) fn show_samples(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    ui.label("Four invented cars; each opens as a project of its own.");
    ui.set_min_width(widest_description(ui, theme.small_font()) + 2.0 * SAMPLE_INSET);
    ui.spacing_mut().item_spacing.y = ROW_GAP;
    for (place, sample) in SAMPLES.iter().enumerate() {
        let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), SAMPLE_ROW), Sense::click());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Open {}", sample.name)));
        if response.hovered() || response.has_focus() {
            ui.painter().rect_filled(rect, f32::from(theme.radius), color(theme.palette.field_hover));
        }
        let at = rect.left_center() + vec2(SAMPLE_INSET, 0.0);
        let (ink, weak) = (color(theme.palette.ink), color(theme.palette.ink_secondary));
        strong_text(
            ui.painter(),
            at - vec2(0.0, SAMPLE_LINE),
            Align2::LEFT_CENTER,
            sample.name,
            theme.body_font(),
            ink,
        );
        ui.painter().text(
            at + vec2(0.0, SAMPLE_LINE),
            Align2::LEFT_CENTER,
            sample.description,
            theme.small_font(),
            weak,
        );
        if response.on_hover_text(format!("Open {}: {}", sample.name, sample.description)).clicked() {
            outbox.file(FileAction::Leave(Next::Sample(place)));
        }
    }
    ui.add_space(theme.gap);
    if ui.button("Cancel").on_hover_text("Put this away; nothing happens. (Esc)").clicked() {
        close(outbox);
    }
}
