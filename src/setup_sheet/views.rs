//! The advance table as a body, and some of its rows as curves.

use super::piece::{Piece, ink};
use super::sizes;
use crate::drawing::{
    BaseStyle, Fill, HeightScale, Look, ModelBox, Rect, Relief, ReliefSpec, Scene, Slice, SliceSpec, View,
};
use crate::picture::draw_fitted;
use crate::project::Project;
use crate::table::{Table, shortest};

/// The look of drawings on paper: its lightness alone tells high from low.
pub(super) const LOOK: Look = Look::Light;
/// The table as a body, drawn as vectors.
pub(super) fn surface(project: &Project, room: f32, height: f32) -> Piece {
    let table = project.advance.table();
    let heights = HeightScale::over(table);
    let mut piece = Piece::headed("Surface", room);
    let mut relief = Relief::new(&ReliefSpec {
        table,
        base: None,
        model: ModelBox::around(table, None),
        tint_range: heights.range(),
        look: LOOK,
        fill: Fill::Value,
        base_style: BaseStyle::Wire,
        levels: Some(heights.levels(table)),
        load_unit: project.sensors.load.unit(),
    });
    let scale = sizes::DRAWING;
    let rect = Rect { left: 0.0, top: 0.0, width: room / scale, height: height / scale };
    let scene = draw_fitted(&mut relief, View::ThreeQuarter, rect);
    piece.drawing(&scene, (0.0, piece.height), scale);
    piece.height += height + 2.0;
    piece
}

/// Three rows as curves, the base's dashed: the lowest, the highest, and the one that changed most or else the middle.
pub(super) fn slices(project: &Project, base: Option<&Project>, room: f32, height: f32) -> Piece {
    let table = project.advance.table();
    let rows = table.load().len();
    let unit = project.sensors.load.unit();
    let base = base.filter(|base| base.sensors.load == project.sensors.load);
    let dashes = if base.is_some() { ", the base dashed" } else { "" };
    let mut piece = Piece::headed(&format!("Slices, ° over rpm{dashes}"), room);
    let changed = base.and_then(|base| most_changed(table, base.advance.table()));
    let mut chosen = vec![0, changed.unwrap_or(rows / 2), rows - 1];
    chosen.sort_unstable();
    chosen.dedup();
    #[expect(clippy::cast_precision_loss, reason = "at most three")]
    let each = height / chosen.len() as f32;
    for row in chosen.into_iter().rev() {
        let load = table.load().breakpoints()[row];
        let why = if changed == Some(row) { ", most changed" } else { "" };
        piece.text((0.0, piece.height), format!("load {} {unit}{why}", shortest(load)), sizes::SMALL, ink().ink);
        // The last number stands half beyond the end of its axis.
        piece.drawing(&slice(table, base, row, room - 8.0, each - 11.0), (0.0, piece.height + 9.0), sizes::DRAWING);
        piece.height += each;
    }
    piece
}

/// The row with the largest difference from a base, if there is one to see.
fn most_changed(table: &Table, base: &Table) -> Option<usize> {
    let change = |row: usize| {
        let load = table.load().breakpoints()[row];
        let differences = table.speed().breakpoints().iter().zip(table.row(row));
        differences.map(|(&speed, deg)| (deg - base.lookup(speed, load)).abs()).fold(0.0, f64::max)
    };
    let largest = (0..table.load().len()).map(|row| (row, change(row))).max_by(|a, b| a.1.total_cmp(&b.1));
    largest.filter(|(_, change)| *change >= 0.05).map(|(row, _)| row)
}

fn slice(table: &Table, base: Option<&Project>, row: usize, room: f32, height: f32) -> Scene {
    let load = table.load().breakpoints()[row];
    let points: Vec<(f64, f64)> =
        table.speed().breakpoints().iter().copied().zip(table.row(row).iter().copied()).collect();
    let of_base = |base: &Project| {
        let table = base.advance.table();
        table.speed().breakpoints().iter().map(|&speed| (speed, table.lookup(speed, load))).collect()
    };
    let base: Vec<(f64, f64)> = base.map_or_else(Vec::new, of_base);
    let spec = SliceSpec {
        points: &points,
        base: &base,
        value_range: table.extremes(),
        active: None,
        hovered: None,
        selected: &[],
        look: LOOK,
        rect: Rect { left: 0.0, top: 0.0, width: room / sizes::DRAWING, height: height / sizes::DRAWING },
    };
    let mut scene = Scene::default();
    if let Some(slice) = Slice::new(&spec) {
        slice.draw(&spec, &mut scene);
    }
    scene
}
