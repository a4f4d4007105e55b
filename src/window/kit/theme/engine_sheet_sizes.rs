//! Sizes of the sheets of engine and unit, in points: Engine, Limits, Rig, Checks, Export.

use eframe::egui::{Vec2, vec2};

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
    /// Width of what a worksheet is asked, beside its answer; from which width on its picture has a column of its own, and
    /// the share that the picture has of what is left then.
    pub(in crate::window) asked_width: f32,
    pub(in crate::window) picture_from: f32,
    pub(in crate::window) picture_share: f32,
    /// The greatest width of the verdict beside it.
    pub(in crate::window) most_verdict: f32,
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
    /// The degree wheel.
    pub(in crate::window) degree_wheel: DegreeWheelSizes,
    /// Height of the degree wheel's scale, and how far its marks reach.
    pub(in crate::window) scale: (f32, f32),
    /// Radius of the reference edge's handle, and how far it stands off the teeth.
    pub(in crate::window) handle: (f32, f32),
    /// Lines of the notes.
    pub(in crate::window) notes_lines: usize,
}

/// How a degree wheel is drawn.
#[derive(Clone, Copy)]
pub(in crate::window) struct DegreeWheelSizes {
    /// Its side, and the room round it.
    pub(in crate::window) side: f32,
    pub(in crate::window) margin: f32,
    /// Lengths of its ticks, and how far inside the rim its numbers are.
    pub(in crate::window) tick: f32,
    pub(in crate::window) long_tick: f32,
    pub(in crate::window) number: f32,
    /// Where the arc between the stops and the name of dead centre are, as shares of the radius.
    pub(in crate::window) arc: f32,
    pub(in crate::window) name: f32,
}

/// How the names of the pages are set out.
pub(in crate::window) struct PageSizes {
    /// Room at both ends of a name, and between it and its state.
    pub(in crate::window) padding: f32,
    pub(in crate::window) before_state: f32,
    /// Size of a tick.
    pub(in crate::window) tick: Vec2,
}

pub(in crate::window) const PAGE_SIZES: PageSizes = PageSizes { padding: 8.0, before_state: 4.0, tick: vec2(9.0, 8.0) };

pub(in crate::window) const ENGINE_SIZES: EngineSizes = EngineSizes {
    pages_height: 40.0,
    wheel_room: (224.0, 100.0),
    wheel_height: (190.0, 300.0),
    firing: (32.0, 52.0),
    dwell_height: 250.0,
    asked_width: 340.0,
    picture_from: 1080.0,
    picture_share: 0.56,
    most_verdict: 440.0,
    plot_height: 230.0,
    plot_heading: 16.0,
    big: 60.0,
    reading_number: 24.0,
    reading_rows: 8,
    figure: 72.0,
    figure_line: 20.0,
    degree_wheel: DegreeWheelSizes {
        side: 330.0,
        margin: 12.0,
        tick: 5.0,
        long_tick: 9.0,
        number: 22.0,
        arc: 0.72,
        name: 0.42,
    },
    scale: (96.0, 26.0),
    handle: (5.0, 6.0),
    notes_lines: 5,
};

/// How the picture and the forms are set out.
pub(in crate::window) struct LimitsSizes {
    /// Height of the line with the picture's load.
    pub controls_height: f32,
    /// Height of the curve of the advance.
    pub chart_height: f32,
    /// Height of the band in a lane.
    pub band_height: f32,
    /// Width left of the picture for names and numbers.
    pub gutter: f32,
    /// Between the curve and the lanes, and below the lanes for the speeds.
    pub below_chart: f32,
    pub speeds_height: f32,
    /// The picture stands still above the forms while it takes no more than this share of the sheet.
    pub most_share: f32,
    /// Between a lane's name and the lane, and around its words.
    pub name_air: f32,
    pub words_air: f32,
    /// Distance of hatching lines, of stripes, and of the words from a band.
    pub hatch: f32,
    pub stripe: f32,
    pub words_gap: f32,
    /// Words stand beside the bands of a lane where so much is free.
    pub least_free: f32,
    /// The key of the bands: height of a line, width of a swatch.
    pub key_line: f32,
    pub key_swatch: f32,
    /// How far from an edge of a band it can be taken hold of, and how thick it is then.
    pub edge_reach: f32,
    pub edge_width: f32,
    /// Height of the line with what is out of order.
    pub findings_height: f32,
    /// Height of a curve editor below the forms.
    pub curve_height: f32,
    /// Width of a signal's name and of its thresholds in an output.
    pub signal_width: f32,
    pub threshold_width: f32,
    /// Where the picture's load begins and ends beside the heading, and the width of its field.
    pub load_from: f32,
    pub load_to: f32,
    pub load_width: f32,
    /// Air of the note that stands where the other curves have fields.
    pub note_air: f32,
    /// Width of 'on' and 'off', and the side of the cross that takes a condition away.
    pub word_width: f32,
    pub cross: f32,
    /// A closed output is lower by this; its name stands above its middle, its words below it.
    pub closed_less: f32,
    pub closed_name: f32,
    pub closed_words: f32,
}

