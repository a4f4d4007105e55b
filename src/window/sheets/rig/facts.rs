//! Facts about the whole run, each of which leads to where it happened; and the marks of those that are bad, for the lanes.

use std::sync::Arc;

use eframe::egui::{
    self, Align, Button, Label, Layout, Rect, RichText, Role, Sense, UiBuilder, WidgetInfo, pos2, vec2,
};

use super::bench::{Bench, Driven};
use super::rig_words;
use crate::checks::{RunFact, RunVerdict, Severity, Tally, run_verdicts};
use crate::project::Output;
use crate::rig::{OutputTally, What};
use crate::window::kit::marks;
use crate::window::kit::theme::engine_sheet_sizes::{
    FACT, FACT_BELOW, FACT_HEADING, FACT_MARK, FACT_PADDING, FACT_ROW,
};
use crate::window::kit::theme::{color, severity_ink, strong_label, whole_parts};
use crate::window::state::outbox::Outbox;
use crate::window::state::rig_state::RigMessage;
use crate::window::views::view::View;
use crate::wording::{Unit, capital, figure, figure_number, fixed, with_unit};

/// One fact.
struct Fact {
    name: String,
    value: String,
    /// The times that it leads to, in order.
    places_s: Vec<f64>,
    /// Why it is bad, if it is.
    verdict: Option<RunVerdict>,
}

impl Fact {
    /// With what is bad about it.
    fn judged(self, fact: RunFact, verdicts: &[RunVerdict]) -> Self {
        Self { verdict: verdicts.iter().find(|verdict| verdict.fact == fact).cloned(), ..self }
    }

    /// All of it: '40 mJ at 12.0 V. Warning: for the weakest spark …'.
    fn told(&self) -> String {
        let bad = self.verdict.as_ref().map(|bad| format!(" {}: {}.", capital(bad.severity.name()), bad.reason));
        format!("{}: {}.{}", self.name, self.value, bad.unwrap_or_default())
    }
}

/// Where in time something is bad.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Mark {
    pub(super) time_s: f64,
    pub(super) severity: Severity,
    /// Which aspect of the run: it decides the lane.
    pub(super) fact: RunFact,
    /// What it is called.
    pub(super) name: String,
}

/// What is said about the run, kept until another one is driven.
#[derive(Default)]
pub(super) struct Facts {
    of: Option<Arc<Driven>>,
    facts: Vec<Fact>,
    marks: Vec<Mark>,
    tally: Tally,
}

impl Facts {
    /// Brings them up to the run that was driven last.
    pub(super) fn settle(&mut self, bench: &Bench) {
        let driven = bench.driven();
        let is_same = match (&self.of, driven) {
            (Some(of), Some(driven)) => Arc::ptr_eq(of, driven),
            (of, driven) => of.is_none() && driven.is_none(),
        };
        if is_same {
            return;
        }
        let verdicts = driven.map_or_else(Vec::new, |driven| run_verdicts(&driven.project, &driven.summary));
        self.facts = driven.map_or_else(Vec::new, |driven| facts(driven, &verdicts));
        self.tally = Tally::of_severities(verdicts.iter().map(|bad| bad.severity));
        self.marks = marks(&self.facts);
        self.of = driven.cloned();
    }

    /// Where something is bad, in order of time.
    pub(super) fn marks(&self) -> &[Mark] {
        &self.marks
    }

    /// Reports how many aspects of the run are bad, and for which state of the document.
    pub(super) fn tell_tally(&self, view: &View<'_>, bench: &Bench, outbox: &mut Outbox) {
        let told = bench.is_current().then(|| (view.document.revision(), self.tally));
        if view.screen.rig.told != told {
            outbox.send(RigMessage::Told(told));
        }
    }

    /// The height that the facts take.
    #[expect(clippy::cast_precision_loss, reason = "a few rows")]
    pub(super) fn height(&self, width: f32) -> f32 {
        FACT_HEADING + FACT_ROW * rows(self.facts.len().max(FEWEST), width).1 as f32 + FACT_BELOW
    }

