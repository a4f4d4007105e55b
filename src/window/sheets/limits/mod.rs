//! Cranking, over-speed, launch, clamp, full-load line, safety margin, tachometer and switched outputs; and what is out of
//! order among them, said at once in words.

mod band;
mod band_key;
mod edges;
mod forms;
mod outputs;
mod picture;
mod sweep;

use eframe::egui::{self, Align, Align2, Rect, Role, Sense, Ui, UiBuilder, WidgetInfo, pos2, vec2};

use self::picture::Picture;
use crate::checks::{CHECKS, Finding};
use crate::compare::Section;
use crate::project::Project;
use crate::window::kit::marks;
use crate::window::kit::theme::engine_sheet_sizes::LIMITS_SIZES;
use crate::window::kit::theme::kit_sizes::{HAIRLINE, MARK, MARK_MIDDLE};
use crate::window::kit::theme::{Theme, color, elided, hairline, severity_ink};
use crate::window::state::limits_state::LimitsMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::Sheet;
use crate::window::views::curve_editor::{CurveEditor, CurveOf, CurveSpec};
use crate::window::views::form;
use crate::window::views::form::{Amount, AsTyped};
use crate::window::views::surface::heading;
use crate::window::views::view::View;
use crate::wording::{Unit, capital};

/// What the sheet's views keep for speed, and the drags that are going on in them.
pub struct LimitsSheet {
    typed: AsTyped,
    picture: Picture,
    findings: Option<(Project, Vec<Finding>)>,
    full_load: CurveEditor,
    full_load_less: CurveEditor,
    margin: CurveEditor,
}

impl Default for LimitsSheet {
    fn default() -> Self {
        Self {
            typed: AsTyped::default(),
            picture: Picture::default(),
            findings: None,
            full_load: CurveEditor::new(CurveOf::FullLoad),
            full_load_less: CurveEditor::new(CurveOf::FullLoadLess),
            margin: CurveEditor::new(CurveOf::SafetyMargin),
        }
    }
}

/// The load along which the picture is drawn.
fn load(view: &View<'_>) -> f64 {
    view.screen.limits.load.unwrap_or_else(|| view.table().load().last())
}

