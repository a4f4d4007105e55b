//! Choosing the base, or what is merged into the project: a field with its name that opens a list of snapshots, steps
//! and files.

use eframe::egui::{
    self, Align, Popup, PopupCloseBehavior, Response, RichText, Role, ScrollArea, Sense, Shape, Stroke, WidgetInfo,
    pos2, vec2,
};

use super::rows::{column, line, second, small, text};
use super::snapshots;
use crate::window::kit::numbers::date_and_time;
use crate::window::kit::theme::kit_sizes::TIGHT_GAP;
use crate::window::kit::theme::table_sheet_sizes::{CHOOSER_INSET, INDENT, STEPS_HEIGHT, TRIANGLE};
use crate::window::kit::theme::{Theme, color, elided_middle, hairline, shortened};
use crate::window::state::commands::Command;
use crate::window::state::compare_state::{BaseChoice, CompareMessage};
use crate::window::state::file_jobs::FileJob;
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::view::View;

/// What is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Chosen {
    /// What the project is compared with.
    Base,
    /// What is merged into it.
    Theirs,
}

impl Chosen {
    fn present(self, view: &View<'_>) -> Option<BaseChoice> {
        match self {
            Self::Base => Some(view.screen.compare.base.clone()),
            Self::Theirs => view.screen.compare.merging.as_ref().and_then(|merging| merging.theirs.clone()),
        }
    }

    fn words(self, view: &View<'_>) -> String {
        match (self, view.theirs) {
            (Self::Base, _) => format!("base: {}", view.base.name),
            (Self::Theirs, Some(theirs)) => format!("theirs: {}", theirs.name),
            (Self::Theirs, None) if self.present(view).is_some() => "theirs: being read…".to_owned(),
            (Self::Theirs, None) => "theirs: choose…".to_owned(),
        }
    }

    /// What it is, and what is to be said of the file it came from.
    fn tooltip(self, view: &View<'_>) -> String {
        let (what, base) = match self {
            Self::Base => ("What this project is compared with", Some(view.base)),
            Self::Theirs => ("What is merged into this project: what somebody else made of the same base", view.theirs),
        };
        let note = base.and_then(|base| base.note.as_deref());
        note.map_or_else(|| what.to_owned(), |note| format!("{what}\n{note}"))
    }

    const fn job(self) -> (FileJob, &'static str) {
        match self {
            Self::Base => (FileJob::Base, "Compare with a project file on this computer"),
            Self::Theirs => (FileJob::Theirs, "Merge a project file on this computer into this project"),
        }
    }

    fn choose(self, choice: BaseChoice, outbox: &mut Outbox) {
        outbox.send(match self {
            Self::Base => CompareMessage::Base(choice),
            Self::Theirs => CompareMessage::Merge(choice),
        });
    }
}

/// Draws the field; a press opens the list.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, chosen: Chosen, outbox: &mut Outbox) {
    let response = field(ui, &chosen.words(view), view.theme);
    let opened = response.clicked();
    let response = response.on_hover_text(chosen.tooltip(view));
    Popup::from_toggle_button_response(&response)
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .width(view.theme.compare.chooser_list_width)
        .accessible_name(if chosen == Chosen::Base { "Bases" } else { "What to merge" })
        .show(|ui| {
            ui.set_max_width(view.theme.compare.chooser_list_width);
            List { view, chosen, opened }.show(ui, outbox);
        });
}

fn field(ui: &mut egui::Ui, text: &str, theme: &Theme) -> Response {
    let sizes = &theme.compare;
    let (rect, response) = ui.allocate_exact_size(vec2(sizes.chooser_width, theme.sentence_height), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, text));
    let visuals = ui.style().interact(&response);
    let fill = if response.hovered() { theme.palette.field_hover } else { theme.palette.field };
    let ink = visuals.text_color();
    ui.painter().rect(rect, visuals.corner_radius, color(fill), visuals.bg_stroke, egui::StrokeKind::Inside);
    let left = rect.left() + theme.gap + CHOOSER_INSET;
    let room =
        egui::Rect::from_x_y_ranges(left..=rect.right() - theme.gap + CHOOSER_INSET - 5.0 * TRIANGLE, rect.y_range());
    elided_middle(ui, room, text, theme.body_font()).write(ui, Align::Min, ink);
    let tip = pos2(rect.right() - theme.gap - 2.0 * TRIANGLE, rect.center().y);
    let corners =
        vec![tip + vec2(-TRIANGLE, -TRIANGLE / 2.0), tip + vec2(TRIANGLE, -TRIANGLE / 2.0), tip + vec2(0.0, TRIANGLE)];
    ui.painter().add(Shape::convex_polygon(corners, color(theme.palette.ink_secondary), Stroke::NONE));
    response
}

/// The open list. When it has just opened, the keys start at the present choice.
struct List<'a> {
    view: &'a View<'a>,
    chosen: Chosen,
    opened: bool,
}

