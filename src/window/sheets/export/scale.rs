//! Addresses along a strip of the map.
#![expect(clippy::cast_possible_truncation, reason = "pixels and addresses of an image are whole numbers below 2³²")]

use crate::window::kit::theme::engine_sheet_sizes::LEAST_PART;
use eframe::egui::Rect;

/// So few bytes are the least that a detail shows.
const LEAST_BYTES: u64 = 16;

/// A strip of the map and the addresses along it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    pub(super) rect: Rect,
    pub(super) from: u64,
    pub(super) to: u64,
}

impl Scale {
    pub(super) fn bytes(&self) -> f64 {
        self.to.saturating_sub(self.from).max(1) as f64
    }

    /// Where an address stands; not cut to the strip.
    pub(super) fn x(&self, address: u64) -> f32 {
        let share = (address as f64 - self.from as f64) / self.bytes();
        self.rect.left() + (share * f64::from(self.rect.width())) as f32
    }

    /// The address at a place, cut to the strip.
    pub(super) fn address(&self, x: f32) -> u64 {
        self.from.saturating_add_signed(self.offset(x)).clamp(self.from, self.to.saturating_sub(1).max(self.from))
    }

    /// Bytes from the start of the strip to a place; negative before it.
    pub(super) fn offset(&self, x: f32) -> i64 {
        let share = f64::from((x - self.rect.left()) / self.rect.width().max(1.0));
        (share * self.bytes()).floor() as i64
    }

    pub(super) fn bytes_per_point(&self) -> f64 {
        self.bytes() / f64::from(self.rect.width().max(1.0))
    }

    /// The part of the strip that a stretch of addresses takes; nothing where it lies outside.
    pub(super) fn part(&self, from: u64, to: u64) -> Option<Rect> {
        if to <= self.from || from >= self.to {
            return None;
        }
        let (left, right) = (self.x(from.max(self.from)), self.x(to.min(self.to)));
        // What is too small to be seen to scale is drawn as a line.
        Some(Rect::from_x_y_ranges(left..=right.max(left + LEAST_PART), self.rect.y_range()))
    }
}

/// A detail of `span`, larger or smaller by a factor round an address, within the image.
pub(super) fn zoomed(span: (u64, u64), factor: f64, around: u64, ends: (u64, u64)) -> (u64, u64) {
    let whole = ends.1 - ends.0;
    let bytes = ((span.1 - span.0) as f64 * factor).round().clamp(LEAST_BYTES.min(whole) as f64, whole as f64);
    let share = (around.saturating_sub(span.0)) as f64 / ((span.1 - span.0).max(1)) as f64;
    let from = around as f64 - share * bytes;
    // Rounded up, so that the address stays within the detail.
    placed(from.max(0.0).ceil() as u64, bytes as u64, ends)
}

/// A detail of so many bytes from an address, moved into the image.
pub(super) fn placed(from: u64, bytes: u64, ends: (u64, u64)) -> (u64, u64) {
    let bytes = bytes.clamp(1, ends.1 - ends.0);
    let from = from.clamp(ends.0, ends.1 - bytes);
    (from, from + bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use eframe::egui::{pos2, vec2};

    fn scale() -> Scale {
        Scale { rect: Rect::from_min_size(pos2(10.0, 0.0), vec2(100.0, 20.0)), from: 0x1000, to: 0x1200 }
    }

    #[test]
    fn places_and_addresses_go_together() {
        let scale = scale();
        assert_eq!((scale.x(0x1000), scale.x(0x1200), scale.x(0x1100)), (10.0, 110.0, 60.0));
        assert_eq!((scale.address(60.0), scale.address(-5.0), scale.address(500.0)), (0x1100, 0x1000, 0x11FF));
        assert_eq!(scale.part(0, 0x1000), None);
        let part = scale.part(0, 0x1100).unwrap();
        assert_eq!((part.left(), part.right()), (10.0, 60.0));
    }

    #[test]
    fn details_stay_within_the_image_and_keep_their_point() {
        let ends = (0x1000, 0x2000);
        let half = zoomed(ends, 0.5, 0x1800, ends);
        assert_eq!(half, (0x1400, 0x1C00));
        assert_eq!(zoomed(half, 100.0, 0x1400, ends), ends);
        assert_eq!(zoomed(ends, 1e-9, 0x1FFF, ends), (0x1FF0, 0x2000));
        assert_eq!(placed(0, 0x100, ends), (0x1000, 0x1100));
        assert_eq!(zoomed((0, 4), 0.1, 2, (0, 4)), (0, 4));
    }
}
