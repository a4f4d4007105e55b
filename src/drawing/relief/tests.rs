#![expect(clippy::cast_possible_truncation, reason = "pictures of a known small size")]

use super::*;
use crate::drawing::{Camera, Color, Label, LabelRole, MarkShape, Rect, Shape, View, Viewport};
use crate::table::Axis;
use crate::wording::Unit;

const WIDTH: usize = 130;
const HEIGHT: usize = 110;
/// A little off the pixels, so that no edge runs exactly through their centres.
const VIEWPORT: Viewport = Rect { left: 0.137, top: 0.071, width: 130.0, height: 110.0 };

fn axis(low: f64, high: f64, count: u8, bend: f64) -> Axis {
    let share = |i: u8| (f64::from(i) / f64::from(count - 1)).powf(bend);
    Axis::new((0..count).map(|i| low + (high - low) * share(i)).collect()).unwrap()
}

fn hill(speed: f64, load: f64) -> f64 {
    14.0 + speed / 300.0 - load * 0.12 + 8.0 * (speed / 700.0).sin() * (load / 17.0).cos()
}

fn table() -> Table {
    Table::from_fn(axis(500.0, 7500.0, 12, 1.3), axis(0.0, 100.0, 11, 1.2), hill).unwrap()
}

/// Crosses the table many times, on other breakpoints, and is shorter in load.
fn crossing() -> Table {
    let other = |x: f64, y: f64| hill(x, y) + 5.0 * (x / 500.0 + y / 9.0).sin();
    Table::from_fn(axis(500.0, 7500.0, 9, 1.0), axis(10.0, 80.0, 8, 1.0), other).unwrap()
}

fn relief(table: &Table, base: Option<&Table>, base_style: BaseStyle) -> Relief {
    let model = ModelBox::around(table, base);
    Relief::new(&ReliefSpec {
        table,
        base,
        model,
        look: Look::Light,
        fill: Fill::Layer(Tint::advance(table, table.extremes())),
        base_style,
        levels: Some(Levels::over(0.0, 40.0)),
        sheer: None,
        load_unit: Unit::Percent,
    })
}

fn draw(relief: &mut Relief, camera: &Camera) -> Scene {
    let mut scene = Scene::default();
    let projector = camera.projector(relief.model(), &VIEWPORT);
    relief.draw(&projector, &Marks::default(), &mut scene);
    scene
}

type Picture = Vec<Option<Color>>;

/// Calls `dot(pixel, weights)` for every pixel centre in a triangle.
fn cover(at: [Point; 3], mut dot: impl FnMut(usize, [f32; 3])) {
    let cross = |a: Point, b: Point, x: f32, y: f32| (b.x - a.x) * (y - a.y) - (b.y - a.y) * (x - a.x);
    let area = cross(at[0], at[1], at[2].x, at[2].y);
    if area == 0.0 {
        return;
    }
    let bounds = |part: fn(&Point) -> f32, limit: usize| {
        let low = at.iter().map(part).fold(f32::MAX, f32::min).max(0.0) as usize;
        low..(at.iter().map(part).fold(0.0, f32::max) as usize + 1).min(limit)
    };
    for row in bounds(|p| p.y, HEIGHT) {
        for column in bounds(|p| p.x, WIDTH) {
            let (x, y) = (column as f32 + 0.5, row as f32 + 0.5);
            let weights = [(1, 2), (2, 0), (0, 1)].map(|(a, b)| cross(at[a], at[b], x, y) / area);
            if weights.iter().all(|&w| w >= 0.0) {
                dot(row * WIDTH + column, weights);
            }
        }
    }
}

fn mixed(colors: [Color; 3], weights: [f32; 3]) -> Color {
    let mix = |part: fn(&Color) -> u8| {
        colors.iter().zip(weights).map(|(color, w)| f32::from(part(color)) * w).sum::<f32>().round() as u8
    };
    Color { r: mix(|c| c.r), g: mix(|c| c.g), b: mix(|c| c.b), a: 255 }
}

/// The scene's triangles in their order.
fn by_order(scene: &Scene) -> Picture {
    let mut picture = vec![None; WIDTH * HEIGHT];
    for shape in &scene.shapes {
        if let Shape::Triangle { at, colors } = *shape {
            cover(at, |pixel, weights| picture[pixel] = Some(mixed(colors, weights)));
        }
    }
    picture
}

