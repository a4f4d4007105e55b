//! The sweeps side by side, in the table's order, each small: what the engine said at every operating point at one look.

use eframe::egui::{
    self, Align, Align2, Color32, EventFilter, Id, Modifiers, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo,
    pos2, vec2,
};

use super::arrangement::Arrangement;
use super::kept::{Frame, Kept};
use crate::drawing::{Scene, SweepPlot, SweepSet};
use crate::window::kit::patterns::{self, Pattern};
use crate::window::kit::scene_painter::{self, viewport};
use crate::window::kit::theme::evidence_sizes::EVIDENCE_SIZES;
use crate::window::kit::theme::kit_sizes::{CHART_SIZES, STRONG};
use crate::window::kit::theme::{color, elided, hairline, ring, strong_text};
use crate::window::state::evidence_state::EvidenceMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;
use crate::wording::{Unit, quantity, rounded, with_unit, written};

/// The frames with their axes.
pub(super) struct Frames<'a> {
    pub(super) kept: &'a Kept,
    pub(super) arrangement: &'a Arrangement,
    pub(super) chosen: Option<&'a Frame>,
}

/// The id of a frame, for the keyboard.
pub(super) fn id(frame: &Frame) -> Id {
    Id::unique(("frame of a sweep", &frame.key))
}

/// How wide a frame is at least, to know how many stand in a row.
pub(super) fn columns_that_fit(width: f32) -> usize {
    let each = EVIDENCE_SIZES.least_frame.x * 1.4 + EVIDENCE_SIZES.gutter;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a screen's width")]
    let columns = ((width - EVIDENCE_SIZES.outer.x) / each).floor().max(1.0) as usize;
    columns
}

