//! Emits the surfaces: cell by cell, triangle by triangle, piece by piece.

use glam::{DVec2, DVec3};

use super::layer::Layer;
use super::mesh_lines::MeshLines;
use super::order::{Corner, Eye, Piece, Side};
use super::sheer::{self, SHORE_WIDTH, SheerStyle};
use super::{Marks, Relief};
use crate::drawing::{Color, Levels, Palette, Projector, Scene, Shape};
use crate::table::{Cell, Selection, Table};

const MESH_WIDTH: f32 = 0.7;
const WIRE_WIDTH: f32 = 0.9;
const MINOR_WIDTH: f32 = 0.8;
const MAJOR_WIDTH: f32 = 1.5;
/// Distance of the lines of a hatch in model space, across both axes.
const HATCH_STEP: f32 = 0.02;
/// Lightness of a surface seen from below, as a share of that from above.
const UNDERSIDE: f32 = 0.82;

/// How one surface is painted.
#[derive(Clone, Copy)]
struct Style {
    filled: bool,
    mesh: Color,
    mesh_width: f32,
    outline: Color,
    outline_width: f32,
    /// Laid over selected faces.
    tint: Color,
    /// Lines over what the tint does not know.
    hatch: Color,
    /// Contour levels and colours (minor, major).
    contours: Option<(Levels, (Color, Color))>,
}

/// One triangle of a cell: which corners, and which sides they leave; corners and sides count around the cell from
/// its lowest corner towards rising speed.
struct Half {
    corners: [usize; 3],
    sides: [Option<usize>; 3],
}

const LOWER_RIGHT: Half = Half { corners: [0, 1, 2], sides: [Some(0), Some(1), None] };
const UPPER_LEFT: Half = Half { corners: [0, 2, 3], sides: [None, Some(2), Some(3)] };
const LOWER_LEFT: Half = Half { corners: [0, 1, 3], sides: [Some(0), None, Some(3)] };
const UPPER_RIGHT: Half = Half { corners: [1, 2, 3], sides: [Some(1), Some(2), None] };

/// A view being painted.
struct Painter<'a> {
    relief: &'a Relief,
    eye: Eye,
    selection: Option<&'a Selection>,
    front: Style,
    base: Style,
    front_lines: MeshLines,
    base_lines: MeshLines,
    palette: &'a Palette,
}

/// What is common to the two triangles of a cell.
struct CellView {
    /// Grid indices of its corners.
    corners: [usize; 4],
    places: [DVec2; 4],
    front_sides: [Side; 4],
    base_sides: [Side; 4],
    sheer_sides: [Side; 4],
    selected: bool,
}

impl Relief {
    pub(super) fn draw_surfaces(&mut self, projector: &Projector, marks: &Marks<'_>, scene: &mut Scene) {
        self.front.project(&self.columns, &self.rows, projector);
        if let Some(base) = &mut self.base {
            base.project(&self.columns, &self.rows, projector);
        }
        for layer in &mut self.sheers {
            layer.project(&self.columns, &self.rows, projector);
        }
        let palette = self.look.palette();
        let contours = self.levels.map(|levels| (levels, (palette.contour_minor, palette.contour_major)));
        let plain = Style {
            filled: true,
            mesh: palette.mesh,
            mesh_width: MESH_WIDTH,
            outline: palette.accent,
            outline_width: palette.selection_width,
            tint: palette.selection,
            hatch: palette.hatch,
            contours,
        };
        let filled = self.base.as_ref().is_some_and(|base| base.filled);
        let wire = if filled { plain } else { Style { mesh: palette.wire, mesh_width: WIRE_WIDTH, ..plain } };
        let shape = |table: &Table| (table.speed().len(), table.load().len());
        let painter = Painter {
            relief: self,
            eye: Eye::new(projector.eye(), &self.columns, &self.rows),
            selection: marks.selection.filter(|selection| selection.fits(&self.table)),
            front: plain,
            base: Style { filled, contours: None, ..wire },
            front_lines: MeshLines::new(self, shape(&self.table), projector),
            base_lines: self
                .base
                .as_ref()
                .map_or_else(MeshLines::default, |base| MeshLines::new(self, base.shape, projector)),
            palette,
        };
        painter.paint(scene);
    }
}

