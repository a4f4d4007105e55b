//! The advance table as a picture: every cell with its number on its tint, the highest load at the top, as the window's
//! grid shows it.

use super::heading::{self, Key};
use super::points;
use super::views::{PictureError, PictureSpec, layer_words, scale_words, tinted};
use super::{BODY, Lettering, Plate, SMALL};
use crate::drawing::{CHART, ColorMap, Ground, Point, Rect, Shape};
use crate::lettering::{self, Weight};
use crate::table::Cell;
use crate::wording::{fixed, step_decimals, written};

/// Room at both sides of the widest number of a column, and above and below a row's, in points.
const AIR: (f32, f32) = (7.0, 5.0);
/// The smallest digits that are still read.
const LEAST_DIGITS: f32 = 4.0;
/// What is needed beside the cells: margins, and the heading above them.
const AROUND: (f32, f32) = (36.0, 92.0);

/// The size of the picture of a table at which its digits are as large as the program's text.
pub fn grid_size(speeds: usize, loads: usize) -> (f32, f32) {
    #[expect(clippy::cast_precision_loss, reason = "at most 64 breakpoints")]
    let (columns, rows) = ((speeds + 1) as f32, (loads + 1) as f32);
    (AROUND.0 + (columns * 46.0).max(360.0), AROUND.1 + rows * (BODY + 2.0 * AIR.1))
}

/// The numbers of the table, the highest load first; the first row has the speeds, the first column the loads.
fn texts(spec: &PictureSpec<'_>) -> Vec<Vec<String>> {
    let table = spec.project.advance.table();
    let decimals = step_decimals(spec.project.step_deg);
    let corner = format!("{} \u{5c} rpm", spec.project.sensors.load.unit());
    let speeds = table.speed().breakpoints().iter().map(|speed| written(*speed));
    let mut rows = vec![std::iter::once(corner).chain(speeds).collect::<Vec<_>>()];
    for (place, load) in table.load().breakpoints().iter().enumerate().rev() {
        let cells = table.row(place).iter().map(|deg| fixed(*deg, decimals));
        rows.push(std::iter::once(written(*load)).chain(cells).collect());
    }
    rows
}

/// Lays the picture out.
pub(super) fn grid(spec: &PictureSpec<'_>) -> Result<Plate, PictureError> {
    let table = spec.project.advance.table();
    let (scale, values) = tinted(spec)?;
    let unit = spec.project.sensors.load.unit();
    let line = format!(
        "{} · load in {unit} over speed in rpm{}{}",
        layer_words(spec),
        scale_words(&scale),
        spec.point_words()
    );
    let key = Key::of(scale, spec.project.advance.origins());
    let (mut plate, rect) = heading::begin(spec.project, spec.look, spec.size, &line, &key);
    let texts = texts(spec);
    let widest = texts.iter().flatten().map(|text| lettering::width(text, Weight::Semibold)).fold(1.0_f32, f32::max);
    #[expect(clippy::cast_precision_loss, reason = "at most 64 breakpoints")]
    let cell = (
        rect.width / texts.first().map_or(1, Vec::len) as f32,
        (rect.height / texts.len() as f32).min(BODY + 4.0 * AIR.1),
    );
    let size = BODY.min((cell.0 - AIR.0) / widest).min(cell.1 - AIR.1);
    if size < LEAST_DIGITS {
        return Err(spec.too_small());
    }
    let (palette, map) = (spec.look.palette(), ColorMap::new(spec.look, Ground::Grid));
    for (row, line) in texts.iter().enumerate() {
        for (column, text) in line.iter().enumerate() {
            #[expect(clippy::cast_precision_loss, reason = "at most 64 breakpoints")]
            let at = Rect {
                left: rect.left + column as f32 * cell.0,
                top: rect.top + row as f32 * cell.1,
                width: cell.0,
                height: cell.1,
            };
            let is_heading = row == 0 || column == 0;
            if !is_heading {
                let place = table.index(Cell::new(texts.len() - 1 - row, column - 1));
                fill(&mut plate, at, scale.color(&map, values.get(place).copied().unwrap_or(f64::NAN)));
                outline(&mut plate, at, palette.rule);
            }
            let ink = if is_heading { palette.ink_secondary } else { palette.ink };
            let middle = Point::new(at.left + at.width / 2.0, at.top + at.height / 2.0);
            let size = if is_heading { size.min(SMALL) } else { size };
            plate.texts.push(Lettering::new(middle, (0.5, 0.5), text.clone(), size, ink));
        }
    }
    let (columns, rows) = (table.speed().len(), table.load().len());
    #[expect(clippy::cast_precision_loss, reason = "at most 64 breakpoints")]
    let cells = Rect {
        left: rect.left + cell.0,
        top: rect.top + cell.1,
        width: columns as f32 * cell.0,
        height: rows as f32 * cell.1,
    };
    points::among_numbers(spec, &mut plate, cells, cell);
    Ok(plate)
}

fn corners(Rect { left, top, width, height }: Rect) -> [Point; 4] {
    let (right, bottom) = (left + width, top + height);
    [(left, top), (right, top), (right, bottom), (left, bottom)].map(|(x, y)| Point::new(x, y))
}

fn fill(plate: &mut Plate, rect: Rect, color: crate::drawing::Color) {
    let [a, b, c, d] = corners(rect);
    let colors = [color; 3];
    plate.scene.shapes.extend([Shape::Triangle { at: [a, b, c], colors }, Shape::Triangle { at: [a, c, d], colors }]);
}

fn outline(plate: &mut Plate, rect: Rect, color: crate::drawing::Color) {
    let [a, b, c, d] = corners(rect);
    for (from, to) in [(a, b), (b, c), (c, d), (d, a)] {
        plate.scene.shapes.push(Shape::Line { from, to, width: CHART.thin / 2.0, color });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Layer, Look};
    use crate::picture::{Subject, plate};
    use crate::project::SAMPLES;

    #[test]
    fn every_cell_of_every_sample_has_its_number_in_the_picture() {
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            let table = project.advance.table();
            let size = grid_size(table.speed().len(), table.load().len());
            let spec = PictureSpec {
                project: &project,
                base: None,
                subject: Subject::Grid,
                layer: Layer::Advance,
                range: None,
                look: Look::Light,
                size,
                shows_points: true,
            };
            let drawn = plate(&spec).unwrap();
            for (load, row) in table.load().breakpoints().iter().enumerate().map(|(place, _)| (place, table.row(place)))
            {
                for deg in row {
                    let text = fixed(*deg, step_decimals(project.step_deg));
                    assert!(drawn.texts.iter().any(|shown| shown.text == text), "{}: row {load}: {text}", sample.name);
                }
            }
            for text in &drawn.texts {
                let Rect { left, top, width, height } = text.bounds();
                let is_inside = left >= 0.0 && top >= 0.0 && left + width <= size.0 && top + height <= size.1;
                assert!(is_inside, "{}: {}", sample.name, text.text);
            }
            let small = PictureSpec { size: (120.0, 120.0), ..spec };
            assert!(matches!(plate(&small), Err(PictureError::TooSmall { .. })), "{}", sample.name);
        }
    }
}
