//! What a preview would do, in words; what is wrong; and otherwise what can be done here.

use eframe::egui::{self, RichText};

use super::{field, fit_words, sentences};
use crate::checks::Severity;
use crate::project::Advance;
use crate::project::thresholds::CROWDED_PCT;
use crate::shaping::{Along, Deviation, Fitted, LIFT_RADIUS, Shaped, Tool, WhyNot};
use crate::table::Cell;
use crate::window::kit::marks;
use crate::window::kit::theme::kit_sizes::MARK_GAP;
use crate::window::kit::theme::view_sizes::{PROPOSAL_MARK, PROPOSAL_MARK_ROOM};
use crate::window::kit::theme::{Theme, color};
use crate::window::state::inspector_state::{Proposal, Proposer};
use crate::window::tasks::preview::Outcome;
use crate::window::views::view::View;
use crate::wording::{Unit, capital, change, count, fixed, given, point, quantity, step_decimals, with_unit, written};

/// A sentence to show, and whether it is a warning.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Words {
    /// What to say.
    pub text: String,
    /// Whether it carries the warning mark.
    pub is_warning: bool,
    /// What there is no room for: the tooltip, and what a screen reader may read on demand.
    pub more: Option<String>,
}

impl Words {
    pub(in crate::window) fn plain(text: impl Into<String>) -> Self {
        Self { text: text.into(), is_warning: false, more: None }
    }

    pub(in crate::window) fn warning(text: impl Into<String>) -> Self {
        Self { text: text.into(), is_warning: true, more: None }
    }
}

/// What to say about the preview of `by`; `None` if it previews nothing.
pub fn of_preview(view: &View<'_>, by: Proposer) -> Option<Words> {
    let outcome = view.preview?;
    let proposal = view.screen.proposals.shown.as_ref();
    if proposal.is_some_and(|proposal| proposal.by != by) {
        return None;
    }
    Some(match (outcome, proposal) {
        (Outcome::Refused { why, .. }, _) => Words::warning(why.to_string()),
        (Outcome::Done(done), Some(proposal)) => done_words(view, proposal, &done.shaped),
        (Outcome::Working { share: None, .. }, _) => Words::plain("Working… Esc gives up."),
        (Outcome::Working { share: Some(share), .. }, _) => {
            let share = with_unit(&fixed(100.0 * share, 0), Unit::Percent);
            Words::plain(format!("Working, {share} of the longest that it can take. Esc gives up."))
        }
        (Outcome::Done(_), None) => return None,
    })
}

fn done_words(view: &View<'_>, proposal: &Proposal, shaped: &Shaped) -> Words {
    let before = &view.document.project().advance;
    let unit = view.project.sensors.load.unit();
    let told = told(before, &proposal.tool, shaped, view.project.step_deg, unit);
    let told = limits(view, proposal).map_or_else(|| told.clone(), |limits| format!("{told} {limits}"));
    // Said before it is applied: the image would keep the unit's old size.
    if let Some(pinned) = view.project.pinned_since(view.document.project()) {
        return Words::warning(format!("{} {}.", told, capital(&pinned.to_string())));
    }
    match crowded(view) {
        Some(text) if proposal.tool.manner().minds_crowding => Words::warning(format!("{told}; {text}")),
        _ if shaped.held_lost > 0 => Words::warning(told),
        _ => shaped.fitted.as_ref().map_or_else(|| Words::plain(told.clone()), |fitted| fit(view, fitted, &told)),
    }
}

/// What a fit came to; how many cells it changes and every residual have no room.
fn fit(view: &View<'_>, fitted: &Fitted, told: &str) -> Words {
    let project = view.settled();
    let (cells, readings) = (fit_words::came_to(project, fitted), fit_words::readings(project, fitted));
    let more = format!("{told}\n{cells}.\n{readings}");
    Words { more: Some(more), ..Words::plain(fit_words::proposed(project, fitted)) }
}

/// What a tool would do: how many cells change, how many held ones stay, and by how much the largest change is.
pub fn told(before: &Advance, tool: &Tool, shaped: &Shaped, step_deg: f64, load_unit: Unit) -> String {
    if let Some(largest) = shaped.largest_change {
        return axes_told(shaped, largest, load_unit);
    }
    let cells = count(shaped.changed, "cell");
    if let Some(marks) = tool.manner().marks {
        return format!("{marks} {cells}.");
    }
    let mut text = if shaped.changed == 0 { "Changes nothing".to_owned() } else { format!("Changes {cells}") };
    match shaped.held {
        0 => {}
        1 => text.push_str(", 1 held stays"),
        held => text.push_str(&format!(", {held} held stay")),
    }
    if shaped.changed > 0 {
        let deg = largest_difference(before, &shaped.advance);
        text.push_str(&format!(", largest change {}", with_unit(&change(deg, step_decimals(step_deg)), Unit::Degree)));
    }
    text.push('.');
    text
}

/// What a previewed tool keeps to, if it has a limit.
fn limits(view: &View<'_>, proposal: &Proposal) -> Option<String> {
    let selected = &view.selection.cells;
    let is_asked_for = |cell: &Cell| selected.count() == 1 || selected.contains(*cell);
    let idle = view.settled().idle_cells();
    let spared = idle.cells().filter(is_asked_for).filter(|&cell| !proposal.cells.contains(cell)).count();
    sentences::limits(&proposal.tool, spared)
}

