//! The one place where keys become commands, those with most modifiers first. Keys and text are carried out in the order in
//! which they came, each before the next one is looked at, so that a number typed and the keys that leave its sheet mean the
//! same in one slow frame as in many quick ones.

use eframe::egui::{self, Event, Key, Modifiers};

use crate::window::state::commands::{Command, KeyMap, Shortcut};
use crate::window::state::inspector_state::Proposer;
use crate::window::state::outbox::{Action, Outbox};
use crate::window::state::surface_state::SurfaceMessage;
use crate::window::tasks::preview::Outcome;
use crate::window::views::grid;
use crate::window::views::view::View;
use crate::window::{frame, sheets};

/// Turns a key into a command; other keys go to the open sheet's table. What neither handles is left for the
/// widgets.
///
/// While text is being typed into a field, only keys with Ctrl or Alt and function keys are commands, except
/// those that a text field uses itself; what is typed is accepted first. While a question or a panel is open,
/// plain keys belong to it; while a path is asked for, all keys do.
///
/// `left_field` is whether a field of text had the keyboard focus when the window was last drawn: Esc has taken it away
/// before anybody hears of the key, and gives up what is typed there, not what is previewed beside it.
pub fn route(ctx: &egui::Context, view: &View<'_>, left_field: bool, outbox: &mut Outbox) {
    frame::keys(ctx, view, outbox);
    if view.dialogs.asks_for_path() {
        return;
    }
    let in_field = ctx.text_edit_focused();
    let typing = in_field || view.screen.grid.editor.is_some();
    if view.document.gesture_open() && ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape)) {
        outbox.send(Action::DragCancel);
    }
    let shown = view.screen.proposals.shown.as_ref();
    let is_typed_beside = left_field && shown.is_some_and(|shown| shown.by == Proposer::Fairing);
    let previewing = shown.is_some() || matches!(view.preview, Some(Outcome::Working { .. })) || view.awaits_remedy;
    if previewing
        && view.screen.grid.editor.is_none()
        && !is_typed_beside
        && ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape))
    {
        outbox.send(Action::PreviewCancel);
    }
    let table_has_keys = view.screen.finder.is_none()
        && view.screen.menu.is_none()
        && view.screen.compare.snapshot_form.is_none()
        && !view.dialogs.take_keys()
        && !egui::Popup::is_any_open(ctx);
    if table_has_keys && !typing {
        leave_mode(ctx, view, outbox);
    }
    for (shortcut, command) in view.keys.by_weight() {
        if (typing && !reaches_past_a_field(shortcut)) || (!table_has_keys && is_plain(shortcut)) {
            continue;
        }
        let times = ctx.input_mut(|input| consume(input, shortcut));
        if times > 0 && view.screen.grid.editor.is_some() {
            // The number being typed comes first. If it is refused, the command is not run, since it would run without
            // the number; the refusal says so.
            if grid::commit_editor_before(view, outbox, command) {
                (0..times).for_each(|_| outbox.run(command));
            }
            return;
        }
        for _ in 0..times {
            outbox.send(if in_field { Action::RunAfterTyping(command) } else { Action::Run(command) });
        }
    }
    if !in_field && table_has_keys {
        sheets::keys(ctx, view, outbox);
    }
}

/// Esc gives up the box that is being drawn on the surface, otherwise ends what drags do there or on slices.
fn leave_mode(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let (surface, slices) = (&view.screen.surface, &view.screen.slices);
    let action: Action = if surface.boxing {
        SurfaceMessage::Boxing(false).into()
    } else if slices.draws {
        Command::DrawOnSlice.into()
    } else if surface.box_armed {
        Command::BoxSelect.into()
    } else {
        return;
    };
    if ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape)) {
        outbox.send(action);
    }
}

/// Leaves out the text that follows a press with Alt, where Alt is not used to write letters: Alt+2 is a
/// command and not a 2. This must go by the events: in a slow frame Alt may be released by its end.
pub(in crate::window) fn without_text_of_alt_keys(mut events: Vec<Event>) -> Vec<Event> {
    let (mut with_alt, writes_with_alt) = (false, cfg!(target_os = "macos"));
    events.retain(|event| match event {
        Event::Key { pressed: true, modifiers, .. } => {
            with_alt = modifiers.alt && !writes_with_alt;
            true
        }
        Event::Text(_) => !with_alt,
        _ => true,
    });
    events
}

/// Whether an event is a press of the keys of a command.
pub(in crate::window) fn is_shortcut(event: &Event, keys: &KeyMap) -> bool {
    keys.by_weight().into_iter().any(|(shortcut, _)| is_press(event, shortcut))
}

/// Counts and removes presses of exactly these keys: a plain letter must not fire with Shift held.
fn consume(input: &mut egui::InputState, shortcut: Shortcut) -> usize {
    let before = input.events.len();
    input.events.retain(|event| !is_press(event, shortcut));
    before - input.events.len()
}

fn is_press(event: &Event, shortcut: Shortcut) -> bool {
    matches!(event, Event::Key { key, pressed: true, modifiers, .. }
        if *key == shortcut.key && modifiers.matches_exact(shortcut.modifiers))
}

/// Whether holding a key repeats this command.
pub(in crate::window) fn repeats(command: Command) -> bool {
    use Command::{Lower, LowerTen, Raise, RaiseTen, Redo, Undo};
    matches!(command, Raise | Lower | RaiseTen | LowerTen | Undo | Redo)
}

/// Whether the keys are a letter, a digit or the like, by itself or with Shift.
fn is_plain(shortcut: Shortcut) -> bool {
    let Modifiers { alt, command, .. } = shortcut.modifiers;
    let is_function_key = shortcut.key.name().len() > 1 && shortcut.key.name().starts_with('F');
    !alt && !command && !is_function_key
}

fn reaches_past_a_field(shortcut: Shortcut) -> bool {
    let command = shortcut.modifiers.command;
    let used_by_fields =
        command && matches!(shortcut.key, Key::A | Key::C | Key::V | Key::X | Key::Z | Key::Y | Key::H | Key::K);
    !is_plain(shortcut) && !used_by_fields
}
