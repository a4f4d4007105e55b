//! Sizes of the Engine sheet, in points.

/// Pictures, plots and lists.
pub(super) struct EngineSizes {
    /// Height of the line with the names of the pages.
    pub(super) pages_height: f32,
    /// Height of the wheel's picture.
    pub(super) wheel_height: f32,
    /// Height of a line of the firing sequence, and what it needs beside its lines.
    pub(super) firing: (f32, f32),
    /// Height of the dwell curve with its numbers.
    pub(super) dwell_height: f32,
    /// Height of a worksheet's plot.
    pub(super) plot_height: f32,
    /// Room left of, above, right of and below a plot for its numbers.
    pub(super) plot_room: (f32, f32, f32, f32),
    /// Size of the one big number.
    pub(super) big: f32,
    /// Widths of the columns of readings.
    pub(super) reading: (f32, f32),
    /// Least number of rows for readings.
    pub(super) reading_rows: usize,
    /// Width of a column of a table of figures.
    pub(super) figure: f32,
    /// Height of a line of such a table.
    pub(super) figure_line: f32,
    /// Side of the mark before a verdict.
    pub(super) mark: f32,
    /// Lines of the notes.
    pub(super) notes_lines: usize,
}

pub(super) const SIZES: EngineSizes = EngineSizes {
    pages_height: 40.0,
    wheel_height: 312.0,
    firing: (32.0, 52.0),
    dwell_height: 250.0,
    plot_height: 230.0,
    plot_room: (44.0, 24.0, 14.0, 24.0),
    big: 60.0,
    reading: (24.0, 92.0),
    reading_rows: 8,
    figure: 72.0,
    figure_line: 20.0,
    mark: 11.0,
    notes_lines: 5,
};
