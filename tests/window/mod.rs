//! The window driven as a person would: through AccessKit names, clicks and keys, without a display.

mod compare_pictures;
mod harness;
mod renderer;
mod slices;
mod smoke;
mod surface;
mod surface_pictures;
