//! The memory drawn to scale: the whole image above, and below it a detail in which items are moved and resized.
#![expect(clippy::cast_possible_truncation, reason = "addresses of an image are whole numbers below 2³²")]

use eframe::egui::{
    self, Align, Align2, CursorIcon, Id, Layout, Painter, Rect, Role, Sense, Stroke, StrokeKind, UiBuilder, WidgetInfo,
    pos2, vec2,
};

use super::drag::{Drag, Edge};
use super::kept::pick;
use super::kept::{Kept, Span};
use super::list;
use super::scale::{Scale, placed, zoomed};
use super::tint;
use crate::project::ChecksumKind;
use crate::window::kit::theme::engine_sheet_sizes::{
    ADDRESS_BELOW, ADDRESS_DISTANCE, ADDRESS_HALF, ADDRESS_TICK, CHECKSUM_ABOVE, CHECKSUM_ARROW, CHECKSUM_FOOT,
    CHECKSUM_WORDS, DETAIL_REACH, ITEM_NAME_GROUND, ITEM_NAME_INSET, LEAST_GRASPED, LEAST_MEANT, LEAST_OUTLINED,
    LENS_GAP,
};
use crate::window::kit::theme::kit_sizes::{HAIRLINE, ROUNDING};
use crate::window::kit::theme::{Theme, color, elided, hairline, ring};
use crate::window::state::export_state::{ExportMessage, Part};
use crate::window::state::outbox::Outbox;
use crate::window::views::surface::quiet_button;
use crate::window::views::view::View;

/// A step of the buttons that bring the detail nearer.
const NEARER: f64 = 0.5;
/// Points of the wheel that bring it nearer by e.
const WHEEL: f32 = 240.0;

/// What the view keeps between frames.
#[derive(Default)]
pub(super) struct MapView {
    drag: Option<Drag>,
}

/// The height that the map takes.
pub(super) fn height(theme: &Theme) -> f32 {
    let sizes = &theme.export;
    2.0 * sizes.scale_height + sizes.whole_height + sizes.lens_height + sizes.detail_height
}

fn detail_id() -> Id {
    Id::unique("detail of the image")
}

/// The addresses that the detail shows.
fn span(view: &View<'_>, kept: &Kept) -> (u64, u64) {
    let ends = kept.ends();
    view.screen.export.span.map_or(ends, |(from, to)| placed(from, to.saturating_sub(from), ends))
}

/// What stands at the right end of the heading: how near the detail is.
pub(super) fn controls(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, outbox: &mut Outbox) {
    let (ends, shown) = (kept.ends(), span(view, kept));
    let theme = view.theme;
    let middle =
        kept.span_of(view.screen.export.part).map_or((shown.0 + shown.1) / 2, |span| (span.from + span.to) / 2);
    let mut put = |span: Option<(u64, u64)>| outbox.send(ExportMessage::Detail(span));
    if quiet_button(ui, theme, "whole", "Detail: the whole image", shown == ends, "Show the whole image in the detail.")
        .clicked()
    {
        put(None);
    }
    if let Some(selected) = kept.span_of(view.screen.export.part) {
        let told = "Show the selected item with its neighbours in the detail.";
        if quiet_button(ui, theme, "selected", "Detail: the selected item", false, told).clicked() {
            put(Some(list::around((selected.from, selected.to), ends)));
        }
    }
    let centred = |factor| {
        let bytes = ((shown.1 - shown.0) as f64 * factor) as u64;
        placed(middle.saturating_sub(bytes / 2), bytes.max(16), ends)
    };
    if quiet_button(ui, theme, "farther", "Detail: farther", false, "Show more of the image in the detail. (wheel)")
        .clicked()
    {
        put(Some(centred(1.0 / NEARER)));
    }
    if quiet_button(ui, theme, "nearer", "Detail: nearer", false, "Show less of the image, larger. (wheel)").clicked() {
        put(Some(centred(NEARER)));
    }
}

