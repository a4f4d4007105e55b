//! The place of the window on the desktop: where it was when it was closed, or what fits a small screen the first
//! time.

use eframe::egui::{Pos2, Rect, Vec2, ViewportCommand, ViewportInfo, pos2, vec2};

use crate::window::kit::theme::frame_sizes::{ROOMY_SCREEN, WINDOW_HANDLE};
use crate::window::state::settings::WindowPlace;

/// Moves a new window to where it was before, unless that screen is gone; the first time, fills a small screen.
pub(super) fn put(cc: &eframe::CreationContext<'_>, before: Option<WindowPlace>) {
    let Some(window) = cc.winit_window() else {
        return;
    };
    #[expect(clippy::cast_possible_truncation, reason = "places on a desktop are small numbers")]
    let per_point = window.scale_factor() as f32;
    let screens = window.available_monitors().map(|monitor| {
        let (at, size) = (monitor.position(), monitor.size());
        #[expect(clippy::cast_precision_loss, reason = "places on a desktop are small numbers")]
        let (at, size) = (pos2(at.x as f32, at.y as f32), vec2(size.width as f32, size.height as f32));
        Rect::from_min_size(at / per_point, size / per_point)
    });
    let screens: Vec<Rect> = screens.collect();
    for command in commands(before, &screens) {
        cc.egui_ctx.send_viewport_cmd(command);
    }
}

fn commands(before: Option<WindowPlace>, screens: &[Rect]) -> Vec<ViewportCommand> {
    let Some(before) = before else {
        let is_small = |screen: &Rect| screen.width() < ROOMY_SCREEN.x || screen.height() < ROOMY_SCREEN.y;
        let is_small = screens.first().is_some_and(is_small);
        return if is_small { vec![ViewportCommand::Maximized(true)] } else { Vec::new() };
    };
    let corner = before.corner.map(to_point).filter(|corner| is_in_reach(*corner, before.size.0, screens));
    corner.map(ViewportCommand::OuterPosition).into_iter().collect()
}

/// Whether a window with this upper left corner and width can be taken hold of on one of the screens.
fn is_in_reach(corner: Pos2, width: u16, screens: &[Rect]) -> bool {
    let upper_edge = Rect::from_min_size(corner, vec2(f32::from(width), WINDOW_HANDLE.y));
    screens.iter().any(|screen| {
        let seen = screen.intersect(upper_edge);
        seen.width() >= WINDOW_HANDLE.x.min(upper_edge.width()) && seen.height() >= WINDOW_HANDLE.y
    })
}

/// Where the window is now. A maximised window keeps the size and place that it had before, and a minimised one is
/// left out.
pub(super) fn seen(viewport: &ViewportInfo, before: Option<WindowPlace>) -> Option<WindowPlace> {
    if viewport.minimized == Some(true) || viewport.fullscreen == Some(true) {
        return before;
    }
    if viewport.maximized == Some(true) {
        let (corner, size) = before.map_or((None, (1280, 800)), |before| (before.corner, before.size));
        return Some(WindowPlace { corner, size, is_maximised: true });
    }
    let Some(inner) = viewport.inner_rect.filter(|inner| inner.is_positive()) else {
        return before;
    };
    let corner = viewport.outer_rect.map(|outer| from_point(outer.min));
    Some(WindowPlace { corner, size: whole(inner.size()), is_maximised: false })
}

#[expect(clippy::cast_precision_loss, reason = "places on a desktop are small numbers")]
fn to_point((x, y): (i32, i32)) -> Pos2 {
    pos2(x as f32, y as f32)
}

#[expect(clippy::cast_possible_truncation, reason = "places on a desktop are small numbers; `as` saturates")]
fn from_point(at: Pos2) -> (i32, i32) {
    (at.x.round() as i32, at.y.round() as i32)
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a size in points; `as` saturates")]
fn whole(size: Vec2) -> (u16, u16) {
    (size.x.round() as u16, size.y.round() as u16)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCREEN: Rect = Rect::from_min_max(Pos2::ZERO, pos2(1920.0, 1080.0));

    fn place(x: i32, y: i32) -> WindowPlace {
        WindowPlace { corner: Some((x, y)), size: (1280, 800), is_maximised: false }
    }

    #[test]
    fn a_window_returns_to_its_place_unless_it_could_not_be_taken_hold_of_there() {
        let is_moved = |x, y, screens: &[Rect]| {
            commands(Some(place(x, y)), screens) == [ViewportCommand::OuterPosition(to_point((x, y)))]
        };
        assert!(is_moved(100, 50, &[SCREEN]) && is_moved(-1000, 0, &[SCREEN]) && is_moved(1780, 1000, &[SCREEN]));
        let second = SCREEN.translate(vec2(1920.0, 0.0));
        assert!(is_moved(2500, 50, &[SCREEN, second]));
        for (x, y) in [(2500, 50), (-1200, 0), (100, -10), (100, 1070)] {
            assert_eq!(commands(Some(place(x, y)), &[SCREEN]), [], "{x} {y}");
        }
    }

    #[test]
    fn the_first_window_fills_a_small_screen_only() {
        let sized = |width, height| commands(None, &[Rect::from_min_size(Pos2::ZERO, vec2(width, height))]);
        assert_eq!(sized(1440.0, 900.0), []);
        assert_eq!(sized(1366.0, 768.0), [ViewportCommand::Maximized(true)]);
        assert_eq!(commands(None, &[]), []);
    }

    #[test]
    fn a_maximised_window_remembers_what_it_was_before() {
        let inner = Some(Rect::from_min_size(pos2(103.0, 77.4), vec2(1000.4, 700.0)));
        let outer = Some(Rect::from_min_size(pos2(100.0, 50.0), vec2(1006.0, 730.0)));
        let normal = ViewportInfo { inner_rect: inner, outer_rect: outer, ..Default::default() };
        let seen_first = seen(&normal, None);
        assert_eq!(seen_first, Some(WindowPlace { corner: Some((100, 50)), size: (1000, 700), is_maximised: false }));
        let filled = ViewportInfo { maximized: Some(true), inner_rect: Some(SCREEN), ..Default::default() };
        let filled = seen(&filled, seen_first);
        assert_eq!(filled, Some(WindowPlace { corner: Some((100, 50)), size: (1000, 700), is_maximised: true }));
        let hidden = ViewportInfo { minimized: Some(true), ..Default::default() };
        assert_eq!(seen(&hidden, filled), filled);
        assert_eq!(seen(&ViewportInfo::default(), None), None);
    }
}
