//! A slice that only tells: what is drawn in pictures and on paper as well.

use eframe::egui::{Painter, Rect};

use crate::drawing::{Scene, Slice, SliceSpec};
use crate::window::kit::scene_painter::{self, viewport};
use crate::window::kit::theme::Theme;

/// Paints a slice into a place, unless there is no room for it. Look and place of `spec` are the screen's.
pub fn paint_slice(painter: &Painter, rect: Rect, spec: &SliceSpec<'_>, theme: &Theme) {
    let spec = SliceSpec { rect: viewport(rect), look: theme.palette.look, ..*spec };
    let Some(slice) = Slice::new(&spec) else { return };
    let mut scene = Scene::default();
    slice.draw(&spec, &mut scene);
    scene_painter::snap_lines(&mut scene, painter);
    scene_painter::paint(painter, &scene, theme);
}
