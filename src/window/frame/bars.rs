//! Bars over the lower edge of the sheet: questions before work is lost, what happened to the file, greetings.
//! Nothing else is blocked, and nothing moves when they come and go: they lie over the sheet, each in its own
//! place.

use std::path::Path;

use eframe::egui::{
    self, Align, Area, Button, Frame, Id, Label, Layout, Order, Panel, Rect, RichText, Sense, UiBuilder, pos2, vec2,
};

use crate::checks::Severity;
use crate::project::cautions;
use crate::window::kit::theme::frame_sizes::{BAR_HEIGHT, BAR_INSET};
use crate::window::kit::theme::kit_sizes::{LARGE_MARK, SHEET_MARGIN, TYPE_STEP};
use crate::window::kit::theme::{Theme, color, hairline};
use crate::window::kit::{marks, numbers};
use crate::window::state::commands::Command;
use crate::window::state::dialogs::{Conflict, DialogMessage, OfferWords, Told};
use crate::window::state::file_jobs::{FileJob, Next};
use crate::window::state::outbox::{Action, FileAction, Outbox};
use crate::window::views::command_buttons::focus_when_new;
use crate::window::views::view::View;

/// How a bar looks.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// Waits for an answer, and gets the keyboard focus.
    Question,
    /// Reports something that can go wrong.
    Warning,
    /// Offers something.
    Offer,
}

/// A button of a bar: its text, its tooltip, and the action that it requests.
type Choice = (&'static str, &'static str, Action);

struct Bar {
    /// What it is about: it keeps its place as long as it is about that.
    about: &'static str,
    kind: Kind,
    text: String,
    told: String,
    choices: Vec<Choice>,
}

fn choice(text: &'static str, told: &'static str, message: impl Into<Action>) -> Choice {
    (text, told, message.into())
}

/// Says what a locked-timing copy is: a strip of its own below the top bar, as long as the copy is open.
pub(super) fn show_mark(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let Some(bar) = locked(view) else {
        return;
    };
    let frame = Frame::new().fill(fill(view.theme, bar.kind)).inner_margin(SHEET_MARGIN);
    Panel::top("mark of the copy").exact_size(BAR_HEIGHT).resizable(false).frame(frame).show(ui, |ui| {
        contents(ui, view.theme, outbox, bar);
    });
}

/// Draws the bars over the lower edge of the sheet: a question alone, otherwise at most two.
pub(super) fn show(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox, sheet: Rect) {
    let asking = question(view).or_else(|| conflict(view));
    let bars: Vec<Bar> = match asking {
        Some(asking) => vec![asking],
        None => [not_opened(view), offer(view), unreadable(view), welcome(view), caution(view), note(view)]
            .into_iter()
            .flatten()
            .take(MOST_BARS)
            .collect(),
    };
    let places = ctx.data_mut(|data| {
        let now = places(data.get_temp(places_id()).unwrap_or_default(), bars.iter().map(|bar| bar.about));
        data.insert_temp(places_id(), now);
        now
    });
    for bar in bars {
        let place = places.iter().position(|about| *about == Some(bar.about)).unwrap_or_default();
        over(ctx, view.theme, outbox, (sheet, place), bar);
    }
}

fn places_id() -> Id {
    Id::unique("places of the bars")
}

/// How much of the sheet's lower edge the bars take.
pub(super) fn height(ctx: &egui::Context) -> f32 {
    let places: Places = ctx.data(|data| data.get_temp(places_id())).unwrap_or_default();
    #[expect(clippy::cast_precision_loss, reason = "a handful of places")]
    let taken = places.iter().rposition(Option::is_some).map_or(0, |highest| highest + 1) as f32;
    taken * BAR_HEIGHT
}

/// The most bars besides a question.
const MOST_BARS: usize = 2;

