//! Floor w2: building blocks that know nothing of projects.

pub mod chart;
pub mod grid;
pub mod marks;
pub mod numbers;
pub mod parts;
pub mod patterns;
pub mod scene_painter;
pub mod slider;
pub mod still;
pub mod theme;
