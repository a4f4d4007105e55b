//! The wheel over lanes and overview: nearer and further about a time, and along.

use eframe::egui::{self, Vec2};

use crate::drawing::ChartAxis;
use crate::window::state::outbox::Outbox;
use crate::window::state::rig_state::RigMessage;
use crate::window::views::view::View;

/// So many points of the wheel change what is shown by the factor e.
const WHEEL_PER_E: f64 = 240.0;

/// Takes the wheel: up shows less of the run around `about_s`, down more; sideways, or with Shift, goes along the axis.
pub(super) fn take(ui: &egui::Ui, time: &ChartAxis, about_s: f64, view: &View<'_>, outbox: &mut Outbox) {
    let (scrolled, pinched) = ui.input_mut(|input| {
        let scrolled = std::mem::replace(&mut input.smooth_scroll_delta, Vec2::ZERO);
        (scrolled, f64::from(input.zoom_delta()))
    });
    let rig = &view.screen.rig;
    let share = (-f64::from(scrolled.y) / WHEEL_PER_E).exp() / pinched;
    if (share - 1.0).abs() > f64::EPSILON
        && let Some(shown_s) = rig.zoomed_s(share, about_s)
    {
        outbox.send(RigMessage::ShowStretch(shown_s));
    }
    if scrolled.x != 0.0
        && let Some((from_s, to_s)) = rig.shown_s()
    {
        let by_s = time.from_screen(scrolled.x) - time.from_screen(0.0);
        outbox.send(RigMessage::ShowStretch((from_s - by_s, to_s - by_s)));
    }
}
