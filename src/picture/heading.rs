//! What is above a drawing: what it shows, of which project, and the legend of its colours.

use super::{BODY, Lettering, Plate, SMALL, TITLE};
use crate::drawing::{CHART, Color, ColorMap, Ground, Look, Point, Rect, Shape};
use crate::lettering::shortened;
use crate::project::Project;
use crate::wording::{Unit, quantity, signed_quantity, with_unit, written};

/// Space around everything, and the height of the heading, in points.
pub(super) const MARGIN: f32 = 18.0;
const HEIGHT: f32 = 44.0;
/// The legend's bar of colours: its size and the number of pieces it is painted in.
const KEY: (f32, f32) = (132.0, 9.0);
const PIECES: u16 = 32;

/// What the legend shows.
#[derive(Clone, Copy, Debug)]
pub(super) enum Key {
    /// The colours of the sequential map, with the lowest and highest degrees.
    Values(f64, f64),
    /// The colours of the diverging map, with the degrees of its strongest colours in both directions.
    Differences(f64),
    /// That dashes stand for the base.
    Dashes,
    /// Nothing, since there are no colours to explain.
    None,
}

/// An empty plate with its heading; also returns the space left for the drawing.
pub(super) fn begin(project: &Project, look: Look, size: (f32, f32), line: &str, key: Key) -> (Plate, Rect) {
    let palette = look.palette();
    let (width, height) = size;
    let mut plate = Plate {
        width,
        height,
        paper: palette.paper,
        description: format!("{}: {line}", project.name),
        scene: crate::drawing::Scene::default(),
        texts: Vec::new(),
    };
    let at = Point::new(MARGIN, MARGIN - 3.0);
    let key_width = if matches!(key, Key::None) { 0.0 } else { KEY.0 + 60.0 };
    let room = width - 2.0 * MARGIN - key_width;
    let name = Lettering::new(at, (0.0, 0.0), shortened(&project.name, TITLE, room), TITLE, palette.ink).strong();
    let mut top = at.y + 22.0;
    plate.texts.push(name);
    let line = shortened(line, SMALL, width - 2.0 * MARGIN);
    plate.texts.push(Lettering::new(Point::new(MARGIN, top), (0.0, 0.0), line, SMALL, palette.ink_secondary));
    top += 16.0;
    if let Some(deg) = project.locked_timing_deg {
        let text = format!("LOCKED TIMING {}: not a map to drive with", with_unit(&written(deg), Unit::Degree));
        plate
            .texts
            .push(Lettering::new(Point::new(MARGIN, top), (0.0, 0.0), text.clone(), BODY, palette.error).strong());
        plate.description = format!("{} ({text})", plate.description);
        top += 20.0;
    }
    draw_key(&mut plate, look, key);
    let top = top.max(HEIGHT) + 8.0;
    let rect = Rect { left: MARGIN, top, width: width - 2.0 * MARGIN, height: height - top - MARGIN };
    (plate, rect)
}

fn draw_key(plate: &mut Plate, look: Look, key: Key) {
    let palette = look.palette();
    let (width, height) = KEY;
    let map = ColorMap::new(look, Ground::Surface);
    let (right, top) = (plate.width - MARGIN, MARGIN + 2.0);
    let ends = match key {
        Key::Values(low, high) => [quantity(low, Unit::Degree), quantity(high, Unit::Degree)],
        Key::Differences(full) => [signed_quantity(-full, Unit::Degree), signed_quantity(full, Unit::Degree)],
        Key::Dashes => return draw_dashes(plate, look),
        Key::None => return,
    };
    let color = |share: f64| {
        if matches!(key, Key::Values(..)) { map.sequential(share) } else { map.diverging(2.0 * share - 1.0) }
    };
    let high = Lettering::new(
        Point::new(right, top + height / 2.0),
        (1.0, 0.5),
        ends[1].clone(),
        SMALL,
        palette.ink_secondary,
    );
    let end = right - high.width() - 6.0;
    let start = end - width;
    for piece in 0..PIECES {
        let [from, to] = [piece, piece + 1].map(|k| f64::from(k) / f64::from(PIECES));
        let x = |share: f64| {
            #[expect(clippy::cast_possible_truncation, reason = "0..=1")]
            let share = share as f32;
            start + width * share
        };
        let corners = [(x(from), top), (x(to), top), (x(to), top + height), (x(from), top + height)];
        let [a, b, c, d] = corners.map(|(x, y)| Point::new(x, y));
        let (left, right) = (color(from), color(to));
        plate.scene.shapes.push(Shape::Triangle { at: [a, b, c], colors: [left, right, right] });
        plate.scene.shapes.push(Shape::Triangle { at: [a, c, d], colors: [left, right, left] });
    }
    outline(plate, Rect { left: start, top, width, height }, palette.ink_secondary);
    let low = Lettering::new(
        Point::new(start - 6.0, top + height / 2.0),
        (1.0, 0.5),
        ends[0].clone(),
        SMALL,
        palette.ink_secondary,
    );
    plate.texts.extend([low, high]);
}

fn outline(plate: &mut Plate, Rect { left, top, width, height }: Rect, color: Color) {
    let corners = [(left, top), (left + width, top), (left + width, top + height), (left, top + height), (left, top)];
    for pair in corners.windows(2) {
        let [from, to] = [pair[0], pair[1]].map(|(x, y)| Point::new(x, y));
        plate.scene.shapes.push(Shape::Line { from, to, width: 0.7, color });
    }
}

fn draw_dashes(plate: &mut Plate, look: Look) {
    let palette = look.palette();
    let at = Point::new(plate.width - MARGIN, MARGIN + 6.0);
    let text = Lettering::new(at, (1.0, 0.5), "base", SMALL, palette.ink_secondary);
    let (dash, gap) = CHART.dashes;
    let mut x = at.x - text.width() - 36.0;
    for _ in 0..4 {
        let (from, to) = (Point::new(x, at.y), Point::new(x + dash, at.y));
        plate.scene.shapes.push(Shape::Line { from, to, width: CHART.thin, color: palette.base_line });
        x += dash + gap;
    }
    plate.texts.push(text);
}
