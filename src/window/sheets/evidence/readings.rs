//! The readings of the chosen sweep, row by row in the order in which they were taken; a row and its dot are one.

use eframe::egui::{self, Align, Align2, Id, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use super::frames::{point, show_focus};
use super::kept::{Frame, ReadingRow, Use};
use crate::drawing::{CHART, Look};
use crate::window::kit::theme::evidence_sizes::EVIDENCE_SIZES;
use crate::window::kit::theme::{color, elided, hairline};
use crate::window::state::edits::EvidenceEdit;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;
use crate::wording::{Unit, fixed, quantity, signed, with_unit};

/// Draws the readings into a rectangle; a click leaves one out or lets it count again.
pub(super) fn show(ui: &mut Ui, rect: Rect, frame: &Frame, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    // Outdoors, with gloves, a row is as high as anything else that is clicked.
    let is_sunlit = theme.palette.look == Look::Sunlight;
    let row_height = if is_sunlit { theme.small_target } else { EVIDENCE_SIZES.row_height };
    let head = rect.with_max_y(rect.top() + row_height);
    let names = ["reading", "advance", frame.torque_name(), "of top", "off curve", "knock"];
    let weak = color(theme.palette.ink_secondary);
    for (column, name) in names.into_iter().enumerate() {
        let place = place(head, column);
        let align = if column == 0 { Align::Min } else { Align::Max };
        _ = elided(ui, place, name, theme.small_font()).paint(ui, align, weak);
    }
    let y = ui.painter().round_to_pixel_center(head.bottom());
    ui.painter().hline(rect.x_range(), y, hairline(color(theme.palette.rule)));
    let rest = rect.with_min_y(head.bottom());
    let mut ui = ui.new_child(egui::UiBuilder::new().max_rect(rest).id_salt("readings of the sweep"));
    egui::ScrollArea::vertical().id_salt("readings of the sweep").auto_shrink(false).show(&mut ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for row in &frame.rows {
            reading(ui, row_height, (frame, row), view, outbox);
        }
    });
}

fn place(row: Rect, column: usize) -> Rect {
    let start =
        column.checked_sub(1).and_then(|before| EVIDENCE_SIZES.reading_ends.get(before)).copied().unwrap_or(0.0);
    let end = EVIDENCE_SIZES.reading_ends.get(column).copied().unwrap_or(1.0);
    let at = |share: f32| row.left() + share * row.width();
    row.with_min_x(at(start)).with_max_x(at(end))
}

fn reading(ui: &mut Ui, height: f32, (frame, row): (&Frame, &ReadingRow), view: &View<'_>, outbox: &mut Outbox) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let response =
        ui.interact(rect, Id::unique(("reading of a sweep", &frame.key, &row.sweep, &row.indices)), Sense::click());
    let state = &view.screen.evidence;
    let is_pointed = state.pointed.as_ref() == Some(&frame.key) && state.pointed_deg == Some(row.advance_deg);
    if is_pointed || response.hovered() {
        ui.painter().rect_filled(rect, 0.0, color(palette.field_hover));
    }
    let y = ui.painter().round_to_pixel_center(rect.bottom());
    ui.painter().hline(rect.x_range(), y, hairline(color(palette.rule)));
    let ink = if matches!(row.used, Use::Counts | Use::Doubtful) { palette.ink } else { palette.ink_secondary };
    mark(ui, rect, row, view);
    let texts = texts(row);
    for (column, text) in texts.iter().enumerate() {
        let place = place(rect, column);
        let place = if column == 0 { place.with_min_x(rect.left() + 4.0 * EVIDENCE_SIZES.dot) } else { place };
        let align = if column == 0 { Align::Min } else { Align::Max };
        let font = if column == 0 { theme.small_font() } else { theme.body_font() };
        _ = elided(ui, place, text.as_str(), font).paint(ui, align, color(ink));
    }
    let words = row_words(row);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &words));
    show_focus(ui, &response, rect, view);
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    if response.hovered() {
        point(view, Some((frame, Some(row.advance_deg))), outbox);
    }
    if response.clicked() && row.knocked() && !row.is_by_hand {
        let words = "A reading that knocked is not left out by a click: it limits the advance. If that was no knock, reject the \
                     sweep with that reason, or mend its file";
        outbox.complain(words);
    } else if response.clicked() {
        let why = match row.used {
            Use::LeftOut(_) if row.is_by_hand => None,
            _ => Some("left out by hand".to_owned()),
        };
        let what = if why.is_some() { "Leave out" } else { "Count" };
        let label = format!("{what} the reading at {} of {}", quantity(row.advance_deg, Unit::Degree), frame.key.point);
        outbox.edit(label, EvidenceEdit::LeaveOut { sweep: row.sweep.clone(), readings: row.indices.clone(), why });
    }
    let how = if row.is_by_hand { "Click to let it count again." } else { "Click to leave it out." };
    response.on_hover_text(format!("{words}.\n{how}"));
}

fn mark(ui: &Ui, rect: Rect, row: &ReadingRow, view: &View<'_>) {
    let palette = view.theme.palette;
    let at = pos2(rect.left() + EVIDENCE_SIZES.dot + CHART.outline, rect.center().y);
    let (ink, paper) = (color(palette.ink), color(palette.paper));
    match row.used {
        _ if row.knocked() => {
            ui.painter().text(at, Align2::CENTER_CENTER, "×", view.theme.body_font(), ink);
        }
        Use::Counts | Use::Doubtful => _ = ui.painter().circle_filled(at, EVIDENCE_SIZES.dot, ink),
        Use::LeftOut(_) => {
            ui.painter().circle(at, EVIDENCE_SIZES.dot, paper, Stroke::new(CHART.outline, ink));
        }
    }
}

/// What stands in the columns; the last says why a reading does not count.
fn texts(row: &ReadingRow) -> [String; 6] {
    let knock = match (&row.used, row.knock) {
        (Use::LeftOut(_), _) => "left out".to_owned(),
        (Use::Doubtful, _) => "doubtful".to_owned(),
        (_, None) => "not told".to_owned(),
        (_, Some(0.0)) => "none".to_owned(),
        (_, Some(times)) => fixed(times, 0),
    };
    [
        row.order.clone(),
        quantity(row.advance_deg, Unit::Degree),
        fixed(row.torque, 1),
        row.share_pct.map_or_else(String::new, |pct| with_unit(&fixed(pct, 1), Unit::Percent)),
        row.off_pct.map_or_else(String::new, |pct| signed(pct, 1)),
        knock,
    ]
}

fn row_words(row: &ReadingRow) -> String {
    let [order, advance, torque, share, off, knock] = texts(row);
    let mut words = format!("Reading {order}: {advance}, torque {torque}");
    if !share.is_empty() {
        words.push_str(&format!(", {share} of the top, {off} off the curve"));
    }
    match &row.used {
        Use::LeftOut(why) => format!("{words}, left out: {why}"),
        _ => format!("{words}, knock {knock}"),
    }
}
