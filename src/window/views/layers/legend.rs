//! The strip under the table that is the scale of its layer: colours, numbers, what zero is; and the range, fixed on demand.

use eframe::egui::{
    self, Align, Align2, Color32, Id, Layout, Mesh, Rect, Role, Sense, Shape, StrokeKind, UiBuilder, WidgetInfo, pos2,
    vec2,
};

use crate::drawing::{ColorMap, Ground, HowSure, Layer, LayerScale, TintMap};
use crate::interchange::typed_number;
use crate::project::Origin;
use crate::shaping::{RestsOn, SURE_MEANS};
use crate::window::kit::patterns::{self, Pattern};
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::view_sizes::{FIELD_PADDING, LEGEND_SIZES};
use crate::window::kit::theme::{color, elided, hairline};
use crate::window::state::layer_state::{LayerMessage, RangeEnd};
use crate::window::state::outbox::Outbox;
use crate::window::views::form::text_box::{Behind, TextBox};
use crate::window::views::layers::{pattern, pattern_of_rest, rests_on};
use crate::window::views::measured;
use crate::window::views::surface::quiet_button;
use crate::window::views::view::View;
use crate::wording::{Refusal, capital, settle, written};

/// How to come by points.
const NO_POINTS: &str = "take points from sweeps on the Evidence sheet, or bring them in";
/// Pieces that the bar of colours is painted in.
const PIECES: u16 = 48;

/// What a strip explains.
pub struct Legend<'a> {
    /// The scale.
    pub scale: LayerScale,
    /// The origins that occur, for a layer of origins.
    pub origins: Vec<Origin>,
    /// The name of the base, for a difference; nothing for the change by the trims, whose zero is the table alone and
    /// whose range cannot be fixed.
    pub base: Option<&'a str>,
    /// How many measured points lie beyond the axes, in words; nothing if none does.
    pub beyond: Option<String>,
    /// For a layer of how sure cells are.
    pub sure: SureLegend,
}

/// What a strip explains of how sure the cells are.
#[derive(Default)]
pub struct SureLegend {
    /// What the cells rest on, as far as it occurs.
    rests: Vec<RestsOn>,
    /// What is said where it is not known: how to come by points, or what went wrong.
    instead: Option<String>,
}

impl SureLegend {
    fn of(view: &View<'_>) -> Self {
        if view.scales.layer.layer != Layer::Sure {
            return Self::default();
        }
        let cells: Vec<RestsOn> = view.table().cells().filter_map(|cell| rests_on(view, cell)).collect();
        let rests = RestsOn::ALL.into_iter().filter(|what| cells.contains(what)).collect();
        let instead = match (view.sure.has_points(), view.sure.of(view.table())) {
            _ if view.sure.fault.is_some() => view.sure.fault.clone(),
            (false, _) => Some(NO_POINTS.to_owned()),
            (true, HowSure::NotKnown) => Some("being found\u{2026}".to_owned()),
            (true, _) => None,
        };
        Self { rests, instead }
    }

    /// The patterns in words, and what is said instead.
    fn words(&self) -> String {
        let told = |what: &RestsOn| format!("{}: {}", pattern_words(*what), what.words());
        let rests: Vec<String> = self.rests.iter().map(told).collect();
        let rests = if rests.is_empty() { String::new() } else { format!("; {}", rests.join(", ")) };
        let instead = self.instead.as_ref().map_or_else(String::new, |words| format!("; {words}"));
        format!("{rests}{instead}")
    }
}

/// The pattern of what a cell rests on, in a word.
const fn pattern_words(rests_on: RestsOn) -> &'static str {
    match rests_on {
        RestsOn::Measured => "plain",
        RestsOn::Leaning => "level lines",
        RestsOn::Today => "falling lines in pairs",
    }
}

/// What a cell rests on, in the strip.
const fn brief_rest(rests_on: RestsOn) -> &'static str {
    match rests_on {
        RestsOn::Measured => "measured",
        RestsOn::Leaning => "leaning",
        RestsOn::Today => "today's table",
    }
}

