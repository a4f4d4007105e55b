//! The trigger wheel in the position where the first coil's pair is at top dead centre.
//!
//! Drawn so that the wheel turns clockwise. An angle on the wheel is a crank angle counted as in [`Layout`]:
//! the point at `c` degrees passes the sensor when the crank is at `c`. Since the sensor is drawn at the top
//! and the crank is at TDC of the first pair, that point appears TDC − c degrees clockwise of the sensor: what
//! has already passed it is to the right.

use super::{Color, Look, Palette, Point, Rect, Scene, Shape};
use crate::lettering;
use crate::project::{Parts, SensorKind};
use crate::rig::Layout;
use crate::wording::{Unit, fixed, quantity};

/// Room around the wheel for sensor and labels, in points: at the sides, above, below.
const MARGIN: (f32, f32, f32) = (112.0, 52.0, 48.0);
/// Smallest and largest radius of the wheel over its teeth.
const RADIUS: (f32, f32) = (24.0, 220.0);
/// Root circle and hub circle, as shares of that radius.
const ROOT: f32 = 0.90;
const HUB: f32 = 0.42;
/// Where the names of the pairs are, as a share of the radius.
const NAMES: f32 = 0.66;
/// From this radius on there is room for words inside the wheel.
const WORDS_FROM: f32 = 88.0;
/// The size of labels, and half the height of their line, for labels that must not touch.
const TEXT: f32 = 11.0;
const HALF_LINE: f32 = 7.0;
/// The chords that approximate an arc span at most this angle.
const CHORD_DEG: f64 = 3.0;
const OUTLINE: f32 = 1.1;
const MARK: f32 = 1.6;
const SPARK_RADIUS: f32 = 3.4;
/// The sensor: width, height, and its gap to the teeth.
const SENSOR: (f32, f32, f32) = (15.0, 24.0, 3.0);
/// The name of the reference edge keeps this distance from that of the sensor, in degrees.
const NAME_CLEARANCE_DEG: f64 = 36.0;
/// Half the width of the sensor's name plus a little space.
const BESIDE_NAME: f32 = 54.0;

/// What a wheel drawing shows.
#[derive(Clone, Copy, Debug)]
pub struct WheelSpec<'a> {
    /// The installation.
    pub parts: &'a Parts,
    /// The advance for which sparks are marked, in degrees before TDC.
    pub advance_deg: f64,
    /// Colours.
    pub look: Look,
    /// Where to draw, including the labels; at least about 300 × 180 points.
    pub rect: Rect,
}

/// A place on the wheel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WheelMark {
    /// Crank degrees after the reference edge.
    pub crank_deg: f64,
    /// Where it is drawn, on the circle over the teeth.
    pub at: Point,
}

/// The trigger wheel laid out on the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct WheelDrawing {
    /// The middle of the wheel.
    pub center: Point,
    /// Radius over the teeth, in points.
    pub radius: f32,
    /// The first edge after the gap.
    pub reference: WheelMark,
    /// Top dead centre of each coil channel's pair.
    pub dead_centres: Vec<WheelMark>,
    /// The spark of each coil channel.
    pub sparks: Vec<WheelMark>,
    layout: Layout,
}

impl WheelDrawing {
    /// Lays the wheel out; `None` if there is not enough room.
    pub fn new(spec: &WheelSpec<'_>) -> Option<Self> {
        let (beside, above, below) = MARGIN;
        let rect = spec.rect;
        let radius = ((rect.width - 2.0 * beside) / 2.0).min((rect.height - above - below) / 2.0).min(RADIUS.1);
        if radius < RADIUS.0 {
            return None;
        }
        let middle = rect.top + above + (rect.height - above - below) / 2.0;
        let center = Point::new(rect.left + rect.width / 2.0, middle);
        let layout = Layout::new(spec.parts);
        let mark = |crank_deg: f64| WheelMark { crank_deg, at: place(center, radius, layout.tdc_deg(0) - crank_deg) };
        let dead_centres: Vec<_> = (0..layout.channels()).map(|channel| mark(layout.tdc_deg(channel))).collect();
        let sparks = dead_centres.iter().map(|tdc| mark(tdc.crank_deg - spec.advance_deg)).collect();
        Some(Self { center, radius, reference: mark(0.0), dead_centres, sparks, layout })
    }