impl List<'_> {
    fn show(&self, ui: &mut egui::Ui, outbox: &mut Outbox) {
        let theme = self.view.theme;
        ui.spacing_mut().item_spacing.y = TIGHT_GAP;
        if self.chosen == Chosen::Base {
            let has_none = self.view.document.project().snapshots.is_empty();
            let newest = if has_none { "as opened" } else { "newest snapshot" };
            self.entry(ui, outbox, BaseChoice::Automatic, format!("Automatic: {newest}"));
        } else {
            self.file(ui, outbox);
        }
        self.snapshots(ui, outbox);
        if self.chosen == Chosen::Base {
            heading(ui, "Earlier", theme);
            self.last_export(ui, outbox);
            self.entry(ui, outbox, BaseChoice::Step(0), "As opened".into());
            self.steps(ui, outbox);
        }
        if self.chosen == Chosen::Base {
            for tab in self.view.projects.others() {
                self.entry(ui, outbox, BaseChoice::Project(tab.id), format!("Compare with {}", tab.name));
            }
            self.file(ui, outbox);
        }
    }

    /// The way to another file: first among what can be merged, last among what can be compared with.
    fn file(&self, ui: &mut egui::Ui, outbox: &mut Outbox) {
        let (job, told) = self.chosen.job();
        let file = action(ui, "Another project file…").on_hover_text(told);
        if self.opened && self.chosen.present(self.view).is_none() {
            file.request_focus();
        }
        if file.clicked() {
            outbox.file(FileAction::Choose(job));
            ui.close();
        }
    }

    fn snapshots(&self, ui: &mut egui::Ui, outbox: &mut Outbox) {
        let (view, theme) = (self.view, self.view.theme);
        heading(ui, "Snapshots", theme);
        if view.document.project().snapshots.is_empty() {
            let line = line(ui, theme.compare.small_line_height);
            text(ui, column(line, INDENT, line.width()), Align::Min, second("none yet", theme));
        }
        for snapshot in view.document.project().snapshots.iter().rev() {
            ui.horizontal(|ui| {
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    if self.chosen == Chosen::Base {
                        snapshots::buttons(ui, view, snapshot, outbox);
                    }
                    ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                        let choice = BaseChoice::Snapshot(snapshot.name.clone());
                        self.entry(ui, outbox, choice, snapshot.name.clone());
                    });
                });
            });
            let told = line(ui, theme.compare.small_line_height);
            text(ui, column(told, INDENT, told.width() - INDENT), Align::Min, small(snapshots::told(snapshot), theme));
            ui.add_space(TIGHT_GAP);
        }
        if self.chosen == Chosen::Base {
            let take = action(ui, "Take a snapshot…");
            if take.on_hover_text(view.keys.tooltip(Command::TakeSnapshot)).clicked() {
                outbox.run(Command::TakeSnapshot);
                ui.close();
            }
        }
    }

    /// What was last exported, with its file and time; disabled while nothing was.
    fn last_export(&self, ui: &mut egui::Ui, outbox: &mut Outbox) {
        let Some(export) = self.view.document.project().last_export.as_ref() else {
            let button = egui::Button::selectable(false, "As last exported");
            let why = "Nothing was exported from this project yet; the Export sheet remembers what it writes.";
            ui.add_enabled(false, button).on_disabled_hover_text(why);
            return;
        };
        self.entry(ui, outbox, BaseChoice::LastExport, "As last exported".into());
        let theme = self.view.theme;
        let written = export.written_at.parse().map_or_else(|_| export.written_at.clone(), date_and_time);
        let told = line(ui, theme.compare.small_line_height);
        let words = small(format!("{written} · {}", export.file_name), theme);
        text(ui, column(told, INDENT, told.width() - INDENT), Align::Min, words);
    }

    /// The steps after the first, newest first; the present one is what is compared, not what it is compared with.
    fn steps(&self, ui: &mut egui::Ui, outbox: &mut Outbox) {
        let view = self.view;
        let current = view.document.current_step();
        let all: Vec<usize> = (1..view.document.steps().len()).rev().filter(|step| *step != current).collect();
        let row = ui.spacing().interact_size.y;
        let line = view.document.line_of_steps();
        let area = ScrollArea::vertical().id_salt("base steps").max_height(STEPS_HEIGHT);
        area.show_rows(ui, row, all.len(), |ui, seen| {
            for &step in all.get(seen).into_iter().flatten() {
                let name = format!("{step}  {}", view.document.steps()[step].label);
                if line.get(step).copied().unwrap_or(true) {
                    self.entry(ui, outbox, BaseChoice::Step(step), name);
                } else {
                    self.side_branch(ui, outbox, step, name);
                }
            }
        });
    }

    /// A step that was undone and then replaced: set in beside a line, as in the history.
    fn side_branch(&self, ui: &mut egui::Ui, outbox: &mut Outbox, step: usize, name: String) {
        ui.horizontal(|ui| {
            let (rect, _) =
                ui.allocate_exact_size(vec2(self.view.theme.set_in, ui.spacing().interact_size.y), Sense::hover());
            let stroke = hairline(color(self.view.theme.palette.ink_secondary));
            ui.painter().vline(rect.center().x, rect.y_range(), stroke);
            self.entry(ui, outbox, BaseChoice::Step(step), format!("{name}, side branch"));
        });
    }

    fn entry(&self, ui: &mut egui::Ui, outbox: &mut Outbox, choice: BaseChoice, name: String) {
        let is_chosen = self.chosen.present(self.view).as_ref() == Some(&choice);
        let room = ui.available_width() - 2.0 * ui.spacing().button_padding.x;
        let shown = shortened(ui, &name, room, &self.view.theme.body_font());
        let is_cut = shown != name;
        let mut response = ui.add(egui::Button::selectable(is_chosen, RichText::new(shown)).truncate());
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, is_chosen, &name));
        if is_cut {
            response = response.on_hover_text(&name);
        }
        if self.opened && is_chosen {
            response.request_focus();
        }
        if response.clicked() {
            self.chosen.choose(choice, outbox);
            ui.close();
        }
    }
}

fn heading(ui: &mut egui::Ui, name: &str, theme: &Theme) {
    ui.add_space(theme.gap);
    let line = line(ui, theme.compare.small_line_height);
    text(ui, column(line, INDENT, line.width()), Align::Min, small(name, theme));
}

fn action(ui: &mut egui::Ui, name: &str) -> Response {
    ui.add(egui::Button::selectable(false, name))
}
