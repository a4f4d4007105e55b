//! Floor 4: pictures as files, for a forum or a report: they look like the window, and the same input gives the
//! same bytes.
//!
//! A [`Plate`] is a drawing with its headings, laid out in points; [`svg()`], [`png()`] and, for several on
//! pages, [`pdf()`] paint it. In the first two, text becomes outlines of the program's own typeface, so that a
//! picture needs no font where it is viewed; a PDF embeds the typeface, so that its text can be selected.

#[cfg(test)]
mod bump_light;
mod grid;
mod heading;
mod pdf;
mod png;
mod points;
mod raster;
mod run;
mod svg;
mod views;

use crate::drawing::{Camera, Color, Label, LabelRole, Marks, Point, Rect, Relief, Scene, Shape, View};
use crate::lettering::{self, Weight};
use crate::project::MeasuredPoint;
use std::sync::Arc;

pub use grid::grid_size;
pub use pdf::{PdfError, Title, pdf};
pub use png::{MOST_PIXELS, PngError, pixels, png};
pub use run::{RunPicture, run_plate};
pub use svg::svg;
pub use views::{Base, PictureError, PictureSpec, SliceLine, Subject, plate};

/// Type sizes in points: those of the window's small text, body and titles.
const SMALL: f32 = 11.0;
const BODY: f32 = 13.0;
const TITLE: f32 = 16.0;
/// Width of a halo on each side, in points.
const HALO: f32 = 1.4;

/// A line of text and its position.
#[derive(Clone, Debug, PartialEq)]
pub struct Lettering {
    /// Its position.
    pub at: Point,
    /// Which point of the text's box is at that position: (0, 0) its upper left, (1, 1) its lower right corner.
    pub anchor: (f32, f32),
    /// The text.
    pub text: String,
    /// Type size in points.
    pub size: f32,
    /// Colour.
    pub color: Color,
    /// The colour behind it, transparent for none.
    pub halo: Color,
    /// How heavy it is.
    pub weight: Weight,
}

impl Lettering {
    /// A plain line of text.
    pub fn new(at: Point, anchor: (f32, f32), text: impl Into<String>, size: f32, color: Color) -> Self {
        Self { at, anchor, text: text.into(), size, color, halo: Color::default(), weight: Weight::Regular }
    }

    /// The same, emphasised.
    #[must_use]
    pub fn strong(self) -> Self {
        Self { weight: Weight::Semibold, ..self }
    }

    /// The text of a scene's label.
    pub fn of(label: &Label) -> Self {
        let size = match label.role {
            LabelRole::Tick | LabelRole::AxisName | LabelRole::Contour | LabelRole::Spot => SMALL,
        };
        let halo = label.halo;
        Self { halo, ..Self::new(label.at, label.anchor, label.text.clone(), size, label.color) }
    }

    /// Its width in points.
    pub fn width(&self) -> f32 {
        lettering::width(&self.text, self.weight) * self.size
    }

    /// Its box.
    pub fn bounds(&self) -> Rect {
        let (width, height) = (self.width(), (lettering::ASCENT + lettering::DESCENT) * self.size);
        let (left, top) = (self.at.x - width * self.anchor.0, self.at.y - height * self.anchor.1);
        Rect { left, top, width, height }
    }

    /// Where its first glyph is on the baseline.
    fn origin(&self) -> Point {
        let bounds = self.bounds();
        Point::new(bounds.left, bounds.top + lettering::ASCENT * self.size)
    }
}

/// A picture ready to be painted, in points with x to the right and y down from the upper left corner.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plate {
    /// Width in points.
    pub width: f32,
    /// Height in points.
    pub height: f32,
    /// The ground.
    pub paper: Color,
    /// A description for people who cannot see it.
    pub description: String,
    /// Shapes in painting order; labels are among the texts.
    pub scene: Scene,
    /// Painted last.
    pub texts: Vec<Lettering>,
}

impl Plate {
    /// Adds a drawing's shapes and labels.
    fn add(&mut self, scene: &Scene) {
        self.scene.shapes.extend_from_slice(&scene.shapes);
        self.texts.extend(scene.labels.iter().map(Lettering::of));
    }
}

