//! Floor w1: work on threads instead of in the frame. All of it is done as a `Task`.

pub mod base;
pub mod checking;
pub mod chooser;
pub mod destination;
pub mod image_files;
pub mod jobs;
pub mod leftovers;
pub mod preview;
pub mod rig_files;
pub mod settings_file;
pub mod table_files;
pub mod task;
pub mod watcher;