    pub(super) fn show(&self, ui: &mut egui::Ui, view: &View<'_>, bench: &Bench, outbox: &mut Outbox) {
        let rect = ui.max_rect();
        let head = Rect::from_min_size(rect.min, vec2(rect.width(), FACT_HEADING));
        let mut line = ui.new_child(UiBuilder::new().max_rect(head).layout(Layout::left_to_right(Align::Center)));
        strong_label(&mut line, "Whole run", view.theme.heading_font());
        let Some(driven) = bench.driven().filter(|_| bench.is_current()) else { return };
        let left_out = driven.record.changes_left_out();
        if left_out > 0 {
            let told = format!(
                "{left_out} more changes than can be shown: states, sync, outputs and cuts end early, the figures hold"
            );
            let ink = color(view.theme.palette.warning);
            line.add(Label::new(RichText::new(told).size(view.theme.small).color(ink)).truncate());
        }
        let (columns, _) = rows(self.facts.len(), rect.width());
        #[expect(clippy::cast_precision_loss, reason = "a few facts")]
        for (place, fact) in self.facts.iter().enumerate() {
            let width = rect.width() / columns as f32;
            let at = vec2((place % columns) as f32 * width, (place / columns) as f32 * FACT_ROW);
            let own =
                Rect::from_min_size(pos2(rect.left(), head.bottom()) + at, vec2(width - view.theme.gap, FACT_ROW));
            tell(ui, own, fact, view, outbox);
        }
    }
}

/// The marks of the bad facts.
fn marks(facts: &[Fact]) -> Vec<Mark> {
    let of = |fact: &Fact| {
        let bad = fact.verdict.clone()?;
        let name = fact.name.clone();
        let mark = move |&time_s: &f64| Mark { time_s, severity: bad.severity, fact: bad.fact, name: name.clone() };
        Some(fact.places_s.iter().map(mark).collect::<Vec<_>>())
    };
    let mut marks: Vec<Mark> = facts.iter().filter_map(of).flatten().collect();
    marks.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    marks
}

/// How many facts stand side by side, and in how many rows.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
fn rows(count: usize, width: f32) -> (usize, usize) {
    let columns = ((width / FACT) as usize).clamp(1, count.max(1));
    (columns, count.div_ceil(columns).max(1))
}

/// Every run has so many facts at least.
const FEWEST: usize = 7;

fn tell(ui: &mut egui::Ui, rect: Rect, fact: &Fact, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    let mut own =
        ui.new_child(UiBuilder::new().id_salt(&fact.name).max_rect(rect).layout(Layout::top_down(Align::Min)));
    own.spacing_mut().item_spacing.y = 0.0;
    own.spacing_mut().button_padding = FACT_PADDING;
    own.spacing_mut().interact_size.y = 0.0;
    let name = match &fact.verdict {
        Some(bad) => format!("{}: {}", bad.severity.name(), fact.name),
        None => fact.name.clone(),
    };
    let ink = fact.verdict.as_ref().map_or(theme.palette.ink_secondary, |bad| severity_ink(theme, bad.severity));
    let name = RichText::new(name).size(theme.small).color(color(ink));
    own.horizontal(|own| {
        if let Some(bad) = &fact.verdict {
            let (place, _) = own.allocate_exact_size(vec2(FACT_MARK, FACT_MARK), Sense::hover());
            own.painter().add(marks::severity(place, bad.severity, color(ink)));
        }
        own.add(Label::new(name).truncate());
    });
    let value = whole_parts(&own, &fact.value, rect.width(), &theme.body_font(), &[" at ", ", "]);
    let words = match &fact.verdict {
        Some(bad) => format!("{}, {}: {}", fact.value, bad.severity.name(), bad.reason),
        None => fact.value.clone(),
    };
    if fact.places_s.is_empty() {
        let label = own.add(Label::new(value).truncate());
        label.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
        label.on_hover_text(fact.told());
        return;
    }
    let link = own.add(Button::new(RichText::new(value).underline()).frame(false).truncate());
    link.widget_info(|| WidgetInfo::labeled(Role::Button, true, &words));
    let many = if fact.places_s.len() > 1 { format!(", one of {}", fact.places_s.len()) } else { String::new() };
    if link.on_hover_text(format!("{} Go there{many}.", fact.told())).clicked() {
        let cursor_s = view.screen.rig.cursor_s;
        let next = fact.places_s.iter().copied().find(|&at| at > cursor_s + 1e-9);
        if let Some(time_s) = next.or_else(|| fact.places_s.first().copied()) {
            outbox.send(RigMessage::LookAt(time_s));
        }
    }
}

fn facts(driven: &Driven, verdicts: &[RunVerdict]) -> Vec<Fact> {
    let left_out = |what: &What| matches!(what, What::Skip { .. });
    let mut sparks = sparks(driven).judged(RunFact::Sparks, verdicts);
    if sparks.verdict.is_some() {
        // It leads to what is bad about it, and not to what a limit cuts.
        sparks.places_s = places(driven, left_out);
    }
    let mut facts = vec![
        error(driven).judged(RunFact::TimingError, verdicts),
        energy(driven).judged(RunFact::Energy, verdicts),
        dwell(driven).judged(RunFact::Dwell, verdicts),
        sync(driven).judged(RunFact::Sync, verdicts),
        sparks,
        first_spark(driven),
    ];
    facts.extend(outputs(driven));
    facts
}

