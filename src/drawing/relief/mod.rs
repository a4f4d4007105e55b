//! A table as terrain, with a base as second surface: one geometry for surface and plan.
//!
//! Hidden parts are hidden by order alone. Both surfaces stand on one grid in speed and load, the union of their
//! breakpoints, cut into triangles that share their outline. The prisms over those triangles are painted far first;
//! where the surfaces cross inside a triangle, the prism is cut along the crossing; in each prism one surface lies
//! wholly on one side of the other. The eye's side of the vertical planes between prisms, and of the lower surface,
//! decides (a binary space partition whose planes are known beforehand).

mod floor;
mod layer;
mod order;
mod paint;
#[cfg(test)]
mod tests;

use glam::DVec3;

use self::layer::Layer;
use super::{ColorMap, Contour, Ground, Levels, Look, ModelBox, Point, Projector, Scene, contour_lines};
use crate::drawing::{Color, Shape};
use crate::table::{Axis, Cell, Selection, Table};
use crate::wording::Unit;

/// How the surface of the table is coloured.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Fill {
    /// By its values over the range of the box's values shown.
    #[default]
    Value,
    /// By its difference from the base; `full_deg` (above 0) has the strongest colour.
    Difference {
        /// The difference with the strongest colour, degrees.
        full_deg: f64,
    },
    /// Plain paper with shading.
    Paper,
}

/// How the base is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum BaseStyle {
    /// Mesh lines only.
    #[default]
    Wire,
    /// As plain paper with shading.
    Solid,
    /// Coloured by the table's difference from it; `full_deg` (above 0) has the strongest colour.
    Difference {
        /// The difference with the strongest colour, degrees.
        full_deg: f64,
    },
}

/// A base with more breakpoints than this on an axis is shown solid unless asked.
const MOST_FOR_WIRE: usize = 32;

impl BaseStyle {
    /// Whether a base is so fine that its net would hide what it covers.
    pub fn wire_hides(base: &Table) -> bool {
        base.speed().len().max(base.load().len()) > MOST_FOR_WIRE
    }
}

/// What a [`Relief`] shows.
#[derive(Clone, Debug)]
pub struct ReliefSpec<'a> {
    /// The table.
    pub table: &'a Table,
    /// The table it is compared with. It is shown where both have values.
    pub base: Option<&'a Table>,
    /// The shown ranges.
    pub model: ModelBox,
    /// Lowest and highest value of the sequential map, degrees.
    pub tint_range: (f64, f64),
    /// Colours.
    pub look: Look,
    /// The table's fill.
    pub fill: Fill,
    /// The base's style.
    pub base_style: BaseStyle,
    /// Contour lines of the table; `None` for none.
    pub levels: Option<Levels>,
    /// The unit of the load axis.
    pub load_unit: Unit,
}

/// What is marked on the surface.
#[derive(Clone, Copy, Debug, Default)]
pub struct Marks<'a> {
    /// Outlined along the mesh, in the accent colour.
    pub selection: Option<&'a Selection>,
    /// The vertex with the handle.
    pub active: Option<Cell>,
    /// The vertex under the pointer.
    pub hovered: Option<Cell>,
    /// The falloff of a lift.
    pub rings: &'a [Ring],
    /// Vertices at which something was found, and whether it is an error.
    pub found: &'a [(Cell, bool)],
}

/// A coordinate of the common grid.
#[derive(Clone, Copy, Debug)]
struct Stop {
    /// In axis units.
    at: f64,
    /// In model space.
    model: f64,
    /// The table's breakpoint here.
    own: Option<usize>,
    /// Whether the base has a breakpoint here.
    of_base: bool,
    /// The table's cell from here on.
    cell: usize,
}