    /// Replaces the contents of `scene` with the drawing.
    pub fn draw(&self, spec: &WheelSpec<'_>, scene: &mut Scene) {
        scene.clear();
        let palette = spec.look.palette();
        self.draw_wheel(spec, palette, scene);
        for channel in 0..self.dead_centres.len() {
            self.draw_channel(channel, spec, palette, scene);
        }
        self.draw_hub(spec, palette, scene);
        self.draw_sensor(spec, palette, scene);
        self.draw_reference(spec, palette, scene);
    }

    /// What the drawing says, one sentence per line, for the text beside it.
    pub fn words(spec: &WheelSpec<'_>) -> Vec<String> {
        let trigger = &spec.parts.trigger;
        let wheel = trigger.wheel;
        let reference = match trigger.zero_offset_deg {
            0.0 => quantity(trigger.reference_deg, Unit::Degree),
            offset => format!(
                "{} ({} {} {} zero offset)",
                quantity(trigger.reference_deg + offset, Unit::Degree),
                quantity(trigger.reference_deg, Unit::Degree),
                if offset < 0.0 { '−' } else { '+' },
                quantity(offset.abs(), Unit::Degree),
            ),
        };
        let first = spec.parts.engine.channels.first();
        let pair = first.map_or_else(|| "first pair".to_owned(), |channel| pair(channel.cylinders));
        let layout = Layout::new(spec.parts);
        let passed = layout.tdc_deg(0).rem_euclid(360.0) / wheel.pitch_deg();
        vec![
            format!(
                "Wheel {}−{}: a tooth place every {}, gap {} between edges.",
                wheel.teeth,
                wheel.missing,
                quantity(wheel.pitch_deg(), Unit::Degree),
                quantity(wheel.gap_deg(), Unit::Degree)
            ),
            format!("The first edge after the gap passes the sensor {reference} before TDC of {pair}."),
            format!(
                "Drawn at TDC of {pair}: {} tooth places after that edge. Turns clockwise as seen here.",
                fixed(passed, 1)
            ),
            format!("Spark shown at {} before TDC: the dots.", quantity(spec.advance_deg, Unit::Degree)),
        ]
    }

    /// The point at a share of the radius and a crank angle of the wheel.
    fn on_wheel(&self, share: f32, crank_deg: f64) -> Point {
        place(self.center, self.radius * share, self.layout.tdc_deg(0) - crank_deg)
    }

    /// The counted edge of each tooth is its leading one; with a coil and magnet it is its middle, where the
    /// voltage passes zero.
    fn draw_wheel(&self, spec: &WheelSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let trigger = &spec.parts.trigger;
        let pitch_deg = trigger.wheel.pitch_deg();
        let lead_deg = if trigger.sensor == SensorKind::Inductive { pitch_deg / 4.0 } else { 0.0 };
        let (fill, outline) = (palette.field_pressed, palette.ink_secondary);
        let body = Shape::Dot {
            at: self.center,
            radius: self.radius * ROOT,
            fill,
            outline: Color::default(),
            outline_width: 0.0,
        };
        scene.shapes.push(body);
        let mut rim = Vec::new();
        for tooth in 0..trigger.wheel.edges() {
            let from_deg = self.layout.tooth_deg(tooth) - lead_deg;
            let to_deg = from_deg + pitch_deg / 2.0;
            let corner = |share: f32, at_deg: f64| self.on_wheel(share, at_deg);
            let tip = arc(from_deg, to_deg);
            for pair in tip.windows(2) {
                let inner = [corner(ROOT - 0.02, pair[1]), corner(ROOT - 0.02, pair[0])];
                scene.quad([corner(1.0, pair[0]), corner(1.0, pair[1]), inner[0], inner[1]], fill);
            }
            rim.push(corner(ROOT, from_deg));
            rim.extend(tip.iter().map(|&at_deg| corner(1.0, at_deg)));
            let is_last = tooth + 1 == trigger.wheel.edges();
            let next_deg = if is_last { 360.0 - lead_deg } else { from_deg + pitch_deg };
            rim.extend(arc(to_deg, next_deg).iter().map(|&at_deg| corner(ROOT, at_deg)));
        }
        #[expect(clippy::cast_possible_truncation, reason = "a width in points")]
        let width = (self.radius * pitch_deg.to_radians() as f32 * 0.3).clamp(0.3, OUTLINE);
        scene.polyline(&rim, width, outline);
    }

