//! What is known about the selected cells.

use eframe::egui::{self, Align2, Id, Rect, Role, Sense, WidgetInfo, vec2};

use crate::project::Origin;
use crate::shaping::{Along, Bend, Slope, bend, most_bent, slope_after, slope_before, steepest};
use crate::table::{Cell, Selection};
use crate::window::View;
use crate::window::theme::color;
use crate::wording::{count, fixed, point, signed, step_decimals, with_unit};

/// One line: what, how much, and the rest for the tooltip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fact {
    /// What it is; empty when it goes on with the line before.
    pub label: String,
    /// The value with its unit.
    pub value: String,
    /// More, for the tooltip and for those who cannot see.
    pub more: String,
}

impl Fact {
    fn new(label: impl Into<String>, value: impl Into<String>, more: impl Into<String>) -> Self {
        Self { label: label.into(), value: value.into(), more: more.into() }
    }
}

/// The heading: how many cells, how many held.
pub fn heading(view: &View<'_>) -> String {
    let selected = &view.screen.selection.cells;
    let held = selected.cells().filter(|&cell| view.advance().held().contains(cell)).count();
    match (selected.count(), held) {
        (cells, 0) => count(cells, "cell"),
        (1, _) => "1 cell, held".to_owned(),
        (cells, held) => format!("{cells} cells, {held} held"),
    }
}

/// The lines under the heading.
pub fn facts(view: &View<'_>) -> Vec<Fact> {
    let selected = &view.screen.selection.cells;
    if !selected.fits(view.table()) || selected.is_empty() {
        return Vec::new();
    }
    let mut facts = vec![value(view, selected), from_base(view, selected)];
    facts.extend(origins(view, selected));
    match single(selected) {
        Some(cell) => facts.extend([Along::Speed, Along::Load].map(|along| around(view, cell, along))),
        None => facts.extend([Along::Speed, Along::Load].map(|along| steepest_fact(view, selected, along))),
    }
    facts.extend(curvature(view, selected));
    facts
}

fn single(selected: &Selection) -> Option<Cell> {
    if selected.count() == 1 { selected.cells().next() } else { None }
}

/// The least and the largest.
fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| (low.min(z), high.max(z)))
}

fn value(view: &View<'_>, selected: &Selection) -> Fact {
    let (low, high) = range(selected.cells().map(|cell| view.table().at(cell)));
    let [least, most] = [low, high].map(|deg| view.degrees(deg));
    let text = with_unit(&if least == most { least } else { format!("{least} to {most}") }, "°");
    Fact::new("Value", text, "degrees before top dead centre")
}

fn from_base(view: &View<'_>, selected: &Selection) -> Fact {
    let base = &view.base.project;
    if base.sensors.load != view.project.sensors.load {
        return Fact::new("From base", "other load", format!("the base '{}' has another load axis", view.base.name));
    }
    let (table, old) = (view.table(), base.advance.table());
    let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
    let difference = |cell: Cell| table.at(cell) - old.lookup(speeds[cell.speed], loads[cell.load]);
    let (low, high) = range(selected.cells().map(difference));
    let decimals = step_decimals(view.project.step_deg);
    let [least, most] = [low, high].map(|deg| signed(deg, decimals));
    let text = with_unit(&if least == most { least } else { format!("{least} to {most}") }, "°");
    Fact::new("From base", text, format!("edited minus base '{}'", view.base.name))
}

/// The commonest origin on one line, the next or the number of others on a second.
fn origins(view: &View<'_>, selected: &Selection) -> Vec<Fact> {
    let of = |origin: Origin| selected.cells().filter(|&cell| view.advance().origin(cell) == origin).count();
    let mut counts: Vec<(usize, &str)> = Origin::ALL.into_iter().map(|origin| (of(origin), origin.name())).collect();
    counts.retain(|(cells, _)| *cells > 0);
    counts.sort_by_key(|(cells, _)| std::cmp::Reverse(*cells));
    let words: Vec<String> = counts.iter().map(|(cells, name)| format!("{name} {cells}")).collect();
    if single(selected).is_some() {
        return vec![Fact::new("Origin", counts.first().map_or("", |(_, name)| name), "where the value came from")];
    }
    let second = match words.len() {
        0 | 1 => String::new(),
        2 => words[1].clone(),
        more => format!("{} others {}", more - 1, counts[1..].iter().map(|(cells, _)| cells).sum::<usize>()),
    };
    let all = if words.len() > 2 { words.join(", ") } else { String::new() };
    vec![Fact::new("Origin", words.first().cloned().unwrap_or_default(), all.clone()), Fact::new("", second, all)]
}

