//! What two pictures have in common, and how colourful one is.

use std::collections::{HashMap, HashSet};

use image::RgbaImage;

/// How many colours a picture has.
pub fn colours(picture: &RgbaImage) -> usize {
    picture.pixels().collect::<HashSet<_>>().len()
}

/// Pictures are compared by tiles of so many pixels, so that a word that is missing is not lost in a large picture.
const TILE: u32 = 32;
/// So much of a tile may differ: what fonts and blending make of rounding.
pub const MOST_OF_A_TILE: f64 = 0.02;

/// The pixels that differ by more than rounding could explain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// Their share of the whole.
    pub of_whole: f64,
    /// Their share of the tile that has the largest.
    pub of_worst_tile: f64,
    /// The upper left of that tile.
    pub worst_tile: (u32, u32),
}

/// Compares two pictures; `None` if they have not the same size.
pub fn difference(expected: &RgbaImage, picture: &RgbaImage) -> Option<Difference> {
    if expected.dimensions() != picture.dimensions() {
        return None;
    }
    let (width, height) = picture.dimensions();
    let mut tiles = HashMap::<(u32, u32), u32>::new();
    for ((x, y, now), before) in picture.enumerate_pixels().zip(expected.pixels()) {
        if before.0.iter().zip(now.0).any(|(before, now)| before.abs_diff(now) > 24) {
            *tiles.entry((x / TILE * TILE, y / TILE * TILE)).or_default() += 1;
        }
    }
    let of_whole = f64::from(tiles.values().sum::<u32>()) / f64::from(width * height);
    let share = |((left, top), count): ((u32, u32), u32)| {
        (f64::from(count) / f64::from(TILE.min(width - left) * TILE.min(height - top)), (left, top))
    };
    let worst = tiles.into_iter().map(share).max_by(|(a, _), (b, _)| a.total_cmp(b));
    let (of_worst_tile, worst_tile) = worst.unwrap_or((0.0, (0, 0)));
    Some(Difference { of_whole, of_worst_tile, worst_tile })
}
