//! What the unit makes of the image, and how each part of the project reaches it: in the image, by hand, folded
//! into the table, or not at all.

use std::sync::Arc;

use eframe::egui::{self, Align, Label, Layout, RichText, ScrollArea, Sense, UiBuilder, vec2};

use super::kept::Kept;
use crate::image::{FlashedUnit, NotHeld, SparkComparison, add_missing, compare_spark, folding_words, largest_folding};
use crate::project::{CoveredHow, CoveredPart, Project};
use crate::window::kit::theme::engine_sheet_sizes::{FOLDED_AT_WIDTH, PART_NAME};
use crate::window::kit::theme::kit_sizes::ROUNDING;
use crate::window::kit::theme::{color, strong_family, strong_label};
use crate::window::state::edits::ImageEdit;
use crate::window::state::outbox::Outbox;
use crate::window::tasks::task::Task;
use crate::window::views::form;
use crate::window::views::form::choice::{self, Choice};
use crate::window::views::view::View;
use crate::wording::{count, lower_first};

/// What was found of a project.
pub(super) struct InUnit {
    spark: SparkComparison,
    folded: Option<(f64, f64, f64)>,
}

/// Computes what a unit makes of the image, on a thread.
#[derive(Default)]
pub(super) struct UnitKeeper {
    newest: Task<Project, InUnit>,
}

impl UnitKeeper {
    /// Updates it to the project on show.
    pub(super) fn settle(&mut self, view: &View<'_>, ctx: &egui::Context) {
        self.newest.receive();
        let project = view.project.clone();
        self.newest.ask(view.project, ctx, "the comparison of the spark", move |_| {
            let unit = FlashedUnit::of(&project)?;
            let folded = largest_folding(&project)?;
            Ok(InUnit { spark: compare_spark(&project, &unit), folded })
        });
    }

    fn found(&self, view: &View<'_>) -> Option<&Arc<InUnit>> {
        self.newest.shown(view.project)
    }

    /// Whether the spark of the bytes is the project's.
    pub(super) fn is_same(&self, view: &View<'_>) -> bool {
        self.found(view).is_some_and(|found| found.spark.is_same())
    }

    /// The result, one sentence each, with full stops.
    pub(super) fn sentences(&self, view: &View<'_>) -> Vec<String> {
        let unit = view.project.sensors.load.unit();
        if let Some(why) = self.newest.fault_of(view.project) {
            return vec![format!("What the unit would command cannot be told: {why}.")];
        }
        let Some(found) = self.found(view) else {
            return vec!["Comparing the spark of the bytes with the project's…".into()];
        };
        let folded = found.folded.map(|largest| folding_words(largest, unit));
        found.spark.sentences(unit).into_iter().chain(folded).map(|words| words + ".").collect()
    }
}

/// How many parts are to be set by hand and were not ticked, in words; `None` where there are none.
pub(super) fn open_words(kept: &Kept) -> Option<String> {
    let open = kept.not_held.iter().filter(|part| part.is_open()).count();
    (open > 0)
        .then(|| format!("{} of the project not in the image and not ticked as set in the unit.", count(open, "part")))
}

/// Draws the tab into the rest of `ui`.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, keeper: &UnitKeeper, outbox: &mut Outbox) {
    let theme = view.theme;
    for sentence in keeper.sentences(view) {
        ui.add(Label::new(RichText::new(sentence).size(theme.small)).wrap());
    }
    let list = &kept.not_held;
    // In a narrow window what does not fit beside goes below.
    ui.horizontal_wrapped(|ui| {
        let title = match list.len() {
            0 => "In the project, not in the image: nothing".to_owned(),
            _ => format!("In the project, not in the image: {}", count(list.len(), "part")),
        };
        strong_label(ui, title, theme.heading_font());
        add_button(ui, view, list, outbox);
    });
    ScrollArea::vertical().id_salt("parts of the project").auto_shrink(false).show(ui, |ui| {
        for part in list {
            row(ui, view, part, outbox);
        }
        strong_label(ui, "In the image", theme.heading_font());
        let is_listed = |part: CoveredPart| list.iter().any(|held| held.part == part);
        for part in CoveredPart::ALL.into_iter().filter(|part| !is_listed(*part)) {
            ui.horizontal_wrapped(|ui| {
                part_name(ui, view, part.words().into());
                how(ui, view, part, outbox);
            });
        }
    });
}

fn part_name(ui: &mut egui::Ui, view: &View<'_>, name: RichText) {
    let (rect, _) = ui.allocate_exact_size(vec2(PART_NAME, view.theme.field_height), Sense::hover());
    let layout = Layout::left_to_right(Align::Center);
    ui.new_child(UiBuilder::new().max_rect(rect).layout(layout)).add(Label::new(name).truncate());
}

