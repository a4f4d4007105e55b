//! The advance table as a surface, and some of its rows as curves.

use super::piece::{Piece, ink, width};
use super::sizes;
use crate::drawing::{
    BaseStyle, Fill, HeightScale, Look, ModelBox, Point, Rect, Relief, ReliefSpec, Scene, Shape, Slice, SliceSpec,
    Tint, View,
};
use crate::picture::draw_fitted;
use crate::project::Project;
use crate::table::Table;
use crate::wording::{Unit, quantity};

/// The look of drawings on paper: even printed in grey, lightness distinguishes high from low.
pub(super) const LOOK: Look = Look::Light;
/// The table as a surface, drawn as vectors.
pub(super) fn surface(project: &Project, room: f32, height: f32) -> Piece {
    let table = project.advance.table();
    let heights = HeightScale::over(table);
    let mut piece = Piece::headed("Surface", room);
    let mut relief = Relief::new(&ReliefSpec {
        table,
        base: None,
        model: ModelBox::around(table, None),
        look: LOOK,
        fill: Fill::Layer(Tint::advance(table, heights.range())),
        base_style: BaseStyle::Wire,
        levels: Some(heights.levels(table)),
        sheer: None,
        load_unit: project.sensors.load.unit(),
    });
    let scale = sizes::DRAWING;
    let rect = Rect { left: 0.0, top: 0.0, width: room / scale, height: height / scale };
    let scene = draw_fitted(&mut relief, View::ThreeQuarter, rect);
    piece.drawing(&scene, (0.0, piece.height), scale);
    piece.height += height + 2.0;
    piece
}

/// Three rows as curves on one scale, those of the base dashed: the lowest, the highest, and the one that
/// changed most or else the middle one. Each has its load at its right end, and points of its own fill.
pub(super) fn slices(project: &Project, base: Option<&Project>, room: f32, height: f32) -> Piece {
    let table = project.advance.table();
    let rows = table.load().len();
    let unit = project.sensors.load.unit();
    let base = base.filter(|base| base.sensors.load == project.sensors.load).map(|base| base.advance.table());
    let dashes = if base.is_some() { ", the base dashed" } else { "" };
    let mut piece = Piece::headed(&format!("Slices, ° over rpm{dashes}"), room);
    let changed = base.and_then(|base| most_changed(table, base));
    let mut chosen = vec![0, changed.unwrap_or(rows / 2), rows - 1];
    chosen.sort_unstable();
    chosen.dedup();
    let loads: Vec<f64> = chosen.iter().map(|&row| table.load().breakpoints()[row]).collect();
    let texts: Vec<String> = loads.iter().map(|&load| quantity(load, unit)).collect();
    let beside = texts.iter().map(|text| width(text, sizes::BODY)).fold(0.0, f32::max) + 5.0;
    let note = changed.map(|row| format!("Most changed: load {}.", quantity(table.load().breakpoints()[row], unit)));
    let below = if note.is_some() { sizes::BODY * sizes::LEADING } else { 0.0 };
    let rect = Rect {
        left: 0.0,
        top: 0.0,
        width: (room - beside) / sizes::DRAWING,
        height: (height - below) / sizes::DRAWING,
    };
    let lines = Lines { table, base, rect };
    let top = piece.height;
    let mut scene = Scene::default();
    let mut ends = Vec::new();
    for (place, &load) in loads.iter().enumerate() {
        ends.extend(lines.draw(load, place, &mut scene));
    }
    piece.drawing(&scene, (0.0, top), sizes::DRAWING);
    let ends: Vec<f32> = ends.iter().map(|y| top + y * sizes::DRAWING).collect();
    for (y, text) in apart(&ends).into_iter().zip(texts) {
        let y = y - sizes::BODY * 0.62;
        piece.text((room - beside + 3.0, y), text, sizes::BODY, ink().ink);
    }
    piece.height += height - below;
    if let Some(note) = note {
        piece.paragraph(&note, room, sizes::BODY, ink().ink_secondary);
    }
    piece.height += 2.0;
    piece
}

