//! A drag that is carried out as a gesture of the document: when it was first requested, and whether something
//! else, such as Escape, has ended it since.

use eframe::egui;

use crate::window::views::view::View;

/// When a drag was first requested.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(in crate::window) struct Hold {
    /// The number of the frame.
    asked_in: Option<u64>,
}

impl Hold {
    /// Records that the drag is requested.
    pub(in crate::window) fn ask(&mut self, ctx: &egui::Context) {
        self.asked_in.get_or_insert_with(|| ctx.cumulative_frame_nr());
    }

    /// Whether it was requested at all.
    pub(in crate::window) const fn is_asked(self) -> bool {
        self.asked_in.is_some()
    }

    /// Whether it was carried out and then ended by something else.
    pub(in crate::window) fn is_given_up(self, ctx: &egui::Context, view: &View<'_>) -> bool {
        let is_carried_out = self.asked_in.is_some_and(|frame| frame < ctx.cumulative_frame_nr());
        is_carried_out && !view.document.gesture_open()
    }
}
