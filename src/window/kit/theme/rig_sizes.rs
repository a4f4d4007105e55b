//! Sizes of the Rig sheet, in points.

use eframe::egui::{Vec2, vec2};

/// Height of the line with the run and the controls.
pub(in crate::window) const HEADER: f32 = 38.0;
/// Height of the line over the strip.
pub(in crate::window) const STRIP_HEAD: f32 = 30.0;
/// The sheet scrolls below this height.
pub(in crate::window) const LEAST_HEIGHT: f32 = 610.0;
/// Share of the height that the trace has of what trace and strip have together.
pub(in crate::window) const TRACE_SHARE: f32 = 0.5;
/// Width of the column with the running point, and from which width of the sheet on there is one.
pub(in crate::window) const POINT_WIDTH: f32 = 262.0;
pub(in crate::window) const POINT_FROM: f32 = 980.0;
/// Width of the run's field.
pub(in crate::window) const CHOOSER: f32 = 190.0;
/// Side of the play button.
pub(in crate::window) const PLAY: f32 = 26.0;
/// Width of a field of the run's rows, between two of them, and of the column with their numbers.
pub(in crate::window) const FIELD: f32 = 80.0;
pub(in crate::window) const FIELD_GAP: f32 = 4.0;
pub(in crate::window) const ROW_NUMBER: f32 = 30.0;
/// Width of the lists and forms that buttons open.
pub(in crate::window) const FORM: f32 = 300.0;
/// The path's line, and the point at its end.
pub(in crate::window) const PATH: f32 = 1.8;
pub(in crate::window) const POINT: f32 = 4.5;

/// Share of the height that the surface has.
pub(in crate::window) const SURFACE_SHARE: f32 = 0.54;
/// Room for the breakpoints beside and below the grid.
pub(in crate::window) const BESIDE_GRID: f32 = 32.0;
pub(in crate::window) const BELOW_GRID: f32 = 16.0;
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
pub(in crate::window) const GRID_LINE: f32 = 0.5;
/// Width of the choice of a rate; a bar of the sign of a pause; the corners of the sign of playing about its middle.
pub(in crate::window) const RATE: f32 = 58.0;
pub(in crate::window) const PAUSE_BAR: Vec2 = vec2(3.0, 10.0);
pub(in crate::window) const PLAY_CORNERS: [(f32, f32); 3] = [(-4.0, -5.5), (6.0, 0.0), (-4.0, 5.5)];
/// A button behind a row of the run.
pub(in crate::window) const ROW_TOOL: Vec2 = vec2(22.0, 20.0);
