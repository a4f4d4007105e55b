//! Floor w0: plain data. What is of the screen, and what a view may ask for.

pub mod checks_state;
pub mod clipboard_state;
pub mod commands;
pub mod dialogs;
pub mod engine_state;
pub mod export_state;
pub mod file_jobs;
pub mod form_state;
pub mod image_results;
pub mod inspector_state;
pub mod limits_state;
pub mod outbox;
pub mod rig_state;
pub mod screen;
pub mod settings;
pub mod trims_state;
