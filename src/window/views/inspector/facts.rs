//! What is known about the selected cells.

use eframe::egui::{self, Align2, FontId, Id, Rect, Role, Sense, WidgetInfo, pos2};

use crate::project::Origin;
use crate::shaping::{Along, Bend, Slope, larger_bend, most_bent, slope_after, slope_before, steepest};
use crate::table::{Cell, Selection, Table};
use crate::window::kit::marks;
use crate::window::kit::theme::color;
use crate::window::kit::theme::kit_sizes::ARROW;
use crate::window::views::view::Proposed;
use crate::window::views::view::View;
use crate::wording::{Unit, count, fixed, point, signed, step_decimals, with_unit};

/// One line: label, value, and more for the tooltip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fact {
    /// Its label; empty if it continues the line before.
    pub label: String,
    /// The value with its unit.
    pub value: String,
    /// What the value would become.
    pub then: Option<String>,
    /// The value in full where the line has no room for all of it.
    pub whole: Option<String>,
    /// More, for the tooltip and for people who cannot see.
    pub more: String,
}

impl Fact {
    fn new(label: impl Into<String>, value: impl Into<String>, more: impl Into<String>) -> Self {
        Self { label: label.into(), value: value.into(), then: None, whole: None, more: more.into() }
    }

    /// The fact in one line of text.
    fn words(&self) -> String {
        if let Some(whole) = &self.whole {
            return [self.label.as_str(), ": ", whole].concat();
        }
        let mut words = [self.label.as_str(), " ", &self.value].concat();
        if let Some(then) = &self.then {
            words.push_str(&[" becomes ", then].concat());
        }
        if !self.more.is_empty() {
            words.push_str(&[", ", &self.more].concat());
        }
        words.trim().to_owned()
    }
}

/// The heading: how many cells, and how many of them are held.
pub fn heading(view: &View<'_>) -> String {
    let selected = &view.selection.cells;
    let held = selected.cells().filter(|&cell| view.settled().advance.held().contains(cell)).count();
    match (selected.count(), held) {
        (cells, 0) => count(cells, "cell"),
        (1, _) => "1 cell, held".to_owned(),
        (cells, held) => format!("{cells} cells, {held} held"),
    }
}

/// The lines below the heading, about the project as it is; only the value is also shown as proposed.
pub fn facts(view: &View<'_>) -> Vec<Fact> {
    let selected = &view.selection.cells;
    if !selected.fits(table(view)) || selected.is_empty() {
        return Vec::new();
    }
    let mut facts = vec![value(view, selected), from_base(view, selected), origin(view)];
    match single(selected) {
        Some(cell) => facts.extend([Along::Speed, Along::Load].map(|along| around(view, cell, along))),
        None => facts.extend([Along::Speed, Along::Load].map(|along| steepest_fact(view, selected, along))),
    }
    facts.push(from_chord(view, selected));
    facts
}

/// The table as it is.
fn table<'a>(view: &View<'a>) -> &'a Table {
    view.settled().advance.table()
}

fn single(selected: &Selection) -> Option<Cell> {
    if selected.count() == 1 { selected.cells().next() } else { None }
}

/// The least and the greatest.
fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| (low.min(z), high.max(z)))
}

/// The value, and what it would become.
fn value(view: &View<'_>, selected: &Selection) -> Fact {
    const MORE: &str = "degrees before top dead centre";
    let told = |table: &Table| {
        let (low, high) = range(selected.cells().map(|cell| table.at(cell)));
        let [least, most] = [low, high].map(|deg| view.degrees(deg));
        with_unit(&if least == most { least } else { format!("{least} to {most}") }, Unit::Degree)
    };
    let is_touched =
        |proposed: &&Proposed| proposed.keeps_axes && selected.cells().any(|cell| proposed.cells.contains(cell));
    let then = view.proposed.filter(is_touched).map(|_| told(view.table()));
    Fact { then, ..Fact::new("Value", told(table(view)), MORE) }
}

fn from_base(view: &View<'_>, selected: &Selection) -> Fact {
    let base = &view.base.project;
    if base.sensors.load != view.project.sensors.load {
        return Fact::new("From base", "other load", format!("the base '{}' has another load axis", view.base.name));
    }
    let (table, old) = (table(view), base.advance.table());
    let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
    let difference = |cell: Cell| table.at(cell) - old.lookup(speeds[cell.speed], loads[cell.load]);
    let (low, high) = range(selected.cells().map(difference));
    let decimals = step_decimals(view.project.step_deg);
    let [least, most] = [low, high].map(|deg| signed(deg, decimals));
    let text = with_unit(&if least == most { least } else { format!("{least} to {most}") }, Unit::Degree);
    Fact::new("From base", text, format!("edited minus base '{}'", view.base.name))
}

/// Where the values came from: as many origins as are told in a line, and how many more there are.
fn origin(view: &View<'_>) -> Fact {
    const TOLD: usize = 2;
    let origins = origins(view);
    let several = origins.len();
    let told = match several {
        _ if several <= TOLD => origins.join(", "),
        _ => format!("{}, {} more", origins.get(..TOLD).unwrap_or_default().join(", "), several - TOLD),
    };
    Fact { whole: Some(origins.join(", ")), ..Fact::new("Origin", told, "where the values came from") }
}

