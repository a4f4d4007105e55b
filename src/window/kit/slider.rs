//! What makes a widget a slider, for a screen reader and for arrow keys.

use eframe::egui::accesskit::{Action, ActionData};
use eframe::egui::{EventFilter, Key, Modifiers, Response, Ui, WidgetInfo};

/// A point that can be moved up and down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slider<'a> {
    /// What a screen reader reads.
    pub name: &'a str,
    /// Its value.
    pub value: f64,
    /// The least and the greatest value.
    pub range: (f64, f64),
    /// The size of one step.
    pub step: f64,
}

/// What a screen reader asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Asked {
    /// This many steps up; down if negative.
    Steps(f64),
    /// To a value.
    To(f64),
}

impl Asked {
    /// The value asked for of a slider that is at `value`.
    pub fn from(self, value: f64, step: f64) -> f64 {
        match self {
            Self::Steps(steps) => value + steps * step,
            Self::To(to) => to,
        }
    }
}

impl Slider<'_> {
    /// Names the widget, and returns what a screen reader asked for.
    pub fn show(&self, response: &Response) -> Option<Asked> {
        response.widget_info(|| WidgetInfo::slider(response.enabled(), self.value, self.name));
        response.ctx.accesskit_node_builder(response.id, |node| {
            node.set_min_numeric_value(self.range.0);
            node.set_max_numeric_value(self.range.1);
            node.set_numeric_value_step(self.step);
            for action in [Action::Increment, Action::Decrement, Action::SetValue] {
                node.add_action(action);
            }
        });
        let id = response.id;
        response.ctx.input(|input| {
            let count = |action| f64::from(u32::try_from(input.num_accesskit_action_requests(id, action)).unwrap_or(1));
            let set = input.accesskit_action_requests(id, Action::SetValue).filter_map(|request| match request.data {
                Some(ActionData::NumericValue(to)) => Some(Asked::To(to)),
                _ => None,
            });
            let steps = count(Action::Increment) - count(Action::Decrement);
            set.last().or_else(|| (steps != 0.0).then_some(Asked::Steps(steps)))
        })
    }
}

/// Steps up by the arrow keys pressed in this frame, which are taken; down if negative, and ten at once with Shift.
pub fn steps_up(ui: &Ui) -> f64 {
    steps(ui, Key::ArrowDown, Key::ArrowUp)
}

/// The same to the right; to the left if negative.
pub fn steps_right(ui: &Ui) -> f64 {
    steps(ui, Key::ArrowLeft, Key::ArrowRight)
}

fn steps(ui: &Ui, less: Key, more: Key) -> f64 {
    let pressed = |modifiers, key| ui.input_mut(|input| input.count_and_consume_key(modifiers, key));
    let keys = [
        (Modifiers::SHIFT, more, 10.0),
        (Modifiers::SHIFT, less, -10.0),
        (Modifiers::NONE, more, 1.0),
        (Modifiers::NONE, less, -1.0),
    ];
    #[expect(clippy::cast_precision_loss, reason = "keys pressed within a frame")]
    let by = keys.map(|(modifiers, key, steps)| pressed(modifiers, key) as f64 * steps);
    by.iter().sum()
}

/// Keeps the arrow keys for a widget that has the keyboard: they do not lead to another one.
pub fn lock_arrows(ui: &Ui, response: &Response) {
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
}

/// Whether a number that is dragged or typed says that it changed, though Esc gave up what was typed. egui takes that text
/// all the same, one frame after the key.
pub(in crate::window) fn is_given_up(ui: &Ui, response: &Response) -> bool {
    let (key, frame) = (response.id.with("given up"), ui.ctx().cumulative_frame_nr());
    if response.lost_focus() && ui.input(|input| input.key_pressed(Key::Escape)) {
        ui.data_mut(|data| data.insert_temp(key, frame));
    }
    ui.data(|data| data.get_temp::<u64>(key)).is_some_and(|given_up| frame - given_up <= 1)
}
