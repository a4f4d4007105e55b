//! Where the table stands: in the same place and of the same size on every sheet that shows it beside other things.

use eframe::egui::{self, Rect, pos2, vec2};

use super::grid::{GridView, WholeSizes};
use super::view::View;
use crate::window::kit::theme::table_sheet_sizes::{
    GRID_HEIGHT_SHARE, GRID_WIDTH_SHARE, INSPECTOR_FROM, INSPECTOR_NARROW, INSPECTOR_SHARE, INSPECTOR_WIDTH,
    LEAST_BELOW, LEAST_GRID, LEAST_SURFACE, STRIP_HEIGHT, SURFACE_HEIGHT_SHARE, TABS_HEIGHT,
};

/// How a sheet with the table is divided.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TableLayout {
    /// Whether the window is high enough for everything at once.
    pub is_tall: bool,
    /// The line over the grid for what stands in its place in turn, where there is no room beside it.
    pub tabs: Option<Rect>,
    /// The grid with its heading and its scale, and without tabs with its words.
    pub grid: Rect,
    /// Beside the grid, if there is room.
    pub surface: Option<Rect>,
    /// Below both.
    pub below: Rect,
    /// The column at the right, if there is room.
    pub inspector: Option<Rect>,
}

impl TableLayout {
    /// Divides a sheet; `bar` is the height of what stands above the grid besides its heading.
    pub fn of(ui: &egui::Ui, view: &View<'_>, whole: Rect, bar: f32) -> Self {
        let column = inspector_width(whole.width());
        let split = (whole.right() - column.unwrap_or(0.0)).round();
        let rest = whole.with_max_x(split);
        let is_tall = ui.ctx().content_rect().height() >= view.theme.tall_enough;
        let grid = GridView::sizes(ui, view, is_tall);
        let splits = view.screen.splits;
        let width = if is_tall { surface_width(splits.surface_width, rest.width(), &grid) } else { None };
        let tabs_height = if width.is_none() { TABS_HEIGHT + view.theme.gap } else { 0.0 };
        let height = if is_tall {
            below_height(splits.below_height, rest.height(), &grid, bar + tabs_height)
        } else {
            let (least, most) = STRIP_HEIGHT;
            (rest.height() - grid.least.y - tabs_height).clamp(least, most)
        };
        let rule = (whole.bottom() - height).round();
        let above = rest.with_max_y(rule);
        let right = width.map(|width| (rest.right() - width).round());
        let tabs = Rect::from_min_size(above.min, vec2(above.width(), TABS_HEIGHT));
        let tabs = tabs.shrink2(vec2(view.theme.margin, 0.0)).translate(vec2(0.0, view.theme.gap));
        Self {
            is_tall,
            tabs: right.is_none().then_some(tabs),
            grid: match right {
                Some(right) => above.with_max_x(right),
                None => Rect::from_min_max(pos2(above.left(), tabs.bottom()), above.max),
            },
            surface: right.map(|right| above.with_min_x(right)),
            below: rest.with_min_y(rule),
            inspector: column.map(|_| whole.with_min_x(split)),
        }
    }
}

/// The width of the inspector; `None` where a side panel leaves no room for it beside the grid.
fn inspector_width(whole: f32) -> Option<f32> {
    let (least, most) = INSPECTOR_WIDTH;
    match whole {
        _ if whole >= INSPECTOR_FROM => Some((whole * INSPECTOR_SHARE).clamp(least, most)),
        _ if whole >= LEAST_GRID + INSPECTOR_NARROW => Some(INSPECTOR_NARROW),
        _ => None,
    }
}

/// The height of the slices: as chosen, or what grid and surface leave; less if that lets the grid show every row.
/// `beside` is what stands above the grid besides its heading.
fn below_height(asked: Option<f32>, whole: f32, grid: &WholeSizes, beside: f32) -> f32 {
    let usual = (whole * GRID_HEIGHT_SHARE).max(grid.usual.y + beside).min(grid.most.y + beside);
    let room = whole - grid.least.y - beside;
    // A grid that scrolls in any case takes no more than its share.
    let (most, by_itself) = match whole * (1.0 - GRID_HEIGHT_SHARE) {
        share if room < LEAST_BELOW => (share, share),
        _ => (room, whole - usual.max(whole * SURFACE_HEIGHT_SHARE)),
    };
    asked.unwrap_or(by_itself).min(most).max(LEAST_BELOW)
}