/// The same surfaces with a depth per pixel, from the geometry itself.
fn by_depth(relief: &Relief, projector: &Projector) -> Picture {
    let mut picture = vec![None; WIDTH * HEIGHT];
    let mut nearest = vec![f32::MIN; WIDTH * HEIGHT];
    let width = relief.columns.len();
    // The base first: where the two coincide the front is shown.
    for layer in relief.base.iter().filter(|base| base.filled).chain([&relief.front]) {
        for j in 0..relief.rows.len() - 1 {
            for i in 0..width - 1 {
                let corners = [j * width + i, j * width + i + 1, (j + 1) * width + i + 1, (j + 1) * width + i];
                let z = corners.map(|index| relief.front.z[index]);
                let first = (z[0] - z[2]).abs() <= (z[1] - z[3]).abs();
                for half in if first { [[0, 1, 2], [0, 2, 3]] } else { [[0, 1, 3], [1, 2, 3]] } {
                    let indices = half.map(|k| corners[k]);
                    if indices.iter().any(|&index| layer.z[index].is_nan()) {
                        continue;
                    }
                    let place = |index: usize| {
                        let (column, row) = (relief.columns[index % width].model, relief.rows[index / width].model);
                        DVec3::new(column, row, layer.z[index])
                    };
                    let depth = indices.map(|index| depth(projector, place(index)));
                    let at = indices.map(|index| projector.project(place(index)));
                    // Counter-clockwise from above, and the screen's y points down.
                    let turn = (at[1].x - at[0].x) * (at[2].y - at[0].y) - (at[2].x - at[0].x) * (at[1].y - at[0].y);
                    let shade = |index: usize| {
                        let color = layer.colors[index];
                        if turn > 0.0 { color.lerp(Color::hex(0), 0.18) } else { color }
                    };
                    let colors = indices.map(shade);
                    cover(at, |pixel, weights| {
                        let depth: f32 = depth.iter().zip(weights).map(|(d, w)| d * w).sum();
                        if depth >= nearest[pixel] - 1e-5 {
                            nearest[pixel] = nearest[pixel].max(depth);
                            picture[pixel] = Some(mixed(colors, weights));
                        }
                    });
                }
            }
        }
    }
    picture
}

/// Nearness to the eye, linear on the screen: of q·e/w and its like 1/w is, up to a factor; in parallel projection q·e.
fn depth(projector: &Projector, point: DVec3) -> f32 {
    let h = projector.homogeneous(point);
    let (eye, w) = projector.eye();
    if w == 0.0 { eye.dot(point) as f32 } else { (1.0 / h.z) as f32 * 4.0 }
}

/// A colour for each vertex that differs much from all others near it.
fn motley(layer: &mut Layer, seed: u32) {
    for (index, color) in layer.colors.iter_mut().enumerate() {
        let mixed = (index as u32 + seed).wrapping_mul(2_654_435_761).rotate_left(13).wrapping_mul(2_246_822_519);
        *color = Color::hex(mixed >> 8 & 0xFF_FFFF);
    }
}

fn differing(a: &Picture, b: &Picture) -> usize {
    let far = |x: u8, y: u8| x.abs_diff(y) > 10;
    let differ = |(a, b): &(&Option<Color>, &Option<Color>)| match (a, b) {
        (Some(a), Some(b)) => far(a.r, b.r) || far(a.g, b.g) || far(a.b, b.b),
        (a, b) => a.is_some() != b.is_some(),
    };
    a.iter().zip(b).filter(differ).count()
}

fn cameras() -> Vec<Camera> {
    let mut cameras = Vec::new();
    for azimuth in [0.0, 28.0, 45.0, 90.0, 117.0, 163.0, 180.0, 211.0, 270.0, 305.0, 350.0] {
        for elevation_deg in [-90.0, -55.0, -12.0, 0.0, 4.0, 20.0, 36.5, 70.0, 90.0] {
            for perspective in [0.0, 0.45] {
                cameras.push(Camera { azimuth_deg: azimuth, elevation_deg, perspective, ..Camera::default() });
            }
        }
    }
    cameras
}