impl<'a> Legend<'a> {
    /// That of the table on show.
    pub fn of(view: &View<'a>) -> Self {
        let found = view.advance().origins();
        let origins = Origin::ALL.into_iter().filter(|origin| found.contains(origin)).collect();
        let (beyond, sure) = (measured::beyond_words(view), SureLegend::of(view));
        Self { scale: view.scales.layer, origins, base: Some(&view.base.name), beyond, sure }
    }

    /// Whether it explains what the trims add.
    fn is_of_trims(&self) -> bool {
        self.base.is_none() && self.scale.layer == Layer::Difference
    }

    fn words(&self) -> String {
        if self.is_of_trims() {
            let [low, high] = self.scale.ends();
            return format!("Scale of the change by the trims: less {low}, 0 as in the table, more {high}");
        }
        let scale = format!("{}{}", self.scale.words(&self.origins), self.sure.words());
        self.beyond.as_ref().map_or_else(|| scale.clone(), |beyond| format!("{scale}; measured: {beyond}"))
    }

    /// What is said behind the bar, the first that has room.
    fn remarks(&self) -> Vec<String> {
        let (meaning, unit) = (self.meaning(), self.scale.layer.unit());
        // Its patterns need the room that is left.
        if self.scale.layer == Layer::Sure {
            return vec![meaning];
        }
        // A unit is never cut: other words go first.
        let needs_unit = self.scale.unit_of_ends() != unit;
        let with_beyond = |words: &str| self.beyond.as_ref().map(|beyond| format!("{words} \u{b7} {beyond}"));
        let mut remarks: Vec<String> = with_beyond(&meaning).into_iter().collect();
        remarks.extend(self.beyond.clone().filter(|_| !needs_unit));
        remarks.push(meaning);
        remarks.extend(needs_unit.then(|| unit.text().to_owned()));
        remarks
    }

    /// What the numbers mean.
    fn meaning(&self) -> String {
        match self.scale.layer {
            Layer::Advance => "\u{b0} before TDC".to_owned(),
            Layer::Difference => format!("0: as in {}", self.base.unwrap_or("the table")),
            Layer::Curvature => format!("{}, 0: straight", self.scale.layer.unit()),
            Layer::Origin => String::new(),
            Layer::Sure => self.sure.instead.clone().unwrap_or_else(|| SURE_MEANS.to_owned()),
        }
    }
}

/// Draws the strip into a line.
pub fn legend(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, line: Rect, of: &Legend<'_>) {
    let whole = ui.interact(line, ui.scope_id().with("scale of the layer"), Sense::hover());
    let words = of.words();
    whole.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    whole.on_hover_text(&words);
    if of.scale.layer.map() == TintMap::Swatches {
        return swatches(ui, view, line, of);
    }
    let sizes = &LEGEND_SIZES;
    // Numbers alone need no more than a box to type them into.
    let slot = if of.scale.layer.sides().is_some() { sizes.slot } else { sizes.field }.min(line.width() / 4.0);
    let switch = Rect::from_min_max(pos2(line.right() - sizes.switch, line.top()), line.max);
    let beside = if of.scale.has_unknown { sizes.unknown } else { 0.0 };
    let rest = switch.left() - line.left() - 2.0 * (slot + sizes.gap) - beside;
    let most_bar = if of.sure.rests.is_empty() { sizes.most_bar } else { sizes.most_bar_beside_rests };
    let width = (rest * sizes.bar_share).clamp(0.0, most_bar).floor();
    let left = line.left() + slot + sizes.gap;
    let bar = Rect::from_center_size(pos2(left + width / 2.0, line.center().y), vec2(width, sizes.bar_height)).round();
    paint_bar(ui, view, bar, &of.scale);
    ends(
        ui,
        view,
        outbox,
        [line.with_max_x(bar.left() - sizes.gap), line.with_min_x(bar.right() + sizes.gap)],
        of,
        slot,
    );
    let mut from = bar.right() + slot + 2.0 * sizes.gap;
    if of.scale.has_unknown {
        from = unknown(ui, view, line.with_min_x(from).with_max_x(switch.left()), &of.scale);
    }
    let room = line.with_min_x(from).with_max_x(switch.left() - sizes.gap);
    let (font, ink) = (view.theme.small_font(), color(view.theme.palette.ink_secondary));
    if room.width() > sizes.slot / 2.0 {
        let mut shown = of.remarks().into_iter().map(|words| elided(ui, room, words, font.clone())).peekable();
        while let Some(remark) = shown.next() {
            if !remark.is_cut() || shown.peek().is_none() {
                from = remark.paint(ui, Align::Min, ink).right() + sizes.apart;
                break;
            }
        }
    }
    rests(ui, view, room.with_min_x(from), &of.sure.rests);
    if !of.is_of_trims() {
        fix_switch(ui, view, outbox, switch, &of.scale);
    }
}

