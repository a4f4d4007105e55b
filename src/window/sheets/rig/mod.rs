//! The simulated bench rig: a run from afar and one revolution closely, where the engine runs on the advance table, and
//! what the whole run came to.

mod bench;
mod facts;
mod faults;
mod header;
mod keys;
mod overview_view;
mod point_view;
mod rig_words;
mod row_changes;
mod rows;
mod strip_view;
mod trace_view;
mod wheel;

use eframe::egui::{self, Rect, ScrollArea, pos2, vec2};

use self::bench::Bench;
use self::facts::Facts;
use self::overview_view::OverviewView;
use self::point_view::PointView;
use self::rows::RowsView;
use self::strip_view::StripView;
use self::trace_view::TraceView;
use crate::drawing::{Strip, Trace};
use crate::window::kit::parts::named_part;
use crate::window::kit::theme::engine_sheet_sizes::{
    RIG_BELOW_LANES, RIG_FAULTS, RIG_HEADER, RIG_LEAST_CLOSELY, RIG_LEAST_LANES, RIG_OVERVIEW, RIG_POINT_FROM,
    RIG_POINT_WIDTH, RIG_SCROLLED_AIR, RIG_STRIP_HEAD, RIG_TRACE_SHARE,
};
use crate::window::kit::theme::kit_sizes::TIGHT_GAP;
use crate::window::kit::theme::{color, hairline};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

pub use rows::paste_named as paste_rows;

/// What the sheet's views keep for speed.
#[derive(Default)]
pub struct RigSheet {
    bench: Bench,
    trace: TraceView,
    overview: OverviewView,
    facts: Facts,
    strip: StripView,
    point: PointView,
    rows: RowsView,
}

/// Keys of this sheet.
pub fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    keys::take(ctx, view, outbox);
}

impl RigSheet {
    /// Draws the sheet.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        self.bench.turn_to(view, ui.ctx());
        keys::tell_neighbours(view, &self.bench, outbox);
        self.facts.settle(&self.bench);
        self.facts.tell_tally(view, &self.bench, outbox);
        let whole = ui.available_rect_before_wrap();
        let margin = vec2(view.theme.margin, 0.0);
        let head = Rect::from_min_size(whole.min, vec2(whole.width(), RIG_HEADER)).shrink2(margin);
        header::show(&mut named_part(ui, head, "head"), view, &self.bench, outbox);
        let rest = Rect::from_min_max(pos2(whole.left(), head.bottom()), whole.max);
        let mut below = named_part(ui, rest, "below");
        let [lanes, closely] = self.least_heights();
        let least = lanes + closely + self.facts.height(rest.width() - 2.0 * margin.x);
        // What scrolls anyway has air.
        let height = if least <= rest.height() { rest.height() } else { least + RIG_SCROLLED_AIR };
        ScrollArea::vertical().auto_shrink(false).show(&mut below, |ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(rest.width(), height), egui::Sense::hover());
            self.body(ui, rect.shrink2(margin), view, outbox);
        });
        ui.allocate_rect(whole, egui::Sense::hover());
    }

    fn body(&mut self, ui: &mut egui::Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) {
        let theme = view.theme;
        let facts = rect.with_min_y(rect.bottom() - self.facts.height(rect.width()));
        let above = rect.with_max_y(facts.top());
        let above = if view.screen.rig.shows_faults { self.faults(ui, above, view, outbox) } else { above };
        let lanes = above.with_max_y(above.top() + self.lanes_height(above.height()));
        let trace = lanes.with_max_y(lanes.bottom() - RIG_OVERVIEW);
        let closely = above.with_min_y(lanes.bottom() + RIG_BELOW_LANES);
        let rule = |ui: &egui::Ui, x: egui::Rangef, y: f32| {
            let y = ui.painter().round_to_pixel_center(y);
            ui.painter().hline(x, y, hairline(color(theme.palette.rule)));
        };
        rule(ui, egui::Rangef::new(ui.clip_rect().left(), above.right()), lanes.bottom() + RIG_BELOW_LANES / 2.0);
        rule(ui, ui.clip_rect().x_range(), facts.top());
        let held = (self.facts.marks(), self.rows.chosen_s(ui.ctx(), view));
        self.trace.show(&mut named_part(ui, trace, "trace"), view, &self.bench, held, outbox);
        let whole = lanes.with_min_y(trace.bottom());
        self.overview.show(&mut named_part(ui, whole, "overview"), view, &self.bench, self.facts.marks(), outbox);
        let has_point = closely.width() >= RIG_POINT_FROM;
        let split = if has_point { closely.right() - RIG_POINT_WIDTH - theme.margin } else { closely.right() };
        let left = closely.with_max_x(split);
        if view.screen.rig.edits_rows {
            self.rows.show(&mut named_part(ui, left, "rows"), view, outbox);
        } else {
            self.strip.show(&mut named_part(ui, left, "strip"), view, &self.bench, outbox);
        }
        if has_point {
            let right = closely.with_min_x(split + theme.margin);
            self.point.show(&mut named_part(ui, right, "point"), view, outbox);
        }
        self.facts.show(&mut named_part(ui, facts, "facts"), view, &self.bench, outbox);
    }

    /// The least heights of the lanes with the overview below them, and of the part below that.
    fn least_heights(&self) -> [f32; 2] {
        let Some(driven) = self.bench.driven() else { return [RIG_LEAST_LANES, RIG_LEAST_CLOSELY] };
        let strip = Strip::heights(&driven.to_draw()).0 + RIG_STRIP_HEAD + TIGHT_GAP + RIG_BELOW_LANES;
        [Trace::least_height(&driven.record) + RIG_OVERVIEW, strip.max(RIG_LEAST_CLOSELY)]
    }

    /// The height of lanes and overview: their share, unless the strip needs more of the rest or can use less of it.
    fn lanes_height(&self, whole: f32) -> f32 {
        let [lanes, closely] = self.least_heights();
        let most = self.bench.driven().map_or(f32::INFINITY, |driven| {
            Strip::heights(&driven.to_draw()).1 + RIG_STRIP_HEAD + TIGHT_GAP + RIG_BELOW_LANES
        });
        let closely = (whole * (1.0 - RIG_TRACE_SHARE)).min(most).max(closely);
        (whole - closely).max(lanes)
    }

    /// The form of the faults at the right end; the answer is what is left beside it.
    fn faults(&self, ui: &mut egui::Ui, above: Rect, view: &View<'_>, outbox: &mut Outbox) -> Rect {
        let form = above.with_min_x(above.right() - RIG_FAULTS).with_max_y(above.bottom() - view.theme.gap / 2.0);
        let x = ui.painter().round_to_pixel_center(form.left() - view.theme.margin / 2.0);
        ui.painter().vline(x, above.y_range(), hairline(color(view.theme.palette.rule)));
        faults::show(&mut named_part(ui, form, "faults"), view, outbox);
        above.with_max_x(form.left() - view.theme.margin)
    }
}
