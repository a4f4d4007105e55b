//! The chosen sweep by itself: its curve with everything that is concluded from it, in words below it.

use eframe::egui::{
    self, Align, Align2, Color32, Id, Rect, RichText, Role, Sense, Ui, UiBuilder, WidgetInfo, pos2, vec2,
};

use super::frames::{self, point};
use super::kept::{Frame, Kept};
use crate::drawing::{CHART, ChartSpec, SweepPlot, SweepSet};
use crate::window::kit::chart::Chart;
use crate::window::kit::marks;
use crate::window::kit::scene_painter::{self, viewport};
use crate::window::kit::theme::evidence_sizes::EVIDENCE_SIZES;
use crate::window::kit::theme::kit_sizes::{CHART_SIZES, MARK};
use crate::window::kit::theme::{color, strong_text};
use crate::window::state::outbox::Outbox;
use crate::window::views::surface::heading;
use crate::window::views::view::View;
use crate::wording::{Unit, fixed, quantity, rounded, with_unit};
use crate::worksheet::Gravity;

/// Draws the sweep into a rectangle; the words take what they need of its height.
pub(super) fn show(ui: &mut Ui, rect: Rect, (kept, frame): (&Kept, &Frame), view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    let line = rect.with_max_y(rect.top() + theme.small_target);
    heading(ui, line, &frame.title(view), kept.torque_words(frame), theme);
    let wanted = words_height(ui, rect.width(), frame, view).min(rect.height() * EVIDENCE_SIZES.words_share);
    let told = Rect::from_min_max(pos2(rect.left(), rect.bottom() - wanted), rect.max);
    let place = Rect::from_min_max(line.left_bottom(), pos2(rect.right(), told.top()));
    plot(ui, place, (kept, frame), view, outbox);
    words(ui, told, frame, view);
}

fn plot(ui: &mut Ui, rect: Rect, (kept, frame): (&Kept, &Frame), view: &View<'_>, outbox: &mut Outbox) {
    let (theme, state) = (view.theme, &view.screen.evidence);
    let spec = ChartSpec {
        rect: viewport(rect),
        along: kept.along_deg,
        up: kept.up_pct,
        units: (Unit::Degree, Unit::Percent),
        gutter: CHART.gutter,
        is_upright: true,
        rows_below: EVIDENCE_SIZES.wedge,
    };
    let Some(chart) = Chart::new(ui.painter(), theme, &spec) else { return };
    chart.paint_scales();
    let whole = chart.plot();
    let response = ui.interact(whole, Id::unique("chosen sweep"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, frame.told(view, state.choice)));
    let plot = SweepPlot {
        plot: viewport(whole),
        along_deg: chart.frame().along.range,
        up_pct: chart.frame().up.range,
        is_large: true,
    };
    let set = frames::paint(ui, &plot, frame, view);
    names(ui, &plot, frame, &set, view);
    if let Some(at) = response.hover_pos() {
        point(view, Some((frame, Some(rounded(plot.deg_at(at.x), 1)))), outbox);
    }
    if let Some(deg) = state.pointed_deg {
        share_there(ui, &plot, frame, deg, view);
    }
}

/// The names of what is set against the curve, each on the paper's ground where its line is.
fn names(ui: &Ui, plot: &SweepPlot, frame: &Frame, set: &SweepSet, view: &View<'_>) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let area = scene_painter::to_egui(&plot.plot);
    let font = theme.small_font();
    let name = |text: String, x: f32, y: f32, to_left: bool| {
        let galley = ui.painter().layout_no_wrap(text, font.clone(), color(palette.ink));
        let size = galley.size();
        let left = if to_left { x - theme.gap - size.x } else { x + theme.gap };
        let left = left.clamp(area.left(), (area.right() - size.x).max(area.left()));
        let place = Rect::from_min_size(pos2(left, y - size.y), size);
        ui.painter().rect_filled(
            place.expand2(vec2(CHART_SIZES.name_air, 0.0)),
            CHART_SIZES.corner,
            color(palette.paper.with_alpha(225)),
        );
        ui.painter().galley(place.min, galley, Color32::PLACEHOLDER);
    };
    let x = |deg: f64| plot.place((deg, plot.up_pct.0)).x;
    if let Some(deg) = set.table_deg.filter(|deg| (plot.along_deg.0..=plot.along_deg.1).contains(deg)) {
        name(format!("table {}", degrees(deg)), x(deg), area.top() + 1.5 * theme.body, true);
    }
    let foot = area.bottom() - 2.0 * CHART_SIZES.name_air;
    let best = frame.best_deg;
    if let Some(deg) = best {
        name(format!("best {}", degrees(deg)), x(deg), foot, false);
    }
    if let Some(deg) = set.choice_deg {
        let is_best = best.is_some_and(|best| (best - deg).abs() < 0.05);
        if !is_best {
            name(format!("{} {}", frame.choice_word(view.screen.evidence.choice), degrees(deg)), x(deg), foot, true);
        }
    }
    let knock = frame.lines.knock_from;
    if let Some(deg) = knock {
        name(format!("knock from {}", degrees(deg)), x(deg), area.top() + 3.2 * theme.body, false);
    }
}