impl Painter<'_> {
    fn paint(&self, scene: &mut Scene) {
        let (columns, rows) = (self.relief.columns.len() - 1, self.relief.rows.len() - 1);
        for row in self.eye.rows(rows) {
            for column in self.eye.columns(columns) {
                self.cell(column, row, scene);
            }
        }
    }

    fn cell(&self, column: usize, row: usize, scene: &mut Scene) {
        let view = self.view(column, row);
        let z = view.corners.map(|index| self.relief.front.z[index]);
        // The diagonal with the smaller rise follows ridges and valleys better.
        let (first, second, ends) = if (z[0] - z[2]).abs() <= (z[1] - z[3]).abs() {
            (LOWER_RIGHT, UPPER_LEFT, (view.places[0], view.places[2]))
        } else {
            (LOWER_LEFT, UPPER_RIGHT, (view.places[1], view.places[3]))
        };
        let apart = |half: &Half| half.corners.map(|k| view.places[k]).iter().sum::<DVec2>() / 3.0;
        let (far, near) = if self.eye.is_on_side_of(apart(&first), ends) { (second, first) } else { (first, second) };
        self.half(&view, &far, scene);
        self.half(&view, &near, scene);
    }

    fn view(&self, i: usize, j: usize) -> CellView {
        let relief = self.relief;
        let width = relief.columns.len();
        let (left, right) = self.eye.paints_columns(i, width - 1);
        let (lower, upper) = self.eye.paints_rows(j, relief.rows.len() - 1);
        let painted = [lower, right, upper, left];
        let stops = [&relief.rows[j], &relief.columns[i + 1], &relief.rows[j + 1], &relief.columns[i]];
        let (x0, x1) = (relief.columns[i].model, relief.columns[i + 1].model);
        let (y0, y1) = (relief.rows[j].model, relief.rows[j + 1].model);
        let own = Cell::new(relief.rows[j].cell, relief.columns[i].cell);
        let front = |k: usize| match (painted[k], stops[k].own) {
            (false, _) | (_, None) => Side::Bare,
            (true, Some(at)) if self.is_outline(k, own, at) => Side::Selected,
            (true, Some(at)) => mesh_line(&self.front_lines, k, at),
        };
        let base = |k: usize| match stops[k].of_base {
            Some(at) if painted[k] => mesh_line(&self.base_lines, k, at),
            _ => Side::Bare,
        };
        CellView {
            corners: [j * width + i, j * width + i + 1, (j + 1) * width + i + 1, (j + 1) * width + i],
            places: [DVec2::new(x0, y0), DVec2::new(x1, y0), DVec2::new(x1, y1), DVec2::new(x0, y1)],
            front_sides: std::array::from_fn(front),
            base_sides: std::array::from_fn(base),
            sheer_sides: std::array::from_fn(|k| {
                let mesh = |at| if painted[k] { mesh_line(&self.front_lines, k, at) } else { Side::Bare };
                relief.sheer_side(k, stops[k], mesh)
            }),
            selected: self.is_face_selected(Some(own)),
        }
    }

    /// Whether all four vertices around a cell of the table are selected.
    fn is_face_selected(&self, own: Option<Cell>) -> bool {
        let (Some(selection), Some(Cell { load, speed })) = (self.selection, own) else {
            return false;
        };
        [(0, 0), (0, 1), (1, 0), (1, 1)].iter().all(|(j, i)| selection.contains(Cell::new(load + j, speed + i)))
    }

    /// Whether the mesh line on side `k` of the table's cell `own`, on breakpoint `at`, outlines the selection: both
    /// its ends are selected, but not both faces beside it.
    fn is_outline(&self, k: usize, own: Cell, at: usize) -> bool {
        let Some(selection) = self.selection else {
            return false;
        };
        let along_speed = k.is_multiple_of(2);
        let (ends, before) = if along_speed {
            (
                [Cell::new(at, own.speed), Cell::new(at, own.speed + 1)],
                at.checked_sub(1).map(|j| Cell::new(j, own.speed)),
            )
        } else {
            ([Cell::new(own.load, at), Cell::new(own.load + 1, at)], at.checked_sub(1).map(|i| Cell::new(own.load, i)))
        };
        let after = ends[0];
        ends.iter().all(|&end| selection.contains(end))
            && !(self.is_face_selected(before) && self.is_face_selected(Some(after)))
    }

    fn half(&self, view: &CellView, half: &Half, scene: &mut Scene) {
        let indices = half.corners.map(|k| view.corners[k]);
        let places = half.corners.map(|k| view.places[k]);
        let front_under = self.eye.is_under(model_points(&self.relief.front, indices, places));
        // Lines need no cut in what is filled: those before the table's plane are painted after it.
        self.sheers(view, half, if front_under { -1.0 } else { 1.0 }, scene);
        self.bodies(view, half, scene);
        self.sheers(view, half, if front_under { 1.0 } else { -1.0 }, scene);
    }

    /// The parts of sheer surfaces below the table, where `sign` is above 0, or those above it.
    fn sheers(&self, view: &CellView, half: &Half, sign: f64, scene: &mut Scene) {
        let indices = half.corners.map(|k| view.corners[k]);
        for layer in &self.relief.sheers {
            let gap = indices.map(|index| self.relief.front.z[index] - layer.z[index]);
            if gap.iter().any(|gap| !gap.is_finite()) {
                continue;
            }
            let piece = self.piece(layer, half, indices, &view.sheer_sides);
            let style = self.relief.sheer_style;
            let is_beyond = |gap: &f64| gap * sign < 0.0;
            if !gap.iter().any(is_beyond) {
                sheer::draw(&piece, style, self.palette, scene);
            } else if !gap.iter().all(|gap| gap * sign <= 0.0) {
                sheer::draw(&piece.part(gap, sign), style, self.palette, scene);
                if style == SheerStyle::Hatched {
                    self.shore(half, indices, gap, view, scene);
                }
            }
        }
    }

    /// The line along which the table rises through a ceiling.
    fn shore(&self, half: &Half, indices: [usize; 3], gap: [f64; 3], view: &CellView, scene: &mut Scene) {
        let front = self.piece(&self.relief.front, half, indices, &view.front_sides);
        let above = front.part(gap, 1.0);
        let mut ends = above.corners().iter().filter(|corner| !front.corners().iter().any(|own| own.at == corner.at));
        if let (Some(from), Some(to)) = (ends.next(), ends.next()) {
            scene.line(from.at, to.at, SHORE_WIDTH, self.palette.ink);
        }
    }

    fn bodies(&self, view: &CellView, half: &Half, scene: &mut Scene) {
        let indices = half.corners.map(|k| view.corners[k]);
        let places = half.corners.map(|k| view.places[k]);
        let front = self.piece(&self.relief.front, half, indices, &view.front_sides);
        let front_under = self.eye.is_under(model_points(&self.relief.front, indices, places));
        let above = |layer: &Layer| indices.map(|index| self.relief.front.z[index] - layer.z[index]);
        let base = self.relief.base.as_ref().map(|layer| (layer, above(layer)));
        let Some((layer, gap)) = base.filter(|(_, gap)| gap.iter().all(|gap| gap.is_finite())) else {
            self.front.paint(&front, front_under, view.selected, scene);
            return;
        };
        let base = self.piece(layer, half, indices, &view.base_sides);
        let base_under = self.eye.is_under(model_points(layer, indices, places));
        let both = |front: &Piece, base: &Piece, front_is_upper: bool, scene: &mut Scene| {
            // Seen from below, the lower surface hides the upper one, so it is painted last.
            let lower_last = if front_is_upper { base_under } else { front_under };
            if front_is_upper == lower_last {
                self.front.paint(front, front_under, view.selected, scene);
                self.base.paint(base, base_under, false, scene);
            } else {
                self.base.paint(base, base_under, false, scene);
                self.front.paint(front, front_under, view.selected, scene);
            }
        };
        let (least, most) = gap.iter().fold((0.0_f64, 0.0_f64), |(low, high), &gap| (low.min(gap), high.max(gap)));
        if least == 0.0 && most == 0.0 {
            // Where both coincide, the table's surface is painted over the base.
            self.base.paint(&base, base_under, false, scene);
            self.front.paint(&front, front_under, view.selected, scene);
        } else if least == 0.0 || most == 0.0 {
            both(&front, &base, least == 0.0, scene);
        } else {
            let upper_is_near = upper_part_is_near(&self.eye, gap, places);
            for sign in if upper_is_near { [-1.0, 1.0] } else { [1.0, -1.0] } {
                both(&front.part(gap, sign), &base.part(gap, sign), sign > 0.0, scene);
            }
        }
    }

    fn piece(&self, layer: &Layer, half: &Half, indices: [usize; 3], sides: &[Side; 4]) -> Piece {
        let side = |k: Option<usize>| k.map_or(Side::Bare, |k| sides[k]);
        Piece::triangle(indices.map(|index| layer.seen[index]), half.sides.map(side))
    }
}