impl LimitsSheet {
    /// Draws the sheet: the picture above, the forms below it. In a window too low for that the picture scrolls with the
    /// forms, and the heading and what is out of order stay.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let whole = ui.available_rect_before_wrap();
        ui.expand_to_include_rect(whole);
        // What is being typed shows at once, and so does what it puts out of order.
        let project = self.typed.get(view);
        self.picture.settle(&project, load(view));
        self.settle_findings(&project);
        let picture = self.picture.height(ui, view.theme, whole.width() - 2.0 * view.theme.margin);
        let lines = controls_height(view.theme) + LIMITS_SIZES.findings_height + view.theme.gap;
        let stands_still = lines + picture <= whole.height() * LIMITS_SIZES.most_share;
        let height = if stands_still { lines + picture } else { lines };
        let above = Rect::from_min_size(whole.min, vec2(whole.width(), height)).shrink2(vec2(view.theme.margin, 0.0));
        let mut pointed = self.above(ui, above, stands_still, view, outbox);
        let y = ui.painter().round_to_pixel_center(whole.top() + height);
        ui.painter().hline(whole.x_range(), y, hairline(color(view.theme.palette.rule)));
        let rest = Rect::from_min_max(pos2(whole.left(), whole.top() + height + HAIRLINE), whole.max);
        let mut page = ui.new_child(UiBuilder::new().max_rect(rest).id_salt("limits"));
        form::page(&mut page, view.theme, "limits", |ui| {
            if !stands_still {
                let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), picture), Sense::hover());
                pointed = self.picture.show(ui, rect, view, outbox);
                ui.add_space(view.theme.gap);
            }
            let told = self.forms(ui, view, outbox);
            pointed = pointed.take().or(told);
        });
        outbox.point_at(view.screen, pointed.unwrap_or_default());
    }

    fn settle_findings(&mut self, project: &Project) {
        if !self.findings.as_ref().is_some_and(|(of, _)| of.is_same(project)) {
            self.findings = Some((project.clone(), findings_here(project)));
        }
    }

    /// The heading, the picture if it stands still, and below it what is out of order.
    fn above(
        &mut self,
        ui: &mut egui::Ui,
        rect: Rect,
        has_picture: bool,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) -> Option<String> {
        let line = Rect::from_min_size(rect.min, vec2(rect.width(), controls_height(view.theme)));
        controls(ui, line, view, outbox);
        let (mut bottom, mut pointed) = (line.bottom(), None);
        if has_picture {
            let size = vec2(rect.width(), self.picture.height(ui, view.theme, rect.width()));
            let picture = Rect::from_min_size(pos2(rect.left(), line.bottom()), size);
            pointed = self.picture.show(ui, picture, view, outbox);
            bottom = picture.bottom();
        }
        let line = Rect::from_min_size(
            pos2(rect.left(), bottom + view.theme.gap / 2.0),
            vec2(rect.width(), LIMITS_SIZES.findings_height),
        );
        let told = self.findings.as_ref().map_or(&[][..], |(_, told)| told);
        show_worst(ui, line, told, view);
        pointed
    }

    fn forms(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) -> Option<String> {
        let count = form::columns_that_fit(ui.available_width(), 3);
        form::columns(ui, count, |ui, column| sections(ui, view, outbox, column, count));
        ui.add_space(view.theme.margin);
        let mut pointed = None;
        let curves = if count == 1 { 1 } else { 3 };
        for first in (0..3).step_by(curves) {
            form::columns(ui, curves, |ui, column| {
                let told = self.curve(ui, first + column, view, outbox);
                pointed = pointed.take().or(told);
            });
        }
        pointed
    }

    /// One of the three curves with its switch.
    fn curve(&mut self, ui: &mut egui::Ui, which: usize, view: &View<'_>, outbox: &mut Outbox) -> Option<String> {
        let (line, margin) = (&view.project.full_load_line, &view.project.safety_margin);
        let reach = (view.table().load().first(), view.table().load().last());
        let (editor, mut spec) = match which {
            0 => {
                form::heading(ui, view.theme, "Full-load line");
                form::row_named(ui, view, outbox, "full_load_line.enabled", "Checked");
                form::row_named(ui, view, outbox, "full_load_line.from_load", "From load");
                (&mut self.full_load, CurveSpec { is_off: !line.enabled, ..CurveSpec::new("Most advance", 10.0) })
            }
            1 => {
                form::heading(ui, view.theme, "Less under boost");
                form::note(
                    ui,
                    view.theme,
                    "So much less is allowed as the load rises; the checks hold table and trims against the full-load line less this.",
                );
                ui.add_space((2.0 * view.theme.field_height - 2.0 * view.theme.small - LIMITS_SIZES.note_air).max(0.0));
                (&mut self.full_load_less, CurveSpec { is_off: !line.enabled, ..CurveSpec::new("Less by load", 4.0) })
            }
            _ => {
                form::heading(ui, view.theme, "Safety margin");
                form::row_named(ui, view, outbox, "safety_margin.enabled", "Switched on");
                form::note(ui, view.theme, "Taken off at the end and kept apart from the table.");
                (&mut self.margin, CurveSpec { is_off: !margin.enabled, ..CurveSpec::new("Taken off", 4.0) })
            }
        };
        if which > 0 {
            spec.reach = Some(reach);
        }
        let bottom = ui.max_rect().top()
            + form::FORM_SIZES.heading_height
            + 2.0 * (view.theme.field_height + form::FORM_SIZES.row_gap)
            + view.theme.gap;
        let missing = bottom - ui.cursor().top();
        if missing > 0.0 {
            ui.add_space(missing);
        }
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), LIMITS_SIZES.curve_height), Sense::hover());
        editor.show(ui, rect, view, outbox, &spec)
    }
}