/// The width of the surface: as chosen, or what the grid leaves; less if that lets the grid show every column, and more
/// if the grid has no use for it. `None` if the grid can show every column only without the surface.
fn surface_width(asked: Option<f32>, whole: f32, grid: &WholeSizes) -> Option<f32> {
    let room = whole - grid.least.x;
    if (0.0..LEAST_SURFACE).contains(&room) {
        return None;
    }
    if room < 0.0 {
        // The grid scrolls in any case.
        let most = (whole - LEAST_GRID).max(LEAST_SURFACE);
        return Some(asked.unwrap_or(whole * (1.0 - GRID_WIDTH_SHARE)).clamp(LEAST_SURFACE, most));
    }
    let by_itself = whole - grid.usual.x.max(whole * GRID_WIDTH_SHARE);
    let least = (whole - grid.most.x).clamp(LEAST_SURFACE, room);
    Some(asked.unwrap_or(by_itself).clamp(least, room))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A table of 16 × 16, one of 8 × 8, and one that no window shows whole.
    fn sizes([least, usual, most]: [(f32, f32); 3]) -> WholeSizes {
        WholeSizes { least: least.into(), usual: usual.into(), most: most.into() }
    }

    const SIXTEEN: [(f32, f32); 3] = [(548.0, 320.0), (652.0, 466.0), (900.0, 538.0)];
    const EIGHT: [(f32, f32); 3] = [(308.0, 188.0), (360.0, 262.0), (484.0, 298.0)];
    const MANY: [(f32, f32); 3] = [(2000.0, 1500.0), (2500.0, 1700.0), (3400.0, 2000.0)];

    #[test]
    fn the_surface_gives_way_to_a_grid_that_fits_and_takes_what_the_grid_cannot_use() {
        let width = |asked, whole, grid| surface_width(asked, whole, &sizes(grid));
        assert_eq!(width(None, 928.0, SIXTEEN), Some(276.0));
        assert_eq!(width(None, 1528.0, SIXTEEN), Some(628.0));
        assert_eq!(width(Some(528.0), 928.0, SIXTEEN), Some(380.0));
        assert_eq!(width(Some(1.0), 928.0, SIXTEEN), Some(240.0));
        assert_eq!(width(None, 608.0, SIXTEEN), None);
        assert_eq!(width(Some(240.0), 928.0, EIGHT), Some(444.0));
        // A grid that scrolls in any case takes nothing from the surface.
        assert_eq!(width(Some(528.0), 928.0, MANY), Some(528.0));
        assert_eq!(width(Some(5000.0), 928.0, MANY), Some(648.0));
    }

    #[test]
    fn the_slices_give_way_to_a_grid_that_fits() {
        let height = |asked, whole, grid| below_height(asked, whole, &sizes(grid), 0.0);
        assert_eq!(height(None, 730.0, SIXTEEN), 264.0);
        assert_eq!(height(Some(500.0), 730.0, SIXTEEN), 410.0);
        assert_eq!(height(Some(20.0), 730.0, SIXTEEN), 160.0);
        assert_eq!(height(None, 730.0, EIGHT), 365.0);
        assert_eq!(height(None, 1010.0, SIXTEEN), 472.0);
        assert!((height(None, 730.0, MANY) - 277.4).abs() < 0.1);
    }

    #[test]
    fn the_inspector_is_a_column_wherever_the_grid_has_room_beside_it() {
        assert_eq!(inspector_width(1188.0), Some(260.0));
        assert_eq!(inspector_width(1828.0), Some(300.0));
        assert_eq!(inspector_width(808.0), Some(240.0));
        assert_eq!(inspector_width(488.0), None);
    }
}
