//! The run over time, all of it or what the brush holds: a picture kept until something changes, the cursor over it, and a
//! hairline through all lanes with the readings of that moment.

use eframe::egui::{
    self, Align, Align2, Id, Label, Layout, Rect, Response, RichText, Sense, Stroke, UiBuilder, WidgetInfo, pos2, vec2,
};

use super::bench::{Bench, Driven};
use super::facts::Mark;
use super::wheel;
use crate::checks::RunFact;
use crate::drawing::{self, Frame, Look, Scene, Taken, Trace, TraceRow, TraceSpec, beside_labels};
use crate::window::kit::marks;
use crate::window::kit::parts::named_part;
use crate::window::kit::scene_painter::{self, Sheet, viewport};
use crate::window::kit::theme::engine_sheet_sizes::{
    FACT_MARK, RIG_READING_AIR, RIG_READING_GAP, RIG_TRACE_BEYOND, RIG_TRACE_NAME_GAP,
};
use crate::window::kit::theme::kit_sizes::ROUNDING;
use crate::window::kit::theme::{color, elided, elided_middle, hairline, severity_ink, strong_label};
use crate::window::sheets::rig::rig_words;
use crate::window::state::outbox::Outbox;
use crate::window::state::rig_state::RigMessage;
use crate::window::views::surface::keep_arrows;
use crate::window::views::view::View;

/// The widget that is scrubbed.
pub(super) fn id() -> Id {
    Id::unique("rig trace")
}

/// What a picture is made of: the number of the run, its place, the look, pixels per point, the shown stretch in seconds.
type MadeOf = (u64, Rect, Look, f32, (f64, f64));

/// The picture and what it was made of.
#[derive(Default)]
pub(super) struct TraceView {
    scene: Scene,
    sheet: Sheet,
    trace: Option<Trace>,
    made_of: Option<MadeOf>,
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
    elided_middle(ui, room(y, theme.body), &row.name, theme.heading_font()).write(ui, Align::Min, ink);
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
    /// Draws the lanes, the marks of what is bad, and the readings at the pointer, or else at the row that is being typed.
    pub(super) fn show(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        bench: &Bench,
        (bad, row_s): (&[Mark], Option<f64>),
        outbox: &mut Outbox,
    ) {
        let rect = ui.max_rect();
        let Some(driven) = bench.driven() else {
            return tell_nothing(ui, view, bench);
        };
        let whole_s = driven.record.span_s();
        // Until another run is driven, the lanes show the last one.
        let shown_s = if bench.is_current() { view.screen.rig.shown_s().unwrap_or(whole_s) } else { whole_s };
        self.make(ui, rect, view, (driven, bench.serial(), shown_s));
        let Some(trace) = &self.trace else { return };
        let canvas = ui.interact(area(trace.plot()), id(), Sense::click_and_drag());
        canvas.widget_info(|| WidgetInfo::slider(true, view.screen.rig.cursor_s, "Time in the run, seconds"));
        self.sheet.paint(ui.painter(), view.theme);
        trace.rows.iter().for_each(|row| row_name(ui, row, view));
        if !bench.is_current() {
            return;
        }
        let cursor_s = view.screen.rig.cursor_s;
        ui.ctx().accesskit_node_builder(canvas.id, |node| {
            node.set_description(rig_words::at_time(driven, cursor_s, cursor_s, view));
        });
        paint_marks(ui, trace, bad, view);
        cursor(ui, trace.time.to_screen(cursor_s), trace.plot(), &self.scene.labels, view);
        let pointed_s = react(ui, &canvas, trace, driven, view, outbox);
        let held = pointed_s.or(row_s).filter(|time_s| (trace.time.range.0..=trace.time.range.1).contains(time_s));
        if let Some(time_s) = held {
            hairline_at(ui, &self.scene, trace, driven, time_s, view);
        }
        if canvas.has_focus() {
            keep_arrows(ui, &canvas, view);
        }
    }