fn add_button(ui: &mut egui::Ui, view: &View<'_>, list: &[NotHeld], outbox: &mut Outbox) {
    let adds = list.iter().any(NotHeld::is_by_hand);
    let response = ui.add_enabled(adds, egui::Button::new("Add what is missing"));
    let told = "Give everything that the image does not hold an item, where there is room: as one step. Items that are there \
                stay where they are.";
    let response = response.on_hover_text(told).on_disabled_hover_text("Nothing is missing.");
    if !response.clicked() {
        return;
    }
    match add_missing(view.document.project()) {
        Ok((_, completed)) if completed.added.is_empty() => {
            outbox.complain("The image has no room for any of it: make it larger, or move or remove items");
        }
        Ok((_, completed)) => {
            let label = format!("Add {} to the image", count(completed.added.len(), "item"));
            outbox.edit(label, ImageEdit::AddMissing);
            if !completed.no_room.is_empty() {
                let parts: Vec<&str> = completed.no_room.iter().map(|part| part.words()).collect();
                outbox.say(format!("The image has no room for: {}", lower_first(&parts.join(", "))));
            }
        }
        Err(error) => outbox.complain(error.to_string()),
    }
}

/// A part that the image does not hold completely.
fn row(ui: &mut egui::Ui, view: &View<'_>, part: &NotHeld, outbox: &mut Outbox) {
    let theme = view.theme;
    ui.horizontal_wrapped(|ui| {
        part_name(ui, view, RichText::new(part.part.words()).family(strong_family()));
        how(ui, view, part.part, outbox);
        if part.part.folds_at_a_temperature() && view.project.image.coverage.of(part.part).how == CoveredHow::InTable {
            let (rect, _) = ui.allocate_exact_size(vec2(FOLDED_AT_WIDTH, view.theme.field_height), Sense::hover());
            form::field_at(ui, view, outbox, rect, &path(part.part, "at_c"));
        }
    });
    let ink = if part.is_open() && part.acts { theme.palette.ink } else { theme.palette.ink_secondary };
    ui.add(Label::new(RichText::new(part.how_words()).size(theme.small).color(color(ink))).wrap());
    if part.is_by_hand() {
        ui.horizontal(|ui| {
            let mut set = part.set;
            let told = "The unit was set so by hand. A change of these numbers takes the tick away.";
            let response = ui.checkbox(&mut set, "set in the unit").on_hover_text(told);
            let name = format!("{}: set in the unit", part.part.words());
            ui.ctx().accesskit_node_builder(response.id, |node| node.set_label(name.clone()));
            if set != part.set {
                let which = part.part;
                let label = if set { name } else { format!("{}: not set in the unit", which.words()) };
                outbox.edit(label, ImageEdit::SetByHand(which, set));
            }
            ui.label(RichText::new("note").size(theme.small));
            let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), view.theme.field_height), Sense::hover());
            form::field_at(ui, view, outbox, rect, &path(part.part, "note"));
        });
    }
    ui.add_space(theme.gap);
}

fn path(part: CoveredPart, field: &str) -> String {
    format!("image.coverage.{}.{field}", part.name())
}

/// How a part reaches the unit: only possible choices are offered.
fn how(ui: &mut egui::Ui, view: &View<'_>, part: CoveredPart, outbox: &mut Outbox) {
    let mut hows = vec![(CoveredHow::AsHeld, "image or hand")];
    if part.folds() {
        hows.push((CoveredHow::InTable, "in the table"));
    }
    if part.can_be_left_out() {
        hows.push((CoveredHow::NotApplied, "not applied"));
    }
    if hows.len() == 1 {
        return;
    }
    let words: Vec<&str> = hows.iter().map(|(_, words)| *words).collect();
    let now = view.project.image.coverage.of(part).how;
    let key = path(part, "how");
    let name = format!("{}, how the unit has it", part.words());
    let tooltip = "By its items in the image, and by hand where there are none; folded into the cells that are exported, \
                   while the project's own stay; or not at all: then the unit's spark is told without it.";
    let width = choice::row_width(ui, view.theme, &words);
    let (rect, _) = ui.allocate_exact_size(vec2(width + ROUNDING, view.theme.field_height), Sense::hover());
    let choice =
        Choice { key: &key, name: &name, words: &words, now: hows.iter().position(|(how, _)| *how == now), tooltip };
    let taken = choice::show(ui, view.theme, rect, &choice).and_then(|taken| hows.get(taken));
    if let Some(&(how, words)) = taken {
        outbox.edit(format!("{}: {words}", part.words()), ImageEdit::Cover(part, how));
    }
}
