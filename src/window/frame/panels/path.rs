//! A typed path, for systems without a file dialog.

use std::path::{Path, PathBuf};

use directories::BaseDirs;
use eframe::egui::{self, Key, RichText, Role, TextEdit, WidgetInfo};

use super::{foot, replace};
use crate::window::kit::theme::{color, shortened};
use crate::window::state::dialogs::{Floating, PathForm};
use crate::window::state::file_jobs::{FileJob, file_name};
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::command_buttons::focus_when_new;
use crate::window::views::view::View;

const MOST_RECENT_SHOWN: usize = 6;

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, form: &PathForm) {
    if let Some(why) = form.why {
        ui.label(why);
    }
    let mut text = form.text.clone();
    let edit = TextEdit::singleline(&mut text).desired_width(f32::INFINITY).id(egui::Id::unique("path"));
    let response = ui.add(edit).accessible_name("Path");
    focus_when_new(&response, form.job.title());
    let is_entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    if response.changed() {
        replace(outbox, Floating::Path(PathForm { text: text.clone(), refusal: None, ..form.clone() }));
    }
    let is_warned = form.warned_of.as_ref() == Some(&text);
    let palette = view.theme.palette;
    let (said, ink) = match (&form.refusal, is_warned) {
        (Some(why), _) => (format!("Problem: {why}"), palette.error),
        (None, true) => (format!("{} exists. Replace it?", file_name(Path::new(&text))), palette.ink),
        (None, false) => ("~ stands for your own folder.".to_owned(), palette.ink_secondary),
    };
    ui.label(RichText::new(said).size(view.theme.small).color(color(ink)));
    if matches!(form.job, FileJob::Open | FileJob::Base | FileJob::Theirs) {
        recent(ui, view, &form.job, outbox);
    }
    let verb = if is_warned { "Replace it" } else { form.job.verb() };
    let refusal = text.trim().is_empty().then_some("type a path");
    let is_clicked = foot(ui, outbox, verb, form.job.title(), refusal);
    if is_clicked || (is_entered && refusal.is_none()) {
        outbox.file(FileAction::Do(form.job.clone(), path_of(&text)));
    }
}

fn recent(ui: &mut egui::Ui, view: &View<'_>, job: &FileJob, outbox: &mut Outbox) {
    for path in view.dialogs.recent.iter().take(MOST_RECENT_SHOWN) {
        let whole = path.display().to_string();
        let shown = shortened(ui, &whole, ui.available_width(), &view.theme.body_font());
        let response = ui.add(egui::Button::new(shown).frame(false).truncate());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &whole));
        if response.on_hover_text(&whole).clicked() {
            outbox.file(FileAction::Do(job.clone(), path.clone()));
        }
    }
}

/// The path of a text, with `~` for the user's own folder.
fn path_of(text: &str) -> PathBuf {
    let text = text.trim();
    let own = text.strip_prefix("~/").zip(BaseDirs::new());
    own.map_or_else(|| PathBuf::from(text), |(rest, places)| places.home_dir().join(rest))
}
