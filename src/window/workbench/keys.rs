//! Other keys for a command.

use eframe::egui::{self, Event, Key, Modifiers};

use super::Workbench;
use crate::window::state::commands::{Command, Shortcut};
use crate::window::state::screen::SidePanel;

impl Workbench {
    /// While a command waits for its new keys, the next keys pressed become its own, or are refused. A modifier
    /// alone is only the beginning of a shortcut. The command stops waiting when the list of keys is closed.
    pub(super) fn capture_keys(&mut self, ctx: &egui::Context) {
        if self.screen.panel != Some(SidePanel::Keys) {
            (self.files.dialogs.capture, self.files.dialogs.capture_refusal) = (None, None);
        }
        let Some(command) = self.files.dialogs.capture else {
            return;
        };
        let pressed = ctx.input_mut(|input| {
            let first = input.events.iter().filter_map(pressed).find(|chord| !chord.is_modifier_alone());
            input.events.retain(|event| !is_of_keyboard(event));
            first
        });
        let Some(shortcut) = pressed else {
            return;
        };
        self.files.dialogs.capture_refusal = None;
        if shortcut.key == Key::Escape {
            self.files.dialogs.capture = None;
        } else if let Some(why) = self.refusal(command, shortcut) {
            self.files.dialogs.capture_refusal = Some(why);
        } else {
            self.files.dialogs.capture = None;
            self.set_keys(command, vec![shortcut]);
        }
    }

    pub(super) fn set_keys(&mut self, command: Command, keys: Vec<Shortcut>) {
        let clash = keys.iter().find_map(|&shortcut| self.refusal(command, shortcut));
        match clash {
            Some(why) => self.complain(why),
            None => self.settings.keys.set(command, keys),
        }
    }

    fn refusal(&self, command: Command, shortcut: Shortcut) -> Option<String> {
        let text = shortcut.text();
        if let Some(why) = table_use(shortcut) {
            return Some(format!("{text} {why}; press others"));
        }
        let other = self.settings.keys.taken(shortcut).filter(|&other| other != command)?;
        Some(format!("{text} already runs '{}'; press others, or change that first", other.text()))
    }
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
