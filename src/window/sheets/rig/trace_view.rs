//! The run over time: a picture kept until something changes, and the cursor over it.

use eframe::egui::{
    self, Align, Id, Label, Layout, Rect, Response, RichText, Sense, Stroke, UiBuilder, WidgetInfo, pos2,
};

use super::bench::{Bench, Driven};
use crate::drawing::{self, Frame, Look, Scene, Trace, TraceRow, TraceSpec, beside_labels};
use crate::window::kit::parts::named_part;
use crate::window::kit::scene_painter::{self, Sheet, viewport};
use crate::window::kit::theme::engine_sheet_sizes::{RIG_TRACE_BEYOND, RIG_TRACE_NAME_GAP};
use crate::window::kit::theme::kit_sizes::ROUNDING;
use crate::window::kit::theme::{color, elided, elided_middle, strong_label};
use crate::window::sheets::rig::rig_words;
use crate::window::state::outbox::Outbox;
use crate::window::state::rig_state::RigMessage;
use crate::window::views::surface::keep_arrows;
use crate::window::views::view::View;

/// The widget that is scrubbed.
pub(super) fn id() -> Id {
    Id::unique("rig trace")
}

/// The picture and what it was made of.
#[derive(Default)]
pub(super) struct TraceView {
    scene: Scene,
    sheet: Sheet,
    trace: Option<Trace>,
    made_of: Option<(u64, Rect, Look, f32)>,
}

/// What a trace of this run in this look is made of; the window writes the names itself.
fn spec(driven: &Driven, look: Look, rect: crate::drawing::Rect) -> TraceSpec<'_> {
    TraceSpec { driven: driven.to_draw(), frame: Frame { look, rect, names: false } }
}

/// A row's name and, where there is room, its unit.
pub(super) fn row_name(ui: &egui::Ui, row: &TraceRow, view: &View<'_>) {
    let (theme, area) = (view.theme, row.name_rect());
    let is_low = area.height < 2.2 * theme.body;
    let y = if is_low { area.top + area.height / 2.0 } else { area.top + theme.body * 0.7 };
    let room = |middle: f32, height: f32| {
        Rect::from_min_size(pos2(area.left, middle - height / 2.0), egui::vec2(area.width - RIG_TRACE_NAME_GAP, height))
    };
    let ink = color(theme.palette.ink);
    if is_low {
        elided_middle(ui, room(y, area.height), &row.name, theme.small_font()).write(ui, Align::Min, ink);
        return;
    }
    elided_middle(ui, room(y, theme.body), &row.name, theme.heading_font()).write_strong(ui, Align::Min, ink);
    let remark = elided(ui, room(y + theme.body * 1.25, theme.body), &row.remark, theme.small_font());
    remark.write(ui, Align::Min, color(theme.palette.ink_secondary));
}

/// The area of a plot, with the cursor's width around it.
pub(super) fn area(plot: crate::drawing::Rect) -> Rect {
    Rect::from_min_size(pos2(plot.left, plot.top), egui::vec2(plot.width, plot.height)).expand(RIG_TRACE_BEYOND)
}

/// The line of the cursor, broken where it would run through a label.
pub(super) fn cursor(ui: &egui::Ui, x: f32, plot: crate::drawing::Rect, labels: &[drawing::Label], view: &View<'_>) {
    if (plot.left - ROUNDING..=plot.left + plot.width + ROUNDING).contains(&x) {
        let x = ui.painter().round_to_pixel_center(x);
        let stroke = Stroke::new(view.theme.selection_width * 0.75, color(view.theme.palette.accent));
        for (from, to) in
            beside_labels(x, (plot.top - RIG_TRACE_BEYOND, plot.top + plot.height + RIG_TRACE_BEYOND), labels)
        {
            ui.painter().vline(x, from..=to, stroke);
        }
    }
}