    fn draw_channel(&self, channel: usize, spec: &WheelSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let (tdc_deg, spark_deg) = (self.dead_centres[channel].crank_deg, self.sparks[channel].crank_deg);
        let wedge = arc(spark_deg.min(tdc_deg), spark_deg.max(tdc_deg));
        for pair in wedge.windows(2) {
            let corners =
                [(HUB, pair[0]), (ROOT, pair[0]), (ROOT, pair[1]), (HUB, pair[1])].map(|(r, at)| self.on_wheel(r, at));
            scene.quad(corners, palette.ink.with_alpha(30));
        }
        scene.line(self.on_wheel(HUB, tdc_deg), self.on_wheel(1.0, tdc_deg), MARK, palette.ink);
        let spark = self.on_wheel(ROOT, spark_deg);
        scene.dashed(&[self.on_wheel(HUB, spark_deg), spark], (3.0, 2.5), 1.0, palette.ink);
        let dot = Shape::Dot {
            at: spark,
            radius: SPARK_RADIUS,
            fill: palette.ink,
            outline: palette.paper,
            outline_width: 1.0,
        };
        scene.shapes.push(dot);
        let pair = spec.parts.engine.channels.get(channel).map_or_else(String::new, |channel| pair(channel.cylinders));
        let name = if self.radius < WORDS_FROM { pair } else { format!("TDC {pair}") };
        // Beside the line, on the side away from the wedge.
        let side = if spec.advance_deg < 0.0 { 1.0 } else { -1.0 };
        let line = self.on_wheel(NAMES, tdc_deg);
        let outward = Point::new((line.x - self.center.x) / self.radius, (line.y - self.center.y) / self.radius);
        let length = outward.x.hypot(outward.y).max(f32::EPSILON);
        let (dx, dy) = (-outward.y / length * side, outward.x / length * side);
        let off = dx.abs() * text_width(&name) / 2.0 + dy.abs() * HALF_LINE + 4.0;
        scene.note(Point::new(line.x + dx * off, line.y + dy * off), (0.5, 0.5), name, palette.ink);
    }

    /// Draws the arrow of rotation and, if there is room, the spark in words.
    fn draw_hub(&self, spec: &WheelSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let ink = palette.ink_secondary;
        let share = HUB - 0.05;
        let turn = |clockwise_deg: f64| place(self.center, self.radius * share, clockwise_deg);
        let sweep: Vec<Point> = arc(140.0, 216.0).into_iter().map(turn).collect();
        scene.polyline(&sweep, 1.2, ink);
        let (tip, size) = (turn(222.0), (self.radius * 0.05).clamp(3.5, 7.0));
        let back = place(
            self.center,
            self.radius * share,
            222.0 - f64::from((size / (self.radius * share)).to_degrees()) * 1.5,
        );
        let across = |sign: f32| {
            let (dx, dy) =
                ((back.x - self.center.x) / self.radius / share, (back.y - self.center.y) / self.radius / share);
            Point::new(back.x + dx * size * 0.6 * sign, back.y + dy * size * 0.6 * sign)
        };
        scene.shapes.push(Shape::Triangle { at: [tip, across(1.0), across(-1.0)], colors: [ink; 3] });
        if self.radius < WORDS_FROM {
            return;
        }
        let after = spec.advance_deg < 0.0;
        let lines = [
            format!("spark {}", quantity(spec.advance_deg.abs(), Unit::Degree)),
            if after { "after TDC".to_owned() } else { "before TDC".to_owned() },
        ];
        for (line, text) in [-1.0, 1.0].into_iter().zip(lines) {
            let at = Point::new(self.center.x, self.center.y + line * HALF_LINE - 3.0);
            scene.note(at, (0.5, 0.5), text, palette.ink);
        }
    }

