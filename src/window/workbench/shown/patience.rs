//! What is pointed at is previewed once it was pointed at for a while: a pointer that only passes leaves everything as it is.

use std::time::Duration;

use eframe::egui;

/// How long it takes.
const WAIT_S: f64 = 0.2;

/// Waits until something has been wanted for long enough.
pub(super) struct Patience<T> {
    /// What is wanted, and since when.
    since: Option<(T, f64)>,
}

impl<T> Default for Patience<T> {
    fn default() -> Self {
        Self { since: None }
    }
}

impl<T: Clone + PartialEq> Patience<T> {
    /// What is wanted, if it has been for long enough or need not wait; otherwise asks for a frame when it will have been.
    pub(super) fn after<'a>(&mut self, wanted: Option<&'a T>, at_once: bool, ctx: &egui::Context) -> Option<&'a T> {
        let Some(wanted) = wanted else {
            self.since = None;
            return None;
        };
        let now_s = ctx.input(|input| input.time);
        let since = match &self.since {
            Some((known, since)) if known == wanted => *since,
            _ => {
                self.since = Some((wanted.clone(), now_s));
                now_s
            }
        };
        let left_s = WAIT_S - (now_s - since);
        if at_once || left_s <= 0.0 {
            return Some(wanted);
        }
        ctx.request_repaint_after(Duration::from_secs_f64(left_s));
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_wanted_comes_after_a_while_and_another_waits_anew() {
        let ctx = egui::Context::default();
        let mut patience = Patience::default();
        let mut at = |time: f64, wanted: Option<u8>, at_once: bool| {
            let mut found = None;
            let input = egui::RawInput { time: Some(time), ..egui::RawInput::default() };
            let output = ctx.run_ui(input, |ui| found = patience.after(wanted.as_ref(), at_once, ui.ctx()).copied());
            output.drop_without_applying_deltas();
            found
        };
        assert_eq!(at(1.0, Some(1), false), None);
        assert_eq!(at(1.1, Some(1), false), None);
        assert_eq!(at(1.25, Some(1), false), Some(1));
        assert_eq!(at(1.3, Some(2), false), None);
        assert_eq!(at(1.31, Some(2), true), Some(2));
        assert_eq!(at(1.4, None, false), None);
        assert_eq!(at(1.6, Some(2), false), None);
    }
}