fn axes_told(shaped: &Shaped, largest: Deviation, load_unit: Unit) -> String {
    let table = shaped.advance.table();
    let size = format!("{} speeds × {} loads", table.speed().len(), table.load().len());
    let lost = match shaped.held_lost {
        0 => String::new(),
        1 => "; 1 held cell goes".to_owned(),
        held => format!("; {held} held cells go"),
    };
    // Lookups of the same surface over two sets of breakpoints differ by rounding error.
    if largest.deg.abs() < 1e-9 {
        return format!("{size}: the surface changes nowhere{lost}.");
    }
    let (place, deg) = (point(largest.speed_rpm, largest.load, load_unit), change(largest.deg, 1));
    format!("{size}: the surface changes most at {place}: {}{lost}.", with_unit(&deg, Unit::Degree))
}

fn largest_difference(before: &Advance, after: &Advance) -> f64 {
    let pairs = before.table().values().iter().zip(after.table().values());
    pairs.map(|(was, is)| is - was).fold(0.0, |most: f64, next| if next.abs() > most.abs() { next } else { most })
}

/// Which breakpoints are too close for smoothing to mean much, if any are.
pub fn crowded(view: &View<'_>) -> Option<String> {
    let table = view.settled().advance.table();
    let unit = view.project.sensors.load.unit();
    let share = CROWDED_PCT.of(view.settled()) / 100.0;
    let speed = table.speed().crowded(share).map(|pair| (pair, Unit::Rpm));
    let ((low, high), unit) = speed.or_else(|| table.load().crowded(share).map(|pair| (pair, unit)))?;
    Some(format!(
        "breakpoints {} and {} are very close, fairing bends between them",
        given(low, unit),
        quantity(high, unit)
    ))
}

/// What the inspector has to say now: problems first, then what a preview does, then what can be done.
pub(in crate::window) fn of_inspector(view: &View<'_>, pointed: Option<&WhyNot>) -> Words {
    if let Some((field, _)) = &view.screen.inspector.typing
        && let Some(fault) = field::fault(view, *field)
    {
        return Words::warning(fault);
    }
    if let Some(words) = of_preview(view, Proposer::Sentence) {
        return words;
    }
    if let Some(refusal) = pointed {
        return Words::plain(refusal.long);
    }
    if view.screen.surface.lift_armed {
        let radius = written(view.screen.inspector.amounts.of(&LIFT_RADIUS));
        return Words::plain(format!("Drag any vertex of the surface: its neighbours within {radius} cells follow."));
    }
    Words::plain("Point at a sentence to see what it would do.")
}

/// Draws words with their mark.
pub(in crate::window) fn show(ui: &mut egui::Ui, theme: &Theme, words: &Words) {
    let ink = if words.is_warning { theme.palette.ink } else { theme.palette.ink_secondary };
    let text = RichText::new(&words.text).size(theme.small).color(color(ink));
    ui.horizontal_top(|ui| {
        if words.is_warning {
            let (rect, _) = ui.allocate_exact_size(PROPOSAL_MARK_ROOM, egui::Sense::hover());
            warning_mark(ui, theme, rect.center());
            ui.spacing_mut().item_spacing.x = MARK_GAP;
        }
        let label = ui.add(egui::Label::new(text).wrap());
        if let Some(more) = &words.more {
            ui.ctx().accesskit_node_builder(label.id, |node| node.set_description(more.as_str()));
            label.on_hover_text(more);
        }
    });
}

/// The mark of a warning about a point.
pub(in crate::window) fn warning_mark(ui: &egui::Ui, theme: &Theme, centre: egui::Pos2) {
    let mark = egui::Rect::from_center_size(centre, PROPOSAL_MARK);
    ui.painter().add(marks::severity(mark, Severity::Warning, color(theme.palette.warning)));
}

/// The unit of an axis.
pub(in crate::window) fn axis_unit(view: &View<'_>, along: Along) -> Unit {
    match along {
        Along::Speed => Unit::Rpm,
        Along::Load => view.project.sensors.load.unit(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;
    use crate::table::{Block, Cell, Selection};

    fn advance() -> Advance {
        SAMPLES[0].project().unwrap().advance.clone()
    }

    fn tell(advance: &Advance, tool: &Tool, cells: &Selection) -> String {
        told(advance, tool, &tool.apply(advance, cells).unwrap(), 0.5, Unit::Percent)
    }

    #[test]
    fn tells_cells_held_and_largest_change() {
        let start = advance();
        let block = Selection::block(start.table(), &Block::between(Cell::new(2, 2), Cell::new(3, 3)));
        let start = start.with_held(&Selection::all(start.table()), false);
        assert_eq!(tell(&start, &Tool::Add { deg: 1.5 }, &block), "Changes 4 cells, largest change +1.5°.");
        let held = start.with_held(&Selection::cell(start.table(), Cell::new(2, 2)), true);
        assert_eq!(
            tell(&held, &Tool::Add { deg: -2.0 }, &block),
            "Changes 3 cells, 1 held stays, largest change \u{2212}2.0°."
        );
        assert_eq!(tell(&held, &Tool::Add { deg: 0.0 }, &block), "Changes nothing, 1 held stays.");
        assert_eq!(
            tell(&held, &Tool::Add { deg: 0.01 }, &block),
            "Changes 3 cells, 1 held stays, largest change +0.01°."
        );
        assert_eq!(tell(&held, &Tool::Hold { measured: false }, &block), "Holds 3 cells.");
        assert_eq!(tell(&held, &Tool::Release, &block), "Releases 1 cell.");
    }

    #[test]
    fn a_breakpoint_more_changes_the_surface_nowhere() {
        let start = advance();
        let middle = start.table().speed().breakpoints()[..2].iter().sum::<f64>() / 2.0;
        let tool = Tool::InsertBreakpoint { along: Along::Speed, at: middle };
        let text = tell(&start, &tool, &Selection::all(start.table()));
        assert_eq!(text, "17 speeds × 16 loads: the surface changes nowhere.");
    }
}
