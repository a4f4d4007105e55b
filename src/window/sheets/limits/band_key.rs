//! What the shapes of the bands mean, once below the picture.

use eframe::egui::{Align2, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};

use super::band;
use super::sweep::{Band, Doing};
use crate::window::kit::theme::engine_sheet_sizes::LIMITS_SIZES;
use crate::window::kit::theme::{Theme, color};

/// Each shape with what it means.
const SHAPES: [(Doing, Doing, &str); 4] = [
    (Doing::CutsAll, Doing::CutsAll, "all sparks cut, or on"),
    (Doing::CutsHalf, Doing::CutsHalf, "every other spark cut, or blinking"),
    (Doing::Retarding, Doing::Retarding, "the advance changes"),
    (Doing::Nothing, Doing::On, "only while the speed falls, or only while it rises"),
];

/// Where the swatch and the words of each shape go, from the left top of the key, and how many lines they take.
fn places(ui: &Ui, theme: &Theme, width: f32) -> (Vec<(f32, f32)>, u8) {
    let (mut left, mut line) = (0.0, 0_u8);
    let mut place = |words: &str| {
        let galley = ui.painter().layout_no_wrap(words.to_owned(), theme.small_font(), color(theme.palette.ink));
        let own = LIMITS_SIZES.key_swatch + LIMITS_SIZES.words_air + galley.size().x;
        if left > 0.0 && left + own > width {
            (left, line) = (0.0, line + 1);
        }
        let at = (left, f32::from(line) * LIMITS_SIZES.key_line);
        left += own + theme.margin;
        at
    };
    let places = SHAPES.map(|(.., words)| place(words)).to_vec();
    (places, line + 1)
}

/// The height that it needs.
pub(super) fn height(ui: &Ui, theme: &Theme, width: f32) -> f32 {
    f32::from(places(ui, theme, width).1) * LIMITS_SIZES.key_line
}

pub(super) fn show(ui: &Ui, rect: Rect, theme: &Theme) {
    let (places, _) = places(ui, theme, rect.width());
    for ((rising, falling, words), (left, top)) in SHAPES.into_iter().zip(places) {
        let middle = ui.painter().round_to_pixel_center(rect.top() + top + LIMITS_SIZES.key_line / 2.0);
        let swatch = Rect::from_min_size(
            pos2(rect.left() + left, middle - LIMITS_SIZES.band_height / 2.0),
            vec2(LIMITS_SIZES.key_swatch, LIMITS_SIZES.band_height),
        );
        let band = Band { from_rpm: 0.0, to_rpm: 1.0, rising, falling };
        band::paint(ui.painter(), swatch, band, theme);
        let at = pos2(swatch.right() + LIMITS_SIZES.words_air, middle);
        ui.painter().text(at, Align2::LEFT_CENTER, words, theme.small_font(), color(theme.palette.ink_secondary));
    }
    let response = ui.interact(rect, ui.scope_id().with("key of the bands"), Sense::hover());
    let told = "Solid: all sparks cut, or on. Upright stripes: every other spark cut, or blinking. Wedge: the advance \
                changes. Slanting lines: only while the speed falls, or only while it rises.";
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, told));
}
