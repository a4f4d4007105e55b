//! Floor w2: parts that know no project.

pub mod chart;
pub mod grid;
pub mod marks;
pub mod numbers;
pub mod parts;
pub mod scene_painter;
pub mod still;
pub mod theme;
