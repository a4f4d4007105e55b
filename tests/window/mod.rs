//! The window driven as a person would: through AccessKit names, clicks and keys, without a display.

mod harness;
mod renderer;
mod smoke;