/// Every origin with its number of cells, the most frequent first.
fn origins(view: &View<'_>) -> Vec<String> {
    let (advance, selected) = (&view.settled().advance, &view.selection.cells);
    let of = |origin: Origin| selected.cells().filter(|&cell| advance.origin(cell) == origin).count();
    let mut counts: Vec<(usize, &str)> = Origin::ALL.into_iter().map(|origin| (of(origin), origin.name())).collect();
    counts.retain(|(cells, _)| *cells > 0);
    counts.sort_by_key(|(cells, _)| std::cmp::Reverse(*cells));
    match counts.as_slice() {
        [(_, name)] => vec![(*name).to_owned()],
        several => several.iter().map(|(cells, name)| format!("{name} {cells}")).collect(),
    }
}

/// The unit of slopes along an axis: per 1000 rpm, or per unit of load.
pub(in crate::window) fn per(view: &View<'_>, along: Along) -> (f64, usize, Unit) {
    match along {
        Along::Speed => (1000.0, 1, Unit::DegreePer1000Rpm),
        Along::Load => (1.0, 2, view.project.sensors.load.slope_unit()),
    }
}

fn steepest_fact(view: &View<'_>, selected: &Selection, along: Along) -> Fact {
    let (units, decimals, unit) = per(view, along);
    let label = if along == Along::Speed { "Steepest" } else { "" };
    let Some(slope) = steepest(table(view), selected, along) else {
        return Fact::new(label, "\u{2013}", format!("no neighbours along {along}"));
    };
    let text = with_unit(&fixed(slope.deg_per_unit * units, decimals), unit);
    Fact::new(
        label,
        text,
        format!("steepest slope along {along}, between {} and {}", place(view, slope.from), place(view, slope.to)),
    )
}

/// The slopes from the previous neighbour and to the next one.
fn around(view: &View<'_>, cell: Cell, along: Along) -> Fact {
    let (units, decimals, unit) = per(view, along);
    let [before, after] = [slope_before(table(view), cell, along), slope_after(table(view), cell, along)];
    let text = |slope: Option<Slope>| slope.map(|slope| signed(slope.deg_per_unit * units, decimals));
    let words = match (text(before), text(after)) {
        (Some(before), Some(after)) => format!("{before}, {after}"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => "\u{2013}".to_owned(),
    };
    let from = before.map(|slope| format!("from {}", place(view, slope.from)));
    let to = after.map(|slope| format!("to {}", place(view, slope.to)));
    let more: Vec<String> = [from, to].into_iter().flatten().collect();
    Fact::new(unit.text(), words, format!("slope along {along} {}", more.join(", then ")))
}

/// How far a cell lies from the straight line between its neighbours: degrees by which it could be moved, where the layer
/// and the comb tell the second difference that fairing minimises.
fn from_chord(view: &View<'_>, selected: &Selection) -> Fact {
    let most = match single(selected) {
        Some(cell) => larger_bend(table(view), cell),
        None => most_bent(table(view), selected),
    };
    let Some(Bend { deg, along, cell }) = most else {
        return Fact::new("From chord", "\u{2013}", "no cell with neighbours on both sides");
    };
    let decimals = step_decimals(view.project.step_deg);
    let size = fixed(deg.abs(), decimals);
    let is_none = size.chars().all(|digit| matches!(digit, '0' | '.'));
    let side = match () {
        () if is_none => "",
        () if deg > 0.0 => " above",
        () => " below",
    };
    let more = format!("farthest from the straight line between its neighbours along {along}: {}", place(view, cell));
    Fact::new("From chord", format!("{}{side} along {along}", with_unit(&size, Unit::Degree)), more)
}

/// A cell by its breakpoints.
fn place(view: &View<'_>, cell: Cell) -> String {
    let table = table(view);
    let (speed_rpm, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
    point(speed_rpm, load, view.project.sensors.load.unit())
}

/// Draws a fact as one line in `rect`: 'now → then' where something is proposed, in smaller type if there is no room.
pub(in crate::window) fn show(ui: &egui::Ui, view: &View<'_>, rect: Rect, fact: &Fact, line: usize) {
    let theme = view.theme;
    let response = ui.interact(rect, Id::unique(("fact", line)), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, fact.words()));
    let painter = ui.painter();
    let palette = theme.palette;
    let (ink, second, proposed) = (color(palette.ink), color(palette.ink_secondary), color(palette.proposed));
    let label = painter.text(rect.left_center(), Align2::LEFT_CENTER, &fact.label, theme.body_font(), second);
    let width = |text: &str, font: FontId| painter.layout_no_wrap(text.to_owned(), font, ink).size().x;
    let arrow = if fact.then.is_some() { ARROW + 2.0 * theme.gap } else { 0.0 };
    let then = fact.then.as_deref().unwrap_or_default();
    let needed = width(&fact.value, theme.body_font()) + width(then, theme.body_font()) + arrow;
    let is_wide = needed > rect.right() - label.right() - theme.gap;
    let font = if is_wide { theme.small_font() } else { theme.body_font() };
    let mut at = rect.right_center();
    if fact.then.is_some() {
        let written = painter.text(at, Align2::RIGHT_CENTER, then, font.clone(), proposed);
        let middle = written.left() - theme.gap - ARROW / 2.0;
        marks::arrow(painter, pos2(middle, rect.center().y), ARROW, proposed);
        at.x = middle - ARROW / 2.0 - theme.gap;
    }
    painter.text(at, Align2::RIGHT_CENTER, &fact.value, font, ink);
    match &fact.whole {
        Some(whole) => drop(response.on_hover_text(format!("{whole}: {}", fact.more))),
        None if fact.more.is_empty() => {}
        None => drop(response.on_hover_text(&fact.more)),
    }
}