impl MapView {
    /// Draws the map; gives what the pointer is over.
    pub(super) fn show(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        kept: &Kept,
        outbox: &mut Outbox,
    ) -> Option<String> {
        let sizes = &view.theme.export;
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height(view.theme)), Sense::hover());
        let (from, to) = kept.ends();
        let top = rect.top() + sizes.scale_height;
        let whole = Rect::from_min_size(pos2(rect.left(), top), vec2(rect.width(), sizes.whole_height));
        let whole = Scale { rect: whole, from, to };
        let (from, to) = span(view, kept);
        let top = whole.rect.bottom() + sizes.lens_height;
        let detail = Rect::from_min_size(pos2(rect.left(), top), vec2(rect.width(), sizes.detail_height));
        let detail = Scale { rect: detail, from, to };
        let pointed =
            [self.whole(ui, view, kept, outbox, &whole, &detail), self.detail(ui, view, kept, outbox, &detail)];
        lens(ui.painter(), view.theme, &whole, &detail);
        checksum_range(ui.painter(), view.theme, kept, &whole);
        ticks(ui.painter(), view.theme, &detail);
        tell(ui, view, kept, &detail);
        if let Some(drag) = &self.drag {
            drag.paint(ui.painter(), view, &detail);
        }
        pointed.into_iter().flatten().next()
    }

    /// The whole image: a press brings the detail there.
    fn whole(
        &mut self,
        ui: &egui::Ui,
        view: &View<'_>,
        kept: &Kept,
        outbox: &mut Outbox,
        whole: &Scale,
        detail: &Scale,
    ) -> Option<String> {
        let response = ui.interact(whole.rect, Id::unique("whole image"), Sense::click_and_drag());
        response.widget_info(|| {
            WidgetInfo::labeled(Role::Image, true, format!("the whole image, {} items", kept.spans.len()))
        });
        strip(ui, view, kept, whole, response.hover_pos());
        if let Some(at) = response.interact_pointer_pos().filter(|_| response.is_pointer_button_down_on()) {
            let bytes = detail.to - detail.from;
            let middle = whole.address(at.x);
            let span = placed(middle.saturating_sub(bytes / 2), bytes, kept.ends());
            outbox.send(ExportMessage::Detail(Some(span)));
            if response.drag_started() || response.clicked() {
                click(kept, middle, outbox);
            }
        }
        response.hover_pos().map(|at| kept.words(whole.address(at.x)))
    }

    fn detail(
        &mut self,
        ui: &egui::Ui,
        view: &View<'_>,
        kept: &Kept,
        outbox: &mut Outbox,
        detail: &Scale,
    ) -> Option<String> {
        let response = ui.interact(detail.rect.expand2(vec2(0.0, DETAIL_REACH)), detail_id(), Sense::click_and_drag());
        response.widget_info(|| {
            let (from, to) = (detail.from, detail.to - 1);
            WidgetInfo::labeled(Role::Image, true, format!("detail of the image, addresses {from:04X} to {to:04X}"))
        });
        strip(ui, view, kept, detail, response.hover_pos());
        let hover = response.hover_pos();
        if let Some(at) = hover {
            let wheel = ui.input(|input| input.smooth_scroll_delta().y);
            if wheel != 0.0 {
                let factor = f64::from((-wheel / WHEEL).exp());
                let span = zoomed((detail.from, detail.to), factor, detail.address(at.x), kept.ends());
                outbox.send(ExportMessage::Detail(Some(span)));
            }
            let cursor = match take(kept, detail, at.x, view.theme.export.reach) {
                Some((_, Edge::End)) => CursorIcon::ResizeHorizontal,
                Some((_, Edge::None)) => CursorIcon::Grab,
                None => CursorIcon::Default,
            };
            ui.ctx().set_cursor_icon(cursor);
        }
        if response.clicked()
            && let Some(at) = response.interact_pointer_pos()
        {
            click(kept, detail.address(at.x), outbox);
        }
        if response.drag_started()
            && let Some(at) = ui.input(|input| input.pointer.press_origin())
        {
            click(kept, detail.address(at.x), outbox);
            self.drag = Some(match take(kept, detail, at.x, view.theme.export.reach) {
                Some((span, edge)) => Drag::of_item(view, span, edge, detail.offset(at.x)),
                None => Drag::of_detail((detail.from, detail.to), at.x),
            });
        }
        if let Some(drag) = &mut self.drag {
            let at = ui.input(|input| input.pointer.latest_pos());
            let is_over = match at {
                Some(at) if response.dragged() => !drag.follow(ui.ctx(), view, kept, outbox, (detail, at.x)),
                _ => {
                    drag.end(view, outbox);
                    true
                }
            };
            if is_over {
                self.drag = None;
            }
        }
        hover.map(|at| kept.words(detail.address(at.x)))
    }
}

