//! The firing sequence over one four-stroke cycle: 720 crank degrees, one line per coil.
//!
//! 0° is top dead centre of the first cylinder in the firing order at the end of its compression. Each coil fires both
//! its plugs once a revolution: one spark lights the charge at the end of compression, the other is wasted at the end
//! of exhaust.

use super::wheel::pair;
use super::{Look, Palette, Point, Rect, Scene, Shape};
use crate::project::Parts;
use crate::rig::Layout;
use crate::wording::{Unit, fixed, quantity, with_unit};

/// Crank degrees of a cycle.
const CYCLE_DEG: f64 = 720.0;
/// Room at the left for the coils' names, above for the degrees, at the right, and below for the scale.
const MARGIN: (f32, f32, f32, f32) = (76.0, 8.0, 36.0, 40.0);
const DISC: f32 = 8.5;
const LEAST_ROW: f32 = 22.0;
/// Longer names of coils are cut.
const NAME_CHARACTERS: usize = 4;

/// What a firing drawing shows.
#[derive(Clone, Copy, Debug)]
pub struct FiringSpec<'a> {
    /// The installation.
    pub parts: &'a Parts,
    /// The advance for which sparks are marked, in degrees before TDC.
    pub advance_deg: f64,
    /// Colours.
    pub look: Look,
    /// Where to draw, including the labels.
    pub rect: Rect,
}

/// One spark of a cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ignition {
    /// The coil channel, counted from 0.
    pub channel: usize,
    /// Crank degrees of the dead centre that it belongs to, counted from the first cylinder's.
    pub tdc_deg: f64,
    /// Crank degrees of the spark.
    pub spark_deg: f64,
    /// The cylinder at the end of its compression.
    pub fires: u8,
    /// The cylinder at the end of its exhaust.
    pub wasted: u8,
}

/// Every spark of a cycle in firing order.
pub fn ignitions(parts: &Parts, advance_deg: f64) -> Vec<Ignition> {
    let (layout, order) = (Layout::new(parts), &parts.engine.firing_order);
    let channels = layout.channels().max(1);
    let ignition = |(place, &fires): (usize, &u8)| {
        let channel = place % channels;
        let revolution_deg = if place < channels { 0.0 } else { 360.0 };
        let tdc_deg = layout.tdc_deg(channel) - layout.tdc_deg(0) + revolution_deg;
        let wasted = order.get((place + channels) % order.len()).copied().unwrap_or(fires);
        Ignition { channel, tdc_deg, spark_deg: tdc_deg - advance_deg, fires, wasted }
    };
    order.iter().enumerate().map(ignition).collect()
}

/// The sequence in words: '1 (4) · 3 (2) · 4 (1) · 2 (3)', the wasted cylinder in brackets.
pub fn firing_words(parts: &Parts) -> String {
    let one = |ignition: Ignition| format!("{} ({})", ignition.fires, ignition.wasted);
    ignitions(parts, 0.0).into_iter().map(one).collect::<Vec<_>>().join(" · ")
}

/// The dimensions of a drawing.
struct Frame {
    start_deg: f64,
    left: f32,
    width: f32,
    top: f32,
    row: f32,
    rows: usize,
}

impl Frame {
    fn new(spec: &FiringSpec<'_>) -> Option<Self> {
        let (left, top, right, bottom) = MARGIN;
        let rows = spec.parts.engine.channels.len();
        let (width, height) = (spec.rect.width - left - right, spec.rect.height - top - bottom);
        #[expect(clippy::cast_precision_loss, reason = "at most four")]
        let row = height / rows.max(1) as f32;
        let start_deg = -0.75 * CYCLE_DEG / f64::from(spec.parts.engine.cylinders);
        let frame = Self { start_deg, left: spec.rect.left + left, width, top: spec.rect.top + top, row, rows };
        (width >= 120.0 && row >= LEAST_ROW).then_some(frame)
    }

    fn end_deg(&self) -> f64 {
        self.start_deg + CYCLE_DEG
    }

    fn x(&self, crank_deg: f64) -> f32 {
        #[expect(clippy::cast_possible_truncation, reason = "screen points are f32")]
        let share = ((crank_deg - self.start_deg) / CYCLE_DEG) as f32;
        self.left + share * self.width
    }

