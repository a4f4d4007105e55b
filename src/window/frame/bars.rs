//! Strips under the top bar: questions before work is lost, what happened to the file, greetings. Nothing else stops.

use eframe::egui::{self, Align, Button, Frame, Id, Label, Layout, Margin, Panel, RichText, Sense, vec2};

use super::marks;
use crate::project::cautions;
use crate::window::commands::Command;
use crate::window::dialogs::{Conflict, OfferWords};
use crate::window::files::{FileJob, Next};
use crate::window::theme::{Theme, color};
use crate::window::{FileAction, Outbox, View, numbers};

/// Height of a bar.
pub const BAR_HEIGHT: f32 = 34.0;

/// How a bar looks.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// Waits for an answer, and takes the keyboard.
    Question,
    /// Tells something that can go wrong.
    Warning,
    /// Offers something.
    Offer,
}

type OnClick = Box<dyn FnOnce(&mut Outbox)>;

/// A button of a bar: its text, its tooltip, what it does.
type Choice = (&'static str, &'static str, OnClick);

struct Bar {
    kind: Kind,
    text: String,
    told: String,
    choices: Vec<Choice>,
}

fn choice(text: &'static str, told: &'static str, does: impl FnOnce(&mut Outbox) + 'static) -> Choice {
    (text, told, Box::new(does))
}

/// Draws the bars there are: a question alone, otherwise at most two.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let asking = question(view).or_else(|| conflict(view));
    let others: Vec<Bar> = match asking {
        Some(asking) => vec![asking],
        None => [not_opened(view), offer(view), unreadable(view), welcome(view), caution(view), note(view)]
            .into_iter()
            .flatten()
            .take(2)
            .collect(),
    };
    for (place, bar) in locked(view).into_iter().chain(others).enumerate() {
        one(ui, view.theme, outbox, place, bar);
    }
}

/// What a locked-timing copy is; there is no way to put it away.
fn locked(view: &View<'_>) -> Option<Bar> {
    let words = view.project.locked_timing_words()?;
    let words = words.replacen('l', "L", 1);
    let text = format!("{words}: a copy for the timing light, no map to drive with. Open the real project afterwards.");
    Some(Bar { kind: Kind::Warning, told: format!("{text}\n{}", cautions::TIMING_LIGHT), text, choices: Vec::new() })
}

fn question(view: &View<'_>) -> Option<Bar> {
    let next = view.dialogs.question.as_ref()?;
    let text = format!("'{}' has unsaved changes. Before {}:", view.document.title(), next.words());
    let choices = vec![
        choice("Save", "Save the project, then go on.", |outbox| outbox.file(FileAction::SaveAndGoOn)),
        choice("Don't save", "Give up what was not saved, then go on.", |outbox| {
            outbox.file(FileAction::GiveUpAndGoOn);
        }),
        choice("Cancel", "Stay here; nothing happens.", |outbox| outbox.dialogs(|dialogs| dialogs.question = None)),
    ];
    Some(Bar { kind: Kind::Question, told: text.clone(), text, choices })
}

fn conflict(view: &View<'_>) -> Option<Bar> {
    let Conflict { text, then } = view.dialogs.conflict.clone()?;
    let choices = vec![
        choice("Keep mine as a new file…", "Save this project under another name.", |outbox| {
            outbox.file(FileAction::Choose(FileJob::SaveAs { then }));
        }),
        choice("Reload theirs", "Take over the file as one step; undo brings yours back.", |outbox| {
            outbox.file(FileAction::Reload);
        }),
        choice("Overwrite theirs", "Write this project over what the file holds now.", |outbox| {
            outbox.file(FileAction::SaveOver);
        }),
        choice("Not now", "Decide when saving.", |outbox| outbox.dialogs(|dialogs| dialogs.conflict = None)),
    ];
    Some(Bar { kind: Kind::Question, told: text.clone(), text, choices })
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
        choice("Open the copy", "Open it with the file below it as an earlier step.", |outbox| {
            outbox.file(FileAction::Leave(Next::Recover(0)));
        }),
        choice("Discard it", "Delete the recovery copy for good.", |outbox| outbox.file(FileAction::DiscardOffer(0))),
        choice("Later", "Ask again at the next start.", |outbox| outbox.file(FileAction::KeepOffers)),
    ];
    Some(Bar { kind: Kind::Warning, told: text.clone(), text, choices })
}