impl Frames<'_> {
    /// Draws them into a rectangle; what does not fit scrolls.
    pub(super) fn show(&self, ui: &mut Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) {
        let (rows, columns) = self.arrangement.size;
        let (outer, gutter) = (EVIDENCE_SIZES.outer, EVIDENCE_SIZES.gutter);
        let count = |count: usize| {
            #[expect(clippy::cast_precision_loss, reason = "a few hundred frames")]
            let count = count as f32;
            count
        };
        let least = vec2(
            count(columns) * (EVIDENCE_SIZES.least_frame.x + gutter),
            count(rows) * (EVIDENCE_SIZES.least_frame.y + gutter),
        );
        let inside = rect.size() - outer;
        let size = inside.max(least);
        let mut ui = ui.new_child(egui::UiBuilder::new().max_rect(rect).id_salt("sweeps"));
        let area = egui::ScrollArea::both().id_salt("sweeps").auto_shrink(false);
        area.show(&mut ui, |ui| {
            let (whole, _) = ui.allocate_exact_size(size + outer, Sense::hover());
            let frames = Rect::from_min_max(whole.min + vec2(outer.x, 0.0), whole.max - vec2(0.0, outer.y));
            let each = vec2(frames.width() / count(columns), frames.height() / count(rows));
            for row in 0..rows {
                for column in 0..columns {
                    let min = frames.min + vec2(count(column) * each.x, count(row) * each.y);
                    let place = Rect::from_min_size(min, each - vec2(gutter, gutter));
                    match self.arrangement.at((row, column)).and_then(|at| self.kept.frames.get(at)) {
                        Some(frame) => self.frame(ui, place, frame, view, outbox),
                        None if ui.is_rect_visible(place) => not_read(ui, place, view),
                        None => {}
                    }
                }
            }
            self.outer_numbers(ui, frames, each, view);
        });
    }

    /// One frame: the sweep, its choice, and what is concluded in a word. One that is scrolled out of sight is there for the
    /// keyboard and for readers of the screen alone.
    fn frame(&self, ui: &mut Ui, place: Rect, frame: &Frame, view: &View<'_>, outbox: &mut Outbox) {
        let (palette, state) = (view.theme.palette, &view.screen.evidence);
        let response = ui.interact(place, id(frame), Sense::click());
        let is_chosen = self.chosen.is_some_and(|chosen| chosen.key == frame.key);
        let is_gathered = state.gathered.contains(&frame.key);
        response
            .widget_info(|| WidgetInfo::selected(Role::Button, true, is_chosen, frame.name_words(view, state.choice)));
        if response.has_focus() {
            let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
            ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
        }
        if response.gained_focus() {
            response.scroll_to_me(None);
        }
        if !ui.is_rect_visible(place) {
            return;
        }
        let pointed = state.pointed.as_ref() == Some(&frame.key);
        if pointed || is_gathered {
            ui.painter().rect_filled(
                place,
                0.0,
                color(if is_gathered { palette.selection } else { palette.field_hover }),
            );
        }
        let plot = self.plot(place);
        paint(ui, &plot, frame, view);
        let (stroke, width) = if is_chosen { (palette.accent, STRONG) } else { (palette.rule_strong, 1.0) };
        ui.painter().rect_stroke(place, 0.0, Stroke::new(width, color(stroke)), StrokeKind::Inside);
        show_focus(ui, &response, place.shrink(STRONG), view);
        self.words(ui, place, frame, view);
        self.react(ui, &response, (&plot, frame), view, outbox);
    }

    fn plot(&self, place: Rect) -> SweepPlot {
        let plot = Rect::from_min_max(place.min, place.max - vec2(0.0, EVIDENCE_SIZES.wedge));
        SweepPlot { plot: viewport(plot), along_deg: self.kept.along_deg, up_pct: self.kept.up_pct, is_large: false }
    }

    /// The choice at the left, the conclusion at the right; on a ground, so that no line runs through them.
    fn words(&self, ui: &Ui, place: Rect, frame: &Frame, view: &View<'_>) {
        let (theme, palette, inset) = (view.theme, view.theme.palette, EVIDENCE_SIZES.inset);
        let line = Rect::from_min_size(
            place.min + vec2(inset, inset / 2.0),
            vec2(place.width() - 2.0 * inset, theme.small + inset),
        );
        let ground = |rect: Rect| {
            ui.painter().rect_filled(rect.expand2(vec2(CHART_SIZES.name_air, 0.0)), 0.0, color(palette.paper))
        };
        let mut rest = line;
        if let Some(deg) = frame.choice_deg(view.screen.evidence.choice) {
            let text = quantity(rounded(deg, 1), Unit::Degree);
            let galley = ui.painter().layout_no_wrap(text.clone(), theme.small_font(), Color32::PLACEHOLDER);
            ground(Rect::from_min_size(line.min, vec2(galley.size().x + inset, line.height())));
            let written = strong_text(
                ui.painter(),
                line.left_center(),
                Align2::LEFT_CENTER,
                text,
                theme.small_font(),
                color(palette.ink),
            );
            rest.min.x = written.right() + theme.gap;
        }
        let word = elided(ui, rest, frame.word(), theme.small_font());
        if !word.is_cut() {
            ground(word.place(Align::Max));
            word.paint(ui, Align::Max, color(palette.ink_secondary));
        }
    }

    fn react(
        &self,
        ui: &Ui,
        response: &egui::Response,
        (plot, frame): (&SweepPlot, &Frame),
        view: &View<'_>,
        outbox: &mut Outbox,
    ) {
        if let Some(at) = response.hover_pos() {
            let deg = rounded(plot.deg_at(at.x), 1);
            point(view, Some((frame, Some(deg))), outbox);
        }
        if response.clicked() {
            response.request_focus();
            gather_or_look(ui, frame, outbox);
        }
    }

    /// Loads at the left of the rows and speeds below the columns, where the frames stand as in the table; % and degrees
    /// on the outer axes.
    fn outer_numbers(&self, ui: &Ui, frames: Rect, each: egui::Vec2, view: &View<'_>) {
        let (theme, palette) = (view.theme, view.theme.palette);
        let (font, ink, weak) = (theme.small_font(), color(palette.ink), color(palette.ink_secondary));
        let chosen = self.chosen.and_then(|chosen| self.kept.frames.iter().position(|frame| frame.key == chosen.key));
        let place = chosen.and_then(|at| self.arrangement.places.get(at));
        let unit = view.project.sensors.load.unit();
        for (row, load) in self.arrangement.loads.iter().enumerate() {
            #[expect(clippy::cast_precision_loss, reason = "a few rows")]
            let top = frames.top() + row as f32 * each.y;
            let middle = pos2(frames.left() - theme.gap, top + (each.y - EVIDENCE_SIZES.gutter) / 2.0);
            let text = quantity(rounded(*load, 0), unit);
            if place.is_some_and(|place| place.0 == row) {
                strong_text(ui.painter(), middle, Align2::RIGHT_CENTER, text, font.clone(), ink);
            } else {
                ui.painter().text(middle, Align2::RIGHT_CENTER, text, font.clone(), weak);
            }
        }
        for column in 0..self.arrangement.size.1 {
            #[expect(clippy::cast_precision_loss, reason = "a few columns")]
            let left = frames.left() + column as f32 * each.x;
            let width = each.x - EVIDENCE_SIZES.gutter;
            self.degrees_below(
                ui,
                Rect::from_min_size(pos2(left, frames.bottom() - EVIDENCE_SIZES.gutter), vec2(width, 0.0)),
                view,
            );
            let Some(speed_rpm) = self.arrangement.speeds_rpm.get(column) else { continue };
            let at = pos2(left + width / 2.0, frames.bottom() + EVIDENCE_SIZES.outer.y);
            let text = quantity((speed_rpm / 10.0).round() * 10.0, Unit::Rpm);
            if place.is_some_and(|place| place.1 == column) {
                strong_text(ui.painter(), at, Align2::CENTER_BOTTOM, text, font.clone(), ink);
            } else {
                ui.painter().text(at, Align2::CENTER_BOTTOM, text, font.clone(), weak);
            }
        }
    }

    /// Round numbers of degrees below a column.
    fn degrees_below(&self, ui: &Ui, base: Rect, view: &View<'_>) {
        let (low, high) = self.kept.along_deg;
        let (font, weak) = (view.theme.small_font(), color(view.theme.palette.ink_secondary));
        let step = crate::drawing::nice_step(high - low, 4);
        let mut at = (low / step).ceil() * step;
        while at <= high {
            #[expect(clippy::cast_possible_truncation, reason = "a share")]
            let x = base.left() + ((at - low) / (high - low)) as f32 * base.width();
            let text = with_unit(&written(at), Unit::Degree);
            let galley = ui.painter().layout_no_wrap(text, font.clone(), weak);
            let half = galley.size().x / 2.0;
            if x - half >= base.left() && x + half <= base.right() {
                ui.painter().galley(pos2(x - half, base.bottom()), galley, weak);
            }
            at += step;
        }
    }
}

