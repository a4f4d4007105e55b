//! What is above a drawing: what it shows, of which project, and the legend of its colours.

use super::{BODY, Lettering, Plate, SMALL, TITLE};
use crate::drawing::{CHART, Color, ColorMap, Ground, LayerScale, Look, Point, Rect, Shape};
use crate::lettering::{Weight, shortened};
use crate::project::{Origin, Project};
use crate::wording::{Unit, with_unit, written};

/// Space around everything, and the height of the heading, in points.
pub(super) const MARGIN: f32 = 18.0;
const HEIGHT: f32 = 44.0;
/// The legend's bar of colours: its size and the number of pieces it is painted in.
const KEY: (f32, f32) = (132.0, 9.0);
const PIECES: u16 = 32;
/// How far the line of zero stands out of the bar.
const ZERO_BEYOND: f32 = 3.0;
/// Size of a swatch, and height of a row of them.
const SWATCH: (f32, f32) = (14.0, 9.0);
const ROW: f32 = 16.0;

/// What the legend shows.
#[derive(Clone, Debug)]
pub(super) enum Key {
    /// The colours of a scale, with the values at its ends.
    Scale(LayerScale),
    /// What each colour stands for.
    Origins(Vec<Origin>),
    /// That dashes stand for the base.
    Dashes,
    /// Nothing, since there are no colours to explain.
    None,
}

impl Key {
    /// That of a scale over cells of these origins.
    pub(super) fn of(scale: LayerScale, origins: &[Origin]) -> Self {
        if scale.layer.has_range() {
            return Self::Scale(scale);
        }
        Self::Origins(Origin::ALL.into_iter().filter(|origin| origins.contains(origin)).collect())
    }
}

/// An empty plate with its heading; also returns the space left for the drawing.
pub(super) fn begin(project: &Project, look: Look, size: (f32, f32), line: &str, key: &Key) -> (Plate, Rect) {
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
    let key_width = if matches!(key, Key::None | Key::Origins(_)) { 0.0 } else { KEY.0 + 60.0 };
    let room = width - 2.0 * MARGIN - key_width;
    let name = shortened(&project.name, Weight::Semibold, TITLE, room);
    let name = Lettering::new(at, (0.0, 0.0), name, TITLE, palette.ink).strong();
    let mut top = at.y + 22.0;
    plate.texts.push(name);
    let line = shortened(line, Weight::Regular, SMALL, width - 2.0 * MARGIN);
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
    match key {
        Key::Scale(scale) => draw_key(&mut plate, look, scale),
        Key::Origins(origins) => top = draw_swatches(&mut plate, look, origins, top),
        Key::Dashes => draw_dashes(&mut plate, look),
        Key::None => {}
    }
    let top = top.max(HEIGHT) + 8.0;
    let rect = Rect { left: MARGIN, top, width: width - 2.0 * MARGIN, height: height - top - MARGIN };
    (plate, rect)
}

fn draw_key(plate: &mut Plate, look: Look, scale: &LayerScale) {
    let palette = look.palette();
    let (width, height) = KEY;
    let map = ColorMap::new(look, Ground::Surface);
    let (right, top) = (plate.width - MARGIN, MARGIN + 2.0);
    let ends = scale.ends();
    let color = |share: f64| scale.color(&map, scale.at(share));
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
    let zero = scale.marks().into_iter().find(|mark| mark.value == 0.0 && scale.layer.sides().is_some());
    if let Some(zero) = zero {
        #[expect(clippy::cast_possible_truncation, reason = "0..=1")]
        let x = start + width * zero.share as f32;
        let [from, to] = [top - ZERO_BEYOND, top + height + ZERO_BEYOND].map(|y| Point::new(x, y));
        plate.scene.shapes.push(Shape::Line { from, to, width: 1.0, color: palette.ink });
    }
    let low = Lettering::new(
        Point::new(start - 6.0, top + height / 2.0),
        (1.0, 0.5),
        ends[0].clone(),
        SMALL,
        palette.ink_secondary,
    );
    plate.texts.extend([low, high]);
}

/// A row of swatches with words, and more rows where one is too short; gives where the last one ends.
fn draw_swatches(plate: &mut Plate, look: Look, origins: &[Origin], top: f32) -> f32 {
    let (palette, map) = (look.palette(), ColorMap::new(look, Ground::Surface));
    let (width, height) = SWATCH;
    let (mut x, mut y) = (MARGIN, top);
    for (place, origin) in Origin::ALL.into_iter().enumerate().filter(|(_, origin)| origins.contains(origin)) {
        let text = |at: Point| Lettering::new(at, (0.0, 0.5), origin.name(), SMALL, palette.ink_secondary);
        let needed = width + 4.0 + text(Point::new(0.0, 0.0)).width();
        if x > MARGIN && x + needed > plate.width - MARGIN {
            (x, y) = (MARGIN, y + ROW);
        }
        let rect = Rect { left: x, top: y + 2.0, width, height };
        let corners = [(x, rect.top), (x + width, rect.top), (x + width, rect.top + height), (x, rect.top + height)];
        let [a, b, c, d] = corners.map(|(x, y)| Point::new(x, y));
        let colors = [map.swatch(place); 3];
        plate.scene.shapes.push(Shape::Triangle { at: [a, b, c], colors });
        plate.scene.shapes.push(Shape::Triangle { at: [a, c, d], colors });
        outline(plate, rect, palette.ink_secondary);
        plate.texts.push(text(Point::new(x + width + 4.0, rect.top + height / 2.0)));
        x += needed + 12.0;
    }
    y + ROW
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
