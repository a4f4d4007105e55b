//! The one list of commands. Menus, command palette, shortcuts, tooltips and the page of keys all come from it.

mod availability;
mod keys;
mod list;
mod targets;

pub use availability::{Availability, availability};
pub use keys::{KeyMap, Shortcut, held_text};
pub use list::Command;
