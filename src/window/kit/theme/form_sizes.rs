//! Sizes of forms, in points.

/// How rows, columns and headings of a form are set out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FormSizes {
    /// Height of a row's field.
    pub field_height: f32,
    /// Between two rows.
    pub row_gap: f32,
    /// Width of the labels, left-aligned, before the fields.
    pub label_width: f32,
    /// Width of a field with a number and its unit.
    pub field_width: f32,
    /// Between a label, its fields and what is said of them.
    pub gap: f32,
    /// Distance of text from a field's edge.
    pub padding: f32,
    /// Height of a heading with the room below it.
    pub heading_height: f32,
    /// Room above a heading that is not the first.
    pub section_gap: f32,
    /// A column is at least so wide.
    pub column_width: f32,
    /// Between two columns.
    pub column_gap: f32,
    /// Side of the triangle beside a refused value.
    pub mark: f32,
    /// Width of a row's tooltip.
    pub tip_width: f32,
    /// The smallest type of a number that would not fit.
    pub least_type: f32,
    /// Length of the dashes round what nobody has confirmed, and of their gaps.
    pub dash: f32,
}

/// The sizes of every form.
pub const SIZES: FormSizes = FormSizes {
    field_height: 24.0,
    row_gap: 3.0,
    label_width: 128.0,
    field_width: 96.0,
    gap: 8.0,
    padding: 5.0,
    heading_height: 26.0,
    section_gap: 16.0,
    column_width: 330.0,
    column_gap: 36.0,
    mark: 11.0,
    tip_width: 280.0,
    least_type: 7.0,
    dash: 3.0,
};
