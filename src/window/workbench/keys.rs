//! Other keys for a command.

use eframe::egui::{self, Event, Key, Modifiers};

use crate::window::state::commands::{Command, KeyMap, Shortcut};

/// The result of the keys pressed while a command waits for its new ones.
pub(super) enum Pressed {
    /// No keys were pressed.
    Nothing,
    /// The user gave up.
    Escape,
    /// These cannot be used, for this reason.
    Refused(String),
    /// These become the command's keys.
    Taken(Shortcut),
}

/// Takes the keyboard's events for a command that waits for its new keys. A modifier alone is only the beginning of a
/// shortcut.
pub(super) fn capture(ctx: &egui::Context, command: Command, keys: &KeyMap) -> Pressed {
    let pressed = ctx.input_mut(|input| {
        let first = input.events.iter().filter_map(pressed).find(|chord| !chord.is_modifier_alone());
        input.events.retain(|event| !is_of_keyboard(event));
        first
    });
    match pressed {
        None => Pressed::Nothing,
        Some(Shortcut { key: Key::Escape, .. }) => Pressed::Escape,
        Some(shortcut) => refusal(keys, command, shortcut).map_or(Pressed::Taken(shortcut), Pressed::Refused),
    }
}

/// Why keys cannot run a command.
pub(super) fn refusal(keys: &KeyMap, command: Command, shortcut: Shortcut) -> Option<String> {
    let text = shortcut.text();
    if let Some(why) = table_use(shortcut) {
        return Some(format!("{text} {why}; press others"));
    }
    let other = keys.taken(shortcut).filter(|&other| other != command)?;
    Some(format!("{text} already runs '{}'; press others, or change that first", other.text()))
}

/// Whether an event comes from the keyboard, or stands for keys that the system takes for the clipboard.
pub(super) fn is_of_keyboard(event: &Event) -> bool {
    matches!(event, Event::Key { .. } | Event::Text(_) | Event::Ime(_) | Event::Copy | Event::Cut | Event::Paste(_))
}

fn pressed(event: &Event) -> Option<Shortcut> {
    let Event::Key { key, pressed: true, repeat: false, modifiers, .. } = event else {
        let key = match event {
            Event::Copy => Key::C,
            Event::Cut => Key::X,
            Event::Paste(_) => Key::V,
            _ => return None,
        };
        return Some(Shortcut { modifiers: Modifiers::COMMAND, key });
    };
    let held =
        [(modifiers.command, Modifiers::COMMAND), (modifiers.alt, Modifiers::ALT), (modifiers.shift, Modifiers::SHIFT)];
    let modifiers = held.into_iter().filter(|(is_held, _)| *is_held).fold(Modifiers::NONE, |all, (_, one)| all | one);
    Some(Shortcut { modifiers, key: *key })
}

/// What the table itself uses these keys for, which no command may take.
fn table_use(shortcut: Shortcut) -> Option<&'static str> {
    use Key::{ArrowDown, ArrowLeft, ArrowRight, ArrowUp, Backspace, C, Delete, Enter, Escape, Space, Tab, V, X};
    let Shortcut { modifiers, key } = shortcut;
    if modifiers == Modifiers::COMMAND && matches!(key, C | X | V) {
        return Some("copies, cuts or pastes");
    }
    if modifiers.command || modifiers.alt {
        return None;
    }
    let digit = key.name().len() == 1 && key.name().chars().all(|character| character.is_ascii_digit());
    match key {
        ArrowDown | ArrowLeft | ArrowRight | ArrowUp => Some("moves in the table"),
        Enter | Tab | Escape | Backspace | Delete | Space => Some("belongs to the table"),
        Key::Minus | Key::Plus | Key::Period | Key::Comma => Some("types a number"),
        _ if digit => Some("types a number"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_of_the_table_are_refused() {
        let cases = [
            (Modifiers::NONE, Key::Num4, true),
            (Modifiers::SHIFT, Key::ArrowUp, true),
            (Modifiers::COMMAND, Key::C, true),
            (Modifiers::COMMAND, Key::Num4, false),
            (Modifiers::ALT, Key::ArrowUp, false),
            (Modifiers::NONE, Key::W, false),
        ];
        for (modifiers, key, is_refused) in cases {
            assert_eq!(table_use(Shortcut { modifiers, key }).is_some(), is_refused, "{modifiers:?} {key:?}");
        }
    }
}