    fn make(
        &mut self,
        ui: &egui::Ui,
        rect: Rect,
        view: &View<'_>,
        (driven, serial, shown_s): (&Driven, u64, (f64, f64)),
    ) {
        let look = view.theme.palette.look;
        let made_of = Some((serial, rect, look, ui.pixels_per_point(), shown_s));
        if self.made_of == made_of {
            return;
        }
        self.made_of = made_of;
        // The window writes the names itself.
        let frame = Frame { look, rect: viewport(rect), names: false };
        let spec = TraceSpec { driven: driven.to_draw(), shown_s, frame };
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

/// The marks of what is bad, each in the lane that it is about.
fn paint_marks(ui: &egui::Ui, trace: &Trace, bad: &[Mark], view: &View<'_>) {
    let (from_s, to_s) = trace.time.range;
    let last = trace.rows.len().saturating_sub(1);
    let mut right_of = vec![f32::NEG_INFINITY; trace.rows.len()];
    for mark in bad.iter().filter(|mark| (from_s..=to_s).contains(&mark.time_s)) {
        let lane = match mark.fact {
            RunFact::TimingError => Trace::ERROR,
            RunFact::Sync => Trace::SYNC,
            RunFact::Energy | RunFact::Dwell | RunFact::Sparks => last,
        };
        let (Some(row), Some(free_from)) = (trace.rows.get(lane), right_of.get_mut(lane)) else { continue };
        let x = trace.time.to_screen(mark.time_s);
        if x < *free_from {
            continue;
        }
        *free_from = x + FACT_MARK;
        let half = FACT_MARK / 2.0;
        let y = match lane {
            Trace::ERROR => row.rect.top + half,
            _ => row.rect.top + row.rect.height / 2.0,
        };
        severity_mark(ui, pos2(x, y), mark, view);
    }
}

/// A mark of severity on a ground of paper, so that nothing runs through it.
pub(super) fn severity_mark(ui: &egui::Ui, at: egui::Pos2, mark: &Mark, view: &View<'_>) {
    let place = Rect::from_center_size(at, vec2(FACT_MARK, FACT_MARK));
    ui.painter().circle_filled(at, FACT_MARK / 2.0 + RIG_TRACE_BEYOND, color(view.theme.palette.paper));
    ui.painter().add(marks::severity(place, mark.severity, color(severity_ink(view.theme, mark.severity))));
}

/// A press or drag moves the cursor, the wheel changes what is shown; the pointer tells what is under it. Returns the time
/// that it points at.
fn react(
    ui: &egui::Ui,
    canvas: &Response,
    trace: &Trace,
    driven: &Driven,
    view: &View<'_>,
    outbox: &mut Outbox,
) -> Option<f64> {
    if let Some(at) = canvas.interact_pointer_pos().filter(|_| canvas.dragged() || canvas.clicked()) {
        let time_s = trace.time.from_screen(at.x);
        canvas.request_focus();
        outbox.send(RigMessage::StopAt(time_s));
    }
    let hovering = ui.input(|input| input.pointer.hover_pos()).filter(|_| ui.rect_contains_pointer(canvas.rect));
    let at = hovering?;
    let plot = trace.plot();
    if !(plot.left..=plot.left + plot.width).contains(&at.x) {
        outbox.point_at(view.screen, String::new());
        return None;
    }
    wheel::take(ui, &trace.time, trace.time.from_screen(at.x), view, outbox);
    let half = 0.5;
    let (from_s, to_s) = (trace.time.from_screen(at.x - half), trace.time.from_screen(at.x + half));
    let mut told = rig_words::at_time(driven, from_s, to_s, view);
    let output = trace.row_at(at.y).and_then(|row| trace.output_of(row)).and_then(|at| driven.project.outputs.get(at));
    if let Some(output) = output {
        told = format!("{} · {told}", output.name);
    }
    outbox.point_at(view.screen, told);
    Some(trace.time.from_screen(at.x))
}

/// A hairline through all lanes, with what each of them reads there beside it: all on one side, the left one if it is free,
/// since the arrow of the pointer covers the right one; in its lane each stands where no curve and no words are.
fn hairline_at(ui: &egui::Ui, scene: &Scene, trace: &Trace, driven: &Driven, time_s: f64, view: &View<'_>) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let plot = trace.plot();
    let x = ui.painter().round_to_pixel_center(trace.time.to_screen(time_s));
    for (from, to) in beside_labels(x, (plot.top, plot.top + plot.height), &scene.labels) {
        ui.painter().vline(x, from..=to, hairline(color(palette.ink_secondary)));
    }
    let shown_s = trace.time.range.1 - trace.time.range.0;
    let readings: Vec<_> = rig_words::readings(driven, time_s, shown_s)
        .into_iter()
        .filter_map(|(lane, words)| Some((trace.rows.get(lane)?, words)))
        .map(|(row, words)| (row, ui.painter().layout_no_wrap(words, theme.small_font(), color(palette.ink))))
        .collect();
    let widest = readings.iter().map(|(_, galley)| galley.size().x).fold(0.0, f32::max) + RIG_READING_GAP;
    let taken = Taken::between(scene, (x - widest, x + widest));
    let places = |side: f32| -> Vec<(Rect, bool)> {
        readings.iter().map(|(row, galley)| reading_place(x, side, &row.rect, galley.size(), &taken)).collect()
    };
    let fits = [x - widest >= plot.left, x + widest <= plot.left + plot.width];
    let sides = [places(-1.0), places(1.0)];
    let covered = |side: usize| {
        let bad = sides[side].iter().filter(|(_, is_free)| !is_free).count();
        bad + if fits[side] { 0 } else { readings.len() }
    };
    let chosen = if covered(0) <= covered(1) { &sides[0] } else { &sides[1] };
    for ((_, galley), (place, _)) in readings.iter().zip(chosen) {
        ui.painter().rect_filled(place.expand2(RIG_READING_AIR), ROUNDING, color(palette.paper));
        ui.painter().galley(place.min, galley.clone(), color(palette.ink));
    }
}

/// Where in a lane a reading stands, beside a hairline: at the top, at the bottom or in the middle; and whether that is free.
fn reading_place(x: f32, side: f32, lane: &drawing::Rect, size: egui::Vec2, taken: &Taken) -> (Rect, bool) {
    let middle = lane.top + lane.height / 2.0;
    // In a low lane they reach a little into the room between two lanes.
    let beyond = (size.y + 2.0 * RIG_READING_AIR.y - lane.height / 2.0).clamp(0.0, RIG_READING_GAP);
    let inset = size.y / 2.0 + RIG_READING_AIR.y - beyond;
    let heights = [lane.top + inset, lane.top + lane.height - inset, middle];
    let anchor = if side < 0.0 { Align2::RIGHT_CENTER } else { Align2::LEFT_CENTER };
    let at = |y: f32| anchor.anchor_size(pos2(x + side * RIG_READING_GAP, y), size);
    let is_high = lane.height > 1.5 * size.y;
    let heights = if is_high { &heights[..] } else { &heights[2..] };
    let free = heights.iter().map(|&y| at(y)).find(|place| taken.is_free(&viewport(*place)));
    free.map_or((at(middle), false), |place| (place, true))
}

/// Lays out a line of texts, for headings of the parts.
pub(super) fn head(ui: &mut egui::Ui, rect: Rect, title: &str, add: impl FnOnce(&mut egui::Ui), view: &View<'_>) {
    let mut line =
        ui.new_child(UiBuilder::new().id_salt(title).max_rect(rect).layout(Layout::left_to_right(Align::Center)));
    strong_label(&mut line, title, view.theme.heading_font());
    line.with_layout(Layout::right_to_left(Align::Center), add);
}
