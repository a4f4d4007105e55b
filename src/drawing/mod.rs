//! Floor 3: turns values into ordered, coloured shapes. Painters elsewhere draw those on a screen, in a picture
//! or on a page.
//!
//! Conventions, everywhere in this room:
//! - **Axis coordinates**: (speed in rpm, load in the project's unit), values in degrees before TDC.
//! - **Cell coordinates**: (column, row) counted from 0 at the lowest breakpoints; whole numbers are cell centres. All
//!   columns are equally wide there.
//! - **Model space**: right-handed; x = speed and y = load, each 0..=1 over the shown range; z up = value, 0 on the
//!   floor. See [`ModelBox`].
//! - **Screen**: points (not pixels) with x to the right and y *down*, in the frame of the given [`Viewport`].
//! - **Angles** of the camera in degrees: azimuth 0 looks along rising load, and turns the eye towards low speed as it
//!   grows; elevation 0 is level, 90 straight down, negative from below.
//! - **Order**: shapes of a [`Scene`] are painted from first to last; later ones cover earlier ones. That is
//!   all it takes to hide what is hidden.
//! - Colours are sRGB bytes with straight alpha, and come from [`Palette`] and [`ColorMap`] only.

mod camera;
mod cell_space;
mod chart;
mod color;
mod color_map;
mod comb;
mod contours;
mod firing;
mod how_sure;
mod label_room;
mod layers;
mod mark_shapes;
mod model_box;
mod palette;
mod patches;
mod plot;
mod point_places;
mod relief;
mod scene;
mod slice;
mod slice_points;
mod strip;
mod sweep_plot;
mod trace;
mod view_fit;
mod wheel;
mod whisker;

pub use camera::{Camera, Projector, Ray, View};
pub use cell_space::{CellSpace, break_around, joined_lines, reads_as_minus};
pub use chart::axis::{Ticks, decimals, nice_step, widened};
pub use chart::{
    CHART, ChartAxis, ChartFrame, ChartSpec, ChartStyle, ChartTick, Direction, Handle, handle_radius, nearest,
    round_range, spaced,
};
pub use color::Color;
pub use color_map::{ColorMap, Ground, HeightScale, LEAST_FULL_DEG};
pub use comb::{Comb, CombScale};
pub use contours::{Anchor, Contour, Levels, contour_lines};
pub use firing::{FiringSpec, Ignition, draw_firing, firing_words, ignitions};
pub use how_sure::{Against, HowSure};
pub use label_room::{LabelRoom, beside_labels, label_box};
pub use layers::{Layer, LayerScale, ScaleMark, origin_of};
pub use mark_shapes::{CellMarks, MarkShape, draw_cross, draw_measured, draw_measured_lined};
pub use model_box::ModelBox;
pub use palette::{Look, Palette};
pub use patches::{Mesh, MeshVertex, Patch, PatchPaint, PatchRule};
pub use plot::{DrivenRun, Frame, TraceRow};
pub use point_places::PointPlaces;
pub use relief::{BaseStyle, Fill, Marks, PinHead, Relief, ReliefSpec, Ring, Sheer, Sheet, Tint, TintMap};
pub use scene::{Label, LabelRole, Point, Rect, Scene, Shape, Viewport};
pub use slice::{Slice, SliceMarks, SliceSpec};
pub use slice_points::{SlicePoint, points_near};
pub use strip::{Strip, StripAxis, StripSpec};
pub use sweep_plot::{ReadingMark, SweepLines, SweepPlot, SweepSet};
pub use trace::{Overview, Taken, Trace, TraceSpec};
pub use wheel::{WheelDrawing, WheelMark, WheelSpec};
pub use whisker::{WhiskerEnd, whisker};
