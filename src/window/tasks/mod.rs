//! Floor w1: work on threads instead of in the frame. All of it is done as a `Task`.

pub mod base;
pub mod checking;
pub mod exchange_files;
pub mod how_sure;
pub mod jobs;
pub mod leftovers;
pub mod paths;
pub mod pictures;
pub mod preview;
pub mod rig_files;
pub mod settings_file;
pub mod sweep_files;
pub mod task;
pub mod watcher;