fn fact(name: &str, value: Option<String>, places_s: Vec<f64>) -> Fact {
    let value = value.unwrap_or_else(|| "none: no spark".to_owned());
    Fact { name: name.to_owned(), value, places_s, verdict: None }
}

fn error(driven: &Driven) -> Fact {
    let event = driven.record.largest_error();
    let value = event.and_then(|event| {
        let deg = event.what.error_deg()?;
        Some(format!("{} at {}", rig_words::error(deg), figure(event.time_s, Unit::Second)))
    });
    fact("largest timing error", value, event.map(|event| event.time_s).into_iter().collect())
}

fn energy(driven: &Driven) -> Fact {
    let event = driven.record.least_energy();
    let value = event.and_then(|event| {
        let What::Spark { energy_mj, .. } = event.what else { return None };
        let battery_v = driven.run.at(event.time_s).battery_v;
        Some(format!("{} at {}", figure(energy_mj, Unit::Millijoule), with_unit(&fixed(battery_v, 1), Unit::Volt)))
    });
    fact("least energy stored", value, event.map(|event| event.time_s).into_iter().collect())
}

fn dwell(driven: &Driven) -> Fact {
    let event = driven.record.shortest_dwell();
    let sums = &driven.summary;
    let value = sums.min_dwell_ms.zip(sums.max_dwell_ms).map(|(least, most)| {
        let (least, most) = (figure_number(least, Unit::Millisecond), figure(most, Unit::Millisecond));
        let range = if most.starts_with(&format!("{least} ")) { most } else { format!("{least} to {most}") };
        if sums.short_dwells == 0 { range } else { format!("{range}, {} short", sums.short_dwells) }
    });
    fact("dwell", value, event.map(|event| event.time_s).into_iter().collect())
}

fn sync(driven: &Driven) -> Fact {
    let sums = &driven.summary;
    let lost = places(driven, |what| matches!(what, What::SyncLost(_)));
    let (value, places_s) = match (sums.syncs, sums.sync_losses) {
        (0, _) => ("never found".to_owned(), Vec::new()),
        (_, 0) => ("found, never lost".to_owned(), places(driven, |what| matches!(what, What::Sync))),
        (_, 1) => ("lost once".to_owned(), lost),
        (_, losses) => (format!("lost {losses} times"), lost),
    };
    fact("sync", Some(value), places_s)
}

fn sparks(driven: &Driven) -> Fact {
    let sums = &driven.summary;
    let left_out = [(sums.cuts, "cut"), (sums.skips, "skipped"), (sums.let_downs, "let down")];
    let mut value = sums.sparks.to_string();
    for (count, words) in left_out.into_iter().filter(|(count, _)| *count > 0) {
        value.push_str(&format!(", {count} {words}"));
    }
    let places_s = places(driven, |what| matches!(what, What::Cut { .. } | What::Skip { .. } | What::LetDown { .. }));
    fact("sparks", Some(value), places_s)
}

fn first_spark(driven: &Driven) -> Fact {
    let deg = driven.summary.degrees_before_first_spark;
    let value = deg.map(|deg| format!("{} of crank", with_unit(&fixed(deg, 0), Unit::Degree)));
    fact("before the first spark", value, driven.record.first_spark().map(|event| event.time_s).into_iter().collect())
}

/// Each output that comes on, and the others together.
fn outputs(driven: &Driven) -> Vec<Fact> {
    let used = driven.project.outputs.iter().zip(&driven.summary.outputs).enumerate();
    let (on, off): (Vec<_>, Vec<_>) =
        used.filter(|(_, (output, _))| output.enabled).partition(|(_, (_, tally))| tally.switches > 0);
    let told = |(at, (output, tally)): (usize, (&Output, &OutputTally))| {
        let times = if tally.switches == 1 { "once".to_owned() } else { format!("{} times", tally.switches) };
        let value = format!("on {times}, {}", figure(tally.on_s, Unit::Second));
        let switched = |what: &What| matches!(*what, What::OutputOn { output } if output == at);
        fact(&output.name, Some(value), places(driven, switched))
    };
    let mut facts: Vec<Fact> = on.into_iter().map(told).collect();
    if !off.is_empty() {
        let names: Vec<&str> = off.iter().map(|(_, (output, _))| output.name.as_str()).collect();
        facts.push(fact("never on", Some(names.join(", ")), Vec::new()));
    }
    facts
}

fn places(driven: &Driven, wanted: impl Fn(&What) -> bool) -> Vec<f64> {
    driven.record.changes().iter().filter(|event| wanted(&event.what)).map(|event| event.time_s).collect()
}