pub(in crate::window) const LIMITS_SIZES: LimitsSizes = LimitsSizes {
    controls_height: 28.0,
    chart_height: 108.0,
    band_height: 12.0,
    gutter: 112.0,
    below_chart: 8.0,
    speeds_height: 25.0,
    most_share: 0.58,
    name_air: 8.0,
    words_air: 4.0,
    hatch: 5.0,
    stripe: 4.0,
    words_gap: 10.0,
    least_free: 160.0,
    key_line: 18.0,
    key_swatch: 24.0,
    edge_reach: 6.0,
    edge_width: 2.0,
    findings_height: 24.0,
    curve_height: 262.0,
    signal_width: 88.0,
    threshold_width: 84.0,
    load_from: 250.0,
    load_to: 460.0,
    load_width: 72.0,
    note_air: 12.0,
    word_width: 20.0,
    cross: 8.0,
    closed_less: 8.0,
    closed_name: 9.0,
    closed_words: 10.0,
};

/// Height of the line with the run and the controls.
pub(in crate::window) const RIG_HEADER: f32 = 38.0;
/// Height of the line over the strip.
pub(in crate::window) const RIG_STRIP_HEAD: f32 = 30.0;
/// Until a run was driven, and for the rows and the point at any time, lanes and what is below them are so high at least.
pub(in crate::window) const RIG_LEAST_LANES: f32 = 280.0;
pub(in crate::window) const RIG_LEAST_CLOSELY: f32 = 236.0;
/// A sheet that is too high for its window, and so scrolls, is higher by this.
pub(in crate::window) const RIG_SCROLLED_AIR: f32 = 56.0;
/// Between the overview and what is below it.
pub(in crate::window) const RIG_BELOW_LANES: f32 = 14.0;
/// Share of the height that trace and overview have of what they and the strip have together.
pub(in crate::window) const RIG_TRACE_SHARE: f32 = 0.56;
/// Height of the overview below the trace, and of the line of marks at its top.
pub(in crate::window) const RIG_OVERVIEW: f32 = 42.0;
pub(in crate::window) const RIG_OVERVIEW_MARKS: f32 = 14.0;
/// The brush: how far from an edge it can be taken hold of, how thick its edges are, quiet and lit, and its least width.
pub(in crate::window) const RIG_BRUSH_REACH: f32 = 6.0;
pub(in crate::window) const RIG_BRUSH_EDGE: (f32, f32) = (2.0, 4.0);
pub(in crate::window) const RIG_BRUSH_LEAST: f32 = 3.0;
/// What the lanes do not show is veiled so far, of 255.
pub(in crate::window) const RIG_VEIL: u8 = 150;
/// Readings of a moment: how far beside the hairline, and the room round them.
pub(in crate::window) const RIG_READING_GAP: f32 = 6.0;
pub(in crate::window) const RIG_READING_AIR: Vec2 = vec2(3.0, 1.0);
/// The button of the faults has so much of what it and the readout share.
pub(in crate::window) const RIG_FAULTS_SHARE: f32 = 0.5;
/// Width of the form of the faults.
pub(in crate::window) const RIG_FAULTS: f32 = 268.0;
/// Below the last row of facts.
pub(in crate::window) const FACT_BELOW: f32 = 4.0;
/// Width of the column with the running point, and from which width of the sheet on there is one.
pub(in crate::window) const RIG_POINT_WIDTH: f32 = 262.0;
pub(in crate::window) const RIG_POINT_FROM: f32 = 980.0;
/// Width of the run's field.
pub(in crate::window) const RIG_CHOOSER: f32 = 190.0;
/// Side of the play button.
pub(in crate::window) const RIG_PLAY: f32 = 26.0;
/// Width of a field of the run's rows, between two of them, and of the column with their numbers.
pub(in crate::window) const RIG_FIELD: f32 = 80.0;
pub(in crate::window) const RIG_FIELD_GAP: f32 = 4.0;
pub(in crate::window) const RIG_ROW_NUMBER: f32 = 30.0;
/// Width of the lists and forms that buttons open.
pub(in crate::window) const RIG_FORM: f32 = 300.0;
/// The path's line, and the point at its end.
pub(in crate::window) const RIG_PATH: f32 = 1.8;
pub(in crate::window) const RIG_POINT: f32 = 4.5;