    #[expect(clippy::cast_precision_loss, reason = "at most four")]
    fn y(&self, row: usize) -> f32 {
        self.top + (row as f32 + 0.5) * self.row
    }

    fn bottom(&self) -> f32 {
        self.y(self.rows) - 0.5 * self.row
    }
}

/// Replaces the contents of `scene` with the drawing; leaves it empty if there is not enough room.
pub fn draw_firing(spec: &FiringSpec<'_>, scene: &mut Scene) {
    scene.clear();
    let Some(frame) = Frame::new(spec) else {
        return;
    };
    let palette = spec.look.palette();
    let sparks = ignitions(spec.parts, spec.advance_deg);
    draw_scale(&frame, &sparks, palette, scene);
    for (row, channel) in spec.parts.engine.channels.iter().enumerate() {
        let y = frame.y(row);
        scene.line(
            Point::new(frame.left, y),
            Point::new(frame.left + frame.width + MARGIN.2, y),
            1.0,
            palette.rule_strong,
        );
        let mut name: String = channel.name.chars().take(NAME_CHARACTERS).collect();
        if channel.name.chars().count() > NAME_CHARACTERS {
            name.push('…');
        }
        let text = format!("{name}  {}", pair(channel.cylinders));
        scene.note(Point::new(frame.left - 8.0, y), (1.0, 0.5), text, palette.ink);
    }
    for spark in &sparks {
        draw_spark(&frame, spark, palette, scene);
    }
}

/// Vertical lines at the dead centres, the degrees below, and a legend of the symbols.
fn draw_scale(frame: &Frame, sparks: &[Ignition], palette: &Palette, scene: &mut Scene) {
    let bottom = frame.bottom();
    for spark in sparks {
        let x = frame.x(spark.tdc_deg);
        scene.line(Point::new(x, frame.top), Point::new(x, bottom), 1.0, palette.rule);
        let text = with_unit(&fixed(spark.tdc_deg, 0), Unit::Degree);
        scene.note(Point::new(x, bottom + 4.0), (0.5, 0.0), text, palette.ink_secondary);
    }
    let y = bottom + 28.0;
    let fires = Point::new(frame.left + 6.0, y);
    disc(fires, 5.0, true, palette, scene);
    scene.note(Point::new(fires.x + 9.0, y), (0.0, 0.5), "compression".into(), palette.ink_secondary);
    let wasted = Point::new(fires.x + 92.0, y);
    disc(wasted, 5.0, false, palette, scene);
    scene.note(Point::new(wasted.x + 9.0, y), (0.0, 0.5), "exhaust, wasted".into(), palette.ink_secondary);
    let right = Point::new(frame.left + frame.width, y);
    if frame.width > 400.0 {
        scene.note(right, (1.0, 0.5), "crank degrees, lines at TDC".into(), palette.ink_secondary);
    }
}

/// Draws the line from a spark to its dead centre, and after it the two cylinders.
fn draw_spark(frame: &Frame, spark: &Ignition, palette: &Palette, scene: &mut Scene) {
    let y = frame.y(spark.channel);
    let half = (frame.row * 0.36).min(13.0);
    let (from_deg, to_deg) = (spark.spark_deg.min(spark.tdc_deg), spark.spark_deg.max(spark.tdc_deg));
    // What leaves the cycle on one side re-enters it on the other.
    for shift_deg in [-CYCLE_DEG, 0.0, CYCLE_DEG] {
        let (from, to) = ((from_deg + shift_deg).max(frame.start_deg), (to_deg + shift_deg).min(frame.end_deg()));
        if from < to {
            let (left, right, up, down) = (frame.x(from), frame.x(to), y - half * 0.45, y + half * 0.45);
            let corners =
                [Point::new(left, up), Point::new(right, up), Point::new(right, down), Point::new(left, down)];
            scene.quad(corners, palette.ink.with_alpha(60));
        }
        let at_deg = spark.spark_deg + shift_deg;
        if (frame.start_deg..=frame.end_deg()).contains(&at_deg) {
            let x = frame.x(at_deg);
            scene.line(Point::new(x, y - half), Point::new(x, y + half), 2.0, palette.ink);
        }
    }
    let x = frame.x(spark.tdc_deg);
    scene.line(Point::new(x, y - half * 0.7), Point::new(x, y + half * 0.7), 1.2, palette.ink_secondary);
    // On the side of the dead centre where the spark is not.
    let side = if spark.spark_deg > spark.tdc_deg { -1.0 } else { 1.0 };
    for (nearer, cylinder, fires) in [(0.0, spark.fires, true), (1.0, spark.wasted, false)] {
        let at = Point::new(x + side * (DISC + 4.0 + nearer * (2.0 * DISC + 2.0)), y);
        disc(at, DISC, fires, palette, scene);
        let ink = if fires { palette.paper } else { palette.ink };
        scene.note(at, (0.5, 0.5), cylinder.to_string(), ink);
    }
}

