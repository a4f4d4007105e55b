//! Sizes of the Checks sheet, in points.

use eframe::egui::{Vec2, vec2};

/// How list, remedy and thresholds are set out.
pub(in crate::window) struct ChecksSizes {
    /// Share of the width that the column with remedy and thresholds has, and its least and largest width.
    pub(in crate::window) side_share: f32,
    pub(in crate::window) side_width: (f32, f32),
    /// Height of what a remedy would do.
    pub(in crate::window) remedy_height: f32,
    /// Height of the picture in it.
    pub(in crate::window) picture_height: f32,
    /// Height of the line with the heading.
    pub(in crate::window) heading_line: f32,
    /// Where there is less room beside the triangle, the figures stand with the remedy alone.
    pub(in crate::window) least_width_with_figures: f32,
    /// Width of the column with the triangles.
    pub(in crate::window) mark_width: f32,
    /// A triangle.
    pub(in crate::window) mark: Vec2,
    /// Width of a threshold's field.
    pub(in crate::window) field_width: f32,
    /// Width of the button that resets a threshold.
    pub(in crate::window) reset_width: f32,
    /// The list of findings is no wider than this, so that its lines can be read.
    pub(in crate::window) list_width: f32,
    /// Height of a line with a threshold.
    pub(in crate::window) line_height: f32,
    /// Room for the scroll bar right of a list.
    pub(in crate::window) bar_width: f32,
    /// Room for the buttons beside the reason for which a finding is accepted, and the least width of that reason.
    pub(in crate::window) beside_reason: f32,
    pub(in crate::window) least_reason: f32,
}

/// The sizes of the sheet.
pub(in crate::window) const SIZES: ChecksSizes = ChecksSizes {
    side_share: 0.36,
    side_width: (300.0, 400.0),
    remedy_height: 330.0,
    picture_height: 168.0,
    heading_line: 34.0,
    least_width_with_figures: 560.0,
    mark_width: 22.0,
    mark: vec2(13.0, 12.0),
    field_width: 104.0,
    reset_width: 50.0,
    list_width: 960.0,
    line_height: 26.0,
    bar_width: 10.0,
    beside_reason: 150.0,
    least_reason: 120.0,
};
