//! Sizes of the Export sheet, in points.

use eframe::egui::{Vec2, vec2};

/// Sizes of the Export sheet, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExportSizes {
    /// Width of the list of items and of the fields below it.
    pub items_width: f32,
    /// Width of what is to be written.
    pub writing_width: f32,
    /// Where the column with what is to be written is lower, all of it scrolls.
    pub least_writing_height: f32,
    /// Height of a line of a list.
    pub line_height: f32,
    /// Height of a row of bytes.
    pub row_height: f32,
    /// Width of a byte.
    pub byte_width: f32,
    /// Width of the column with addresses.
    pub address_width: f32,
    /// Height of the strip with the whole image.
    pub whole_height: f32,
    /// Height between the whole and the detail.
    pub lens_height: f32,
    /// Height of the strip with the detail.
    pub detail_height: f32,
    /// Height of the line with the checksum's range, and of the one with addresses.
    pub scale_height: f32,
    /// Items narrower than this show no name.
    pub least_named: f32,
    /// How near an edge of an item can be taken hold of.
    pub reach: f32,
    /// Distance of the lines of a pattern.
    pub hatch: f32,
    /// Height of the fields below the list.
    pub fields_height: f32,
    /// Height of a field.
    pub field_height: f32,
    /// Side of the swatch with an item's pattern.
    pub swatch: f32,
}

impl ExportSizes {
    /// The sizes; digits of the sunlight look need more room.
    pub const fn new(large_digits: bool) -> Self {
        Self {
            items_width: 348.0,
            writing_width: 276.0,
            least_writing_height: 470.0,
            line_height: 21.0,
            row_height: if large_digits { 22.0 } else { 19.0 },
            byte_width: if large_digits { 23.0 } else { 21.0 },
            address_width: if large_digits { 74.0 } else { 60.0 },
            whole_height: 16.0,
            lens_height: 14.0,
            detail_height: 40.0,
            scale_height: 17.0,
            least_named: 26.0,
            reach: 5.0,
            hatch: 6.0,
            fields_height: 308.0,
            field_height: 24.0,
            swatch: 12.0,
        }
    }
}

/// Height of the strip with the pattern below a byte.
pub(in crate::window) const BYTE_STRIP: f32 = 4.0;
/// Side of the triangle that marks a byte that differs in a file.
pub(in crate::window) const BYTE_MARK: f32 = 6.0;
/// Where the addresses begin, and where the type does, as shares of the width.
pub(in crate::window) const ADDRESS_SHARE: f32 = 0.55;
pub(in crate::window) const TYPE_SHARE: f32 = 0.80;
/// Width of a part's name.
pub(in crate::window) const PART_NAME: f32 = 190.0;
/// Width of a label before a field.
pub(in crate::window) const FIELD_LABEL: f32 = 74.0;
/// Between two fields of a line.
pub(in crate::window) const BETWEEN_FIELDS: f32 = 12.0;
/// Least distance of two addresses below the detail.
pub(in crate::window) const ADDRESS_DISTANCE: f32 = 76.0;
/// Width of the list that opens, and the height beyond which its fields scroll.
pub(in crate::window) const ADDING_WIDTH: f32 = 372.0;
pub(in crate::window) const ADDING_FIELDS_HEIGHT: f32 = 236.0;
/// Share of what is left below the buttons that the answer of the last export has.
pub(in crate::window) const WRITTEN_SHARE: f32 = 0.40;
/// Room for the mark before a warning.
pub(in crate::window) const WARNING_ROOM: Vec2 = vec2(12.0, 16.0);
/// Widths of the choices of a record's length and of its kind.
pub(in crate::window) const RECORD_WIDTH: f32 = 90.0;
pub(in crate::window) const RECORD_KIND: f32 = 130.0;
