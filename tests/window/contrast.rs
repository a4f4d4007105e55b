//! Contrast as it is drawn: a stroke of a digit is about one pixel wide, and what blends with its ground is paler than the
//! ink that the palette names.

use std::path::{Path, PathBuf};

use eframe::egui::{Align2, Context, FontId, Rect, StrokeKind, Ui, Vec2, pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use image::RgbaImage;
use software_renderer::SoftwareRenderer;
use sparkloft::drawing::{Color, ColorMap, Ground, Layer, Look};
use sparkloft::project::{Advance, Origin};
use sparkloft::table::Cell;
use sparkloft::window::kit::theme::{Theme, color, hairline, strong_font};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::compare_state::{BaseChoice, CompareMessage};
use sparkloft::window::state::layer_state::LayerMessage;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::{ScreenMessage, Sheet};

use super::harness::{Window, checked, in_look, pause, sample, window, with_points, with_values};

/// Where a digit, a border or a frame is drawn, and the room beside it.
const BOX: Vec2 = vec2(20.0, 24.0);
/// A pixel belongs to a stroke when it is at least this share of the way from the ground to the ink.
const INKED: f64 = 0.25;

/// What digits should reach in a look.
fn enough(look: Look) -> f64 {
    if look == Look::Sunlight { 7.0 } else { 4.5 }
}

/// Paints one picture at scale 1 with the program's typeface.
fn drawn(look: Look, size: Vec2, paint: impl FnMut(&mut Ui) + 'static) -> RgbaImage {
    let mut window = Harness::builder()
        .with_size(size)
        .with_pixels_per_point(1.0)
        .with_context_setup(move |ctx: &Context| Theme::of(look).apply(ctx))
        .renderer(SoftwareRenderer::default())
        .build_ui(paint);
    window.run();
    window.render().unwrap()
}

fn place(column: usize, row: usize) -> Rect {
    let at = vec2(column as f32 * BOX.x, row as f32 * BOX.y);
    Rect::from_min_size(pos2(0.0, 0.0) + at, BOX)
}

fn pixels(picture: &RgbaImage, rect: Rect) -> Vec<Color> {
    let (columns, rows) = (rect.left() as u32..rect.right() as u32, rect.top() as u32..rect.bottom() as u32);
    let color = |x, y| {
        let [r, g, b, _] = picture.get_pixel(x, y).0;
        Color { r, g, b, a: 255 }
    };
    rows.flat_map(|y| columns.clone().map(move |x| color(x, y))).collect()
}

fn distance(a: Color, b: Color) -> f64 {
    let square = |a: u8, b: u8| (f64::from(a) - f64::from(b)).powi(2);
    (square(a.r, b.r) + square(a.g, b.g) + square(a.b, b.b)).sqrt()
}

/// The contrast of the median pixel of what is drawn in an ink on a ground.
fn median_contrast(pixels: &[Color], ground: Color, ink: Color) -> f64 {
    let least = INKED * distance(ink, ground);
    let inked = pixels.iter().filter(|pixel| distance(**pixel, ground) >= least);
    let mut contrasts: Vec<f64> = inked.map(|pixel| pixel.contrast(ground)).collect();
    contrasts.sort_by(f64::total_cmp);
    assert!(contrasts.len() >= 10, "{} pixels of {ink:?} on {ground:?}", contrasts.len());
    contrasts[contrasts.len() / 2]
}

/// The grounds of cells: ends, quarters and middle of both maps, which tint advance, differences and curvature; and the
/// swatches of origins, whose patterns keep clear of the digits.
fn tints(look: Look) -> Vec<Color> {
    let map = ColorMap::new(look, Ground::Grid);
    let shares = [-1.0, -0.75, -0.5, -0.25, 0.0, 0.25, 0.5, 0.75, 1.0];
    let advance = shares.iter().filter(|&&share| share >= 0.0).map(|&share| map.sequential(share));
    let swatches = (0..Origin::ALL.len()).map(|place| map.swatch(place));
    advance.chain(shares.iter().map(|&share| map.diverging(share))).chain(swatches).collect()
}

/// The worst digit of a font on each ground.
fn digits(look: Look, grounds: &[Color], font: &FontId, ink: Color) -> Vec<(Color, f64)> {
    let (painted, wanted) = (grounds.to_vec(), font.clone());
    let size = vec2(10.0 * BOX.x, grounds.len() as f32 * BOX.y);
    let picture = drawn(look, size, move |ui| {
        let painter = ui.ctx().layer_painter(ui.layer_id());
        for (row, ground) in painted.iter().enumerate() {
            for (column, digit) in ('0'..='9').enumerate() {
                let rect = place(column, row);
                painter.rect_filled(rect, 0.0, color(*ground));
                painter.text(rect.center(), Align2::CENTER_CENTER, digit, wanted.clone(), color(ink));
            }
        }
    });
    let worst = |(row, ground): (usize, &Color)| {
        let of = |column| median_contrast(&pixels(&picture, place(column, row)), *ground, ink);
        (*ground, (0..10).map(of).fold(f64::INFINITY, f64::min))
    };
    grounds.iter().enumerate().map(worst).collect()
}

#[test]
fn digits_keep_their_contrast_on_every_tint_as_drawn() {
    for look in Look::ALL {
        let (theme, palette) = (Theme::of(look), look.palette());
        for size in [12.0, 13.0, theme.digits] {
            let regular = FontId::proportional(size);
            let of_cells = FontId::new(size, theme.digits_font().family);
            for (name, font) in
                [("regular", regular.clone()), ("semibold", strong_font(&regular)), ("of cells", of_cells)]
            {
                for (ground, contrast) in digits(look, &tints(look), &font, palette.ink) {
                    assert!(contrast >= enough(look), "{look:?} {name} {size} on {ground:?}: {contrast:.2}");
                }
            }
        }
    }
}

#[test]
fn proposed_digits_keep_their_contrast_on_every_tint_as_drawn() {
    for look in Look::ALL {
        for (ground, contrast) in digits(look, &tints(look), &Theme::of(look).digits_font(), look.palette().proposed) {
            assert!(contrast >= enough(look), "{look:?} on {ground:?}: {contrast:.2}");
        }
    }
}

/// Breakpoints beside a grid, numbers of scales and units: smaller and paler than cells, but on paper alone.
#[test]
fn breakpoints_and_small_numbers_keep_their_contrast_as_drawn() {
    for look in Look::ALL {
        let (theme, palette) = (Theme::of(look), look.palette());
        for font in [theme.breakpoints_font(theme.digits), theme.small_font()] {
            let grounds = [palette.paper, palette.panel, palette.field];
            for (ground, contrast) in digits(look, &grounds, &font, palette.ink_secondary) {
                assert!(contrast >= 4.5, "{look:?} {font:?} on {ground:?}: {contrast:.2}");
            }
        }
    }
}

/// The line round the selection on every tint, and the borders of fields and buttons on every ground they stand on.
#[test]
fn accents_and_borders_keep_three_to_one_as_drawn() {
    for look in Look::ALL {
        let (theme, palette) = (Theme::of(look), look.palette());
        let frame = (palette.accent, theme.selection_width);
        let border = (palette.rule_strong, hairline(color(palette.ink)).width);
        let on_tints = tints(look).into_iter().map(|ground| (ground, frame));
        let on_grounds = [palette.paper, palette.panel, palette.field].map(|ground| (ground, border));
        let lines: Vec<_> = on_tints.chain(on_grounds).collect();
        let painted = lines.clone();
        let picture = drawn(look, vec2(BOX.x, lines.len() as f32 * BOX.y), move |ui| {
            let painter = ui.ctx().layer_painter(ui.layer_id());
            for (row, (ground, (ink, width))) in painted.iter().enumerate() {
                painter.rect_filled(place(0, row), 0.0, color(*ground));
                let rect = place(0, row).shrink(4.0);
                painter.rect_stroke(rect, 0.0, (*width, color(*ink)), StrokeKind::Inside);
            }
        });
        for (row, (ground, (ink, _))) in lines.iter().enumerate() {
            let contrast = median_contrast(&pixels(&picture, place(0, row)), *ground, *ink);
            assert!(contrast >= 3.0, "{look:?} {ink:?} on {ground:?}: {contrast:.2}");
        }
    }
}

/// The commonest colour.
fn ground_of(pixels: &[Color]) -> Color {
    let mut sorted = pixels.to_vec();
    sorted.sort_unstable_by_key(|color| [color.r, color.g, color.b]);
    sorted.chunk_by(|one, other| one == other).max_by_key(|alike| alike.len()).unwrap()[0]
}

/// A table with every origin, every tint of differences and measured points, beside its base in a file.
fn in_every_layer(folder: &Path) -> (Window, PathBuf) {
    let project = with_points(&sample("tarn-special"));
    let table = project.advance.table();
    let width = table.speed().len();
    let wave = |load: usize, speed: usize| ((load * width + speed) as f64 * 0.37).sin() * 6.0;
    let base = with_values(&project, |load, speed| table.at(Cell::new(load, speed)) - wave(load, speed));
    let path = folder.join("base.ron");
    std::fs::write(&path, sparkloft::project::write(&base).unwrap()).unwrap();
    let origins = (0..table.values().len()).map(|place| Origin::ALL[(place + place / width) % Origin::ALL.len()]);
    let advance = Advance::new(table.clone(), project.advance.held().clone(), origins.collect()).unwrap();
    (window(project.with_advance(advance).unwrap()), path)
}

/// Compares with the file, and waits until the strip tells its range.
fn compared_with(window: &mut Window, path: PathBuf) {
    window.state_mut().ask(LayerMessage::Choose(Layer::Difference));
    window.state_mut().ask(CompareMessage::Base(BaseChoice::File(path)));
    for _ in 0..400 {
        window.run();
        if window.query_by_label_contains("Scale of difference: less \u{2212}6\u{b0}").is_some() {
            return;
        }
        pause(window);
    }
    panic!("the base never came");
}

/// Waits until it is known how sure the cells are.
fn until_sure(window: &mut Window) {
    for _ in 0..400 {
        window.run_ok();
        if window.query_by_label_contains("plain: measured").is_some() {
            return;
        }
        pause(window);
    }
    panic!("it never became known how sure the cells are");
}

/// The table as it stands in the window, in every layer: every cell has the ink that its ground needs.
#[test]
fn every_cell_of_the_advance_sheet_can_be_read_in_every_layer() {
    let folder = tempfile::tempdir().unwrap();
    let mut pale = Vec::new();
    for look in Look::ALL {
        let (mut window, base) = in_every_layer(folder.path());
        window.state_mut().ask(in_look(look));
        if look != Look::Sunlight {
            window.state_mut().ask(Action::Run(Command::ToggleContours));
        }
        compared_with(&mut window, base);
        checked(&mut window);
        let cells: Vec<Rect> = window
            .query_all_by_label_contains(" degrees")
            .filter(|cell| {
                cell.accesskit_node()
                    .label()
                    .is_some_and(|name| name.starts_with("advance ") && name.contains(" rpm, "))
            })
            .map(|cell| cell.rect())
            .collect();
        assert_eq!(cells.len(), 256);
        for layer in Layer::ALL {
            window.state_mut().ask(LayerMessage::Choose(layer));
            window.run_ok();
            if layer == Layer::Sure {
                until_sure(&mut window);
            }
            let picture = window.render().unwrap();
            for rect in &cells {
                let pixels = pixels(&picture, rect.shrink2(vec2(3.0, 4.0)).round());
                let (ground, ink) = (ground_of(&pixels), look.palette().digits);
                let contrast = median_contrast(&pixels, ground, ink);
                if contrast < enough(look) {
                    pale.push(format!("{look:?} {layer:?} at {rect:?} on {ground:?}: {contrast:.2}"));
                }
            }
        }
    }
    assert!(pale.is_empty(), "{} cells: {pale:#?}", pale.len());
}

/// Digits of cells that nobody changed stand back, and can still be read.
#[test]
fn unchanged_cells_of_a_comparison_show_their_value() {
    for look in Look::ALL {
        let palette = look.palette();
        let (ground, contrast) = digits(look, &[palette.paper], &Theme::of(look).digits_font(), palette.ink_pale)[0];
        assert!(contrast >= 3.0, "{look:?} on {ground:?}: {contrast:.2}");
        let [pale, ink] = [palette.ink_pale, palette.ink].map(|ink| ink.contrast(palette.paper));
        assert!(pale < 0.6 * ink, "{look:?}: they stand back");
        let mut window = window(sample("tarn-special"));
        window.state_mut().ask(in_look(look));
        window.state_mut().ask(ScreenMessage::Show(Sheet::Compare));
        checked(&mut window);
        let cells = window.query_all_by_label_contains(", unchanged at ").map(|cell| cell.rect()).collect::<Vec<_>>();
        assert!(cells.len() > 200, "{}", cells.len());
        let picture = window.render().unwrap();
        // Beside the numbers of regions, which stand on corners, and not the cursor's cell with its frame.
        for rect in cells.into_iter().step_by(7).skip(1) {
            let pixels = pixels(&picture, rect.shrink2(vec2(4.0, 5.0)).round());
            let contrast = median_contrast(&pixels, palette.paper, palette.ink_pale);
            assert!(contrast >= 3.0, "{look:?} at {rect:?}: {contrast:.2}");
        }
    }
}
