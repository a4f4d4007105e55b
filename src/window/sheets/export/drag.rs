//! Moving and resizing an item, and moving the detail, by the pointer.
#![expect(clippy::cast_possible_truncation, reason = "pixels and addresses of an image are whole numbers below 2³²")]

use eframe::egui::{self, Align2, Painter, Rect, StrokeKind, pos2};

use super::kept::{Kept, Span};
use super::scale::{Scale, placed};
use crate::project::{Content, Project};
use crate::window::kit::theme::engine_sheet_sizes::{DRAG_BEYOND, LEAST_MEANT};
use crate::window::kit::theme::kit_sizes::BUBBLE;
use crate::window::kit::theme::{color, hairline, strong_line};
use crate::window::state::edits::ImageEdit;
use crate::window::state::export_state::{ExportMessage, Part};
use crate::window::state::outbox::{Action, Outbox};
use crate::window::views::grip::Hold;
use crate::window::views::view::View;

/// An item has at least and at most so many numbers along an axis.
const SIZES: (u64, u64) = (2, 64);

/// Which part of an item was taken hold of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Edge {
    /// Its end: it is resized.
    End,
    /// Anywhere else: it is moved.
    None,
}

/// A drag in the detail.
pub(super) enum Drag {
    Item(Box<ItemDrag>),
    /// The detail itself: the addresses it showed, and where it was grabbed.
    Detail((u64, u64), f32),
    /// Given up; nothing any more until the button is released.
    Over,
}

pub(super) struct ItemDrag {
    place: usize,
    span: Span,
    edge: Edge,
    /// How far into the detail it was pressed.
    pressed: i64,
    start: Project,
    /// The address, or the address after the end, that was last asked for.
    asked: u64,
    /// Why it cannot be there.
    refusal: Option<String>,
    hold: Hold,
}

impl Drag {
    pub(super) fn of_item(view: &View<'_>, span: &Span, edge: Edge, pressed: i64) -> Self {
        let Part::Item(place) = span.part else {
            return Self::Over;
        };
        let asked = if edge == Edge::End { span.to } else { span.from };
        let start = view.document.project().clone();
        Self::Item(Box::new(ItemDrag {
            place,
            span: span.clone(),
            edge,
            pressed,
            start,
            asked,
            refusal: None,
            hold: Hold::default(),
        }))
    }

    pub(super) const fn of_detail(span: (u64, u64), x: f32) -> Self {
        Self::Detail(span, x)
    }

    /// Follows the pointer; `false` when there is nothing to follow with.
    pub(super) fn follow(
        &mut self,
        ctx: &egui::Context,
        view: &View<'_>,
        kept: &Kept,
        outbox: &mut Outbox,
        (detail, x): (&Scale, f32),
    ) -> bool {
        match self {
            Self::Over => {}
            Self::Detail((from, to), pressed) => {
                let by = f64::from(*pressed - x) * detail.bytes_per_point();
                let span = placed(from.saturating_add_signed(by as i64), *to - *from, kept.ends());
                outbox.send(ExportMessage::Detail(Some(span)));
            }
            Self::Item(drag) => {
                if drag.hold.is_given_up(ctx, view) && drag.refusal.is_none() {
                    *self = Self::Over;
                    return true;
                }
                drag.follow(ctx, kept, outbox, detail, x, view.theme.export.reach);
            }
        }
        true
    }

    /// The button was released.
    pub(super) fn end(&self, view: &View<'_>, outbox: &mut Outbox) {
        let Self::Item(drag) = self else { return };
        match &drag.refusal {
            Some(why) => {
                if view.document.gesture_open() {
                    outbox.send(Action::DragCancel);
                }
                outbox.complain(why.clone());
            }
            None if drag.hold.is_asked() => outbox.end_drag(),
            None => {}
        }
    }

    /// What is dragged where it cannot be, with the reason; else the new address or size.
    pub(super) fn paint(&self, painter: &Painter, view: &View<'_>, detail: &Scale) {
        let Self::Item(drag) = self else { return };
        if !drag.hold.is_asked() && drag.refusal.is_none() {
            return;
        }
        let theme = view.theme;
        let ink = color(if drag.refusal.is_some() { theme.palette.error } else { theme.palette.ink });
        let bytes = drag.span.to - drag.span.from;
        let (from, to) = match drag.edge {
            Edge::None => (drag.asked, drag.asked + bytes),
            Edge::End => (drag.span.from, drag.asked),
        };
        let rect = Rect::from_x_y_ranges(
            detail.x(from)..=detail.x(to).max(detail.x(from) + LEAST_MEANT),
            detail.rect.y_range(),
        );
        let seen = rect.intersect(detail.rect.expand(DRAG_BEYOND));
        painter.rect_stroke(seen, 0.0, strong_line(ink), StrokeKind::Outside);
        let words = match (&drag.refusal, drag.edge) {
            (Some(why), _) => format!("Not here: {why}"),
            (None, Edge::None) => format!("{} to {from:04X}–{:04X}", drag.span.name, to - 1),
            (None, Edge::End) => format!("{} ends at {:04X}", drag.span.name, to - 1),
        };
        let galley = painter.layout_no_wrap(words, theme.body_font(), ink);
        let left = seen.left().clamp(
            detail.rect.left(),
            (detail.rect.right() - galley.size().x - 2.0 * BUBBLE.x).max(detail.rect.left()),
        );
        let place = Align2::LEFT_TOP.anchor_size(pos2(left + BUBBLE.x, detail.rect.bottom() + BUBBLE.x), galley.size());
        let ground = place.expand2(BUBBLE);
        painter.rect_filled(ground, f32::from(theme.radius), color(theme.palette.paper));
        painter.rect_stroke(ground, f32::from(theme.radius), hairline(ink), StrokeKind::Outside);
        painter.galley(place.min, galley, ink);
    }
}

