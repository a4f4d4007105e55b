//! What the window reports by itself: how long a message stays, the size of image items, the title.

use eframe::egui::{self, Event, ViewportCommand};

use crate::document::Document;
use crate::window::state::notice::{Cause, Moment, Notice};
use crate::window::state::screen::Screen;
use crate::window::views::availability::{Availability, availability};
use crate::window::views::view::View;

/// Whether the cause of the problem that is reported is gone. Other messages stay until the next key or click.
pub(super) fn is_over(view: &View<'_>, screen: &Screen, now: &Moment) -> bool {
    let notice = screen.notice.as_ref().filter(|notice| notice.is_error);
    notice.is_some_and(|notice| notice.told_at.as_ref().is_some_and(|then| is_gone(view, screen, notice, (then, now))))
}

fn is_gone(view: &View<'_>, screen: &Screen, notice: &Notice, (then, now): (&Moment, &Moment)) -> bool {
    match &notice.cause {
        Cause::Here => then != now,
        Cause::Field(key) => screen.form.typed(key).is_none_or(|typed| typed.refusal.is_none()),
        Cause::Editor => then.editor != now.editor,
        Cause::Command(command) => availability(*command, view) == Availability::Available,
        Cause::Dialog => view.dialogs.choosing.is_none(),
        Cause::Path => !view.dialogs.refuses_path(),
        Cause::File | Cause::Lasting => false,
    }
}

/// Messages other than problems disappear with the next key or click.
pub(super) fn let_notice_go(ctx: &egui::Context, screen: &mut Screen) {
    let is_input = |event: &Event| {
        matches!(
            event,
            Event::Key { pressed: true, .. }
                | Event::PointerButton { pressed: true, .. }
                | Event::Text(_)
                | Event::Copy
                | Event::Cut
                | Event::Paste(_)
                | Event::AccessKitActionRequest(_)
        )
    };
    if ctx.input(|input| input.events.iter().any(is_input)) {
        screen.notice.take_if(|notice| !notice.is_error);
    }
}

/// Has the window drawn again when the recovery copy is written, or cannot be.
pub(super) fn listen_for_copies(ctx: &egui::Context, document: &mut Document) {
    if !document.rings() {
        let ctx = ctx.clone();
        document.ring_with(move || ctx.request_repaint());
    }
}

/// Reports, in addition to the step's own message, that a new step has fixed the size of image items because the layout
/// has no room for the table. `seen` is the number of steps at the last call.
pub(super) fn tell_of_pinned_items(seen: &mut usize, document: &Document, screen: &mut Screen) {
    let steps = document.steps();
    let before = std::mem::replace(seen, steps.len());
    // A document that replaced another starts counting anew.
    let Some(after) = steps.last().filter(|_| steps.len() > before) else {
        return;
    };
    let before = after.parent.and_then(|parent| steps.get(parent));
    if let Some(pinned) = before.and_then(|before| after.project.pinned_since(&before.project)) {
        let label = after.label.clone();
        // The step's own message begins with its label, and is kept.
        let own = screen.notice.as_ref().filter(|notice| !notice.is_error && notice.text.starts_with(&label));
        let told = own.map_or(label, |notice| notice.text.clone());
        screen.say(format!("{told}; {pinned}"));
    }
}

/// The window's title says what is open and in words whether it is saved. `shown` is the title that the window has.
pub(super) fn set_title(ctx: &egui::Context, shown: &mut String, document: &Document) {
    let unsaved = if document.is_changed() { " • unsaved" } else { "" };
    let locked = document.project().locked_timing_words();
    let locked = locked.map_or_else(String::new, |words| format!(" — {words}, no map"));
    let title = format!("{}{locked}{unsaved} — Sparkloft", document.title());
    if title != *shown {
        ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
        *shown = title;
    }
}