/// What a press takes hold of: an item, or its end where its size can be changed.
fn take<'a>(kept: &'a Kept, detail: &Scale, x: f32, reach: f32) -> Option<(&'a Span, Edge)> {
    let items = || kept.spans.iter().filter(|span| matches!(span.part, Part::Item(_)));
    let can_resize = |span: &&Span| span.size != (1, 1);
    let is_wide = |span: &&Span| detail.x(span.to) - detail.x(span.from) > 3.0 * reach;
    let ends = items().filter(can_resize).filter(is_wide);
    if let Some(span) =
        ends.into_iter().find(|span| (detail.x(span.to) - x).abs() <= reach && x <= detail.x(span.to) + ROUNDING)
    {
        return Some((span, Edge::End));
    }
    let under = |span: &&Span| {
        let (left, right) = (detail.x(span.from), detail.x(span.to));
        (left..=right.max(left + LEAST_GRASPED)).contains(&x)
    };
    items().find(under).map(|span| (span, Edge::None))
}

/// Selects what is at an address from its first byte on. The detail stays: it must not jump under the pointer.
fn click(kept: &Kept, address: u64, outbox: &mut Outbox) {
    pick(kept, kept.span_at(address).map_or(address, |span| span.from), outbox);
}

/// A strip with everything that stands in it.
fn strip(ui: &egui::Ui, view: &View<'_>, kept: &Kept, scale: &Scale, hover: Option<egui::Pos2>) {
    let (theme, painter) = (view.theme, ui.painter());
    let palette = theme.palette;
    painter.rect_filled(scale.rect, 0.0, color(palette.panel));
    let line = hairline(color(palette.contour_minor));
    let hovered = hover.map(|at| scale.address(at.x)).and_then(|address| kept.span_at(address));
    for span in &kept.spans {
        let Some(rect) = scale.part(span.from, span.to) else { continue };
        tint::part(painter, theme, rect, span.kind);
        if rect.width() > LEAST_OUTLINED {
            painter.rect_stroke(rect, 0.0, line, StrokeKind::Inside);
        } else {
            painter.vline(rect.center().x, rect.y_range(), line);
        }
        if hovered == Some(span) {
            painter.rect_stroke(rect, 0.0, hairline(color(palette.ink)), StrokeKind::Inside);
        }
        if scale.rect.height() > theme.export.whole_height {
            name(ui, theme, rect, span);
        }
    }
    painter.rect_stroke(scale.rect, 0.0, hairline(color(palette.rule_strong)), StrokeKind::Outside);
    if let Some(selected) = kept.span_of(view.screen.export.part)
        && let Some(rect) = scale.part(selected.from, selected.to)
    {
        let stroke = Stroke::new(theme.selection_width, color(palette.accent));
        painter.rect_stroke(rect.expand(HAIRLINE), 0.0, stroke, StrokeKind::Outside);
    }
}

/// The name of a part where there is room for it, on a ground of its tint so that the pattern does not cross it.
fn name(ui: &egui::Ui, theme: &Theme, rect: Rect, span: &Span) {
    let room = rect.width() - ITEM_NAME_INSET - ITEM_NAME_GROUND;
    if room < theme.export.least_named {
        return;
    }
    let room = Rect::from_min_size(pos2(rect.left() + ITEM_NAME_INSET, rect.top()), vec2(room, rect.height()));
    let line = elided(ui, room, &span.name, theme.small_font());
    ui.painter().rect_filled(
        line.place(Align::Min).expand2(vec2(ITEM_NAME_GROUND, 0.0)),
        0.0,
        tint::tint(theme, span.kind),
    );
    line.paint(ui, Align::Min, color(theme.palette.ink));
}