fn compare_everywhere(relief: &mut Relief) -> (usize, usize, usize) {
    let (mut worst, mut total, mut inked) = (0, 0, 0);
    for camera in cameras() {
        let ordered = by_order(&draw(relief, &camera));
        let buffered = by_depth(relief, &camera.projector(relief.model(), &VIEWPORT));
        let wrong = differing(&ordered, &buffered);
        total += wrong;
        worst = worst.max(wrong);
        inked += ordered.iter().flatten().count();
        assert!(wrong <= 3, "{wrong} pixels differ with {camera:?}");
    }
    (worst, total, inked)
}

#[test]
fn order_alone_hides_what_a_depth_buffer_hides() {
    let mut one = relief(&table(), None, BaseStyle::Solid);
    motley(&mut one.front, 1);
    let (worst, total, inked) = compare_everywhere(&mut one);
    assert!(total * 10_000 <= inked, "worst {worst}, {total} of {inked}");
}

#[test]
fn two_crossing_surfaces_hide_each_other_as_with_a_depth_buffer() {
    let mut two = relief(&table(), Some(&crossing()), BaseStyle::Solid);
    motley(&mut two.front, 1);
    motley(two.base.as_mut().unwrap(), 77_777);
    let (worst, total, inked) = compare_everywhere(&mut two);
    assert!(total * 10_000 <= inked, "worst {worst}, {total} of {inked}");
}

#[test]
fn a_base_like_the_table_is_covered_by_it() {
    let mut same = relief(&table(), Some(&table()), BaseStyle::Solid);
    let mut alone = relief(&table(), None, BaseStyle::Solid);
    for camera in cameras() {
        assert_eq!(differing(&by_order(&draw(&mut same, &camera)), &by_order(&draw(&mut alone, &camera))), 0);
    }
}

#[test]
fn labels_of_axes_never_cover_the_surface() {
    let mut relief = relief(&table(), Some(&crossing()), BaseStyle::Solid);
    let viewport = Rect { width: 520.0, height: 440.0, ..VIEWPORT };
    let mut scene = Scene::default();
    for azimuth in (0..360).step_by(13) {
        for elevation in [-89, -60, -30, -8, 0, 3, 12, 30, 45, 60, 75, 90] {
            let (azimuth_deg, elevation_deg) = (f64::from(azimuth), f64::from(elevation));
            let camera = Camera { azimuth_deg, elevation_deg, ..Camera::default() };
            relief.draw(&camera.projector(relief.model(), &viewport), &Marks::default(), &mut scene);
            let axes = scene.labels.iter().filter(|label| !matches!(label.role, LabelRole::Contour | LabelRole::Spot));
            for label in axes {
                let covering = scene.shapes.iter().any(|shape| match *shape {
                    Shape::Triangle { at, .. } => holds(at, label.at),
                    _ => false,
                });
                assert!(!covering, "{:?} at {camera:?}", label.text);
            }
        }
    }
}

fn holds(at: [Point; 3], p: Point) -> bool {
    let side = |a: Point, b: Point| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
    let sides = [side(at[0], at[1]), side(at[1], at[2]), side(at[2], at[0])];
    sides.iter().all(|&s| s > 0.0) || sides.iter().all(|&s| s < 0.0)
}

#[test]
fn the_plan_is_the_view_from_above() {
    let mut relief = relief(&table(), None, BaseStyle::Wire);
    let projector = Camera::view(View::Plan).projector(relief.model(), &VIEWPORT);
    let at = |load: usize, speed: usize| projector.project(relief.vertex(Cell::new(load, speed)).unwrap());
    assert!((at(0, 0).x - at(10, 0).x).abs() < 1e-4 && (at(0, 0).y - at(0, 11).y).abs() < 1e-4);
    assert!(at(10, 0).y < at(0, 0).y && at(0, 11).x > at(0, 0).x);
    let area = (at(0, 11).x - at(0, 0).x) * (at(0, 0).y - at(10, 0).y);
    let seen = by_order(&draw(&mut relief, &Camera::view(View::Plan)));
    assert!((seen.iter().flatten().count() as f32 / area - 1.0).abs() < 0.03);
}

