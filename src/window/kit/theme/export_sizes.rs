//! Sizes of the Export sheet, in points.

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