/// Rounds of zooming: one is not enough, since numbers do not grow with the drawing.
const ROUNDS: u32 = 5;

/// Draws a surface from a fixed view, as large as the rectangle allows.
pub fn draw_fitted(relief: &mut Relief, view: View, rect: Rect) -> Scene {
    draw_fitted_from(relief, Camera::view(view), rect, &[])
}

/// Draws a surface with measured points as a camera sees it, as large as the rectangle allows.
fn draw_fitted_from(relief: &mut Relief, mut camera: Camera, rect: Rect, points: &[Arc<MeasuredPoint>]) -> Scene {
    let mut scene = Scene::default();
    let mut paint = |camera: &Camera| {
        relief.draw(&camera.projector(relief.model(), &rect), &Marks { points, ..Marks::default() }, &mut scene);
        scene.clone()
    };
    let mut drawn = paint(&camera);
    for _ in 0..ROUNDS {
        let bounds = bounds(&drawn);
        let room = (rect.width / bounds.width.max(1.0)).min(rect.height / bounds.height.max(1.0));
        camera.zoom *= f64::from(room);
        let (seen, wanted) = (bounds.center(), rect.center());
        let shift = |pan: f64, seen: f32, wanted: f32| (pan + f64::from(wanted - seen)) * f64::from(room);
        camera.pan = (shift(camera.pan.0, seen.x, wanted.x), shift(camera.pan.1, seen.y, wanted.y));
        drawn = paint(&camera);
    }
    drawn
}

/// The box around all shapes and labels of a drawing; meaningless if there are none.
pub fn bounds(scene: &Scene) -> Rect {
    let (mut low, mut high) = (Point::new(f32::MAX, f32::MAX), Point::new(f32::MIN, f32::MIN));
    let mut take = |x: f32, y: f32| {
        (low.x, low.y, high.x, high.y) = (low.x.min(x), low.y.min(y), high.x.max(x), high.y.max(y));
    };
    for shape in &scene.shapes {
        match *shape {
            Shape::Triangle { at, .. } => at.iter().for_each(|at| take(at.x, at.y)),
            Shape::Line { from, to, .. } => [from, to].iter().for_each(|at| take(at.x, at.y)),
            Shape::Dot { at, radius, .. } => {
                take(at.x - radius, at.y - radius);
                take(at.x + radius, at.y + radius);
            }
        }
    }
    for Rect { left, top, width, height } in scene.labels.iter().map(|label| Lettering::of(label).bounds()) {
        take(left, top);
        take(left + width, top + height);
    }
    Rect { left: low.x, top: low.y, width: high.x - low.x, height: high.y - low.y }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{BaseStyle, Fill, Levels, Look, ModelBox, ReliefSpec, Tint};
    use crate::table::{Axis, Table};
    use crate::wording::Unit;

    #[test]
    fn every_view_fills_its_place_and_stays_in_it() {
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        let table =
            Table::from_fn(axis(&[500.0, 3000.0, 7000.0]), axis(&[0.0, 40.0, 100.0]), |x, y| x / 200.0 - y / 10.0);
        let table = table.unwrap();
        let mut relief = Relief::new(&ReliefSpec {
            table: &table,
            base: None,
            model: ModelBox::around(&table, None),
            look: Look::Light,
            fill: Fill::Layer(Tint::advance(&table, table.extremes())),
            base_style: BaseStyle::Wire,
            levels: Some(Levels::over(0.0, 30.0)),
            sheer: None,
            load_unit: Unit::Percent,
        });
        for (width, height) in [(640.0, 400.0), (300.0, 500.0)] {
            let rect = Rect { left: 20.0, top: 60.0, width, height };
            for view in View::ALL {
                let seen = bounds(&draw_fitted(&mut relief, view, rect));
                let within = seen.left > 18.0 && seen.top > 58.0;
                assert!(within && seen.width < width + 3.0 && seen.height < height + 3.0, "{view:?} {seen:?}");
                assert!(seen.width > width * 0.97 || seen.height > height * 0.97, "{view:?} {seen:?}");
            }
        }
    }
}
