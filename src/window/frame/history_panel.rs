//! Every step, to jump to any of them.

use eframe::egui::{self, Align2, Rect, Role, ScrollArea, Sense, WidgetInfo, pos2, vec2};

use crate::document::Step;
use crate::window::kit::numbers;
use crate::window::kit::theme::frame_sizes::{HISTORY_INSET, HISTORY_ROW, HISTORY_TIME_GAP};
use crate::window::kit::theme::kit_sizes::ROUNDING;
use crate::window::kit::theme::{color, hairline, shortened, strong_label};
use crate::window::state::commands::Command;
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::command_buttons::panel_head;
use crate::window::views::view::View;

const NOTHING_IS_LOST: &str = "Nothing is ever deleted. Undo goes back along the steps that led here; what was undone and then \
     replaced stays as a side branch, set in. Click any step to go there.";

/// How a step relates to the current one.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Standing {
    Current,
    /// Undo leads there.
    Behind,
    /// Redo leads there.
    Ahead,
    /// Only a click leads there.
    Aside,
}

impl Standing {
    fn of(index: usize, current: usize, is_on_line: bool) -> Self {
        match index.cmp(&current) {
            _ if !is_on_line => Self::Aside,
            std::cmp::Ordering::Less => Self::Behind,
            std::cmp::Ordering::Equal => Self::Current,
            std::cmp::Ordering::Greater => Self::Ahead,
        }
    }

    /// What the tooltip adds.
    const fn told(self) -> &'static str {
        match self {
            Self::Current | Self::Behind => "",
            Self::Ahead => "\nUndone; redo or a click brings it back",
            Self::Aside => "\nSide branch: undone and then replaced; a click brings it back",
        }
    }
}

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    panel_head(ui, view, outbox, "History", Command::History);
    ui.label(
        egui::RichText::new(NOTHING_IS_LOST).size(view.theme.small).color(color(view.theme.palette.ink_secondary)),
    );
    ui.add_space(view.theme.gap);
    ui.spacing_mut().item_spacing.y = 0.0;
    let steps = view.document.steps();
    let (current, line) = (view.document.current_step(), view.document.line_of_steps());
    ScrollArea::vertical().auto_shrink(false).stick_to_bottom(true).show_rows(
        ui,
        HISTORY_ROW,
        steps.len(),
        |ui, range| {
            for index in range {
                let (Some(step), Some(&is_on_line)) = (steps.get(index), line.get(index)) else { continue };
                let standing = Standing::of(index, current, is_on_line);
                if row(ui, view, step, standing).clicked() && standing != Standing::Current {
                    outbox.file(FileAction::Jump(index));
                }
            }
        },
    );
}

fn row(ui: &mut egui::Ui, view: &View<'_>, step: &Step, standing: Standing) -> egui::Response {
    let (theme, palette) = (view.theme, view.theme.palette);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), HISTORY_ROW), Sense::click());
    let is_current = standing == Standing::Current;
    let time = numbers::time(step.at);
    let branch = if standing == Standing::Aside { ", side branch" } else { "" };
    let name = format!("{}{branch}, {time}", step.label);
    response.widget_info(|| WidgetInfo::selected(Role::ListItem, true, is_current, &name));
    if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(rect, 0.0, color(palette.field_hover));
    }
    if is_current {
        ui.painter().rect_filled(rect, 0.0, color(palette.selection));
        let mark = Rect::from_min_size(rect.left_top(), vec2(theme.rail_mark, rect.height()));
        ui.painter().rect_filled(mark, 0.0, color(palette.accent));
    }
    let mut inner = rect.shrink2(vec2(HISTORY_INSET, 0.0));
    let (ink, weak) = match standing {
        Standing::Current | Standing::Behind => (palette.ink, palette.ink_secondary),
        Standing::Ahead => (palette.ink_disabled, palette.ink_disabled),
        Standing::Aside => (palette.ink_secondary, palette.ink_secondary),
    };
    if standing == Standing::Aside {
        let x = inner.left() + view.theme.set_in / 2.0;
        let stroke = hairline(color(palette.ink_secondary));
        ui.painter().line_segment([pos2(x, rect.top()), pos2(x, rect.bottom())], stroke);
        inner.min.x += view.theme.set_in;
    }
    let at = ui.painter().text(inner.right_center(), Align2::RIGHT_CENTER, &time, theme.small_font(), color(weak));
    let room = Rect::from_min_max(inner.left_top(), pos2(at.left() - HISTORY_TIME_GAP, inner.bottom()));
    ui.scope_builder(
        egui::UiBuilder::new().max_rect(room).layout(egui::Layout::left_to_right(egui::Align::Center)),
        |ui| {
            // The row's tooltip has the full label.
            let shown = shortened(ui, &step.label, room.width() - ROUNDING, &theme.body_font());
            ui.visuals_mut().override_text_color = Some(color(ink));
            if is_current {
                strong_label(ui, shown, theme.body_font());
            } else {
                ui.add(egui::Label::new(egui::RichText::new(shown).font(theme.body_font())).extend().selectable(false));
            }
        },
    );
    response.on_hover_text(format!("{} · {time}{}", step.label, standing.told()))
}