    fn draw_sensor(&self, spec: &WheelSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let (width, height, gap) = SENSOR;
        let foot = self.center.y - self.radius - gap;
        let (left, right) = (self.center.x - width / 2.0, self.center.x + width / 2.0);
        let body = [
            Point::new(left, foot),
            Point::new(right, foot),
            Point::new(right, foot - height),
            Point::new(left, foot - height),
        ];
        scene.quad(body, palette.field);
        let [a, b, c, d] = body;
        scene.polyline(&[a, b, c, d, a], OUTLINE, palette.ink);
        // The line from which edges and dead centres are counted.
        scene.line(Point::new(self.center.x, foot), Point::new(self.center.x, foot - height), 1.0, palette.ink);
        let name = match spec.parts.trigger.sensor {
            SensorKind::Inductive => "inductive sensor",
            SensorKind::Hall => "Hall sensor",
            SensorKind::Optical => "light barrier",
        };
        scene.note(Point::new(self.center.x, foot - height - 4.0), (0.5, 1.0), name.into(), palette.ink);
    }

    /// Draws the reference edge, and its angle from the sensor as a dimension outside the teeth.
    fn draw_reference(&self, spec: &WheelSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let passed_deg = (self.layout.tdc_deg(0) - self.reference.crank_deg).rem_euclid(360.0);
        let out = |distance: f32, clockwise_deg: f64| place(self.center, self.radius + distance, clockwise_deg);
        scene.line(out(-0.1 * self.radius, passed_deg), out(12.0, passed_deg), MARK, palette.ink);
        let from_deg = f64::from((SENSOR.0 / 2.0 + 4.0).atan2(self.radius + 8.0).to_degrees());
        if passed_deg > from_deg {
            let dimension: Vec<Point> = arc(from_deg, passed_deg).into_iter().map(|at| out(8.0, at)).collect();
            scene.polyline(&dimension, 1.0, palette.ink_secondary);
        }
        let named_deg = passed_deg.clamp(NAME_CLEARANCE_DEG, 360.0 - NAME_CLEARANCE_DEG);
        let (mut at, toward) = (out(20.0, named_deg), named_deg.to_radians());
        #[expect(clippy::cast_possible_truncation, reason = "sines")]
        let (sin, cos) = (toward.sin() as f32, toward.cos() as f32);
        let mut across = 0.5 - 0.5 * (sin * 1.8).clamp(-1.0, 1.0);
        if cos > 0.0 && (at.x - self.center.x).abs() < BESIDE_NAME {
            at.x = self.center.x + BESIDE_NAME.copysign(sin);
            across = if sin < 0.0 { 1.0 } else { 0.0 };
        }
        if (named_deg - passed_deg).abs() > 1.0 {
            scene.line(out(12.0, passed_deg), out(18.0, named_deg), 0.8, palette.ink_secondary);
        }
        let true_deg = spec.parts.trigger.reference_deg + spec.parts.trigger.zero_offset_deg;
        let lines = ["reference edge".to_owned(), format!("{} before TDC", quantity(true_deg, Unit::Degree))];
        let middle = at.y - cos * 2.0 * HALF_LINE;
        for (line, text) in [-HALF_LINE, HALF_LINE].into_iter().zip(lines) {
            scene.note(Point::new(at.x, middle + line), (across, 0.5), text, palette.ink);
        }
    }
}

/// The point at a distance from a centre, at an angle clockwise of straight up.
fn place(center: Point, distance: f32, clockwise_deg: f64) -> Point {
    let (sin, cos) = clockwise_deg.to_radians().sin_cos();
    #[expect(clippy::cast_possible_truncation, reason = "screen points are f32")]
    let (sin, cos) = (sin as f32, cos as f32);
    Point::new(center.x + distance * sin, center.y - distance * cos)
}

