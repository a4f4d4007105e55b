//! A point as a slider for a screen reader.

use eframe::egui::accesskit::{Action, ActionData};
use eframe::egui::{Response, WidgetInfo};

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
