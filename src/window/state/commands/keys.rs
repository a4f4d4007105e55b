//! Keys and the commands they run.

use std::collections::{BTreeMap, BTreeSet};

use eframe::egui::{Key, Modifiers};

use super::Command;

/// A key with modifiers. `command` is Ctrl, or ⌘ on a Mac.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Shortcut {
    /// The modifiers held.
    pub modifiers: Modifiers,
    /// The key pressed.
    pub key: Key,
}

impl Shortcut {
    /// How it is written in tooltips: `Ctrl+Shift+S`.
    pub fn text(self) -> String {
        let mut text = held_text(self.modifiers);
        text.push_str(match self.key {
            Key::ArrowUp => "Up",
            Key::ArrowDown => "Down",
            Key::ArrowLeft => "Left",
            Key::ArrowRight => "Right",
            key => key.name(),
        });
        text
    }

    /// Whether its key is itself a modifier: it would then fire with every other shortcut that begins with it.
    pub fn is_modifier_alone(self) -> bool {
        use Key::{AltLeft, AltRight, ControlLeft, ControlRight, ShiftLeft, ShiftRight, SuperLeft, SuperRight};
        matches!(
            self.key,
            AltLeft | AltRight | ControlLeft | ControlRight | ShiftLeft | ShiftRight | SuperLeft | SuperRight
        )
    }

    /// The shortcut that such a text describes; `None` if it names no key.
    pub fn parse(text: &str) -> Option<Self> {
        let mut modifiers = Modifiers::NONE;
        let mut rest = text;
        while let Some((held, after)) = rest.split_once('+').filter(|(_, after)| !after.is_empty()) {
            modifiers |= match held {
                "Ctrl" => Modifiers::COMMAND,
                "Alt" => Modifiers::ALT,
                "Shift" => Modifiers::SHIFT,
                _ => return None,
            };
            rest = after;
        }
        Some(Self { modifiers, key: Key::from_name(rest)? })
    }

    /// How many modifiers must be held; shortcuts with more are tried first.
    pub fn weight(self) -> usize {
        let Modifiers { alt, ctrl, shift, command, .. } = self.modifiers;
        [alt, ctrl, shift, command].into_iter().filter(|&held| held).count()
    }
}

/// The modifiers as they are written before a key: `Ctrl+Shift+`.
pub fn held_text(modifiers: Modifiers) -> String {
    let held = [(modifiers.command || modifiers.ctrl, "Ctrl+"), (modifiers.alt, "Alt+"), (modifiers.shift, "Shift+")];
    held.into_iter().filter_map(|(is_held, name)| is_held.then_some(name)).collect()
}

/// Which keys run which command: the defaults with the user's changes.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyMap(BTreeMap<Command, Vec<Shortcut>>);

impl Default for KeyMap {
    fn default() -> Self {
        Self(Command::ALL.iter().map(|&command| (command, command.default_keys())).collect())
    }
}

impl KeyMap {
    /// The keys of a command.
    pub fn of(&self, command: Command) -> &[Shortcut] {
        self.0.get(&command).map_or(&[], Vec::as_slice)
    }

    /// Gives a command other keys.
    pub fn set(&mut self, command: Command, keys: Vec<Shortcut>) {
        self.0.insert(command, keys);
    }

    /// Removes these commands' keys from all other commands.
    pub fn yield_to(&mut self, chosen: &BTreeSet<Command>) {
        let taken: Vec<Shortcut> = chosen.iter().flat_map(|&command| self.of(command)).copied().collect();
        for (_, keys) in self.0.iter_mut().filter(|(command, _)| !chosen.contains(command)) {
            keys.retain(|shortcut| !taken.contains(shortcut));
        }
    }

    /// Whether a command's keys differ from the defaults.
    pub fn is_changed(&self, command: Command) -> bool {
        self.of(command) != command.default_keys()
    }

    /// A shortcut that two commands share, and both commands.
    pub fn clash(&self) -> Option<(Shortcut, Command, Command)> {
        let all = self.by_weight();
        let pairs =
            all.iter().enumerate().flat_map(|(place, one)| all[place + 1..].iter().map(move |other| (one, other)));
        let mut clashes = pairs.filter(|(one, other)| one.0 == other.0 && one.1 != other.1);
        clashes.next().map(|(one, other)| (one.0, one.1, other.1))
    }

    /// The command that already has these keys.
    pub fn taken(&self, shortcut: Shortcut) -> Option<Command> {
        self.0.iter().find(|(_, keys)| keys.contains(&shortcut)).map(|(&command, _)| command)
    }

    /// Every shortcut, those with most modifiers first, so that Ctrl+Shift+S is not taken for Ctrl+S.
    pub fn by_weight(&self) -> Vec<(Shortcut, Command)> {
        let pairs = self.0.iter().flat_map(|(&command, keys)| keys.iter().map(move |&shortcut| (shortcut, command)));
        let mut pairs: Vec<_> = pairs.collect();
        pairs.sort_by_key(|(shortcut, _)| std::cmp::Reverse(shortcut.weight()));
        pairs
    }

    /// A tooltip: what the command does and its keys.
    pub fn tooltip(&self, command: Command) -> String {
        let keys: Vec<String> = self.of(command).iter().map(|shortcut| shortcut.text()).collect();
        if keys.is_empty() {
            command.tooltip().to_owned()
        } else {
            format!("{}  ({})", command.tooltip(), keys.join(" or "))
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;

    #[test]
    fn no_two_commands_share_keys_or_texts() {
        let mut keys = HashSet::new();
        let mut texts = HashSet::new();
        for &command in Command::ALL {
            assert!(texts.insert(command.text()), "{command:?}");
            for shortcut in command.default_keys() {
                assert!(keys.insert(shortcut), "{command:?}: {}", shortcut.text());
            }
        }
    }

    #[test]
    fn texts_of_keys_read_back() {
        for (shortcut, _) in KeyMap::default().by_weight() {
            assert_eq!(Shortcut::parse(&shortcut.text()), Some(shortcut), "{}", shortcut.text());
        }
        for key in Key::ALL {
            let shortcut = Shortcut { modifiers: Modifiers::ALT | Modifiers::SHIFT, key: *key };
            assert_eq!(Shortcut::parse(&shortcut.text()), Some(shortcut), "{}", shortcut.text());
        }
        for broken in ["", "Ctrl", "Ctrl+", "Hyper+A", "Ctrl+Alt", "ctrl+A"] {
            assert_eq!(Shortcut::parse(broken), None, "{broken}");
        }
    }

    #[test]
    fn shortcuts_with_more_modifiers_come_first() {
        let order = KeyMap::default().by_weight();
        let place = |command| order.iter().position(|(_, other)| *other == command).unwrap();
        assert!(place(Command::SaveAs) < place(Command::Save));
    }
}
