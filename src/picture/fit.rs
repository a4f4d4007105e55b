//! Shows a surface so that it fills its space, numbers included.

use super::Lettering;
use crate::drawing::{Camera, Marks, Point, Rect, Relief, Scene, Shape, View};

/// Rounds of zooming: one is not enough, since numbers do not grow with the drawing.
const ROUNDS: u32 = 5;

/// Draws a surface from a fixed view, as large as the rectangle allows.
pub fn draw(relief: &mut Relief, view: View, rect: Rect) -> Scene {
    let mut camera = Camera::view(view);
    let mut scene = Scene::default();
    let mut paint = |camera: &Camera| {
        relief.draw(&camera.projector(relief.model(), &rect), &Marks::default(), &mut scene);
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

/// The box around all shapes and labels.
fn bounds(scene: &Scene) -> Rect {
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
            load_unit: Unit::Percent,
        });
        for (width, height) in [(640.0, 400.0), (300.0, 500.0)] {
            let rect = Rect { left: 20.0, top: 60.0, width, height };
            for view in View::ALL {
                let seen = bounds(&draw(&mut relief, view, rect));
                let within = seen.left > 18.0 && seen.top > 58.0;
                assert!(within && seen.width < width + 3.0 && seen.height < height + 3.0, "{view:?} {seen:?}");
                assert!(seen.width > width * 0.97 || seen.height > height * 0.97, "{view:?} {seen:?}");
            }
        }
    }
}
