//! Floor w2: building blocks that know nothing of projects.

pub mod chart;
pub mod grid;
pub mod marks;
pub mod numbers;
pub mod part;
pub mod scene_painter;
pub mod splitter;
pub mod still;
pub mod theme;
