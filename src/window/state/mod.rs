//! Floor w0: plain data. What is of the screen, and what a view may ask for.

pub mod checks_state;
pub mod commands;
pub mod compare_state;
pub mod dialogs;
pub mod edits;
pub mod engine_state;
pub mod export_state;
pub mod file_jobs;
pub mod form_state;
pub mod grid_state;
pub mod image_results;
pub mod inspector_state;
pub mod limits_state;
pub mod notice;
pub mod outbox;
pub mod proposals;
pub mod rig_state;
pub mod screen;
pub mod screen_message;
pub mod selection;
pub mod settings;
pub mod surface_state;
pub mod trims_state;