/// Share of the height that the surface has.
pub(in crate::window) const RIG_SURFACE_SHARE: f32 = 0.54;
/// Room for the breakpoints beside and below the grid.
pub(in crate::window) const RIG_BESIDE_GRID: f32 = 32.0;
pub(in crate::window) const RIG_BELOW_GRID: f32 = 16.0;
/// Width of a fact at least, and height of a row of them and of the heading.
pub(in crate::window) const FACT: f32 = 158.0;
pub(in crate::window) const FACT_ROW: f32 = 38.0;
pub(in crate::window) const FACT_HEADING: f32 = 26.0;
/// Size of the mark of a bad fact.
pub(in crate::window) const FACT_MARK: f32 = 11.0;
/// A straight piece of the path lies on the surface in pieces of about this length, and in so many at most.
pub(in crate::window) const PATH_PIECE: f32 = 4.0;
/// Points nearer to each other than this are one, so that a long run has no more of them than can be seen.
pub(in crate::window) const PATH_APART: f32 = 0.7;
/// Height of a row, and of the line of columns.
pub(in crate::window) const RUN_ROW: f32 = 25.0;
/// Height of the words below the rows.
pub(in crate::window) const RUN_FOOT: f32 = 30.0;
/// Width of the lines between the cells that the path is drawn on.
pub(in crate::window) const RIG_GRID_LINE: f32 = 0.5;
/// Width of the choice of a rate; a bar of the sign of a pause; the corners of the sign of playing about its middle.
pub(in crate::window) const RIG_RATE: f32 = 58.0;
pub(in crate::window) const RIG_PAUSE_BAR: Vec2 = vec2(3.0, 10.0);
pub(in crate::window) const RIG_PLAY_CORNERS: [(f32, f32); 3] = [(-4.0, -5.5), (6.0, 0.0), (-4.0, 5.5)];
/// A button behind a row of the run.
pub(in crate::window) const RIG_ROW_TOOL: Vec2 = vec2(22.0, 20.0);

/// How list, remedy and thresholds are set out.
pub(in crate::window) struct ChecksSizes {
    /// Share of the width that the column with remedy and thresholds has, and its least and largest width.
    pub(in crate::window) side_share: f32,
    pub(in crate::window) side_width: (f32, f32),
    /// Height of the chosen finding, and in it of the button that carries its remedy out, on two lines where it needs them.
    pub(in crate::window) detail_height: f32,
    pub(in crate::window) remedy_button_height: f32,
    /// Least and largest height of what a remedy would do.
    pub(in crate::window) remedy_height: (f32, f32),
    /// Room kept for the thresholds below it.
    pub(in crate::window) least_thresholds: f32,
    /// Least and largest height of the picture in it.
    pub(in crate::window) picture_height: (f32, f32),
    /// Height of a row of the list.
    pub(in crate::window) row_height: f32,
    /// Width of the bar of a row.
    pub(in crate::window) gauge_width: f32,
    /// Heights of the bar's track, of what was measured on it, and of the tick; the length of the tick's foot; how wide
    /// the tick can be grasped.
    pub(in crate::window) track: f32,
    pub(in crate::window) measured: f32,
    pub(in crate::window) tick: f32,
    pub(in crate::window) tick_foot: f32,
    pub(in crate::window) tick_reach: f32,
    /// Width of the column with the marks.
    pub(in crate::window) mark_width: f32,
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
pub(in crate::window) const CHECKS_SIZES: ChecksSizes = ChecksSizes {
    side_share: 0.36,
    side_width: (300.0, 400.0),
    detail_height: 206.0,
    remedy_button_height: 36.0,
    remedy_height: (96.0, 330.0),
    least_thresholds: 140.0,
    picture_height: (110.0, 168.0),
    row_height: 28.0,
    gauge_width: 112.0,
    track: 4.0,
    measured: 6.0,
    tick: 16.0,
    tick_foot: 4.0,
    tick_reach: 18.0,
    mark_width: 22.0,
    field_width: 104.0,
    reset_width: 50.0,
    list_width: 1100.0,
    line_height: 26.0,
    bar_width: 10.0,
    beside_reason: 150.0,
    least_reason: 120.0,
};

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
    /// Side of the swatch with an item's pattern.
    pub swatch: f32,
}

impl ExportSizes {
    /// The sizes; digits of the sunlight look need more room, and its lines are larger targets.
    pub const fn new(is_sunlit: bool) -> Self {
        Self {
            items_width: 348.0,
            writing_width: 276.0,
            least_writing_height: if is_sunlit { 690.0 } else { 620.0 },
            line_height: if is_sunlit { 28.0 } else { 21.0 },
            row_height: if is_sunlit { 22.0 } else { 19.0 },
            byte_width: if is_sunlit { 23.0 } else { 21.0 },
            address_width: if is_sunlit { 74.0 } else { 60.0 },
            whole_height: 16.0,
            lens_height: 14.0,
            detail_height: 40.0,
            scale_height: 17.0,
            least_named: 26.0,
            reach: 5.0,
            hatch: 6.0,
            fields_height: 308.0,
            swatch: 12.0,
        }
    }
}

