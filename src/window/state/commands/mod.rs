//! The one list of commands. Menus, command palette, shortcuts, tooltips and the page of keys all come from it.

mod keys;
mod list;

pub use keys::{KeyMap, Shortcut, held_text};
pub use list::Command;