fn disc(at: Point, radius: f32, filled: bool, palette: &Palette, scene: &mut Scene) {
    let fill = if filled { palette.ink } else { palette.paper };
    scene.shapes.push(Shape::Dot { at, radius, fill, outline: palette.ink, outline_width: 1.2 });
}

impl FiringSpec<'_> {
    /// What the drawing says, for the text beside it: the firing order with the wasted cylinder of each spark,
    /// and the advance.
    pub fn words(&self) -> String {
        let (order, deg) = (firing_words(self.parts), quantity(self.advance_deg, Unit::Degree));
        format!(
            "Fires in this order, with the wasted spark's cylinder in brackets: {order}. Sparks shown {deg} before TDC."
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, Project};
    use approx::assert_abs_diff_eq;

    const RECT: Rect = Rect { left: 10.0, top: 20.0, width: 560.0, height: 180.0 };

    fn project(cylinders: u8) -> Project {
        let new = NewProject { name: "trial".into(), cylinders, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        new.create().unwrap()
    }

    #[test]
    fn every_spark_stands_where_the_rig_has_it() {
        for cylinders in [4, 6, 8] {
            let project = project(cylinders);
            let layout = Layout::new(&project);
            let sparks = ignitions(&project, 17.5);
            for (place, spark) in sparks.iter().enumerate() {
                let crank_deg = spark.spark_deg + layout.tdc_deg(0);
                assert_abs_diff_eq!(layout.before_tdc_deg(spark.channel, crank_deg), 17.5, epsilon = 1e-9);
                assert_eq!(spark.fires, project.engine.firing_order[place]);
                let mut cylinders = project.engine.channels[spark.channel].cylinders;
                let mut both = [spark.fires, spark.wasted];
                cylinders.sort_unstable();
                both.sort_unstable();
                assert_eq!(both, cylinders);
            }
            let step = 720.0 / f64::from(cylinders);
            assert!(sparks.windows(2).all(|pair| (pair[1].tdc_deg - pair[0].tdc_deg - step).abs() < 1e-9));
        }
        assert_eq!(firing_words(&project(4)), "1 (4) · 3 (2) · 4 (1) · 2 (3)");
    }

    /// The strong vertical lines are the sparks: one per ignition, at its angle.
    #[test]
    fn sparks_are_drawn_at_their_angle_even_across_the_cycles_end() {
        for (cylinders, advance_deg) in [(4, 10.0), (6, 35.0), (8, 89.0), (8, -25.0)] {
            let project = project(cylinders);
            let spec = FiringSpec { parts: &project, advance_deg, look: Look::Light, rect: RECT };
            let mut scene = Scene::default();
            draw_firing(&spec, &mut scene);
            let frame = Frame::new(&spec).unwrap();
            let drawn: Vec<f32> = scene
                .shapes
                .iter()
                .filter_map(|shape| match shape {
                    Shape::Line { from, width: 2.0, .. } => Some(from.x),
                    _ => None,
                })
                .collect();
            let sparks = ignitions(&project, advance_deg);
            assert_eq!(drawn.len(), sparks.len());
            for spark in sparks {
                let within = (spark.spark_deg - frame.start_deg).rem_euclid(720.0) + frame.start_deg;
                assert!(drawn.iter().any(|x| (x - frame.x(within)).abs() < 0.01), "{spark:?}");
            }
            assert!(scene.labels.iter().all(|label| RECT.contains(label.at)));
        }
    }

    #[test]
    fn without_room_nothing_is_drawn() {
        let project = project(8);
        let rect = Rect { height: 60.0, ..RECT };
        let mut scene = Scene::default();
        draw_firing(&FiringSpec { parts: &project, advance_deg: 10.0, look: Look::Dark, rect }, &mut scene);
        assert!(scene.shapes.is_empty());
    }
}