/// The mesh line on side `k` of a cell, on breakpoint `at`.
fn mesh_line(lines: &MeshLines, k: usize, at: usize) -> Side {
    let lines = if k.is_multiple_of(2) { &lines.rows } else { &lines.columns };
    match lines.get(at) {
        Some(&share) if share > 0 => Side::Mesh(share),
        _ => Side::Bare,
    }
}

/// A share, of 255, of an opacity.
fn part(alpha: u8, share: u8) -> u8 {
    u8::try_from(u16::from(alpha) * u16::from(share) / 255).unwrap_or(alpha)
}

fn model_points(layer: &Layer, indices: [usize; 3], places: [DVec2; 3]) -> [DVec3; 3] {
    std::array::from_fn(|k| places[k].extend(layer.z[indices[k]]))
}

/// Whether the eye is on that side of the vertical plane through the crossing where the gap is above 0.
fn upper_part_is_near(eye: &Eye, gap: [f64; 3], places: [DVec2; 3]) -> bool {
    let mut crossing = [DVec2::ZERO; 2];
    let mut count = 0;
    for k in 0..3 {
        let next = (k + 1) % 3;
        let at = if gap[k] == 0.0 {
            places[k]
        } else if gap[k] * gap[next] < 0.0 {
            places[k].lerp(places[next], gap[k] / (gap[k] - gap[next]))
        } else {
            continue;
        };
        crossing[count.min(1)] = at;
        count += 1;
    }
    let highest = if gap[0] >= gap[1] && gap[0] >= gap[2] { 0 } else { 1 + usize::from(gap[2] > gap[1]) };
    eye.is_on_side_of(places[highest], (crossing[0], crossing[1]))
}