/// The geometry and colours of one or two surfaces, independent of the camera. Keeps its memory between updates.
#[derive(Clone, Debug)]
pub struct Relief {
    table: Table,
    model: ModelBox,
    look: Look,
    levels: Option<Levels>,
    load_unit: Unit,
    columns: Vec<Stop>,
    rows: Vec<Stop>,
    front: Layer,
    base: Option<Layer>,
    /// The base's table when it is filled and so hides what is behind it.
    solid_base: Option<Table>,
    majors: Vec<Contour>,
}

impl Relief {
    /// Prepares the surfaces. Time grows with the number of vertices; turning the camera needs no new one.
    pub fn new(spec: &ReliefSpec<'_>) -> Self {
        let mut relief = Self {
            table: spec.table.clone(),
            model: spec.model,
            look: spec.look,
            levels: None,
            load_unit: Unit::None,
            columns: Vec::new(),
            rows: Vec::new(),
            front: Layer::default(),
            base: None,
            solid_base: None,
            majors: Vec::new(),
        };
        relief.update(spec);
        relief
    }

    /// Shows something else in the same memory.
    pub fn update(&mut self, spec: &ReliefSpec<'_>) {
        self.table = spec.table.clone();
        (self.model, self.look, self.levels) = (spec.model, spec.look, spec.levels);
        self.load_unit = spec.load_unit;
        let (model, base) = (spec.model, spec.base);
        self.columns = layer::stops(spec.table.speed(), base.map(Table::speed), |x| model.x(x));
        self.rows = layer::stops(spec.table.load(), base.map(Table::load), |y| model.y(y));
        let map = ColorMap::new(spec.look, Ground::Surface);
        self.front.place(spec.table, &self.columns, &self.rows, &model);
        self.base = base.map(|table| {
            let mut layer = self.base.take().unwrap_or_default();
            layer.place(table, &self.columns, &self.rows, &model);
            layer
        });
        self.color(spec, &map);
        self.solid_base = base.filter(|_| spec.base_style != BaseStyle::Wire).cloned();
        self.majors.clear();
        if let Some(levels) = spec.levels {
            let majors = Levels { step: levels.major_step(), ..levels };
            self.majors = contour_lines(spec.table, &majors);
        }
    }

    fn color(&mut self, spec: &ReliefSpec<'_>, map: &ColorMap) {
        let differences = self.base.as_ref().map(|base| base.differences(&self.front));
        let differences = differences.unwrap_or_default();
        let grid = (self.columns.as_slice(), self.rows.as_slice());
        let (low, high) = spec.tint_range;
        let range = if high > low { high - low } else { 1.0 };
        match spec.fill {
            Fill::Value => self.front.shade(grid, |_, value| map.sequential_lab((value - low) / range)),
            Fill::Paper => self.front.shade(grid, |_, _| layer::sunk(map.diverging_lab(0.0))),
            Fill::Difference { full_deg } => self.front.shade(grid, difference_color(map, &differences, full_deg)),
        }
        let Some(base) = &mut self.base else {
            return;
        };
        match spec.base_style {
            BaseStyle::Wire => {}
            BaseStyle::Solid => base.shade(grid, |_, _| layer::sunk(map.diverging_lab(0.0))),
            BaseStyle::Difference { full_deg } => base.shade(grid, difference_color(map, &differences, full_deg)),
        }
    }

    /// Replaces the contents of `scene` by the view of a projector made for this relief's box.
    pub fn draw(&mut self, projector: &Projector, marks: &Marks<'_>, scene: &mut Scene) {
        scene.clear();
        let (eye, _) = projector.eye();
        if eye.z >= 0.0 {
            self.draw_floor(projector, scene);
        }
        self.draw_surfaces(projector, marks, scene);
        if eye.z < 0.0 {
            self.draw_floor(projector, scene);
        }
        self.label_axes(projector, scene);
        self.label_contours(projector, scene);
        self.draw_marks(projector, marks, scene);
    }

    /// The box that this relief was made for.
    pub fn model(&self) -> &ModelBox {
        &self.model
    }

