//! Floor 6: the desktop program. It holds only what is of the screen; the document holds the truth.

pub mod base;
pub mod checking;
pub mod commands;
pub mod curve_editor;
pub mod dialogs;
pub mod ending;
pub mod files;
pub mod form;
pub mod frame;
pub mod grid;
pub mod grip;
mod hold;
pub mod inspector;
mod newest;
pub mod numbers;
mod outbox;
pub mod preview;
pub mod router;
mod run;
pub mod scene_painter;
pub mod screen;
pub mod settings;
pub mod sheets;
pub mod slices;
mod splitter;
pub mod surface;
mod surroundings;
pub mod theme;
mod view;
mod wake;
pub mod workbench;

pub use outbox::{Action, Edit, FileAction, Outbox};
pub use run::{RunError, run};
pub use surroundings::Surroundings;
pub use view::{Flashed, View};
pub use workbench::Workbench;
