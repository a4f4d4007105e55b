//! The points of the chart: each has a name, can have the keyboard focus, and can be dragged up and down.

use eframe::egui::{self, CursorIcon, Event, Key, Modifiers, PointerButton, Pos2, Response, Sense, Ui};

use super::chart::CurveChart;
use super::{CurveEditor, ask, point_id, row};
use crate::project::Project;
use crate::table::Curve;
use crate::window::kit::scene_painter;
use crate::window::kit::slider::{Asked, Slider, lock_arrows};
use crate::window::state::edits::{CurveEdit, CurveOf, CurveWords, Direction, DocumentEdit};
use crate::window::state::form_state::FormMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::form;
use crate::window::views::grip::Hold;
use crate::window::views::view::View;
use crate::wording::{signed, step_decimals};

/// A point that is being moved, by the pointer or by a held key.
#[derive(Clone, Debug)]
pub(in crate::window) struct Held {
    index: usize,
    what: What,
    by: By,
    from: f64,
    to: f64,
    hold: Hold,
    /// It was cancelled; nothing moves until the button or key is released.
    is_over: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    Value,
    Breakpoint,
}

impl What {
    /// The axis along which it moves.
    fn direction(self, points: &Points<'_>) -> Direction {
        match self {
            Self::Value => points.words.value,
            Self::Breakpoint => points.words.at,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum By {
    Pointer { pressed: Pos2 },
    Key(Key),
}

/// What the points are drawn from in this frame.
pub(in crate::window) struct Points<'a> {
    pub of: CurveOf,
    pub words: &'a CurveWords,
    pub curve: &'a Curve,
    pub chart: &'a CurveChart<'a>,
}

/// The project as it was before the drag.
fn start<'a>(view: &View<'a>) -> &'a Project {
    let document = view.document;
    document.steps().get(document.current_step()).map_or(view.project, |step| &step.project)
}

impl CurveEditor {
    /// Draws the points and handles what is done to them.
    pub(in crate::window) fn points(
        &mut self,
        ui: &mut Ui,
        points: &Points<'_>,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) -> Option<usize> {
        let mut hovered = None;
        for index in 0..points.curve.axis().len() {
            let rect = points.chart.touch(index);
            let response = ui.interact(rect, point_id(points.of, index), Sense::click_and_drag());
            self.name(&response, points, index, view, outbox);
            if response.gained_focus() || response.clicked() || response.drag_started() {
                self.cursor = index;
            }
            if response.clicked() {
                response.request_focus();
            }
            if response.hovered() || response.dragged() {
                hovered = Some(index);
            }
            let response = response.on_hover_and_drag_cursor(CursorIcon::ResizeVertical);
            if response.drag_started_by(PointerButton::Primary) {
                response.request_focus();
                let pressed = ui.input(|input| input.pointer.press_origin()).unwrap_or(rect.center());
                let what = if ui.input(|input| input.modifiers.shift) { What::Breakpoint } else { What::Value };
                self.held = Some(Held::take(points, index, what, By::Pointer { pressed }));
            }
            if response.has_focus() {
                lock_arrows(ui, &response);
                self.keys(ui, points, index, view, outbox);
            }
        }
        self.go_on(ui, points, view, outbox);
        hovered
    }

    /// Makes the point a slider for a screen reader, with actions that move it by a step or to a value.
    fn name(&self, response: &Response, points: &Points<'_>, index: usize, view: &View<'_>, outbox: &mut Outbox) {
        let Some((at, value)) = points.curve.points().nth(index) else { return };
        let name = points.words.point_name(at);
        let direction = points.words.value;
        let slider = Slider { name: &name, value, range: direction.range, step: direction.step };
        let to = slider.show(response).map(|asked| match asked {
            Asked::Steps(steps) => direction.stepped(value, steps),
            Asked::To(to) => to,
        });
        if let Some(to) = to {
            // The reason was shown in the status line.
            drop(ask(view, outbox, points.of, CurveEdit::Value { index, to }));
        }
    }

    fn keys(&mut self, ui: &mut Ui, points: &Points<'_>, index: usize, view: &View<'_>, outbox: &mut Outbox) {
        let taken = |modifiers, key| ui.input_mut(|input| input.count_and_consume_key(modifiers, key)) > 0;
        let moves = [
            (Modifiers::SHIFT, Key::ArrowUp, What::Value, 10.0),
            (Modifiers::SHIFT, Key::ArrowDown, What::Value, -10.0),
            (Modifiers::COMMAND, Key::ArrowLeft, What::Breakpoint, -1.0),
            (Modifiers::COMMAND, Key::ArrowRight, What::Breakpoint, 1.0),
            (Modifiers::NONE, Key::ArrowUp, What::Value, 1.0),
            (Modifiers::NONE, Key::ArrowDown, What::Value, -1.0),
        ];
        for (modifiers, key, what, steps) in moves {
            if taken(modifiers, key) {
                return self.step(points, index, what, key, steps, ui.ctx(), view, outbox);
            }
        }
        let last = points.curve.axis().len() - 1;
        let to = [
            (Key::ArrowLeft, index.saturating_sub(1)),
            (Key::ArrowRight, (index + 1).min(last)),
            (Key::Home, 0),
            (Key::End, last),
        ];
        for (key, to) in to {
            if taken(Modifiers::NONE, key) {
                self.cursor = to;
                return ui.memory_mut(|memory| memory.request_focus(point_id(points.of, to)));
            }
        }
        if taken(Modifiers::NONE, Key::Insert) {
            return self.insert(points.of, points.curve, points.words, view, outbox);
        }
        if taken(Modifiers::NONE, Key::Delete) || taken(Modifiers::NONE, Key::Backspace) {
            return self.remove(points.of, view, outbox);
        }
        self.type_over(ui, points, index, outbox);
    }