#[test]
fn picks_the_vertex_that_is_seen() {
    let relief = relief(&table(), None, BaseStyle::Wire);
    let camera = Camera { elevation_deg: 14.0, ..Camera::default() };
    let projector = camera.projector(relief.model(), &VIEWPORT);
    let (mut hidden, mut passed) = (0, 0);
    for cell in table().cells() {
        let point = relief.vertex(cell).unwrap();
        let found = relief.pick(&projector, projector.project(point), 1.0);
        if relief.is_visible(&projector, point) {
            assert_eq!(found, Some(cell));
            // A ray that grazes a crest or the border may pass by.
            let Some((speed, load)) = relief.hit(&projector, projector.project(point)) else {
                let on_border = [0, 11].contains(&cell.speed) || [0, 10].contains(&cell.load);
                passed += usize::from(!on_border);
                continue;
            };
            let met = relief.model().point(speed, load, table().lookup(speed, load));
            assert!(projector.project(met).distance(projector.project(point)) < 0.5, "{cell:?} {speed} {load}");
        } else {
            hidden += 1;
            assert_ne!(found, Some(cell));
        }
    }
    assert!(hidden > 0 && hidden < 60 && passed < 3, "{hidden} {passed}");
    assert_eq!(relief.pick(&projector, Point::new(1.0, 1.0), 5.0), None);
}

#[test]
fn what_is_seen_is_every_vertex_that_nothing_covers() {
    let table = table();
    let relief = relief(&table, None, BaseStyle::Wire);
    let plan = Camera::view(View::Plan).projector(relief.model(), &VIEWPORT);
    let all: Vec<(Cell, Point)> =
        table.cells().map(|cell| (cell, plan.project(relief.vertex(cell).unwrap()))).collect();
    assert_eq!(relief.seen(&plan), all, "from above nothing is hidden");
    let low = Camera { elevation_deg: 14.0, ..Camera::default() }.projector(relief.model(), &VIEWPORT);
    let seen = relief.seen(&low);
    // How far the line of sight to a vertex runs below the surface, at many places.
    let deepest = |cell: Cell| {
        let point = relief.vertex(cell).unwrap();
        let toward = low.toward_eye(point);
        let places = (1..3000).map(|step| point + toward * (f64::from(step) / 2000.0));
        let over = places.filter(|p| over_table(*p)).map(|p| p.z - relief.surface_z(&p));
        over.fold(0.0, f64::min)
    };
    let mut hidden = 0;
    for cell in table.cells() {
        let at = low.project(relief.vertex(cell).unwrap());
        if seen.contains(&(cell, at)) {
            assert!(deepest(cell) > -0.01, "{cell:?} is seen: {}", deepest(cell));
        } else {
            hidden += 1;
            assert!(deepest(cell) < -1e-3, "{cell:?} is not seen: {}", deepest(cell));
        }
    }
    assert!(hidden > 5 && hidden + seen.len() == table.values().len(), "{hidden}");
}

#[test]
fn a_vertex_under_a_solid_base_is_not_picked() {
    let lid = table().with_values(table().values().iter().map(|z| z + 3.0).collect()).unwrap();
    let at = Cell::new(5, 5);
    for (style, found) in [(BaseStyle::Solid, None), (BaseStyle::Wire, Some(at))] {
        let relief = relief(&table(), Some(&lid), style);
        let projector = Camera::view(View::Plan).projector(relief.model(), &VIEWPORT);
        assert_eq!(relief.pick(&projector, projector.project(relief.vertex(at).unwrap()), 1.0), found, "{style:?}");
    }
}

#[test]
fn a_selection_is_outlined_along_the_mesh() {
    let table = table();
    let mut relief = relief(&table, None, BaseStyle::Wire);
    let block = crate::table::Block { loads: 2..5, speeds: 3..7 };
    let selection = Selection::block(&table, &block);
    let projector = Camera::default().projector(relief.model(), &VIEWPORT);
    let mut scene = Scene::default();
    relief.draw(&projector, &Marks { selection: Some(&selection), ..Marks::default() }, &mut scene);
    let accent = Look::Light.palette().accent;
    let outline = scene.shapes.iter().filter(|shape| matches!(shape, Shape::Line { color, .. } if *color == accent));
    // Around three by four vertices: 2·(2 + 3) edges.
    assert_eq!(outline.count(), 10);
}