/// The bar in each place, from the bottom up.
type Places = [Option<&'static str>; MOST_BARS];

/// The places of the bars: those that were there keep theirs, new ones take the lowest that is free.
fn places(before: Places, bars: impl Iterator<Item = &'static str> + Clone) -> Places {
    let mut now = before.map(|about| about.filter(|about| bars.clone().any(|bar| bar == *about)));
    for bar in bars {
        if !now.contains(&Some(bar))
            && let Some(free) = now.iter_mut().find(|place| place.is_none())
        {
            *free = Some(bar);
        }
    }
    now
}

/// What a locked-timing copy is; this cannot be dismissed.
fn locked(view: &View<'_>) -> Option<Bar> {
    let words = view.project.locked_timing_words()?;
    let words = words.replacen('l', "L", 1);
    let text = format!("{words}: a copy for the timing light, no map to drive with. Open the real project afterwards.");
    let back = view.dialogs.real_project.iter().map(|next| {
        let told = "Go back to the project that this copy was made of.";
        choice("Open the real project", told, FileAction::Leave(next.clone()))
    });
    Some(Bar {
        about: "locked",
        kind: Kind::Warning,
        told: format!("{text}\n{}", cautions::TIMING_LIGHT),
        text,
        choices: back.collect(),
    })
}

fn question(view: &View<'_>) -> Option<Bar> {
    let next = view.dialogs.question.as_ref()?;
    let text = format!("'{}' has unsaved changes. Before {}:", view.document.title(), next.words());
    let choices = vec![
        choice("Save", "Save the project, then go on.", FileAction::SaveAndGoOn),
        choice("Don't save", "Give up what was not saved, then go on.", FileAction::GiveUpAndGoOn),
        choice("Cancel", "Stay here; nothing happens.", DialogMessage::PutAway(Told::Question)),
    ];
    Some(Bar { about: "question", kind: Kind::Question, told: text.clone(), text, choices })
}

fn conflict(view: &View<'_>) -> Option<Bar> {
    let Conflict { text, then } = view.dialogs.conflict.clone()?;
    let theirs = view.document.path().map(Path::to_owned).unwrap_or_default();
    let choices = vec![
        choice(
            "Compare both",
            "Show on the Compare sheet what differs between this project and the file.",
            FileAction::Do(FileJob::Base, theirs.clone()),
        ),
        choice(
            "Merge both\u{2026}",
            "Merge what the other program made of the file into this project.",
            FileAction::Do(FileJob::Theirs, theirs),
        ),
        choice(
            "Keep mine as a new file…",
            "Save this project under another name.",
            FileAction::Choose(FileJob::SaveAs { then }),
        ),
        choice("Reload theirs", "Take over the file as one step; undo brings yours back.", FileAction::Reload),
        choice("Overwrite theirs", "Write this project over what the file holds now.", FileAction::SaveOver),
        choice("Not now", "Decide when saving.", DialogMessage::PutAway(Told::Conflict)),
    ];
    Some(Bar { about: "conflict", kind: Kind::Question, told: text.clone(), text, choices })
}

fn offer(view: &View<'_>) -> Option<Bar> {
    let OfferWords { name, copied_at, saved_at } = view.dialogs.offers.first()?;
    let saved = saved_at.map_or_else(
        || "it was never saved".to_owned(),
        |at| format!("its file is from {}", numbers::date_and_time(at)),
    );
    let more = match view.dialogs.offers.len() {
        1 => String::new(),
        count => format!(" (1 of {count})"),
    };
    let copied = numbers::date_and_time(*copied_at);
    let text = format!("'{name}' was not closed properly: its recovery copy is from {copied}, {saved}{more}.");
    let choices = vec![
        choice(
            "Open the copy",
            "Open it with the file below it as an earlier step.",
            FileAction::Leave(Next::Recover(0)),
        ),
        choice("Discard it", "Delete the recovery copy for good.", FileAction::DiscardOffer(0)),
        choice("Later", "Ask again at the next start.", FileAction::KeepOffers),
    ];
    Some(Bar { about: "offer", kind: Kind::Warning, told: text.clone(), text, choices })
}

/// The file that the window was to open, and why it is not shown.
fn not_opened(view: &View<'_>) -> Option<Bar> {
    let why = view.dialogs.not_opened.as_ref()?;
    let text = format!("Not opened: {why}");
    let choices = vec![
        choice("Open another…", "Open a project file.", Command::Open),
        choice("Put away", "Go on with what is shown.", DialogMessage::PutAway(Told::NotOpened)),
    ];
    Some(Bar { about: "not_opened", kind: Kind::Warning, told: text.clone(), text, choices })
}

fn unreadable(view: &View<'_>) -> Option<Bar> {
    let all = &view.dialogs.unreadable;
    let first = all.first()?;
    let more = match all.len() {
        1 => String::new(),
        count => format!(" (1 of {count})"),
    };
    let text = format!("A recovery copy cannot be read{more}: {first}. It is left where it is.");
    let told = format!("Left where they are:\n{}", all.join("\n"));
    let choices = vec![choice(
        "Put away",
        "Tell it again at the next start, as long as it lies there.",
        DialogMessage::PutAway(Told::Unreadable),
    )];
    Some(Bar { about: "unreadable", kind: Kind::Warning, text, told, choices })
}

fn welcome(view: &View<'_>) -> Option<Bar> {
    if !view.dialogs.welcome {
        return None;
    }
    let text = format!("This is the sample '{}': change what you like. Three ways on:", view.document.title());
    let choices = vec![
        choice("Start new…", "Start a project for your own engine.", Command::New),
        choice("Open…", "Open a project file.", Command::Open),
        choice("Look at the samples…", "Four invented cars to try things on.", Command::OpenSample),
        choice("Put away", "Do not show this any more.", FileAction::Welcomed),
    ];
    Some(Bar { about: "welcome", kind: Kind::Offer, told: text.clone(), text, choices })
}

fn caution(view: &View<'_>) -> Option<Bar> {
    let choices = vec![choice("Understood", "Do not show it again for this project.", FileAction::Understood)];
    let (text, told) = (format!("Caution: {}", cautions::SHORT), cautions::WHOLE.join("\n"));
    view.dialogs.caution.then_some(Bar { about: "caution", kind: Kind::Warning, text, told, choices })
}

fn note(view: &View<'_>) -> Option<Bar> {
    let note = view.document.note()?.to_owned();
    if view.dialogs.note_put_away.as_ref() == Some(&note) {
        return None;
    }
    let put_away = DialogMessage::PutAway(Told::Note(note.clone()));
    let choices = vec![
        choice("Save as…", "Save this project under another name.", Command::SaveAs),
        choice("Put away", "Do not show this note again.", put_away),
    ];
    Some(Bar { about: "note", kind: Kind::Warning, text: format!("Note: {note}"), told: note, choices })
}

fn fill(theme: &Theme, kind: Kind) -> egui::Color32 {
    color(if kind == Kind::Offer { theme.palette.panel } else { theme.palette.field_hover })
}

/// A bar over the lower edge of the sheet, in the given place from the bottom.
fn over(ctx: &egui::Context, theme: &Theme, outbox: &mut Outbox, (sheet, place): (Rect, usize), bar: Bar) {
    #[expect(clippy::cast_precision_loss, reason = "a handful of places")]
    let bottom = sheet.bottom() - BAR_HEIGHT * place as f32;
    let rect = Rect::from_min_max(pos2(sheet.left(), bottom - BAR_HEIGHT), pos2(sheet.right(), bottom));
    let area = Area::new(Id::unique("bar").with(place)).order(Order::Middle).fixed_pos(rect.min).constrain(false);
    area.movable(false).show(ctx, |ui| {
        let (rect, _) = ui.allocate_exact_size(rect.size(), Sense::click());
        ui.painter().rect_filled(rect, 0.0, fill(theme, bar.kind));
        ui.painter().hline(rect.x_range(), rect.top(), hairline(color(theme.palette.rule_strong)));
        let mut inner = ui.new_child(UiBuilder::new().max_rect(rect.shrink2(vec2(BAR_INSET, 0.0))));
        contents(&mut inner, theme, outbox, bar);
    });
}

fn contents(ui: &mut egui::Ui, theme: &Theme, outbox: &mut Outbox, bar: Bar) {
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        let asks = bar.kind == Kind::Question;
        buttons(ui, outbox, bar.choices, asks.then_some(&bar.text));
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            if bar.kind != Kind::Offer {
                let (rect, _) = ui.allocate_exact_size(LARGE_MARK, Sense::hover());
                ui.painter().add(marks::severity(rect, Severity::Warning, color(theme.palette.ink)));
            }
            let label = Label::new(RichText::new(&bar.text).size(theme.small + TYPE_STEP)).truncate();
            ui.add(label).on_hover_text(bar.told);
        });
    });
}

