//! A table as terrain, with a base as second surface: one geometry for surface and plan.
//!
//! Hidden parts are hidden by order alone. Both surfaces stand on one grid in speed and load, the union of their
//! breakpoints, cut into triangles that share their outline. The prisms over those triangles are painted far first;
//! where the surfaces cross inside a triangle, the prism is cut along the crossing; in each prism one surface lies
//! wholly on one side of the other. The eye's side of the vertical planes between prisms, and of the lower surface,
//! decides (a binary space partition whose planes are known beforehand).

mod floor;
mod grid;
mod labels;
mod layer;
mod light;
mod marks;
mod mesh_lines;
mod order;
mod paint;
mod peaks;
mod pins;
mod sheer;
#[cfg(test)]
mod tests;
mod tint;

use self::grid::{Spread, Stop, stops};
use self::layer::Layer;
use self::peaks::{Spot, spots};
use self::tint::sunk;
use super::{ColorMap, Contour, Ground, Levels, Look, MarkShape, ModelBox, Point, Projector, Scene, contour_lines};
use crate::project::MeasuredPoint;
use crate::table::{Axis, Cell, Selection, Table};
use crate::wording::Unit;
use glam::DVec3;
use std::sync::Arc;

pub use self::marks::Ring;
pub use self::pins::PinHead;
use self::sheer::SheerStyle;
pub use self::sheer::{Sheer, Sheet};
pub use self::tint::{Tint, TintMap};