impl Style {
    fn paint(&self, piece: &Piece, under: bool, selected: bool, scene: &mut Scene) {
        if self.filled {
            self.fill(piece.corners(), under, selected, scene);
            if piece.corners().iter().any(|corner| corner.is_unknown) {
                piece.hatch(HATCH_STEP, |from, to| scene.line(from, to, MINOR_WIDTH, self.hatch));
            }
        }
        for (from, to, side) in piece.sides() {
            match side {
                Side::Bare => {}
                Side::Mesh(share) => {
                    scene.line(from.at, to.at, self.mesh_width, self.mesh.with_alpha(part(self.mesh.a, share)));
                }
                Side::Selected => scene.line(from.at, to.at, self.outline_width, self.outline),
            }
        }
        if let Some((levels, colors)) = &self.contours {
            contour(piece, levels, *colors, scene);
        }
    }

    fn fill(&self, corners: &[Corner], under: bool, selected: bool, scene: &mut Scene) {
        let color = |corner: &Corner| {
            let tinted = if selected { self.tint.over(corner.color) } else { corner.color };
            if under { tinted.lerp(Color::hex(0), 1.0 - UNDERSIDE) } else { tinted }
        };
        let Some((first, rest)) = corners.split_first() else {
            return;
        };
        for pair in rest.windows(2) {
            let three = [first, &pair[0], &pair[1]];
            if three.iter().all(|corner| corner.place == first.place) {
                let at = three.map(|corner| corner.at);
                scene.shapes.push(Shape::Triangle { at, colors: three.map(color) });
            } else {
                nearest_parts(three, three.map(color), scene);
            }
        }
    }
}

/// A triangle between things with nothing between them: each has the part that is nearest to its corner in the plan. The
/// middle of the longest side of a right-angled triangle is as far from all three.
fn nearest_parts(corners: [&Corner; 3], colors: [Color; 3], scene: &mut Scene) {
    let next = |k: usize| (k + 1) % 3;
    let length = |k: usize| corners[k].plan_distance(corners[next(k)]);
    let halfway = |k: usize| corners[k].place_toward(corners[next(k)], 0.5);
    let longest = (1..3).fold(0, |longest, k| if length(k) > length(longest) { k } else { longest });
    let middle = halfway(longest);
    for (k, color) in colors.into_iter().enumerate() {
        let (corner, after, before) = (corners[k].at, halfway(k), halfway(next(next(k))));
        for at in [[corner, after, middle], [corner, middle, before]] {
            if at[0] != at[1] && at[1] != at[2] {
                scene.shapes.push(Shape::Triangle { at, colors: [color; 3] });
            }
        }
    }
}

/// The level lines of a plane piece. A corner at the level counts as above it, as in the contour lines of the plan.
fn contour(piece: &Piece, levels: &Levels, (minor, major): (Color, Color), scene: &mut Scene) {
    let values = piece.corners().iter().map(|corner| corner.value);
    let (low, high) = values.fold((f32::MAX, f32::MIN), |(low, high), z| (low.min(z), high.max(z)));
    let range = (levels.range.0.max(low.into()), levels.range.1.min(high.into()));
    for (level, is_major) in (Levels { range, ..*levels }).iter() {
        #[expect(clippy::cast_possible_truncation, reason = "the corners' values are f32 as well")]
        let level = level as f32;
        let mut crossings = piece.sides().filter_map(|(from, to, _)| {
            let crosses = (from.value >= level) != (to.value >= level);
            crosses.then(|| from.place_toward(to, (level - from.value) / (to.value - from.value)))
        });
        if let (Some(from), Some(to)) = (crossings.next(), crossings.next()) {
            let (width, color) = if is_major { (MAJOR_WIDTH, major) } else { (MINOR_WIDTH, minor) };
            scene.line(from, to, width, color);
        }
    }
}
