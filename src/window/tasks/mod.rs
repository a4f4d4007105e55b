//! Floor w1: work off the frame.

pub mod base;
pub mod checking;
pub mod chooser;
pub mod image_files;
pub mod newest;
pub mod preview;
pub mod rig_files;
pub mod settings_file;
pub mod watcher;
pub mod worker;