impl ItemDrag {
    fn follow(&mut self, ctx: &egui::Context, kept: &Kept, outbox: &mut Outbox, detail: &Scale, x: f32, reach: f32) {
        let by = detail.offset(x) - self.pressed;
        let to = match self.edge {
            Edge::None => self.snapped(kept, detail, self.span.from.saturating_add_signed(by), reach),
            Edge::End => self.span.to.saturating_add_signed(by),
        };
        let (asked, label, edit) = self.edit(to);
        if asked == self.asked {
            return;
        }
        self.asked = asked;
        let done = edit.apply(&self.start);
        self.refusal = done.as_ref().err().map(ToString::to_string);
        if done.is_err() {
            return;
        }
        self.hold.ask(ctx);
        outbox.drag_edit(label, edit);
    }

    /// A round address near `to`, or one where it touches a neighbour.
    fn snapped(&self, kept: &Kept, detail: &Scale, to: u64, reach: f32) -> u64 {
        let near = (detail.bytes_per_point() * f64::from(reach)).ceil() as u64;
        let bytes = self.span.to - self.span.from;
        let others = kept.spans.iter().filter(|span| span.part != self.span.part);
        let (first, end) = kept.ends();
        let ends = others.flat_map(|span| [Some(span.to), span.from.checked_sub(bytes)]);
        let ends = ends.chain([Some(first), end.checked_sub(bytes)]).flatten();
        let touching = ends.filter(|at| at.abs_diff(to) <= near).min_by_key(|at| at.abs_diff(to));
        let step = (detail.bytes_per_point().ceil() as u64).next_power_of_two().max(self.span.width);
        touching.unwrap_or_else(|| (to + step / 2) / step * step)
    }

    /// The address, or the address after the end, that is asked for, the label of the step, and the edit.
    fn edit(&self, to: u64) -> (u64, String, ImageEdit) {
        let place = self.place;
        if self.edge == Edge::None {
            let address = u32::try_from(to).unwrap_or(u32::MAX);
            let label = format!("Move '{}' to {address:04X}", self.span.name);
            return (u64::from(address), label, ImageEdit::Move { place, address });
        }
        let (end, (speeds, loads)) = self.size(to);
        (end, size_label(&self.span.name, (speeds, loads)), ImageEdit::Resize { place, speeds, loads })
    }

    /// Where the item ends when it is to end near `to`, and how many numbers it has then.
    fn size(&self, to: u64) -> (u64, (Option<u16>, Option<u16>)) {
        let numbers = to.saturating_sub(self.span.from) / self.span.width;
        let (speeds, loads) = self.span.size;
        let count = |numbers: u64| u16::try_from(numbers.clamp(SIZES.0, SIZES.1)).unwrap_or(u16::MAX);
        let own = self.start.image.items.get(self.place);
        let (own_speeds, own_loads) = own.map_or((None, None), |item| (item.speeds, item.loads));
        let is_load = own.is_some_and(|item| item.content == Content::AdvanceLoads);
        let width = self.span.width;
        // A table grows and shrinks by whole rows.
        if speeds > 1 && loads > 1 {
            let rows = count(numbers / speeds as u64);
            return (self.span.from + u64::from(rows) * speeds as u64 * width, (own_speeds, Some(rows)));
        }
        let points = count(numbers);
        let size = if is_load { (own_speeds, Some(points)) } else { (Some(points), own_loads) };
        (self.span.from + u64::from(points) * width, size)
    }
}

/// The label of a step that gives an item another size.
pub(super) fn size_label(name: &str, (speeds, loads): (Option<u16>, Option<u16>)) -> String {
    let words = |count: Option<u16>| count.map_or_else(|| "the project's".to_owned(), |count| count.to_string());
    match (speeds, loads) {
        (None, None) => format!("Give '{name}' the project's size"),
        (speeds, None) => format!("Give '{name}' {} points", words(speeds)),
        (None, loads) => format!("Give '{name}' {} loads", words(loads)),
        (speeds, loads) => format!("Give '{name}' {} speeds and {} loads", words(speeds), words(loads)),
    }
}