    /// A typed number goes into the box of the value.
    fn type_over(&mut self, ui: &Ui, points: &Points<'_>, index: usize, outbox: &mut Outbox) {
        let starts =
            |text: &str| text.starts_with(|first: char| first.is_ascii_digit() || "-+.,\u{2212}".contains(first));
        let mut typed = String::new();
        ui.input_mut(|input| {
            input.events.retain(|event| match event {
                Event::Text(text) if !typed.is_empty() || starts(text) => {
                    typed.push_str(text);
                    false
                }
                _ => true,
            });
        });
        if typed.is_empty() {
            return;
        }
        let key = row::value_key(points.of, index);
        ui.memory_mut(|memory| memory.request_focus(form::id(&key)));
        self.typing = Some((index, typed.chars().count()));
        outbox.send(FormMessage::Type(key, typed));
    }

    #[expect(clippy::too_many_arguments, reason = "what is pressed, and what every view is given")]
    fn step(
        &mut self,
        points: &Points<'_>,
        index: usize,
        what: What,
        key: Key,
        steps: f64,
        ctx: &egui::Context,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) {
        let goes_on =
            self.held.as_ref().is_some_and(|held| held.index == index && held.by == By::Key(key) && held.what == what);
        if !goes_on {
            if self.held.take().is_some() {
                outbox.end_drag();
            }
            self.held = Some(Held::take(points, index, what, By::Key(key)));
        }
        let Some(held) = self.held.as_mut().filter(|held| !held.is_over) else { return };
        held.go_to(what.direction(points).stepped(held.to, steps), points, ctx, view, outbox);
    }

    /// Follows the pointer, and ends the drag when the button or key is released.
    fn go_on(&mut self, ui: &Ui, points: &Points<'_>, view: &View<'_>, outbox: &mut Outbox) {
        let Some(held) = &mut self.held else { return };
        held.is_over |= held.hold.is_given_up(ui.ctx(), view);
        let is_down = match held.by {
            By::Pointer { .. } => ui.input(|input| input.pointer.any_down()),
            By::Key(key) => ui.input(|input| input.key_down(key)),
        };
        if let (By::Pointer { pressed }, Some(at), false) = (held.by, ui.ctx().pointer_latest_pos(), held.is_over) {
            let moved = at - pressed;
            let (scale, moved) = match held.what {
                What::Value => (&points.chart.chart.frame().up, moved.y),
                What::Breakpoint => (&points.chart.chart.frame().along, moved.x),
            };
            let direction = held.what.direction(points);
            let by = scale.from_screen(moved) - scale.from_screen(0.0);
            let to = if by.abs() < direction.step / 2.0 { held.from } else { direction.snapped(held.from + by) };
            held.go_to(to, points, ui.ctx(), view, outbox);
            if is_down && held.hold.is_asked() {
                let place = view.theme;
                scene_painter::card(ui.ctx(), at, &held.text(points), place);
            }
        }
        if !is_down {
            let asked = held.hold.is_asked() && !held.is_over;
            self.held = None;
            if asked {
                outbox.end_drag();
            }
        }
    }
}

impl Held {
    fn take(points: &Points<'_>, index: usize, what: What, by: By) -> Self {
        let (at, value) = points.curve.points().nth(index).unwrap_or_default();
        let from = if what == What::Value { value } else { at };
        Self { index, what, by, from, to: from, hold: Hold::default(), is_over: false }
    }

    /// Requests the drag to a number, if it is a new one; a breakpoint stays between its neighbours.
    fn go_to(&mut self, to: f64, points: &Points<'_>, ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
        let project = start(view);
        let (index, of) = (self.index, points.of);
        let edit = match self.what {
            What::Value => CurveEdit::Value { index, to },
            What::Breakpoint => CurveEdit::Breakpoint { index, to },
        };
        if to == self.to || edit.apply(project, of).is_err() {
            return;
        }
        self.to = to;
        self.hold.ask(ctx);
        outbox.drag_edit(edit.label(project, of), DocumentEdit::Curve(of, edit));
    }

    /// Whether it is moved by the pointer, and not by a key.
    pub(in crate::window) const fn is_by_pointer(&self) -> bool {
        matches!(self.by, By::Pointer { .. })
    }

    /// The text beside the pointer: '+3.0°  +0.5'.
    fn text(&self, points: &Points<'_>) -> String {
        let words = points.words;
        let (direction, now) = match self.what {
            What::Value => (words.value, words.value_words(self.to)),
            What::Breakpoint => (words.at, words.at_words(self.to)),
        };
        let decimals = if direction.step.fract() == 0.0 { 0 } else { step_decimals(direction.step) };
        format!("{now}  {}", signed(self.to - self.from, decimals))
    }
}
