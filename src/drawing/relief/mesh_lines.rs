//! Which lines of a fine mesh are drawn: so close that they would run together, every second is left out, then every
//! fourth and so on, each fading before it goes.

use super::Relief;
use crate::drawing::{Point, Projector};
use glam::DVec3;

/// Lines closer than this are left out, and those closer than twice this fade, points.
const CLOSEST: f32 = 5.0;

/// How much is seen of each line across the columns and across the rows: 0 (nothing) to 255.
#[derive(Clone, Debug, Default)]
pub(super) struct MeshLines {
    pub(super) columns: Vec<u8>,
    pub(super) rows: Vec<u8>,
}

impl MeshLines {
    /// For a mesh of so many columns and rows.
    pub(super) fn new(relief: &Relief, (columns, rows): (usize, usize), projector: &Projector) -> Self {
        let half = relief.model.height() / 2.0;
        let seen = |x: f64, y: f64| projector.project(DVec3::new(x, y, half));
        let along = |from: Point, to: Point| Point::new(to.x - from.x, to.y - from.y);
        let (x, y) = (along(seen(0.0, 0.5), seen(1.0, 0.5)), along(seen(0.5, 0.0), seen(0.5, 1.0)));
        let area = (x.x * y.y - x.y * y.x).abs();
        let apart = |across: Point, lines: Point| {
            let length = lines.x.hypot(lines.y);
            if length > 1.0 { area / length } else { across.x.hypot(across.y) }
        };
        Self { columns: shares(columns, apart(x, y)), rows: shares(rows, apart(y, x)) }
    }
}

/// What is seen of each of so many lines, evenly over a width in points. The outermost are always seen.
fn shares(count: usize, width: f32) -> Vec<u8> {
    #[expect(clippy::cast_precision_loss, reason = "at most 128")]
    let spacing = width / count.saturating_sub(1).max(1) as f32;
    let share = |line: usize| {
        if line == 0 || line + 1 == count {
            return u8::MAX;
        }
        #[expect(clippy::cast_precision_loss, reason = "a power of two up to 64")]
        let apart = spacing * (1_u32 << line.trailing_zeros().min(16)) as f32;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0..=255")]
        let seen = ((apart / CLOSEST - 1.0).clamp(0.0, 1.0) * 255.0) as u8;
        seen
    };
    (0..count).map(share).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fine_mesh_thins_by_halves_and_a_coarse_one_does_not() {
        assert_eq!(shares(5, 60.0), [255; 5]);
        // 4 points apart: every second line is left, 8 apart and fading; every fourth is seen whole.
        let thin = shares(9, 32.0);
        assert_eq!((thin[1], thin[3], thin[4], thin[0], thin[8]), (0, 0, 255, 255, 255));
        assert!(thin[2] > 100 && thin[2] < 255 && thin[2] == thin[6]);
    }

    #[test]
    fn lines_that_are_seen_keep_their_distance_at_any_width() {
        for width in 20..800_u16 {
            let width = f32::from(width);
            let seen: Vec<usize> =
                shares(64, width).iter().enumerate().filter(|(_, share)| **share > 0).map(|(line, _)| line).collect();
            let closest = seen.windows(2).map(|pair| pair[1] - pair[0]).rev().skip(1).min().unwrap_or(64);
            #[expect(clippy::cast_precision_loss, reason = "small")]
            let apart = closest as f32 * width / 63.0;
            assert!(apart >= CLOSEST * 0.99, "{width}: {apart}");
        }
    }
}