/// What share of the top the curve has at the advance pointed at.
fn share_there(ui: &Ui, plot: &SweepPlot, frame: &Frame, deg: f64, view: &View<'_>) {
    let Some(pct) = frame.share_at(deg) else { return };
    let (theme, palette) = (view.theme, view.theme.palette);
    let at = scene_painter::pos(plot.place((deg, pct)));
    let area = scene_painter::to_egui(&plot.plot);
    if !area.contains(at) {
        return;
    }
    ui.painter().circle_stroke(at, EVIDENCE_SIZES.dot, egui::Stroke::new(CHART.outline, color(palette.ink)));
    let text = format!("{}: {}", degrees(deg), with_unit(&fixed(pct, 1), Unit::Percent));
    let galley = ui.painter().layout_no_wrap(text, theme.small_font(), color(palette.ink));
    let size = galley.size();
    let left = if at.x + theme.gap + size.x <= area.right() { at.x + theme.gap } else { at.x - theme.gap - size.x };
    let place = Rect::from_min_size(pos2(left, (at.y - theme.gap - size.y).max(area.top())), size);
    ui.painter().rect_filled(place.expand2(vec2(CHART_SIZES.name_air, 0.0)), CHART_SIZES.corner, color(palette.paper));
    ui.painter().galley(place.min, galley, Color32::PLACEHOLDER);
}

fn degrees(deg: f64) -> String {
    quantity(rounded(deg, 1), Unit::Degree)
}

/// The verdicts, the gravest first, each with its mark.
fn words(ui: &mut Ui, rect: Rect, frame: &Frame, view: &View<'_>) {
    let theme = view.theme;
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("verdicts"));
    egui::ScrollArea::vertical().id_salt("verdicts").auto_shrink(false).show(&mut ui, |ui| {
        ui.spacing_mut().item_spacing.y = theme.gap / 2.0;
        for (gravity, text) in &frame.verdicts {
            ui.horizontal_top(|ui| {
                let (mark, _) = ui.allocate_exact_size(vec2(MARK.x, theme.body + theme.gap / 2.0), Sense::hover());
                if let Some(severity) = super::severity(*gravity) {
                    let place = Align2::CENTER_CENTER.align_size_within_rect(MARK, mark);
                    let ink = color(crate::window::kit::theme::severity_ink(theme, severity));
                    ui.painter().add(marks::severity(place, severity, ink));
                } else if *gravity == Gravity::Good {
                    strong_text(
                        ui.painter(),
                        mark.center(),
                        Align2::CENTER_CENTER,
                        "\u{2713}",
                        theme.body_font(),
                        color(theme.palette.ink),
                    );
                }
                ui.add(egui::Label::new(RichText::new(text)).wrap().halign(Align::Min).selectable(false));
            });
        }
    });
}

/// The height that the verdicts take.
fn words_height(ui: &Ui, width: f32, frame: &Frame, view: &View<'_>) -> f32 {
    let theme = view.theme;
    let room = width - MARK.x - theme.gap - theme.gap;
    let height = |text: &String| {
        let galley = ui.painter().layout(text.clone(), theme.body_font(), Color32::PLACEHOLDER, room);
        galley.size().y + theme.gap
    };
    let all: f32 = frame.verdicts.iter().map(|(_, text)| height(text)).sum();
    all + theme.gap
}
