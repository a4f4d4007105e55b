//! Floor 6: the desktop program. It only holds the state of the screen; the document holds the project.
//!
//! It has floors of its own, checked by the same test as those of the house: nothing uses what lies above it.

pub mod frame;
pub mod kit;
pub mod sheets;
pub mod state;
pub mod tasks;
pub mod views;
pub mod workbench;

pub use workbench::desktop::{RunError, first_document, run};
pub use workbench::{Surroundings, Workbench};
