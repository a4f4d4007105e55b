//! Sizes of the Evidence sheet, in points.

use eframe::egui::{Vec2, vec2};

/// How the sheet is set out.
pub(in crate::window) struct EvidenceSizes {
    /// The column at the right: its share of the width, and its least and greatest width.
    pub side_share: f32,
    pub side_width: (f32, f32),
    /// The foot: its share of the height, and its least and greatest height.
    pub foot_share: f32,
    pub foot_height: (f32, f32),
    /// The least frame of a sweep; more of them than have room scroll.
    pub least_frame: Vec2,
    /// Between frames.
    pub gutter: f32,
    /// Room for the loads beside the frames, and for the speeds below them.
    pub outer: Vec2,
    /// Height of the line that explains the marks.
    pub key_height: f32,
    /// Room of a mark in that line.
    pub key_mark: Vec2,
    /// Inside a frame, beside its words.
    pub inset: f32,
    /// Room below a plot for the wedge of the choice.
    pub wedge: f32,
    /// The large sweep: its share of the column's height, and its least and greatest height.
    pub large_share: f32,
    pub large_height: (f32, f32),
    /// The greatest share of that height that the verdicts have.
    pub words_share: f32,
    /// Height of a row of readings, and of a line of next readings.
    pub row_height: f32,
    /// Radius of a dot that stands for a reading in its row.
    pub dot: f32,
    /// The plan: its share of the foot's width, and its least and greatest width.
    pub plan_share: f32,
    pub plan_width: (f32, f32),
    /// Radius of a ring on the plan.
    pub ring: f32,
    /// Half the width of the ends of a whisker.
    pub whisker: f32,
    /// Room for the two lines of places below the lollipops.
    pub places_height: f32,
    /// Radius of a lollipop's head, and where the two lines of its place begin below the plot.
    pub head: f32,
    pub place_lines: (f32, f32),
    /// How far the ring round what is chosen or pointed at is from its ring.
    pub around: f32,
    /// The width of a sweep's name in the first line, and of the sentences before there is any.
    pub name_width: f32,
    pub begin_width: f32,
    /// Where each column of the readings ends, as a share of the width.
    pub reading_ends: [f32; 6],
    /// The widest column of a lollipop, and the least in which its place is written.
    pub lollipop: (f32, f32),
}

/// The sizes.
pub(in crate::window) const EVIDENCE_SIZES: EvidenceSizes = EvidenceSizes {
    side_share: 0.335,
    side_width: (270.0, 460.0),
    foot_share: 0.255,
    foot_height: (126.0, 230.0),
    least_frame: vec2(84.0, 64.0),
    gutter: 6.0,
    outer: vec2(42.0, 34.0),
    key_height: 22.0,
    key_mark: vec2(20.0, 10.0),
    inset: 4.0,
    wedge: 7.0,
    large_share: 0.56,
    large_height: (150.0, 420.0),
    words_share: 0.42,
    row_height: 20.0,
    dot: 3.0,
    plan_share: 0.35,
    plan_width: (150.0, 300.0),
    ring: 4.0,
    whisker: 3.0,
    places_height: 30.0,
    head: 4.0,
    place_lines: (2.0, 14.0),
    around: 3.0,
    name_width: 130.0,
    begin_width: 520.0,
    reading_ends: [0.2, 0.37, 0.55, 0.71, 0.85, 1.0],
    lollipop: (44.0, 31.0),
};
