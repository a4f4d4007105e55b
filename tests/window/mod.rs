//! The window driven as a person would: through AccessKit names, clicks and keys, without a display.

mod compare;
mod compare_pictures;
mod engine_form;
mod export_pictures;
mod frame;
mod frame_files;
mod frame_pictures;
mod frame_tables;
mod golden;
mod grid;
mod grid_clipboard;
mod grid_pictures;
mod harness;
mod inspector;
mod inspector_breakpoints;
mod monkey;
mod renderer;
mod slices;
mod smoke;
mod surface;
mod surface_pictures;