/// The sections of one column: the outputs have the last, or follow where there is one column only.
fn sections(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, column: usize, count: usize) {
    match (count, column) {
        (3, 0) => {
            forms::cranking(ui, view, outbox);
            forms::clamp(ui, view, outbox);
            forms::tachometer(ui, view, outbox);
        }
        (3, 1) => {
            forms::over_speed(ui, view, outbox);
            forms::launch(ui, view, outbox);
        }
        (2, 0) => {
            forms::cranking(ui, view, outbox);
            forms::over_speed(ui, view, outbox);
            forms::clamp(ui, view, outbox);
        }
        (2, 1) => {
            forms::launch(ui, view, outbox);
            forms::tachometer(ui, view, outbox);
            outputs::show(ui, view, outbox);
        }
        (3, _) => outputs::show(ui, view, outbox),
        _ => {
            forms::cranking(ui, view, outbox);
            forms::over_speed(ui, view, outbox);
            forms::launch(ui, view, outbox);
            forms::clamp(ui, view, outbox);
            forms::tachometer(ui, view, outbox);
            outputs::show(ui, view, outbox);
        }
    }
}

/// The height of the line over the picture, which has a field in it.
fn controls_height(theme: &Theme) -> f32 {
    LIMITS_SIZES.controls_height.max(theme.field_height + form::FORM_SIZES.row_gap)
}

/// Along which load the picture is drawn.
fn controls(ui: &mut egui::Ui, line: Rect, view: &View<'_>, outbox: &mut Outbox) {
    let (coolant, air) = (&view.project.sensors.coolant, &view.project.sensors.air);
    let [coolant_c, air_c] = [coolant.stand_in_c, air.stand_in_c].map(|c| crate::wording::quantity(c, Unit::Celsius));
    let remark = format!("coolant {coolant_c}, air {air_c} · dashed: launch, switch closed");
    heading(ui, line, "Over speed, with everything applied", &remark, view.theme);
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    let place = line.with_min_x(line.left() + LIMITS_SIZES.load_from).with_max_x(line.left() + LIMITS_SIZES.load_to);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(place).layout(layout).id_salt("picture"));
    ui.label("along load");
    let (rect, _) = ui.allocate_exact_size(vec2(LIMITS_SIZES.load_width, view.theme.field_height), Sense::hover());
    let unit = view.project.sensors.load.unit();
    let amount = Amount {
        key: "limits picture load",
        label: "",
        name: "Load of the picture",
        unit,
        value: load(view),
        range: forms::load_range(view),
        step: 1.0,
    };
    form::amount_at(&mut ui, view, outbox, rect, &amount, LimitsMessage::Load);
}

/// What the checks say to limits and outputs of a project, the worst first; accepted findings are left out.
fn findings_here(project: &Project) -> Vec<Finding> {
    let here = |section: &Section| Sheet::Limits.row().sections.contains(section);
    let checks = CHECKS.iter().filter(|check| check.sections.iter().any(here));
    let all = checks.flat_map(|check| check.findings(project));
    let mut findings: Vec<Finding> =
        all.filter(|finding| finding.is_open() && here(&finding.place.section())).collect();
    findings.sort_by_key(|finding| finding.severity);
    findings
}

/// Draws one line: the worst finding, how many more there are, and all of them as the tooltip.
fn show_worst(ui: &mut Ui, rect: Rect, findings: &[Finding], view: &View<'_>) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let Some(worst) = findings.first() else {
        let ink = color(palette.ink_secondary);
        ui.painter().text(
            rect.left_center(),
            Align2::LEFT_CENTER,
            "Limits and outputs are in order.",
            theme.small_font(),
            ink,
        );
        let response = ui.interact(rect, ui.scope_id().with("findings"), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, "Limits and outputs are in order."));
        return;
    };
    let (ink, word) = (color(severity_ink(theme, worst.severity)), capital(worst.severity.name()));
    let more = match findings.len() {
        1 => String::new(),
        count => format!("  ({} more)", count - 1),
    };
    let words = format!("{word}: {}. {}{more}", capital(&worst.message), worst.remedy);
    let mark = Rect::from_center_size(pos2(rect.left() + MARK_MIDDLE, rect.center().y), MARK);
    ui.painter().add(marks::severity(mark, worst.severity, ink));
    let room = Rect::from_x_y_ranges(mark.right() + theme.gap..=rect.right(), rect.y_range());
    elided(ui, room, words, theme.body_font()).paint(ui, Align::Min, ink);
    let all: Vec<String> = findings
        .iter()
        .map(|finding| format!("{}. {} {}", capital(&finding.message), finding.why, finding.remedy))
        .collect();
    let all = all.join("\n\n");
    let response = ui.interact(rect, ui.scope_id().with("findings"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &all));
    response.on_hover_text(&all);
}