impl TraceView {
    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, bench: &Bench, outbox: &mut Outbox) {
        let rect = ui.max_rect();
        let Some(driven) = bench.driven() else {
            return tell_nothing(ui, view, bench);
        };
        self.make(ui, rect, view, (driven, bench.serial()));
        let Some(trace) = &self.trace else { return };
        let canvas = ui.interact(area(trace.plot()), id(), Sense::click_and_drag());
        canvas.widget_info(|| WidgetInfo::slider(true, view.screen.rig.cursor_s, "Time in the run, seconds"));
        self.sheet.paint(ui.painter(), view.theme);
        trace.rows.iter().for_each(|row| row_name(ui, row, view));
        if !bench.is_current() {
            return;
        }
        cursor(ui, trace.time.to_screen(view.screen.rig.cursor_s), trace.plot(), &self.scene.labels, view);
        react(ui, &canvas, trace, driven, view, outbox);
        if canvas.has_focus() {
            keep_arrows(ui, &canvas, view);
        }
    }

    fn make(&mut self, ui: &egui::Ui, rect: Rect, view: &View<'_>, (driven, serial): (&Driven, u64)) {
        let look = view.theme.palette.look;
        let made_of = Some((serial, rect, look, ui.pixels_per_point()));
        if self.made_of == made_of {
            return;
        }
        self.made_of = made_of;
        let spec = spec(driven, look, viewport(rect));
        self.trace = Trace::new(&spec);
        self.scene.clear();
        if let Some(trace) = &self.trace {
            trace.draw(&spec, &mut self.scene);
        }
        scene_painter::snap_lines(&mut self.scene, ui.painter());
        self.sheet.fill(&self.scene);
    }
}

fn tell_nothing(ui: &mut egui::Ui, view: &View<'_>, bench: &Bench) {
    let why = match (&view.screen.rig.run, bench.fault()) {
        (Err(why), _) => format!("There is no run: {why}. Choose another run, or mend its rows."),
        (_, Some(fault)) => format!("There is no run: {fault}."),
        _ => return,
    };
    let mut line = named_part(ui, ui.max_rect(), "why");
    line.with_layout(Layout::top_down(Align::Min), |ui| {
        ui.add_space(view.theme.margin);
        ui.add(Label::new(RichText::new(why).color(color(view.theme.palette.error))).wrap());
    });
}

/// A press or drag moves the cursor; the pointer tells what is under it.
fn react(ui: &egui::Ui, canvas: &Response, trace: &Trace, driven: &Driven, view: &View<'_>, outbox: &mut Outbox) {
    if let Some(at) = canvas.interact_pointer_pos().filter(|_| canvas.dragged() || canvas.clicked()) {
        let time_s = trace.time.from_screen(at.x);
        canvas.request_focus();
        outbox.send(RigMessage::StopAt(time_s));
    }
    let hovering = ui.input(|input| input.pointer.hover_pos()).filter(|_| ui.rect_contains_pointer(canvas.rect));
    let Some(at) = hovering else { return };
    let plot = trace.plot();
    if !(plot.left..=plot.left + plot.width).contains(&at.x) {
        return outbox.point_at(view.screen, String::new());
    }
    let half = 0.5;
    let (from_s, to_s) = (trace.time.from_screen(at.x - half), trace.time.from_screen(at.x + half));
    let mut told = rig_words::at_time(driven, from_s, to_s, view);
    let output = trace.row_at(at.y).and_then(|row| trace.output_of(row)).and_then(|at| driven.project.outputs.get(at));
    if let Some(output) = output {
        told = format!("{} · {told}", output.name);
    }
    outbox.point_at(view.screen, told);
}

/// Lays out a line of texts, for headings of the parts.
pub(super) fn head(ui: &mut egui::Ui, rect: Rect, title: &str, add: impl FnOnce(&mut egui::Ui), view: &View<'_>) {
    let mut line =
        ui.new_child(UiBuilder::new().id_salt(title).max_rect(rect).layout(Layout::left_to_right(Align::Center)));
    strong_label(&mut line, title, view.theme.heading_font());
    line.with_layout(Layout::right_to_left(Align::Center), add);
}