/// How the surface of the table is coloured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fill<'a> {
    /// By a layer of values, one for each cell of the table.
    Layer(Tint<'a>),
    /// By its difference from the base.
    Difference {
        /// The differences at the ends of the colours, in degrees: below 0 and above it.
        range: (f64, f64),
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
    /// Coloured by the table's difference from it.
    Difference {
        /// The differences at the ends of the colours, in degrees: below 0 and above it.
        range: (f64, f64),
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
    /// Colours.
    pub look: Look,
    /// The table's fill.
    pub fill: Fill<'a>,
    /// The base's style.
    pub base_style: BaseStyle,
    /// What stands beside it without being a table.
    pub sheer: Option<Sheer<'a>>,
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
    /// Vertices at which something was found, with the shape of its mark.
    pub found: &'a [(Cell, MarkShape)],
    /// Measured points, of which those within the axes are shown as pins.
    pub points: &'a [Arc<MeasuredPoint>],
    /// The one of them under the pointer.
    pub hovered_point: Option<usize>,
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
    sheers: Vec<Layer>,
    sheer_style: SheerStyle,
    /// Where the sheet of a ceiling ends, along speed and along load.
    sheet_ends: Option<[(f64, f64); 2]>,
    /// The base's table when it is filled and so hides what is behind it.
    solid_base: Option<Table>,
    lines: Vec<Contour>,
    spots: Vec<Spot>,
    /// The heads of the pins of the last view.
    heads: Vec<PinHead>,
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
            sheers: Vec::new(),
            sheer_style: SheerStyle::default(),
            sheet_ends: None,
            solid_base: None,
            lines: Vec::new(),
            spots: Vec::new(),
            heads: Vec::new(),
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
        let sheet = match spec.sheer {
            Some(Sheer::Ceiling(sheet)) => Some(sheet),
            Some(Sheer::Band(_)) | None => None,
        };
        self.sheet_ends = sheet.and_then(Sheet::ends);
        let (speeds_rpm, loads) = sheet.map_or((&[][..], &[][..]), |sheet| (&*sheet.speeds_rpm, &*sheet.loads));
        self.columns = stops(spec.table.speed(), base.map(Table::speed), speeds_rpm, |x| model.x(x));
        self.rows = stops(spec.table.load(), base.map(Table::load), loads, |y| model.y(y));
        let map = ColorMap::new(spec.look, Ground::Surface);
        self.front.place(spec.table, &self.columns, &self.rows, &model);
        self.base = base.map(|table| {
            let mut layer = self.base.take().unwrap_or_default();
            layer.place(table, &self.columns, &self.rows, &model);
            layer
        });
        (self.sheers, self.sheer_style) = spec.sheer.map_or_else(Default::default, |sheer| {
            sheer.layers((spec.table, &self.front), (&self.columns, &self.rows), &model)
        });
        self.color(spec, &map);
        self.solid_base = base.filter(|_| spec.base_style != BaseStyle::Wire).cloned();
        self.lines = spec.levels.map_or_else(Vec::new, |levels| contour_lines(spec.table, &levels));
        // A number is told of what a contour line may miss: half their distance.
        self.spots = spec.levels.map_or_else(Vec::new, |levels| spots(spec.table, levels.step / 2.0));
    }

    fn color(&mut self, spec: &ReliefSpec<'_>, map: &ColorMap) {
        let differences = self.base.as_ref().map(|base| base.differences(&self.front));
        let differences = differences.unwrap_or_default();
        match spec.fill {
            Fill::Layer(tint) => {
                let mut values = Vec::new();
                let spread = Spread::new(spec.table, &self.columns, &self.rows);
                match tint.map {
                    TintMap::Swatches => spread.nearest(tint.values, &mut values),
                    TintMap::Sequential | TintMap::Diverging | TintMap::Fading => spread.over(tint.values, &mut values),
                }
                self.front.shade(|index, _| tint.color(map, values[index]));
                if tint.map == TintMap::Swatches {
                    self.front.places.extend(values.iter().map(|value| tint::place(*value)));
                }
                if values.iter().any(|value| value.is_nan()) {
                    self.front.unknown.extend(values.iter().map(|value| value.is_nan()));
                }
            }
            Fill::Paper => self.front.shade(|_, _| sunk(map.diverging_lab(0.0))),
            Fill::Difference { range } => self.front.shade(difference_color(map, &differences, range)),
        }
        let Some(base) = &mut self.base else {
            return;
        };
        match spec.base_style {
            BaseStyle::Wire => {}
            BaseStyle::Solid => base.shade(|_, _| sunk(map.diverging_lab(0.0))),
            BaseStyle::Difference { range } => base.shade(difference_color(map, &differences, range)),
        }
    }

    /// Replaces the contents of `scene` by the view of a projector made for this relief's box.
    pub fn draw(&mut self, projector: &Projector, marks: &Marks<'_>, scene: &mut Scene) {
        self.draw_bodies(projector, marks, scene);
        self.label_axes(projector, scene);
        let found = self.found_places(projector, marks, &scene.labels);
        self.place_heads(projector, marks, &found, &scene.labels);
        self.label_heights(projector, marks, &found, scene);
        self.draw_pins(projector, marks, scene);
        self.draw_marks(projector, marks, &found, scene);
    }

    /// The same without numbers, names and marks, for a picture too small for them.
    pub fn draw_bare(&mut self, projector: &Projector, scene: &mut Scene) {
        self.draw_bodies(projector, &Marks::default(), scene);
    }

    fn draw_bodies(&mut self, projector: &Projector, marks: &Marks<'_>, scene: &mut Scene) {
        scene.clear();
        let (eye, _) = projector.eye();
        if eye.z >= 0.0 {
            self.draw_floor(projector, scene);
        }
        self.draw_surfaces(projector, marks, scene);
        if eye.z < 0.0 {
            self.draw_floor(projector, scene);
        }
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

    /// Every vertex that is not hidden, and where it is seen.
    pub fn seen(&self, projector: &Projector) -> Vec<(Cell, Point)> {
        let vertices = self.table.cells().filter_map(|cell| Some((cell, self.vertex(cell)?)));
        let seen = vertices.filter(|&(_, point)| self.is_visible(projector, point));
        seen.map(|(cell, point)| (cell, projector.project(point))).collect()
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

fn difference_color(
    map: &ColorMap,
    differences: &[f64],
    range: (f64, f64),
) -> impl Fn(usize, f64) -> super::color::Oklab {
    move |index, _| {
        let deg = differences.get(index).copied().unwrap_or(0.0);
        sunk(TintMap::Diverging.lab(map, range, deg))
    }
}