/// The lines that lead from the whole to the detail.
fn lens(painter: &Painter, theme: &Theme, whole: &Scale, detail: &Scale) {
    let ink = hairline(color(theme.palette.ink_secondary));
    let (left, right) = (whole.x(detail.from), whole.x(detail.to));
    let (top, bottom) = (whole.rect.bottom() + LENS_GAP, detail.rect.top() - LENS_GAP);
    painter.line_segment([pos2(left, top), pos2(detail.rect.left(), bottom)], ink);
    painter.line_segment([pos2(right, top), pos2(detail.rect.right(), bottom)], ink);
    let shown = Rect::from_x_y_ranges(left..=right.max(left + LEAST_MEANT), whole.rect.y_range());
    painter.rect_stroke(shown, 0.0, ring(color(theme.palette.ink)), StrokeKind::Outside);
}

/// A bracket over the bytes that the checksum covers, with an arrow to where it is stored.
fn checksum_range(painter: &Painter, theme: &Theme, kept: &Kept, whole: &Scale) {
    let checksum = &kept.project.image.checksum;
    if checksum.kind == ChecksumKind::None {
        return;
    }
    let ink = color(theme.palette.ink_secondary);
    let stroke = hairline(ink);
    let from = u64::from(checksum.from);
    let to = from + u64::from(checksum.length);
    let (left, right) = (whole.x(from), whole.x(to));
    let (y, foot) = (whole.rect.top() - CHECKSUM_ABOVE, whole.rect.top() - CHECKSUM_FOOT);
    let stored = whole.x(u64::from(checksum.stored_at) + u64::from(checksum.kind.size() / 2));
    painter.line_segment([pos2(left, y), pos2(left, foot)], stroke);
    painter.line_segment([pos2(left.min(stored), y), pos2(right.max(stored), y)], stroke);
    painter.line_segment([pos2(right, y), pos2(right, foot)], stroke);
    painter.arrow(pos2(stored, y), vec2(0.0, CHECKSUM_ARROW), stroke);
    let name = crate::image::checksum_name(checksum.kind);
    let words = format!("{name} over {from:04X}–{:04X}", to.saturating_sub(1));
    let galley = painter.layout_no_wrap(words, theme.small_font(), ink);
    let middle = ((left + right) / 2.0).clamp(
        whole.rect.left() + galley.size().x / 2.0,
        (whole.rect.right() - galley.size().x / 2.0).max(whole.rect.left() + galley.size().x / 2.0),
    );
    let place = Align2::CENTER_CENTER.anchor_size(pos2(middle, y - HAIRLINE), galley.size());
    painter.rect_filled(place.expand2(vec2(CHECKSUM_WORDS, 0.0)), 0.0, color(theme.palette.paper));
    painter.galley(place.min, galley, ink);
}

/// Addresses below the detail, at round numbers.
fn ticks(painter: &Painter, theme: &Theme, detail: &Scale) {
    let ink = color(theme.palette.ink_secondary);
    let least = f64::from(ADDRESS_DISTANCE) * detail.bytes_per_point();
    let mut step = 1_u64;
    while (step as f64) < least {
        step *= 2;
    }
    let y = detail.rect.bottom();
    let mut address = detail.from.div_ceil(step) * step;
    while address <= detail.to {
        let x = detail.x(address);
        painter.vline(x, y..=y + ADDRESS_TICK, hairline(ink));
        let words = format!("{address:04X}");
        let (at, align) = match x {
            x if x < detail.rect.left() + ADDRESS_HALF => (x, Align2::LEFT_TOP),
            x if x > detail.rect.right() - ADDRESS_HALF => (x, Align2::RIGHT_TOP),
            x => (x, Align2::CENTER_TOP),
        };
        painter.text(pos2(at, y + ADDRESS_BELOW), align, words, theme.address_font(), ink);
        address += step;
    }
}

/// Every part in the detail by name, for a screen reader.
fn tell(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, detail: &Scale) {
    if !ui.ctx().has_accesskit_node(detail_id()) {
        return;
    }
    let layout = Layout::left_to_right(Align::Center);
    ui.scope_builder(UiBuilder::new().accessibility_parent(detail_id()).layout(layout).max_rect(detail.rect), |ui| {
        for span in &kept.spans {
            let Some(rect) = detail.part(span.from, span.to) else { continue };
            let response = ui.interact(rect, detail_id().with((span.from, "part")), Sense::hover());
            let is_selected = view.screen.export.part == span.part;
            let words = format!("in the map: {}, {:04X} to {:04X}", span.name, span.from, span.to - 1);
            response.widget_info(|| WidgetInfo::selected(Role::Label, true, is_selected, &words));
        }
    });
}