    /// The model point of a table's vertex.
    pub fn vertex(&self, cell: Cell) -> Option<DVec3> {
        let speed = *self.table.speed().breakpoints().get(cell.speed)?;
        let load = *self.table.load().breakpoints().get(cell.load)?;
        Some(self.model.point(speed, load, self.table.at(cell)))
    }

    /// The vertex seen nearest to a screen point, at most `radius` points away; hidden ones are passed over.
    pub fn pick(&self, projector: &Projector, at: Point, radius: f32) -> Option<Cell> {
        let seen = self.table.cells().filter_map(|cell| {
            let point = self.vertex(cell)?;
            let distance = projector.project(point).distance(at);
            (distance <= radius).then_some((distance, cell, point))
        });
        let mut seen: Vec<_> = seen.collect();
        seen.sort_by(|a, b| a.0.total_cmp(&b.0));
        seen.into_iter().find(|&(_, _, point)| self.is_visible(projector, point)).map(|(_, cell, _)| cell)
    }

    /// Where the ray of sight through a screen point first meets the table's surface: speed and load.
    pub fn hit(&self, projector: &Projector, at: Point) -> Option<(f64, f64)> {
        const STEPS: u32 = 400;
        const REACH: f64 = 4.0;
        let ray = projector.ray(at);
        let place = |step: f64| ray.origin + ray.direction * (step / f64::from(STEPS) * REACH - REACH / 2.0);
        let above = |step: f64| Some(place(step)).filter(|p| over_table(*p)).map(|p| p.z - self.surface_z(&p));
        let mut before: Option<(f64, f64)> = None;
        for step in (0..=STEPS).map(f64::from) {
            let now = above(step);
            if let (Some((last, height)), Some(z)) = (before, now)
                && (height >= 0.0) != (z >= 0.0)
            {
                let point = place(last + (step - last) * height / (height - z));
                return Some(self.model.axis_point(point.x, point.y));
            }
            before = now.map(|z| (step, z));
        }
        None
    }

    /// Whether no filled surface lies between a point on the table's surface and the eye.
    fn is_visible(&self, projector: &Projector, point: DVec3) -> bool {
        self.is_clear_of(&self.table, projector, point)
            && self.solid_base.as_ref().is_none_or(|base| self.is_clear_of(base, projector, point))
    }

    /// Whether the line from a point to the eye stays on one side of a table's surface, as far as it is over it.
    fn is_clear_of(&self, table: &Table, projector: &Projector, point: DVec3) -> bool {
        const STEPS: u32 = 96;
        /// A point this close to a surface lies on it.
        const TOUCHING: f64 = 2e-3;
        let toward = projector.toward_eye(point);
        let level = toward.truncate().length().max(0.2);
        let reach = std::f64::consts::SQRT_2 / level;
        let height = |p: &DVec3| {
            let (speed, load) = self.model.axis_point(p.x, p.y);
            let inside = covers(table.speed(), speed) && covers(table.load(), load);
            inside.then(|| p.z - self.model.z(table.lookup(speed, load)))
        };
        let start = height(&point).unwrap_or(0.0);
        let above = if start.abs() > TOUCHING { start > 0.0 } else { toward.z >= 0.0 };
        let line = (1..=STEPS).map(|step| point + toward * (reach * f64::from(step) / f64::from(STEPS)));
        line.filter_map(|p| height(&p)).all(|height| if above { height > -TOUCHING } else { height < TOUCHING })
    }

    fn surface_z(&self, p: &DVec3) -> f64 {
        let (speed, load) = self.model.axis_point(p.x, p.y);
        self.model.z(self.table.lookup(speed, load))
    }
}

/// Whether a coordinate lies on an axis, give or take the rounding of a projection.
fn covers(axis: &Axis, at: f64) -> bool {
    let slack = axis.span() * 1e-9;
    (axis.first() - slack..=axis.last() + slack).contains(&at)
}

fn over_table(p: DVec3) -> bool {
    (0.0..=1.0).contains(&p.x) && (0.0..=1.0).contains(&p.y)
}