/// Slopes are told per 1000 rpm and per unit of load.
fn per(view: &View<'_>, along: Along) -> (f64, usize, String) {
    match along {
        Along::Speed => (1000.0, 1, "1000 rpm".to_owned()),
        Along::Load => (1.0, 2, view.project.sensors.load.unit().to_owned()),
    }
}

fn steepest_fact(view: &View<'_>, selected: &Selection, along: Along) -> Fact {
    let (units, decimals, unit) = per(view, along);
    let label = if along == Along::Speed { "Steepest" } else { "" };
    let Some(slope) = steepest(view.table(), selected, along) else {
        return Fact::new(label, "\u{2013}", format!("no neighbours along {along}"));
    };
    let text = with_unit(&fixed(slope.deg_per_unit * units, decimals), &format!("°/{unit}"));
    Fact::new(
        label,
        text,
        format!("steepest slope along {along}, between {} and {}", place(view, slope.from), place(view, slope.to)),
    )
}

/// The slopes from the neighbours before and to the one after.
fn around(view: &View<'_>, cell: Cell, along: Along) -> Fact {
    let (units, decimals, unit) = per(view, along);
    let [before, after] = [slope_before(view.table(), cell, along), slope_after(view.table(), cell, along)];
    let text = |slope: Option<Slope>| slope.map(|slope| signed(slope.deg_per_unit * units, decimals));
    let words = match (text(before), text(after)) {
        (Some(before), Some(after)) => format!("{before}, {after}"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => "\u{2013}".to_owned(),
    };
    let from = before.map(|slope| format!("from {}", place(view, slope.from)));
    let to = after.map(|slope| format!("to {}", place(view, slope.to)));
    let more: Vec<String> = [from, to].into_iter().flatten().collect();
    Fact::new(format!("°/{unit}"), words, format!("slope along {along} {}", more.join(", then ")))
}

fn curvature(view: &View<'_>, selected: &Selection) -> Vec<Fact> {
    let most = match single(selected) {
        Some(cell) => {
            let both = [Along::Speed, Along::Load].map(|along| bend(view.table(), cell, along));
            both.into_iter().flatten().reduce(|most, next| if next.deg.abs() > most.deg.abs() { next } else { most })
        }
        None => most_bent(view.table(), selected),
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
        Fact::new("Curvature", with_unit(&size, "°") + side, more.clone()),
        Fact::new("", format!("along {along}"), more),
    ]
}

/// A cell by its breakpoints.
fn place(view: &View<'_>, cell: Cell) -> String {
    let table = view.table();
    let (speed_rpm, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
    point(speed_rpm, load, view.project.sensors.load.unit())
}

/// Draws a fact as one line of `rect`.
pub(super) fn show(ui: &egui::Ui, view: &View<'_>, rect: Rect, fact: &Fact, line: usize) {
    if fact.value.is_empty() {
        // The line is kept free, so that those below stay where they are.
        return;
    }
    let theme = view.theme;
    let response = ui.interact(rect, Id::unique(("fact", line)), Sense::hover());
    let words = [fact.label.as_str(), " ", &fact.value, ", ", &fact.more].concat();
    let words = words.trim_matches([' ', ',']).to_owned();
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    let painter = ui.painter();
    let ink = color(theme.palette.ink_secondary);
    painter.text(rect.left_center(), Align2::LEFT_CENTER, &fact.label, theme.body_font(), ink);
    let at = rect.right_center() - vec2(1.0, 0.0);
    painter.text(at, Align2::RIGHT_CENTER, &fact.value, theme.body_font(), color(theme.palette.ink));
    if !fact.more.is_empty() {
        response.on_hover_text(&fact.more);
    }
}