/// The colours with contour lines or round numbers, as the cells have them.
fn paint_bar(ui: &egui::Ui, view: &View<'_>, bar: Rect, scale: &LayerScale) {
    let (painter, palette) = (ui.painter(), view.theme.palette);
    let map = ColorMap::new(palette.look, Ground::Grid);
    let mut mesh = Mesh::default();
    let x = |share: f64| {
        #[expect(clippy::cast_possible_truncation, reason = "0..=1")]
        let share = share as f32;
        bar.left() + bar.width() * share
    };
    for piece in 0..PIECES {
        let [from, to] = [piece, piece + 1].map(|k| f64::from(k) / f64::from(PIECES));
        let tint = color(scale.color(&map, scale.at(f64::midpoint(from, to))));
        mesh.add_colored_rect(Rect::from_x_y_ranges(x(from)..=x(to), bar.y_range()), tint);
    }
    painter.add(Shape::mesh(mesh));
    let (ink, font) = (color(palette.ink), view.theme.small_font());
    let mut free = bar.left();
    for mark in scale.marks() {
        let at = painter.round_to_pixel_center(x(mark.share));
        if mark.value == 0.0 && scale.layer.map() == TintMap::Diverging {
            painter.vline(at, bar.expand2(vec2(0.0, LEGEND_SIZES.zero_beyond)).y_range(), hairline(ink));
            free = at;
            continue;
        }
        let galley = painter.layout_no_wrap(written(settle(mark.value)), font.clone(), ink);
        let half = galley.size().x / 2.0;
        let fits = at - half - HAIRLINE >= free && at + half + HAIRLINE <= bar.right();
        let zero = scale.marks().iter().find(|mark| mark.value == 0.0).map(|mark| x(mark.share));
        let is_clear = zero.is_none_or(|zero| zero < at - half - HAIRLINE || zero > at + half + HAIRLINE);
        if mark.is_major && fits && is_clear {
            painter.galley(pos2(at - half, bar.center().y - galley.size().y / 2.0), galley, ink);
            free = at + half;
        } else if at > free + HAIRLINE {
            let tick = bar.bottom() - LEGEND_SIZES.tick..=bar.bottom();
            painter.vline(at, tick, hairline(color(palette.ink_secondary)));
        }
    }
    painter.rect_stroke(bar, 0.0, hairline(color(palette.rule_strong)), StrokeKind::Outside);
}

/// The numbers at both ends with the words for their sides; boxes to type into while the range is fixed.
fn ends(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, [low, high]: [Rect; 2], of: &Legend<'_>, slot: f32) {
    let sides = of.scale.layer.sides();
    let texts = of.scale.ends();
    let (font, ink) = (view.theme.small_font(), color(view.theme.palette.ink));
    for (end, rect, text) in [(RangeEnd::Low, low, &texts[0]), (RangeEnd::High, high, &texts[1])] {
        let word = sides.map_or("", |[below, _, above]| if end == RangeEnd::Low { below } else { above });
        let (align, outer) =
            if end == RangeEnd::Low { (Align::Max, rect) } else { (Align::Min, rect.with_max_x(rect.left() + slot)) };
        if of.scale.is_fixed {
            let width = LEGEND_SIZES.field.min(outer.width());
            let left = if end == RangeEnd::Low { outer.right() - width } else { outer.left() };
            let height = view.theme.small_target;
            let at = Rect::from_min_size(pos2(left, outer.center().y - height / 2.0), vec2(width, height));
            field(ui, view, outbox, at, &of.scale, end);
            let beside = if end == RangeEnd::Low {
                outer.with_max_x(at.left() - LEGEND_SIZES.gap)
            } else {
                outer.with_min_x(at.right() + LEGEND_SIZES.gap)
            };
            word_in(ui, beside, word, align, color(view.theme.palette.ink_secondary), view);
            continue;
        }
        let both = match (word.is_empty(), end) {
            (true, _) => text.clone(),
            (false, RangeEnd::Low) => format!("{word} {text}"),
            (false, RangeEnd::High) => format!("{text} {word}"),
        };
        let shown = elided(ui, outer, both, font.clone());
        // A number is never cut: the word goes first.
        if shown.is_cut() { elided(ui, outer, text.as_str(), font.clone()) } else { shown }.paint(ui, align, ink);
    }
}