fn difference_color(map: &ColorMap, differences: &[f64], full_deg: f64) -> impl Fn(usize, f64) -> super::color::Oklab {
    move |index, _| {
        let share = differences.get(index).copied().unwrap_or(0.0) / full_deg;
        layer::sunk(map.diverging_lab(share))
    }
}

/// A vertex that a lift moves along.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// Which.
    pub cell: Cell,
    /// Its share of the lift, 0..=1; shown by the ring's size.
    pub weight: f32,
}

const ACTIVE_RADIUS: f32 = 4.5;
const HOVERED_RADIUS: f32 = 4.0;
const RING_RADIUS: (f32, f32) = (1.2, 4.2);

/// Half the width and the height of a mark over a vertex, its distance from it, and the widths of its rim and its line.
const FOUND: (f32, f32) = (5.0, 9.0);
const FOUND_ABOVE: f32 = 5.0;
const FOUND_RIM: f32 = 1.6;
const FOUND_LINE: f32 = 1.5;

/// A hollow triangle standing over a place, as for every warning, with a rim that sets it off from the surface.
fn triangle(at: Point, ink: Color, paper: Color, scene: &mut Scene) {
    for (grown, color) in [(FOUND_RIM, paper), (0.0, ink), (-FOUND_LINE, paper)] {
        let (half, foot) = (FOUND.0 + 1.5 * grown, at.y - FOUND_ABOVE + grown);
        let top = Point::new(at.x, at.y - FOUND_ABOVE - FOUND.1 - 2.0 * grown);
        let corners = [top, Point::new(at.x + half, foot), Point::new(at.x - half, foot)];
        scene.shapes.push(Shape::Triangle { at: corners, colors: [color; 3] });
    }
}

/// A filled octagon standing over a place, as for every error, with a rim that sets it off from the surface.
fn octagon(at: Point, ink: Color, paper: Color, scene: &mut Scene) {
    let centre = Point::new(at.x, at.y - FOUND_ABOVE - FOUND.1 / 2.0);
    for (radius, color) in [(FOUND.0 + FOUND_RIM, paper), (FOUND.0, ink)] {
        let corner = |eighth: u8| {
            let (sine, cosine) = (std::f32::consts::FRAC_PI_4 * (f32::from(eighth) + 0.5)).sin_cos();
            Point::new(centre.x + radius * cosine, centre.y + radius * sine)
        };
        for eighth in 0..8 {
            let corners = [centre, corner(eighth), corner(eighth + 1)];
            scene.shapes.push(Shape::Triangle { at: corners, colors: [color; 3] });
        }
    }
}

impl Relief {
    /// Marks are never hidden: what the hand is on must be seen.
    fn draw_marks(&self, projector: &Projector, marks: &Marks<'_>, scene: &mut Scene) {
        let palette = self.look.palette();
        for &(cell, is_error) in marks.found {
            if let Some(point) = self.vertex(cell) {
                let at = projector.project(point);
                if is_error {
                    octagon(at, palette.error, palette.paper, scene);
                } else {
                    triangle(at, palette.warning, palette.paper, scene);
                }
            }
        }
        let mut dot = |cell: Cell, radius: f32, fill: Color, outline: Color, outline_width: f32| {
            if let Some(point) = self.vertex(cell) {
                scene.shapes.push(Shape::Dot { at: projector.project(point), radius, fill, outline, outline_width });
            }
        };
        for ring in marks.rings.iter().filter(|ring| ring.weight > 0.0) {
            let radius = RING_RADIUS.0 + (RING_RADIUS.1 - RING_RADIUS.0) * ring.weight.min(1.0);
            dot(ring.cell, radius, palette.accent, palette.handle, 0.8);
        }
        if let Some(cell) = marks.active {
            dot(cell, ACTIVE_RADIUS, palette.handle, palette.ink, 1.8);
        }
        if let Some(cell) = marks.hovered {
            dot(cell, HOVERED_RADIUS, Color::default(), palette.ink_secondary, 2.0);
        }
    }
}