/// Shows that something has the keyboard.
pub(super) fn show_focus(ui: &Ui, response: &egui::Response, place: Rect, view: &View<'_>) {
    if response.has_focus() {
        ui.painter().rect_stroke(place, 0.0, ring(color(view.theme.palette.ink)), StrokeKind::Inside);
    }
}

/// Paints a sweep with what is set against its curve, which is returned.
pub(super) fn paint(ui: &Ui, plot: &SweepPlot, frame: &Frame, view: &View<'_>) -> SweepSet {
    let state = &view.screen.evidence;
    let set = SweepSet {
        table_deg: frame.table_deg,
        choice_deg: frame.choice_deg(state.choice),
        pointed_deg: state.pointed_deg,
    };
    let mut scene = Scene::default();
    plot.draw(&frame.lines, &set, view.theme.palette.look, &mut scene);
    scene_painter::snap_lines(&mut scene, ui.painter());
    scene_painter::paint(ui.painter(), &scene, view.theme);
    set
}

/// A click shows a sweep large; with Ctrl it gathers it, or lets it go.
pub(super) fn gather_or_look(ui: &Ui, frame: &Frame, outbox: &mut Outbox) {
    let gathers = ui.input(|input| input.modifiers.command);
    let key = frame.key.clone();
    outbox.send(if gathers { EvidenceMessage::Gather(key) } else { EvidenceMessage::Look(key) });
}

/// Says which sweep is pointed at, if that is another than before.
pub(super) fn point(view: &View<'_>, at: Option<(&Frame, Option<f64>)>, outbox: &mut Outbox) {
    let state = &view.screen.evidence;
    let (frame, deg) = at.map_or((None, None), |(frame, deg)| (Some(frame.key.clone()), deg));
    if (&state.pointed, state.pointed_deg) != (&frame, deg) {
        outbox.send(EvidenceMessage::Point(frame, deg));
    }
}

/// A place of the grid at which nothing was read.
fn not_read(ui: &Ui, place: Rect, view: &View<'_>) {
    let palette = view.theme.palette;
    let mut mesh = egui::Mesh::default();
    patterns::add(&mut mesh, place, None, Pattern::Hatch, color(palette.hatch.with_alpha(palette.hatch.a / 2)));
    ui.painter().add(egui::Shape::mesh(mesh));
    ui.painter().rect_stroke(place, 0.0, hairline(color(palette.rule)), StrokeKind::Inside);
}

/// Arrows go from frame to frame, Space gathers one.
pub(super) fn keys(ctx: &egui::Context, frames: &Frames<'_>, outbox: &mut Outbox) {
    let focused = ctx.memory(egui::Memory::focused);
    let Some(from) = frames.kept.frames.iter().position(|frame| Some(id(frame)) == focused) else { return };
    let pressed = |key| ctx.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    if pressed(egui::Key::Space) {
        outbox.send(EvidenceMessage::Gather(frames.kept.frames[from].key.clone()));
    }
    let directions = [
        (egui::Key::ArrowUp, (-1, 0)),
        (egui::Key::ArrowDown, (1, 0)),
        (egui::Key::ArrowLeft, (0, -1)),
        (egui::Key::ArrowRight, (0, 1)),
    ];
    for (key, towards) in directions {
        if !pressed(key) {
            continue;
        }
        if let Some(to) = frames.arrangement.beside(from, towards).and_then(|to| frames.kept.frames.get(to)) {
            ctx.memory_mut(|memory| memory.request_focus(id(to)));
            outbox.send(EvidenceMessage::Look(to.key.clone()));
        }
    }
}