fn word_in(ui: &egui::Ui, rect: Rect, word: &str, align: Align, ink: Color32, view: &View<'_>) {
    let line = elided(ui, rect, word, view.theme.small_font());
    if !word.is_empty() && !line.is_cut() {
        line.paint(ui, align, ink);
    }
}

/// A box with an end of the fixed range.
fn field(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect, scale: &LayerScale, end: RangeEnd) {
    let id = Id::unique(("end of the range", end));
    let value = if end == RangeEnd::Low { scale.range.0 } else { scale.range.1 };
    let typed = view.screen.layers.typing.as_ref().filter(|(of, _)| *of == end).map(|(_, text)| text.clone());
    let mut text = typed.clone().unwrap_or_else(|| written(settle(value)));
    let before = text.clone();
    let at_fault = typed.as_deref().is_some_and(|text| with_end(scale, end, text).is_err());
    let unit = Behind::Unit(scale.unit_of_ends());
    let text_box =
        TextBox { id, rect, unit, at_fault, align: Align2::RIGHT_CENTER, hint: "", padding: FIELD_PADDING, inset: 0.0 };
    let response = text_box.show(ui, view.theme, &mut text);
    let name = if end == RangeEnd::Low { "range from" } else { "range to" };
    ui.ctx().accesskit_node_builder(id, |node| node.set_label(name));
    let has_focus = response.has_focus();
    response.on_hover_text("The end of the fixed range: type a number, Enter takes it.");
    if has_focus && text != before {
        return outbox.send(LayerMessage::Type(Some((end, text))));
    }
    let Some(typed) = typed.filter(|_| !has_focus) else { return };
    match with_end(scale, end, &typed) {
        Ok(range) => outbox.send(LayerMessage::Range(scale.layer, range)),
        Err(why) => outbox.complain(capital(&why.to_string())),
    }
    outbox.send(LayerMessage::Type(None));
}

/// The range with an end as typed, or why it is none.
fn with_end(scale: &LayerScale, end: RangeEnd, text: &str) -> Result<(f64, f64), Refusal> {
    let typed = typed_number(text).map_err(|why| Refusal::new(format!("{}: {why}", text.trim())))?;
    let (low, high) = scale.range;
    let range = if end == RangeEnd::Low { (typed, high) } else { (low, typed) };
    scale.layer.check_range(range)?;
    Ok(range)
}

/// Fixes the range, or lets it follow the table.
fn fix_switch(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect, scale: &LayerScale) {
    let layout = Layout::right_to_left(Align::Center);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout));
    let tip = "Keep the range of the colours as it is, or type another, so that two tables compare; otherwise it follows the table.";
    let text = if scale.is_fixed { "fixed" } else { "fix range" };
    let name = "Fixed range of the colours";
    if quiet_button(&mut ui, view.theme, text, name, scale.is_fixed, tip).clicked() {
        outbox.send(LayerMessage::Fix(scale.layer, (!scale.is_fixed).then_some(scale.range)));
    }
}

/// A swatch of the hatch and why cells have one; gives where the rest begins.
fn unknown(ui: &egui::Ui, view: &View<'_>, line: Rect, scale: &LayerScale) -> f32 {
    let palette = view.theme.palette;
    let at = swatch(ui, view, line, color(palette.paper), (Pattern::Hatch, color(palette.hatch)));
    let room = line.with_min_x(at.right() + LEGEND_SIZES.gap);
    let words = elided(ui, room, scale.unknown_briefly(), view.theme.small_font());
    let right = words.paint(ui, Align::Min, color(palette.ink_secondary)).right();
    right + LEGEND_SIZES.apart
}