#[test]
fn one_relief_can_show_another_table() {
    let mut reused = relief(&table(), Some(&crossing()), BaseStyle::Solid);
    let other = crossing();
    let spec = ReliefSpec {
        table: &other,
        base: None,
        model: ModelBox::around(&other, None),
        look: Look::Light,
        fill: Fill::Layer(Tint::advance(&other, other.extremes())),
        base_style: BaseStyle::Wire,
        levels: Some(Levels::over(0.0, 40.0)),
        sheer: None,
        load_unit: Unit::Percent,
    };
    reused.update(&spec);
    assert_eq!(draw(&mut reused, &Camera::default()), draw(&mut Relief::new(&spec), &Camera::default()));
}

/// Where two diagonals cross in their middles.
fn middle_of_cross(one: &Shape, other: &Shape) -> Option<Point> {
    let (Shape::Line { from, to, .. }, Shape::Line { from: above, to: below, .. }) = (one, other) else { return None };
    let (across, down) = (from.lerp(*to, 0.5), above.lerp(*below, 0.5));
    let is_diagonal = |from: &Point, to: &Point| ((to.x - from.x).abs() - (to.y - from.y).abs()).abs() < 1e-3;
    let cross = is_diagonal(from, to) && is_diagonal(above, below) && from.x == above.x;
    (cross && across.distance(down) < 0.01).then_some(across)
}

/// How many labels stand at the axes: they come first.
fn axis_labels(scene: &Scene) -> usize {
    let is_of_axis = |label: &&Label| matches!(label.role, LabelRole::Tick | LabelRole::AxisName);
    scene.labels.iter().filter(is_of_axis).count()
}

fn is_within(at: Point, place: &Rect) -> bool {
    (place.left..=place.left + place.width).contains(&at.x) && (place.top..=place.top + place.height).contains(&at.y)
}

