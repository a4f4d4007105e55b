//! Marks of cells, points and breakpoints: where they stand, and what is told of them.

use eframe::egui::epaint::{ColorMode, TextShape};
use eframe::egui::{Color32, Rect, Shape, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::drawing::{Color, Look, Palette};
use sparkloft::project::{Project, SAMPLES};
use sparkloft::table::Selection;

use super::harness::{Window, checked, in_look, pictured, sample, sized_window, window, with_points};

/// What is painted as a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Painted {
    Error,
    Warning,
    Note,
    Held,
    Changed,
    Measured,
}

fn egui_color(color: Color) -> Color32 {
    Color32::from_rgba_unmultiplied(color.r, color.g, color.b, color.a)
}

/// The mark that a shape is, if it is one.
fn mark_of(shape: &Shape, palette: &Palette) -> Option<Painted> {
    let is = |one: Color32, other: Color| one == egui_color(other);
    match shape {
        Shape::Path(path) if path.closed => {
            let lined = matches!(path.stroke.color, ColorMode::Solid(ink) if is(ink, palette.warning));
            match path.points.len() {
                8 if is(path.fill, palette.error) => Some(Painted::Error),
                3 if lined && path.stroke.width > 0.0 => Some(Painted::Warning),
                3 if is(path.fill, palette.ink) => Some(Painted::Held),
                _ => None,
            }
        }
        Shape::Circle(circle) if is(circle.fill, palette.paper) && is(circle.stroke.color, palette.ink_secondary) => {
            Some(Painted::Note)
        }
        Shape::Mesh(mesh) => {
            // The only small squares that are painted as meshes.
            let size = mesh.calc_bounds().size();
            let is_ring = (6.0..10.0).contains(&size.x) && (size.x - size.y).abs() < 0.1;
            is_ring.then_some(Painted::Measured)
        }
        Shape::Circle(circle) if circle.radius < 2.0 && is(circle.fill, palette.ink) => Some(Painted::Changed),
        _ => None,
    }
}

fn ink_of(text: &TextShape) -> Option<Rect> {
    let is_seen = !text.galley.text().trim().is_empty();
    is_seen.then(|| text.galley.mesh_bounds.translate(text.pos.to_vec2()))
}

/// Marks and texts, each with what it covers.
type Seen = (Vec<(Painted, Rect)>, Vec<(String, Rect)>);

/// The marks and the texts that are seen.
fn painted(window: &Window, palette: &Palette) -> Seen {
    fn sort(
        shape: &Shape,
        clip: Rect,
        palette: &Palette,
        marks: &mut Vec<(Painted, Rect)>,
        texts: &mut Vec<(String, Rect)>,
    ) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| sort(shape, clip, palette, marks, texts)),
            Shape::Text(text) => {
                let seen = ink_of(text).map(|rect| rect.intersect(clip)).filter(|rect| rect.is_positive());
                texts.extend(seen.map(|rect| (text.galley.text().to_owned(), rect)));
            }
            _ => {
                let seen = shape.visual_bounding_rect().intersect(clip);
                marks.extend(mark_of(shape, palette).filter(|_| seen.is_positive()).map(|mark| (mark, seen)));
            }
        }
    }
    let (mut marks, mut texts) = (Vec::new(), Vec::new());
    for clipped in &window.output().shapes {
        sort(&clipped.shape, clipped.clip_rect, palette, &mut marks, &mut texts);
    }
    (marks, texts)
}

/// A sample with every kind of mark: thresholds that nearly nothing passes, and every other cell held.
fn marked(project: &Project) -> Project {
    with_points(project)
        .edit(|parts| {
            let strict = [
                ("stands_out_deg", 0.2),
                ("stands_out_error_deg", 0.6),
                ("slope_speed_deg_per_1000_rpm", 2.0),
                ("slope_load_deg_per_kpa", 0.1),
                ("slope_load_deg_per_pct", 0.1),
                ("crowded_pct", 8.0),
            ];
            parts.checks.thresholds.extend(strict.map(|(name, value)| (name.to_owned(), value)));
            let table = parts.advance.table().clone();
            let mut held = Selection::none(table.load().len(), table.speed().len());
            held.extend(table.cells().filter(|cell| (cell.load + cell.speed) % 2 == 0));
            parts.advance = parts.advance.with_held(&held, true);
        })
        .unwrap()
}

/// How much of a mark's edge is blended with what is beside it.
const BLEND: f32 = 1.0;

/// In the smallest cells and charts that there are, and in larger ones.
#[test]
fn no_mark_covers_a_digit_or_a_label() {
    for sample in SAMPLES {
        let project = marked(&sample.project().unwrap());
        let mut window = sized_window(project, vec2(900.0, 560.0), 1.0);
        for look in Look::ALL {
            window.state_mut().ask(in_look(look));
            checked(&mut window);
            let (marks, texts) = painted(&window, look.palette());
            let count = |kind: Painted| marks.iter().filter(|(mark, _)| *mark == kind).count();
            assert!(count(Painted::Warning) + count(Painted::Error) > 10 && count(Painted::Held) > 10, "{marks:?}");
            assert!(texts.len() > 60, "{texts:?}");
            assert!(count(Painted::Measured) > 3, "{}, {look:?}: {}", sample.name, count(Painted::Measured));
            for (mark, rect) in &marks {
                let ink = rect.shrink(BLEND / 2.0);
                let covered = texts.iter().find(|(_, text)| text.shrink(BLEND / 2.0).intersects(ink));
                assert_eq!(covered, None, "{}, {look:?}: {mark:?} at {rect:?}", sample.name);
                let least = if matches!(mark, Painted::Error | Painted::Warning | Painted::Note) { 6.5 } else { 2.0 };
                assert!(rect.height() >= least, "{mark:?} {rect:?} cannot be recognised");
            }
        }
        pictured(&mut window, &format!("marks-{}", sample.name));
    }
}

#[test]
fn a_finding_about_an_axis_stands_on_its_breakpoint() {
    let mut window = window(sample("wren-four"));
    checked(&mut window);
    let told = |name: &str| window.get_by_label(name).accesskit_node().description().unwrap_or_default();
    assert!(told("speed 5800 rpm").starts_with("warning: the table ends at 5800 rpm"), "{}", told("speed 5800 rpm"));
    assert_eq!(told("speed 2800 rpm"), "");
    let last = window.get_by_label_contains("advance 5800 rpm, 0 %").accesskit_node().description().unwrap();
    assert!(!last.contains("warning"), "{last}");
    window.get_by_label("speed 5800 rpm").hover();
    for _ in 0..12 {
        std::thread::sleep(std::time::Duration::from_millis(60));
        window.run();
    }
    assert!(window.query_by_label_contains("Warning: the table ends at 5800 rpm").is_some());
    pictured(&mut window, "heading-found");
}
