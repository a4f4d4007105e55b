//! Sizes of the surface, in points.

/// Two groups of buttons stand in one line from this width on.
pub(in crate::window) const ROOM_FOR_BOTH: f32 = 430.0;
/// Distance of contents from the grid at the left.
pub(in crate::window) const LEFT_MARGIN: f32 = 9.0;
/// Height of the line of view buttons.
pub(in crate::window) const CONTROLS_HEIGHT: f32 = 22.0;
/// How far that line reaches into the heading's, so that it is level with the grid's speed breakpoints.
pub(in crate::window) const CONTROLS_OVERLAP: f32 = 4.0;
/// Side of the square round a vertex that is only proposed, and length and distance of its dashes.
pub(in crate::window) const PROPOSED_SIDE: f32 = 9.0;
pub(in crate::window) const PROPOSED_DASHES: (f32, f32) = (3.0, 1.5);