#[test]
fn spot_heights_stand_at_peaks_and_holes() {
    let mut relief = relief(&table(), None, BaseStyle::Wire);
    let viewport = Rect { width: 720.0, height: 540.0, ..VIEWPORT };
    let mut scene = Scene::default();
    relief.draw(&Camera::default().projector(relief.model(), &viewport), &Marks::default(), &mut scene);
    let (low, high) = table().extremes();
    let told = |role| scene.labels.iter().filter(move |label| label.role == role);
    let degrees = |text: &str| text.replace('\u{2212}', "-").trim_end_matches('°').parse::<f64>().unwrap();
    let spots: Vec<f64> = told(LabelRole::Spot).map(|label| degrees(&label.text)).collect();
    assert!(spots.len() >= 3 && spots.iter().any(|deg| (deg - high).abs() < 0.06), "{spots:?} {low} {high}");
    // Minor contour lines have labels as well: not only multiples of 10°.
    assert!(told(LabelRole::Contour).any(|label| degrees(&label.text) % 10.0 != 0.0));
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(200))]

    /// Where two axes meet at a corner, '0' and '8000' must not stand on each other; no spot height stands on a label,
    /// a mark or the handle, and no label on them.
    #[test]
    fn labels_never_touch(
        azimuth in -180.0..180.0,
        elevation in -90.0..90.0,
        width in 160.0_f32..900.0,
        height in 120.0_f32..700.0,
        bumps in proptest::collection::vec((0_usize..11, 0_usize..12, -8.0..8.0), 0..12),
    ) {
        let table = Table::from_fn(axis(500.0, 8000.0, 12, 1.3), axis(0.0, 100.0, 11, 1.2), hill).unwrap();
        let mut values = table.values().to_vec();
        for &(load, speed, by_deg) in &bumps {
            values[table.index(Cell::new(load, speed))] += by_deg;
        }
        let table = table.with_values(values).unwrap();
        let shape = |by_deg: f64| MarkShape::ALL[if by_deg < -3.0 { 2 } else { usize::from(by_deg < 3.0) }];
        let found: Vec<_> = bumps.iter().map(|&(load, speed, by_deg)| (Cell::new(load, speed), shape(by_deg))).collect();
        let marks = Marks { active: Some(Cell::new(5, 5)), found: &found, ..Marks::default() };
        let mut relief = relief(&table, None, BaseStyle::Solid);
        let camera = Camera { azimuth_deg: azimuth, elevation_deg: elevation, ..Camera::view(View::ThreeQuarter) };
        let viewport = Viewport { left: 0.0, top: 0.0, width, height };
        let projector = camera.projector(relief.model(), &viewport);
        let mut scene = Scene::default();
        relief.draw(&projector, &marks, &mut scene);
        let spots = scene.labels.iter().filter(|label| label.role == LabelRole::Spot).count();
        let places = relief.found_places(&projector, &marks, &scene.labels[..axis_labels(&scene)]);
        proptest::prop_assert!(places.len() == found.len(), "a finding has no mark");
        let crosses: Vec<Point> = scene.shapes.windows(2).filter_map(|pair| middle_of_cross(&pair[0], &pair[1])).collect();
        // Each spot height has its cross, on a rim.
        proptest::prop_assert_eq!(crosses.len(), 2 * spots);
        for label in scene.labels.iter().filter(|label| matches!(label.role, LabelRole::Contour | LabelRole::Spot)) {
            let taken = crate::drawing::label_box(label);
            proptest::prop_assert!(!crosses.iter().any(|&at| is_within(at, &taken)), "{label:?} {crosses:?}");
            let handle = relief.vertex(Cell::new(5, 5)).map(|point| projector.project(point)).unwrap();
            proptest::prop_assert!(!is_within(handle, &taken), "{label:?} covers the handle");
        }
        for (mark, label) in places.iter().flat_map(|mark| scene.labels.iter().map(move |label| (mark, label))) {
            let taken = crate::drawing::label_box(label);
            proptest::prop_assert!(!crate::drawing::label_room::overlaps(&mark.place, &taken), "{mark:?} covers {label:?}");
        }
        for (at, one) in scene.labels.iter().enumerate() {
            for other in &scene.labels[at + 1..] {
                let boxes = [one, other].map(crate::drawing::label_box);
                proptest::prop_assert!(!crate::drawing::label_room::overlaps(&boxes[0], &boxes[1]), "{one:?} {other:?}");
            }
        }
    }
}

/// Things with nothing between them are never blended: a colour between two might be that of a third.
#[test]
fn swatches_meet_at_edges_and_do_not_blend() {
    let table = table();
    // The second swatch is yellow, the fourth blue.
    let places: Vec<f64> =
        table.cells().map(|cell| if (cell.load / 3 + cell.speed / 4) % 2 == 0 { 1.0 } else { 3.0 }).collect();
    let tint = Tint { values: &places, map: TintMap::Swatches, range: (0.0, 0.0) };
    for base in [None, Some(&crossing())] {
        let mut relief = relief(&table, base, BaseStyle::Wire);
        relief.update(&ReliefSpec {
            table: &table,
            base,
            model: *relief.model(),
            look: Look::Light,
            fill: Fill::Layer(tint),
            base_style: BaseStyle::Wire,
            levels: None,
            sheer: None,
            load_unit: Unit::Percent,
        });
        let mut scene = Scene::default();
        relief.draw_bare(&Camera::default().projector(relief.model(), &VIEWPORT), &mut scene);
        let is_yellow = |color: &Color| color.r > color.b;
        let mut seen = [0, 0];
        for shape in &scene.shapes {
            let Shape::Triangle { colors, .. } = shape else { continue };
            let yellow = colors.iter().filter(|color| is_yellow(color)).count();
            assert!(yellow == 0 || yellow == 3, "{colors:?}");
            seen[usize::from(yellow == 3)] += 1;
        }
        assert!(seen.iter().all(|count| *count > 100), "{seen:?}");
    }
}

#[test]
fn no_difference_has_a_colour_beyond_the_shorter_end_of_its_range() {
    let map = ColorMap::new(Look::Light, Ground::Surface);
    let color = difference_color(&map, &[-6.0, -2.0, -1.0], (-2.0, 8.0));
    assert_eq!(color(0, 0.0), color(1, 0.0));
    assert_ne!(color(1, 0.0), color(2, 0.0));
}

