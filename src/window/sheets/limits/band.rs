//! How one band of the picture is painted: by shapes, so that nothing depends on telling colours apart.

use eframe::egui::{Align2, Color32, Painter, Rect, Shape, Stroke, StrokeKind, pos2};

use super::sweep::{Band, Doing};
use crate::window::kit::theme::engine_sheet_sizes::{BAND_WORDS, LIMITS_SIZES};
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::{Theme, color, hairline};

/// Paints a band. Where rising and falling differ, slanting lines stand for what only one of them does.
pub(super) fn paint(painter: &Painter, span: Rect, band: Band, theme: &Theme) {
    let painter = &painter.with_clip_rect(painter.clip_rect().intersect(span.expand(HAIRLINE)));
    let palette = theme.palette;
    let (ink, weak) = (color(palette.ink), color(palette.ink_secondary));
    if band.rising != band.falling {
        if band.rising == Doing::Retarding || band.falling == Doing::Retarding {
            wedge(painter, span, weak, false);
        }
        return hatch(painter, span, ink, weak);
    }
    match band.rising {
        Doing::Nothing => {}
        Doing::NoSpark => {
            painter.rect_stroke(span, 0.0, hairline(weak), StrokeKind::Inside);
            painter.line_segment([span.left_top(), span.right_bottom()], hairline(weak));
        }
        Doing::Cranking => {
            painter.rect(span, 0.0, color(palette.field_pressed), hairline(weak), StrokeKind::Inside);
        }
        Doing::Blending => wedge(painter, span, weak, true),
        Doing::Retarding => wedge(painter, span, weak, false),
        Doing::CutsHalf => stripes(painter, span, ink),
        Doing::CutsAll => solid(painter, span, ink, color(palette.paper), "all cut", theme),
        Doing::On => solid(painter, span, weak, color(palette.paper), "on", theme),
        Doing::Blinks => stripes(painter, span, weak),
    }
}

fn solid(painter: &Painter, span: Rect, fill: Color32, paper: Color32, word: &str, theme: &Theme) {
    painter.rect_filled(span, 0.0, fill);
    let galley = painter.layout_no_wrap(word.to_owned(), theme.small_font(), paper);
    if galley.size().x + BAND_WORDS <= span.width() {
        painter.galley(Align2::CENTER_CENTER.align_size_within_rect(galley.size(), span).min, galley, paper);
    }
}

/// A triangle that grows with what is taken away, or shrinks with what is left of it.
fn wedge(painter: &Painter, span: Rect, ink: Color32, shrinks: bool) {
    let corners = if shrinks {
        vec![span.left_bottom(), span.left_top(), span.right_bottom()]
    } else {
        vec![span.left_bottom(), span.right_top(), span.right_bottom()]
    };
    painter.add(Shape::convex_polygon(corners, ink, Stroke::NONE));
}

/// Every other one: upright stripes.
fn stripes(painter: &Painter, span: Rect, ink: Color32) {
    painter.rect_stroke(span, 0.0, hairline(ink), StrokeKind::Inside);
    let mut x = span.left();
    while x < span.right() {
        let stripe = Rect::from_min_max(
            pos2(x, span.top()),
            pos2((x + LIMITS_SIZES.stripe / 2.0).min(span.right()), span.bottom()),
        );
        painter.rect_filled(stripe, 0.0, ink);
        x += LIMITS_SIZES.stripe;
    }
}

/// Slanting lines within a frame.
fn hatch(painter: &Painter, span: Rect, ink: Color32, weak: Color32) {
    painter.rect_stroke(span, 0.0, hairline(weak), StrokeKind::Inside);
    let mut x = span.left() - span.height();
    while x < span.right() {
        painter.line_segment([pos2(x, span.bottom()), pos2(x + span.height(), span.top())], hairline(ink));
        x += LIMITS_SIZES.hatch;
    }
}