/// Positions for labels one below the other (y grows downwards, the first label is the lowest), far enough
/// apart to be read.
fn apart(ends: &[f32]) -> Vec<f32> {
    let least = sizes::BODY * 1.15;
    let mut order: Vec<usize> = (0..ends.len()).collect();
    order.sort_by(|&a, &b| ends[a].total_cmp(&ends[b]).then(b.cmp(&a)));
    let mut places = ends.to_vec();
    for _ in 0..8 {
        for pair in order.windows(2) {
            let excess = least - (places[pair[1]] - places[pair[0]]);
            if excess > 0.0 {
                places[pair[0]] -= excess / 2.0;
                places[pair[1]] += excess / 2.0;
            }
        }
    }
    places
}

/// The row with the largest difference from a base, if there is any.
fn most_changed(table: &Table, base: &Table) -> Option<usize> {
    let change = |row: usize| {
        let load = table.load().breakpoints()[row];
        let differences = table.speed().breakpoints().iter().zip(table.row(row));
        differences.map(|(&speed, deg)| (deg - base.lookup(speed, load)).abs()).fold(0.0, f64::max)
    };
    let largest = (0..table.load().len()).map(|row| (row, change(row))).max_by(|a, b| a.1.total_cmp(&b.1));
    largest.filter(|(_, change)| *change >= 0.05).map(|(row, _)| row)
}

/// Rows of a table as curves on a common scale.
struct Lines<'a> {
    table: &'a Table,
    base: Option<&'a Table>,
    rect: Rect,
}

impl Lines<'_> {
    /// Draws the row of a load, for the first one with the scales; returns the height at which it ends.
    fn draw(&self, load: f64, place: usize, scene: &mut Scene) -> Option<f32> {
        let along = |table: &Table| -> Vec<(f64, f64)> {
            table.speed().breakpoints().iter().map(|&speed| (speed, table.lookup(speed, load))).collect()
        };
        let points = along(self.table);
        let (low, high) = self.table.extremes();
        let base_range = self.base.map_or((low, high), Table::extremes);
        let base = self.base.map(along).unwrap_or_default();
        let spec = SliceSpec {
            points: &points,
            base: &base,
            value_range: (low.min(base_range.0), high.max(base_range.1)),
            scale_stands: false,
            now: &[],
            active: None,
            hovered: None,
            selected: &[],
            units: (Unit::None, Unit::None),
            look: LOOK,
            rect: self.rect,
        };
        let slice = Slice::new(&spec)?;
        let mut own = Scene::default();
        slice.draw(&spec, &mut own);
        if place == 0 {
            scene.labels.append(&mut own.labels);
            let foot = slice.frame.up.screen.0;
            let [left, right] = [slice.frame.along.screen.0, slice.frame.along.screen.1].map(|x| Point::new(x, foot));
            let color = LOOK.palette().ink_secondary;
            own.shapes.insert(0, Shape::Line { from: left, to: right, width: 1.0, color });
        }
        let fill = [ink().paper, LOOK.palette().rule_strong, ink().ink].get(place).copied().unwrap_or(ink().ink);
        // The guides have been drawn already.
        let guides = [LOOK.palette().rule, LOOK.palette().rule_strong];
        let is_guide = |shape: &Shape| matches!(shape, Shape::Line { color, .. } if guides.contains(color));
        own.shapes.retain(|shape| place == 0 || !is_guide(shape));
        scene.shapes.extend(own.shapes.into_iter().map(|shape| match shape {
            Shape::Dot { at, radius, outline, outline_width, .. } => {
                Shape::Dot { at, radius, fill, outline, outline_width }
            }
            line => line,
        }));
        slice.points.last().map(|point| point.y)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_stand_apart_and_keep_their_order() {
        let places = apart(&[50.0, 49.0, 20.0]);
        assert!(places[0] - places[1] >= sizes::BODY * 1.14 && places[2] == 20.0, "{places:?}");
        let same = apart(&[30.0, 30.0, 30.0]);
        assert!(same[0] > same[1] && same[1] > same[2], "{same:?}");
    }
}