/// One cell, level at 20°, seen from a corner, with something sheer beside it.
fn one_cell(sheer: Sheer<'_>) -> Scene {
    let table = Table::from_fn(axis(1000.0, 2000.0, 2, 1.0), axis(0.0, 100.0, 2, 1.0), |_, _| 20.0).unwrap();
    let mut relief = Relief::new(&ReliefSpec {
        table: &table,
        base: None,
        model: ModelBox { value: (0.0, 40.0), ..ModelBox::around(&table, None) },
        look: Look::Light,
        fill: Fill::Paper,
        base_style: BaseStyle::Wire,
        levels: None,
        sheer: Some(sheer),
        load_unit: Unit::Percent,
    });
    let mut scene = Scene::default();
    let projector = Camera::view(View::ThreeQuarter).projector(relief.model(), &VIEWPORT);
    relief.draw_bare(&projector, &mut scene);
    scene
}

fn sheet(deg: [f64; 4]) -> Sheet {
    Sheet { speeds_rpm: vec![1000.0, 2000.0], loads: vec![50.0, 100.0], deg: deg.to_vec() }
}

/// The places among the shapes of the triangles, and of the lines of a colour, with their widths.
fn order(scene: &Scene, ink: Color) -> (Vec<usize>, Vec<(usize, f32)>) {
    let shapes = || scene.shapes.iter().enumerate();
    let triangles = shapes().filter(|(_, shape)| matches!(shape, Shape::Triangle { .. })).map(|(at, _)| at);
    let lines = shapes().filter_map(|(at, shape)| match shape {
        Shape::Line { width, color, .. } if *color == ink => Some((at, *width)),
        _ => None,
    });
    (triangles.collect(), lines.collect())
}

#[test]
fn a_ceiling_is_hatched_over_the_table_and_hidden_under_it_and_ends_where_it_begins() {
    let palette = Look::Light.palette();
    let last = |scene: &Scene| {
        let (triangles, lines) = order(scene, palette.ink_secondary);
        (*triangles.last().unwrap(), lines.last().unwrap().0, lines.len())
    };
    let whole = |deg: f64| Sheet { loads: vec![0.0, 100.0], ..sheet([deg; 4]) };
    let (triangle, hatch, over) = last(&one_cell(Sheer::Ceiling(&whole(30.0))));
    assert!(hatch > triangle && over > 20, "{hatch} {triangle} {over}");
    let (triangle, hatch, _) = last(&one_cell(Sheer::Ceiling(&whole(10.0))));
    assert!(hatch < triangle, "{hatch} {triangle}");
    let (.., half) = last(&one_cell(Sheer::Ceiling(&sheet([30.0; 4]))));
    assert!(half > 10 && over > half + half / 4, "half a sheet has fewer lines: {half} of {over}");
}

#[test]
fn a_bold_line_runs_where_the_table_rises_through_a_ceiling() {
    let ink = Look::Light.palette().ink;
    let bold = |deg: [f64; 4]| {
        order(&one_cell(Sheer::Ceiling(&sheet(deg))), ink).1.iter().filter(|line| line.1 == 2.5).count()
    };
    assert_eq!(bold([30.0; 4]), 0);
    assert_eq!(bold([10.0; 4]), 0);
    assert!(bold([10.0, 30.0, 10.0, 30.0]) >= 2, "once for each triangle that it crosses");
}

#[test]
fn a_band_is_two_nets_of_dashes_and_nothing_where_nobody_knows() {
    let ink = Look::Light.palette().ink;
    let dashes = |within_deg: [f64; 4]| order(&one_cell(Sheer::Band(&within_deg)), ink);
    let (triangles, lines) = dashes([5.0; 4]);
    let last = *triangles.last().unwrap();
    let (below, above): (Vec<_>, Vec<_>) = lines.iter().copied().partition(|line: &(usize, f32)| line.0 < last);
    assert!(above.len() > 40 && below.len() > 40, "{} {}", above.len(), below.len());
    assert_eq!(dashes([f64::NAN; 4]).1.len(), 0);
    // What is wider than the box ends with it.
    assert_eq!(dashes([500.0; 4]).1.len(), lines.len());
}