/// The file that the window was to open, and why it is not what is shown.
fn not_opened(view: &View<'_>) -> Option<Bar> {
    let why = view.dialogs.not_opened.as_ref()?;
    let text = format!("Not opened: {why}");
    let choices = vec![
        choice("Open another…", "Open a project file.", |outbox| outbox.run(Command::Open)),
        choice("Put away", "Go on with what is shown.", |outbox| outbox.dialogs(|dialogs| dialogs.not_opened = None)),
    ];
    Some(Bar { kind: Kind::Warning, told: text.clone(), text, choices })
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
    let choices = vec![choice("Put away", "Tell it again at the next start, as long as it lies there.", |outbox| {
        outbox.dialogs(|dialogs| dialogs.unreadable.clear());
    })];
    Some(Bar { kind: Kind::Warning, text, told, choices })
}

fn welcome(view: &View<'_>) -> Option<Bar> {
    if !view.dialogs.welcome {
        return None;
    }
    let text = format!("This is the sample '{}': change what you like. Three ways on:", view.document.title());
    let choices = vec![
        choice("Start new…", "Start a project for your own engine.", |outbox| outbox.run(Command::New)),
        choice("Open…", "Open a project file.", |outbox| outbox.run(Command::Open)),
        choice("Look at the samples…", "Four invented cars to try things on.", |outbox| {
            outbox.run(Command::OpenSample)
        }),
        choice("Put away", "Do not show this any more.", |outbox| outbox.file(FileAction::Welcomed)),
    ];
    Some(Bar { kind: Kind::Offer, told: text.clone(), text, choices })
}

fn caution(view: &View<'_>) -> Option<Bar> {
    let choices = vec![choice("Understood", "Do not show it again for this project.", |outbox| {
        outbox.file(FileAction::Understood);
    })];
    let (text, told) = (format!("Caution: {}", cautions::SHORT), cautions::WHOLE.join("\n"));
    view.dialogs.caution.then_some(Bar { kind: Kind::Warning, text, told, choices })
}

fn note(view: &View<'_>) -> Option<Bar> {
    let note = view.document.note()?.to_owned();
    if view.dialogs.note_put_away.as_ref() == Some(&note) {
        return None;
    }
    let put_away = note.clone();
    let choices = vec![
        choice("Save as…", "Save this project under another name.", |outbox| outbox.run(Command::SaveAs)),
        choice("Put away", "Do not show this note again.", move |outbox| {
            outbox.dialogs(move |dialogs| dialogs.note_put_away = Some(put_away));
        }),
    ];
    Some(Bar { kind: Kind::Warning, text: format!("Note: {note}"), told: note, choices })
}

fn one(ui: &mut egui::Ui, theme: &Theme, outbox: &mut Outbox, place: usize, bar: Bar) {
    let palette = theme.palette;
    let fill = if bar.kind == Kind::Offer { palette.panel } else { palette.field_hover };
    let frame = Frame::new().fill(color(fill)).inner_margin(Margin::symmetric(14, 0));
    Panel::top(Id::unique("bar").with(place)).exact_size(BAR_HEIGHT).resizable(false).frame(frame).show(ui, |ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let asks = bar.kind == Kind::Question;
            buttons(ui, outbox, bar.choices, asks.then_some(&bar.text));
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                if bar.kind != Kind::Offer {
                    let (rect, _) = ui.allocate_exact_size(vec2(13.0, 12.0), Sense::hover());
                    marks::warning(ui.painter(), rect, color(palette.ink), color(fill));
                }
                let label = Label::new(RichText::new(&bar.text).size(theme.small + 1.0)).truncate();
                ui.add(label).on_hover_text(bar.told);
            });
        });
    });
}

/// The buttons, the first one leftmost; a question that is new takes the keyboard.
fn buttons(ui: &mut egui::Ui, outbox: &mut Outbox, choices: Vec<Choice>, question: Option<&String>) {
    let first = choices.len().saturating_sub(1);
    for (place, (text, told, does)) in choices.into_iter().rev().enumerate() {
        let response = ui.add(Button::new(text)).on_hover_text(told);
        if place == first
            && let Some(question) = question
        {
            super::focus_when_new(&response, question);
            // Esc takes the keyboard from whatever has it; a question keeps it until it is answered.
            if ui.memory(|memory| memory.focused().is_none()) {
                response.request_focus();
            }
        }
        if response.clicked() {
            does(outbox);
        }
    }
}
