//! What is known about the selected cells.

use eframe::egui::{self, Align2, Id, Rect, Role, Sense, WidgetInfo, pos2, vec2};

use crate::project::Origin;
use crate::shaping::{Along, Bend, Slope, larger_bend, most_bent, slope_after, slope_before, steepest};
use crate::table::{Cell, Selection, Table};
use crate::window::kit::marks;
use crate::window::kit::theme::color;
use crate::window::kit::theme::kit_sizes::{ARROW, HAIRLINE};
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
    /// More, for the tooltip and for people who cannot see.
    pub more: String,
}

impl Fact {
    fn new(label: impl Into<String>, value: impl Into<String>, more: impl Into<String>) -> Self {
        Self { label: label.into(), value: value.into(), then: None, more: more.into() }
    }

    /// The fact in one line of text.
    fn words(&self) -> String {
        let mut words = [self.label.as_str(), " ", &self.value].concat();
        if let Some(then) = &self.then {
            let becomes = if self.value.is_empty() { " proposed " } else { " becomes " };
            words.push_str(&[becomes, then].concat());
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
    let mut facts = value(view, selected);
    facts.push(from_base(view, selected));
    match single(selected) {
        Some(cell) => facts.extend([Along::Speed, Along::Load].map(|along| around(view, cell, along))),
        None => facts.extend([Along::Speed, Along::Load].map(|along| steepest_fact(view, selected, along))),
    }
    facts.extend(curvature(view, selected));
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

/// The value, and for several cells below it what it would become, since there is no room beside it.
fn value(view: &View<'_>, selected: &Selection) -> Vec<Fact> {
    const MORE: &str = "degrees before top dead centre";
    let told = |table: &Table| {
        let (low, high) = range(selected.cells().map(|cell| table.at(cell)));
        let [least, most] = [low, high].map(|deg| view.degrees(deg));
        with_unit(&if least == most { least } else { format!("{least} to {most}") }, Unit::Degree)
    };
    let now = Fact::new("Value", told(table(view)), MORE);
    let is_touched =
        |proposed: &&Proposed| proposed.keeps_axes && selected.cells().any(|cell| proposed.cells.contains(cell));
    let then = view.proposed.filter(is_touched).map(|_| told(view.table()));
    if single(selected).is_some() {
        return vec![Fact { then, ..now }, Fact::new("", "", "")];
    }
    vec![now, Fact { then, ..Fact::new("", "", "") }]
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

/// Where the values came from: every origin with its number of cells, the most frequent first.
pub fn origins(view: &View<'_>) -> String {
    let (advance, selected) = (&view.settled().advance, &view.selection.cells);
    if !selected.fits(advance.table()) {
        return String::new();
    }
    let of = |origin: Origin| selected.cells().filter(|&cell| advance.origin(cell) == origin).count();
    let mut counts: Vec<(usize, &str)> = Origin::ALL.into_iter().map(|origin| (of(origin), origin.name())).collect();
    counts.retain(|(cells, _)| *cells > 0);
    counts.sort_by_key(|(cells, _)| std::cmp::Reverse(*cells));
    match counts.as_slice() {
        [(_, name)] => (*name).to_owned(),
        several => several.iter().map(|(cells, name)| format!("{name} {cells}")).collect::<Vec<_>>().join(", "),
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

fn curvature(view: &View<'_>, selected: &Selection) -> Vec<Fact> {
    let most = match single(selected) {
        Some(cell) => larger_bend(table(view), cell),
        None => most_bent(table(view), selected),
    };
    let Some(Bend { deg, along, cell }) = most else {
        return vec![
            Fact::new("Curvature", "\u{2013}", "no cell with neighbours on both sides"),
            Fact::new("", "", ""),
        ];
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
    vec![
        Fact::new("Curvature", with_unit(&size, Unit::Degree) + side, more.clone()),
        Fact::new("", format!("along {along}"), more),
    ]
}

/// A cell by its breakpoints.
fn place(view: &View<'_>, cell: Cell) -> String {
    let table = table(view);
    let (speed_rpm, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
    point(speed_rpm, load, view.project.sensors.load.unit())
}

/// Draws a fact as one line in `rect`.
pub(in crate::window) fn show(ui: &egui::Ui, view: &View<'_>, rect: Rect, fact: &Fact, line: usize) {
    if fact.value.is_empty() && fact.then.is_none() {
        // The line is left empty, so that those below stay where they are.
        return;
    }
    let theme = view.theme;
    let response = ui.interact(rect, Id::unique(("fact", line)), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, fact.words()));
    let painter = ui.painter();
    let (ink, second) = (color(theme.palette.ink), color(theme.palette.ink_secondary));
    painter.text(rect.left_center(), Align2::LEFT_CENTER, &fact.label, theme.body_font(), second);
    let mut at = rect.right_center() - vec2(HAIRLINE, 0.0);
    if let Some(then) = &fact.then {
        let proposed = color(theme.palette.proposed);
        let written = painter.text(at, Align2::RIGHT_CENTER, then, theme.body_font(), proposed);
        let middle = written.left() - theme.gap - ARROW / 2.0;
        marks::arrow(painter, pos2(middle, rect.center().y), ARROW, proposed);
        at.x = middle - ARROW / 2.0 - theme.gap;
    }
    painter.text(at, Align2::RIGHT_CENTER, &fact.value, theme.body_font(), ink);
    if !fact.more.is_empty() {
        response.on_hover_text(&fact.more);
    }
}

/// Draws the origins in small type, on as many lines as needed.
pub(in crate::window) fn show_origins(ui: &mut egui::Ui, view: &View<'_>) {
    let words = origins(view);
    if words.is_empty() {
        return;
    }
    let theme = view.theme;
    let words = format!("Origin: {words}");
    let text = egui::RichText::new(&words).size(theme.small).color(color(theme.palette.ink_secondary));
    ui.add(egui::Label::new(text).wrap().selectable(false)).on_hover_text("Where the values came from.");
}
