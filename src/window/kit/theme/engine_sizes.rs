//! Sizes of the Engine sheet, in points.

/// Pictures, plots and lists.
pub(in crate::window) struct EngineSizes {
    /// Height of the line with the names of the pages.
    pub(in crate::window) pages_height: f32,
    /// What the wheel's picture needs beside and above the wheel, and its least and greatest height.
    pub(in crate::window) wheel_room: (f32, f32),
    pub(in crate::window) wheel_height: (f32, f32),
    /// Height of a line of the firing sequence, and what it needs beside its lines.
    pub(in crate::window) firing: (f32, f32),
    /// Height of the dwell curve with its numbers.
    pub(in crate::window) dwell_height: f32,
    /// Width of what a worksheet is asked, beside its answer.
    pub(in crate::window) asked_width: f32,
    /// Height of a worksheet's plot.
    pub(in crate::window) plot_height: f32,
    /// Height of the line above a plot that says what it is over what.
    pub(in crate::window) plot_heading: f32,
    /// Size of the one big number.
    pub(in crate::window) big: f32,
    /// Width of the numbers of the readings.
    pub(in crate::window) reading_number: f32,
    /// How many rows of readings have room without scrolling.
    pub(in crate::window) reading_rows: usize,
    /// Width of a column of a table of figures.
    pub(in crate::window) figure: f32,
    /// Height of a line of such a table.
    pub(in crate::window) figure_line: f32,
    /// Side of the mark before a verdict.
    pub(in crate::window) mark: f32,
    /// Height of the degree wheel's scale, and how far its marks reach.
    pub(in crate::window) scale: (f32, f32),
    /// Radius of the reference edge's handle, and how far it stands off the teeth.
    pub(in crate::window) handle: (f32, f32),
    /// Lines of the notes.
    pub(in crate::window) notes_lines: usize,
}

pub(in crate::window) const SIZES: EngineSizes = EngineSizes {
    pages_height: 40.0,
    wheel_room: (224.0, 100.0),
    wheel_height: (190.0, 300.0),
    firing: (32.0, 52.0),
    dwell_height: 250.0,
    asked_width: 372.0,
    plot_height: 230.0,
    plot_heading: 16.0,
    big: 60.0,
    reading_number: 24.0,
    reading_rows: 8,
    figure: 72.0,
    figure_line: 20.0,
    mark: 11.0,
    scale: (96.0, 26.0),
    handle: (5.0, 6.0),
    notes_lines: 5,
};
