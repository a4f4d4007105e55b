//! Keys of the Rig sheet.

use eframe::egui::{self, Key, Modifiers};

use super::bench::Bench;
use super::{overview_view, strip_view, trace_view};
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::state::rig_state::{RATES, RigMessage};
use crate::window::views::view::View;

/// A page key goes on by this share of the run, an arrow with Shift by this one.
const PAGE: f64 = 0.1;
const SHIFTED: f64 = 0.01;

/// Up shows so many times less of the run in the lanes, Down so many times more.
const NEARER: f64 = 1.5;

/// What a key does to the cursor.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Way {
    /// To the coil event before or after.
    Event(bool),
    /// By a share of the run.
    Share(f64),
    /// To the start or the end.
    End(bool),
}

const WAYS: [(Modifiers, Key, Way); 8] = [
    (Modifiers::SHIFT, Key::ArrowLeft, Way::Share(-SHIFTED)),
    (Modifiers::SHIFT, Key::ArrowRight, Way::Share(SHIFTED)),
    (Modifiers::NONE, Key::ArrowLeft, Way::Event(false)),
    (Modifiers::NONE, Key::ArrowRight, Way::Event(true)),
    (Modifiers::NONE, Key::PageUp, Way::Share(-PAGE)),
    (Modifiers::NONE, Key::PageDown, Way::Share(PAGE)),
    (Modifiers::NONE, Key::Home, Way::End(false)),
    (Modifiers::NONE, Key::End, Way::End(true)),
];

/// Takes the sheet's keys, unless another control has the keyboard.
pub(super) fn take(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let focused = ctx.memory(egui::Memory::focused);
    let on_brush = focused.is_some_and(|id| overview_view::ids().contains(&id));
    if focused.is_some_and(|id| !on_brush && id != trace_view::id() && id != strip_view::id()) {
        return;
    }
    let pressed = |modifiers: Modifiers, key: Key| {
        let mut is_pressed = false;
        ctx.input_mut(|input| {
            while input.consume_key(modifiers, key) {
                is_pressed = true;
            }
        });
        is_pressed
    };
    if pressed(Modifiers::NONE, Key::Space) {
        outbox.run(Command::RigPlay);
    }
    let rate = view.screen.rig.rate;
    if pressed(Modifiers::NONE, Key::Comma) {
        outbox.send(RigMessage::Rate(rate.saturating_sub(1)));
    }
    if pressed(Modifiers::NONE, Key::Period) {
        outbox.send(RigMessage::Rate((rate + 1).min(RATES.len() - 1)));
    }
    // Sideways, the brush has keys of its own.
    for (modifiers, key, way) in WAYS {
        if !on_brush && pressed(modifiers, key) {
            go(way, view, outbox);
        }
    }
    let rig = &view.screen.rig;
    let shown = [
        (Modifiers::SHIFT, Key::ArrowUp, rig.closest_stretch_s()),
        (Modifiers::SHIFT, Key::ArrowDown, rig.span_s()),
        (Modifiers::NONE, Key::ArrowUp, rig.zoomed_s(1.0 / NEARER, rig.cursor_s)),
        (Modifiers::NONE, Key::ArrowDown, rig.zoomed_s(NEARER, rig.cursor_s)),
    ];
    for (modifiers, key, shown_s) in shown {
        if pressed(modifiers, key)
            && let Some(shown_s) = shown_s
        {
            outbox.send(RigMessage::ShowStretch(shown_s));
        }
    }
}

fn go(way: Way, view: &View<'_>, outbox: &mut Outbox) {
    let rig = &view.screen.rig;
    let Some((start_s, end_s)) = rig.span_s() else { return };
    let time_s = match way {
        Way::Event(is_next) => {
            if is_next {
                rig.beside_s.1.max(rig.cursor_s)
            } else {
                rig.beside_s.0.min(rig.cursor_s)
            }
        }
        Way::Share(share) => rig.cursor_s + share * (end_s - start_s),
        Way::End(is_last) => {
            if is_last {
                end_s
            } else {
                start_s
            }
        }
    };
    outbox.send(RigMessage::StopAt(time_s));
}

/// Tells the screen where the arrow keys lead from the cursor.
pub(super) fn tell_neighbours(view: &View<'_>, bench: &Bench, outbox: &mut Outbox) {
    let Some(revolution) = bench.revolution().filter(|_| bench.is_current()) else { return };
    let cursor_s = view.screen.rig.cursor_s;
    let (from_s, to_s) = revolution.turn.time_s;
    // Beyond the shown revolution: just past its ends, where the next one is shown.
    let beside_s = (
        revolution.previous_s(cursor_s).unwrap_or_else(|| from_s.next_down()),
        revolution.next_s(cursor_s).unwrap_or_else(|| to_s.next_up()),
    );
    if view.screen.rig.beside_s != beside_s {
        outbox.send(RigMessage::Beside(beside_s));
    }
}
