//! Sizes of the parts that everything else is made of: marks, splitters, the ring of what has the keyboard, in points.

use eframe::egui::{Vec2, vec2};

/// How far from its line a splitter can be grasped.
pub(in crate::window) const SPLITTER_REACH: f32 = 4.0;
/// How far an arrow key moves a splitter.
pub(in crate::window) const SPLITTER_STEP: f32 = 16.0;
/// Radius of the running point.
pub(in crate::window) const RUNNING_POINT: f32 = 4.5;
/// So far beyond the edge of a part its contents are still seen: the ring of what has the keyboard.
pub(in crate::window) const FOCUS_RING: f32 = 3.0;
/// Length of an arrow between what was and what is, and of both sides of its head.
pub(in crate::window) const ARROW: f32 = 9.0;
pub(in crate::window) const ARROW_HEAD: f32 = 2.5;
/// Half the length of the dash that says that nothing is different.
pub(in crate::window) const NIL_HALF: f32 = 2.0;
/// Width of the strokes of a sign, and of thin ones.
pub(in crate::window) const SIGN: f32 = 1.4;
/// Width of hairlines.
pub(in crate::window) const HAIRLINE: f32 = 1.0;
/// Widths of the ring of the running point: of the paper behind it, and of its ink.
pub(in crate::window) const RUNNING_RING: (f32, f32) = (4.5, 2.0);
/// Width of the line round what has the keyboard or the pointer.
pub(in crate::window) const RING: f32 = 1.5;
/// Widths of a line that stands out, and of one that is hardly to be seen.
pub(in crate::window) const STRONG: f32 = 2.0;
pub(in crate::window) const FAINT: f32 = 0.8;
/// A mark of severity in a line of text.
pub(in crate::window) const MARK: Vec2 = vec2(11.0, 10.0);
/// The ring of what has the keyboard keeps so far from the edge of what it is in.
pub(in crate::window) const RING_INSET: f32 = 2.0;
/// How far the cross that closes a panel keeps from the edge of its button.
pub(in crate::window) const CLOSE_INSET: f32 = 7.5;
/// Where copies of a text stand to make its halo.
pub(in crate::window) const HALO: [(f32, f32); 8] =
    [(-1.4, 0.0), (1.4, 0.0), (0.0, -1.4), (0.0, 1.4), (-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)];