/// Angles from one to another, both included, for the chords of an arc.
fn arc(from_deg: f64, to_deg: f64) -> Vec<f64> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
    let chords = (((to_deg - from_deg) / CHORD_DEG).ceil() as u16).max(1);
    (0..=chords).map(|k| from_deg + (to_deg - from_deg) * f64::from(k) / f64::from(chords)).collect()
}

fn text_width(text: &str) -> f32 {
    lettering::width(text) * TEXT
}

/// '1+4': the cylinders that share a coil.
pub(super) fn pair([first, second]: [u8; 2]) -> String {
    format!("{first}+{second}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, Project, Wheel};
    use approx::assert_abs_diff_eq;

    const RECT: Rect = Rect { left: 10.0, top: 20.0, width: 460.0, height: 330.0 };

    fn project(cylinders: u8, wheel: (u16, u16), reference_deg: f64) -> Project {
        let new = NewProject { name: "trial".into(), cylinders, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let change = |parts: &mut Parts| {
            parts.trigger.wheel = Wheel { teeth: wheel.0, missing: wheel.1 };
            parts.trigger.reference_deg = reference_deg;
            parts.trigger.zero_offset_deg = 1.5;
        };
        new.create().unwrap().edit(change).unwrap()
    }

    fn spec(project: &Project, advance_deg: f64, rect: Rect) -> WheelSpec<'_> {
        WheelSpec { parts: project, advance_deg, look: Look::Light, rect }
    }

    /// How many degrees clockwise of the sensor a point is drawn.
    fn seen_deg(drawing: &WheelDrawing, at: Point) -> f64 {
        let (x, y) = (at.x - drawing.center.x, drawing.center.y - at.y);
        f64::from(x).atan2(f64::from(y)).to_degrees()
    }

    #[test]
    fn sparks_are_drawn_where_the_rig_fires() {
        for (cylinders, reference_deg, advance_deg) in [(4, 90.0, 10.0), (6, 60.0, 38.5), (8, 355.0, -4.0)] {
            let project = project(cylinders, (36, 1), reference_deg);
            let drawing = WheelDrawing::new(&spec(&project, advance_deg, RECT)).unwrap();
            let layout = Layout::new(&project);
            assert_eq!(drawing.sparks.len(), usize::from(cylinders) / 2);
            for (channel, spark) in drawing.sparks.iter().enumerate() {
                assert_abs_diff_eq!(layout.before_tdc_deg(channel, spark.crank_deg), advance_deg, epsilon = 1e-9);
                let (spark, tdc) = (seen_deg(&drawing, spark.at), seen_deg(&drawing, drawing.dead_centres[channel].at));
                // What passes the sensor earlier is further clockwise.
                let before_deg = (spark - tdc + 180.0).rem_euclid(360.0) - 180.0;
                assert_abs_diff_eq!(before_deg, advance_deg, epsilon = 1e-3);
            }
            assert_abs_diff_eq!(seen_deg(&drawing, drawing.dead_centres[0].at), 0.0, epsilon = 1e-3);
            let passed_deg = seen_deg(&drawing, drawing.reference.at).rem_euclid(360.0);
            assert_abs_diff_eq!(passed_deg, (reference_deg + 1.5).rem_euclid(360.0), epsilon = 1e-3);
        }
    }

    #[test]
    fn the_wheel_moves_with_reference_offset_and_advance() {
        let drawn = |reference_deg, advance_deg| {
            let project = project(4, (36, 1), reference_deg);
            let drawing = WheelDrawing::new(&spec(&project, advance_deg, RECT)).unwrap();
            (drawing.reference.at, drawing.sparks[0].at)
        };
        let ((edge, spark), (moved_edge, same_spark)) = (drawn(90.0, 10.0), drawn(80.0, 10.0));
        assert!(edge.distance(moved_edge) > 5.0 && spark.distance(same_spark) < 1e-3);
        assert!(spark.distance(drawn(90.0, 20.0).1) > 5.0);
    }

    /// Boxes of all labels.
    fn boxes(scene: &Scene) -> Vec<(Rect, String)> {
        let of = |label: &super::super::Label| {
            let (width, height) = (text_width(&label.text), 2.0 * HALF_LINE - 0.5);
            let (left, top) = (label.at.x - width * label.anchor.0, label.at.y - height * label.anchor.1);
            (Rect { left, top, width, height }, label.text.clone())
        };
        scene.labels.iter().map(of).collect()
    }

    fn touch(a: &Rect, b: &Rect) -> bool {
        a.left < b.left + b.width && b.left < a.left + a.width && a.top < b.top + b.height && b.top < a.top + a.height
    }

    #[test]
    fn no_label_touches_another_or_the_edge() {
        let small = Rect { width: 310.0, height: 190.0, ..RECT };
        for wheel in [(36, 1), (60, 2), (6, 1), (12, 1), (30, 2), (24, 1), (35, 2), (360, 8)] {
            for (cylinders, reference) in [4, 6, 8].iter().flat_map(|&n| (0..=360).step_by(9).map(move |r| (n, r))) {
                let project = project(cylinders, wheel, f64::from(reference));
                for (rect, advance_deg) in [(RECT, -12.0), (RECT, 10.0), (RECT, 45.0), (small, 28.5)] {
                    let spec = spec(&project, advance_deg, rect);
                    let mut scene = Scene::default();
                    WheelDrawing::new(&spec).unwrap().draw(&spec, &mut scene);
                    let boxes = boxes(&scene);
                    for (index, (a, text)) in boxes.iter().enumerate() {
                        let ends = [(a.left, a.top), (a.left + a.width, a.top + a.height)];
                        assert!(
                            ends.iter().all(|&(x, y)| rect.contains(Point::new(x, y))),
                            "{text} {reference} {rect:?}"
                        );
                        for (b, other) in &boxes[index + 1..] {
                            assert!(
                                !touch(a, b),
                                "{text} and {other}: {cylinders} {reference}° {advance_deg}° {rect:?}"
                            );
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn every_tooth_is_there_and_the_gap_is_empty() {
        let project = project(4, (36, 1), 90.0);
        let spec = spec(&project, 10.0, RECT);
        let drawing = WheelDrawing::new(&spec).unwrap();
        let mut scene = Scene::default();
        drawing.draw(&spec, &mut scene);
        let is_filled = |crank_deg: f64| {
            let at = drawing.on_wheel(0.97, crank_deg);
            scene.shapes.iter().any(|shape| match shape {
                Shape::Triangle { at: [a, b, c], .. } => {
                    let side = |p: Point, q: Point| (q.x - p.x) * (at.y - p.y) - (q.y - p.y) * (at.x - p.x);
                    let sides = [side(*a, *b), side(*b, *c), side(*c, *a)];
                    sides.iter().all(|s| *s >= 0.0) || sides.iter().all(|s| *s <= 0.0)
                }
                _ => false,
            })
        };
        let (lead_deg, pitch_deg) = (if spec.parts.trigger.sensor == SensorKind::Inductive { 0.0 } else { 2.5 }, 10.0);
        for tooth in 0..35 {
            assert!(is_filled(f64::from(tooth) * pitch_deg + lead_deg), "tooth {tooth}");
            assert!(!is_filled(f64::from(tooth) * pitch_deg + lead_deg + 5.0), "after tooth {tooth}");
        }
        assert!(!is_filled(350.0 + lead_deg));
    }

    #[test]
    fn says_in_words_what_it_shows() {
        let project = project(4, (36, 1), 90.0);
        let words = WheelDrawing::words(&spec(&project, 10.0, RECT));
        assert_eq!(
            words,
            [
                "Wheel 36−1: a tooth place every 10.0°, gap 20.0° between edges.",
                "The first edge after the gap passes the sensor 91.5° (90.0° + 1.5° zero offset) before TDC of 1+4.",
                "Drawn at TDC of 1+4: 9.2 tooth places after that edge. Turns clockwise as seen here.",
                "Spark shown at 10.0° before TDC: the dots.",
            ]
        );
        assert!(WheelDrawing::new(&spec(&project, 10.0, Rect { width: 100.0, ..RECT })).is_none());
    }
}