/// What the patterns of how sure cells are mean, as far as there is room; cells without one are measured.
fn rests(ui: &egui::Ui, view: &View<'_>, line: Rect, rests: &[RestsOn]) {
    let palette = view.theme.palette;
    let mut line = line;
    for what in rests.iter().filter(|what| **what != RestsOn::Measured) {
        let words = line.with_min_x(line.left() + LEGEND_SIZES.swatch + LEGEND_SIZES.gap);
        let words = (words.width() > 0.0).then(|| elided(ui, words, brief_rest(*what), view.theme.small_font()));
        let Some(words) = words.filter(|words| !words.is_cut()) else { return };
        swatch(ui, view, line, color(palette.paper), (pattern_of_rest(*what), color(palette.pattern)));
        let right = words.paint(ui, Align::Min, color(palette.ink_secondary)).right();
        line = line.with_min_x(right + LEGEND_SIZES.apart);
    }
}

/// A box with a tint and a pattern at the left end of a line.
fn swatch(ui: &egui::Ui, view: &View<'_>, line: Rect, tint: Color32, (pattern, ink): (Pattern, Color32)) -> Rect {
    let size = vec2(LEGEND_SIZES.swatch, LEGEND_SIZES.bar_height);
    let rect = Rect::from_min_size(pos2(line.left(), line.center().y - size.y / 2.0), size).round();
    let mut mesh = Mesh::default();
    mesh.add_colored_rect(rect, tint);
    patterns::add(&mut mesh, rect, None, pattern, ink);
    ui.painter().add(Shape::mesh(mesh));
    ui.painter().rect_stroke(rect, 0.0, hairline(color(view.theme.palette.rule_strong)), StrokeKind::Outside);
    rect
}

/// What the tints and patterns of the cells mean; only those that occur, as far as there is room.
fn swatches(ui: &egui::Ui, view: &View<'_>, line: Rect, of: &Legend<'_>) {
    let origins = &of.origins;
    let (theme, palette) = (view.theme, view.theme.palette);
    let map = ColorMap::new(palette.look, Ground::Grid);
    let (font, ink) = (theme.small_font(), color(palette.ink));
    let named = |origin: Origin| ui.painter().layout_no_wrap(origin.name().to_owned(), font.clone(), ink);
    let shown = || Origin::ALL.into_iter().enumerate().filter(|(_, origin)| origins.contains(origin));
    let needed: f32 = shown().map(|(_, origin)| LEGEND_SIZES.swatch + LEGEND_SIZES.gap + named(origin).size().x).sum();
    // Closer together where many stand in a short line.
    #[expect(clippy::cast_precision_loss, reason = "a few origins")]
    let gaps = origins.len().saturating_sub(1).max(1) as f32;
    let between = (line.width() - needed) / gaps;
    let apart = between.clamp(LEGEND_SIZES.gap, LEGEND_SIZES.apart);
    let mut from = line.left();
    for (place, origin) in shown() {
        let galley = named(origin);
        let end = from + LEGEND_SIZES.swatch + LEGEND_SIZES.gap + galley.size().x;
        if end > line.right() + HAIRLINE {
            elided(ui, line.with_min_x(from), "\u{2026}", font.clone()).paint(ui, Align::Min, ink);
            return;
        }
        let tint = color(map.swatch(place));
        let at = swatch(ui, view, line.with_min_x(from), tint, (pattern(origin), color(palette.pattern)));
        let place = pos2(at.right() + LEGEND_SIZES.gap, line.center().y - galley.size().y / 2.0);
        ui.painter().galley(place, galley, ink);
        from = end + apart;
    }
    let beyond = elided(ui, line.with_min_x(from), of.beyond.as_deref().unwrap_or_default(), font);
    if !beyond.is_cut() {
        beyond.paint(ui, Align::Min, color(palette.ink_secondary));
    }
}