/// Height of the strip with the pattern below a byte.
pub(in crate::window) const BYTE_STRIP: f32 = 4.0;
/// From the upper right corner of a byte to the dot that marks it as different in a file.
pub(in crate::window) const BYTE_MARK: Vec2 = vec2(-3.5, 3.5);
/// Half the size of the triangle that says whether a run of fill is open.
pub(in crate::window) const FOLD_TRIANGLE: f32 = 4.0;
/// Greatest shares of the width: of the column with what is written, and of the items in what is left of it.
pub(in crate::window) const WRITING_SHARE: f32 = 0.28;
pub(in crate::window) const ITEMS_SHARE: f32 = 0.42;
/// Where an item's name would have less room than this, its type is in the tooltip alone.
pub(in crate::window) const LEAST_ITEM_NAME: f32 = 96.0;
/// Where two fields have less room than this beside each other, they stand below each other.
pub(in crate::window) const TWO_FIELDS: f32 = 290.0;
/// Width of a part's name.
pub(in crate::window) const PART_NAME: f32 = 190.0;
/// Width of a label before a field.
pub(in crate::window) const FIELD_LABEL: f32 = 80.0;
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
/// Length of the ticks of a piston stop; between a figure and its column's end.
pub(in crate::window) const STOP_TICK: f32 = 5.0;
pub(in crate::window) const COLUMN_INSET: f32 = 4.0;
/// Least room at both ends of a word in a band, together.
pub(in crate::window) const BAND_WORDS: f32 = 6.0;
/// Between the number of a row of a run and its fields; room for the scroll bar beside a run's faults; room round a fact.
pub(in crate::window) const RIG_ROW_NUMBER_GAP: f32 = 6.0;
pub(in crate::window) const FAULTS_BAR: f32 = 10.0;
pub(in crate::window) const FACT_PADDING: Vec2 = vec2(0.0, 1.0);
/// From the rig's grid to the words beside it and below it.
pub(in crate::window) const AXIS_WORDS: Vec2 = vec2(4.0, 2.0);
/// Between the names of a trace's rows and the plots, and how far beyond a plot its cursor is drawn.
pub(in crate::window) const RIG_TRACE_NAME_GAP: f32 = 4.0;
pub(in crate::window) const RIG_TRACE_BEYOND: f32 = 2.0;
/// Digits of a byte stand so far above the middle of its field.
pub(in crate::window) const BYTE_RAISED: f32 = 1.0;
/// Parts of the map: the least width of one that is shown, that is aimed at, that can be grasped, and that has an
/// outline.
pub(in crate::window) const LEAST_PART: f32 = 1.5;
pub(in crate::window) const LEAST_MEANT: f32 = 2.0;
pub(in crate::window) const LEAST_GRASPED: f32 = 3.0;
pub(in crate::window) const LEAST_OUTLINED: f32 = 3.0;
/// An item that is dragged is seen so far beyond the map, and the detail can be grasped so far beyond its edges.
pub(in crate::window) const DRAG_BEYOND: f32 = 4.0;
pub(in crate::window) const DETAIL_REACH: f32 = 2.0;
/// An item's name in the map: how far it stands in, and how far its ground reaches beyond it.
pub(in crate::window) const ITEM_NAME_INSET: f32 = 4.0;
pub(in crate::window) const ITEM_NAME_GROUND: f32 = 2.0;
/// Between the strips of the map and the lines that lead from one to the other.
pub(in crate::window) const LENS_GAP: f32 = 2.0;
/// The bracket of the checksum: how far above the strip it is and its feet end; its arrow's length; room beside its
/// words.
pub(in crate::window) const CHECKSUM_ABOVE: f32 = 7.0;
pub(in crate::window) const CHECKSUM_FOOT: f32 = 2.0;
pub(in crate::window) const CHECKSUM_ARROW: f32 = 6.0;
pub(in crate::window) const CHECKSUM_WORDS: f32 = 5.0;
/// Addresses below the map: length of a tick, from the map to the words, half the room that they take.
pub(in crate::window) const ADDRESS_TICK: f32 = 4.0;
pub(in crate::window) const ADDRESS_BELOW: f32 = 3.0;
pub(in crate::window) const ADDRESS_HALF: f32 = 18.0;
/// Radius of a dot of a pattern.
pub(in crate::window) const HATCH_DOT: f32 = 1.0;
/// Width of the field with the temperature for which a part is folded, and corner radius of the ring round an item of
/// the list.
pub(in crate::window) const FOLDED_AT_WIDTH: f32 = 80.0;
pub(in crate::window) const ITEM_RING_RADIUS: f32 = 2.0;