/// The buttons, the first one leftmost; a new question gets the keyboard focus.
fn buttons(ui: &mut egui::Ui, outbox: &mut Outbox, choices: Vec<Choice>, question: Option<&String>) {
    let first = choices.len().saturating_sub(1);
    for (place, (text, told, message)) in choices.into_iter().rev().enumerate() {
        let response = ui.add(Button::new(text)).on_hover_text(told);
        if place == first
            && let Some(question) = question
        {
            focus_when_new(&response, question);
            // Esc takes the focus from whatever has it, but a question keeps it until it is answered.
            if ui.memory(|memory| memory.focused().is_none()) {
                response.request_focus();
            }
        }
        if response.clicked() {
            outbox.send(message);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::places;

    #[test]
    fn a_bar_stays_in_its_place_when_another_is_put_away() {
        let bars = |names: &'static [&'static str]| names.iter().copied();
        let both = places([None, None], bars(&["welcome", "caution"]));
        assert_eq!(both, [Some("welcome"), Some("caution")]);
        let one = places(both, bars(&["caution"]));
        assert_eq!(one, [None, Some("caution")]);
        assert_eq!(places(one, bars(&["offer", "caution"])), [Some("offer"), Some("caution")]);
        assert_eq!(places(one, bars(&[])), [None, None]);
    }
}
