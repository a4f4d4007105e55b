//! Floor w3: views that several sheets show and that are bound to a project.

pub mod availability;
pub mod command_buttons;
pub mod curve_editor;
pub mod form;
pub mod grid;
pub mod grip;
pub mod inspector;
pub mod layers;
pub mod measured;
pub mod notable;
pub mod region_here;
pub mod scales;
pub mod slices;
pub mod surface;
pub mod table_layout;
pub mod typed_amount;
pub mod view;
