//! Every sheet holds what it shows: on each of the samples, in small and large windows, no text is cut and none stands upon
//! another. The Advance sheet is looked at more closely in `column.rs`.

use eframe::egui::{Rect, Vec2};
use sparkloft::drawing::Look;
use sparkloft::project::{SAMPLES, write};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::compare_state::{BaseChoice, CompareMessage};
use sparkloft::window::state::engine_state::{EngineMessage, Page};
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::{ScreenMessage, Sheet};

use super::column::{Seen, texts, upon_another};
use super::harness::{Window, checked, in_look, sample, sized_window};

/// A part of the window, and how to get there.
struct Part {
    name: String,
    asks: Vec<Action>,
    /// Whether it is a panel at the right side, beside whatever sheet.
    is_panel: bool,
}

/// The width of such a panel.
const PANEL: f32 = 320.0;

impl Part {
    fn new(name: impl Into<String>, asks: impl IntoIterator<Item = Action>) -> Self {
        Self { name: name.into(), asks: asks.into_iter().collect(), is_panel: false }
    }
}

fn parts(name: &str) -> Vec<Part> {
    let pages = Page::ALL.map(|page| {
        let asks = [ScreenMessage::Show(Sheet::Engine).into(), EngineMessage::Open(page).into()];
        Part::new(format!("Engine, {page:?}"), asks)
    });
    let sheets = [Sheet::Trims, Sheet::Limits, Sheet::Rig, Sheet::Compare, Sheet::Checks, Sheet::Export];
    let sheets = sheets.map(|sheet| Part::new(format!("{sheet:?}"), [ScreenMessage::Show(sheet).into()]));
    let panels = [Command::History, Command::Keys];
    let panels = panels.map(|panel| Part { is_panel: true, ..Part::new(format!("{panel:?}"), [Action::Run(panel)]) });
    let theirs = sample(name).snapshots.first().map(|kept| BaseChoice::Snapshot(kept.name.clone()));
    let merge = [Action::Run(Command::Merge)].into_iter();
    let merge = merge.chain(theirs.map(|theirs| CompareMessage::Merge(theirs).into()));
    pages.into_iter().chain(sheets).chain([Part::new("Merge", merge)]).chain(panels).collect()
}

/// Whether a text may be cut. Names and notes of the project's own may be longer than any box; a row of a curve's numbers
/// scrolls; and on Limits a sentence tells what the fields below it are set to, all of it when it is pointed at.
fn may_be_cut(text: &str, part: &str, file: &str) -> bool {
    let is_number = text.chars().all(|mark| mark.is_ascii_digit() || ".\u{2212}".contains(mark));
    let is_summary = text.contains(" rpm") || text.starts_with("on ");
    file.contains(text) || part == "Trims" && is_number || part == "Limits" && is_summary
}

/// What is cut by the sides of the place where it is seen, or stands upon other text. What scrolls may be cut above and below.
fn faults(window: &Window, part: &Part) -> Vec<String> {
    let file = write(window.state().document().project()).unwrap();
    let from = if part.is_panel { window.ctx.content_rect().right() - PANEL } else { 0.0 };
    let seen = |text: &&Seen| text.place.intersects(text.clip) && text.place.left() >= from;
    let texts = texts(window);
    let texts: Vec<&Seen> = texts.iter().filter(seen).collect();
    let is_cut = |text: &&&Seen| {
        let sides = Rect::from_x_y_ranges(text.clip.x_range(), text.place.y_range()).expand(1.0);
        (text.is_elided || !sides.contains_rect(text.place)) && !may_be_cut(&text.text, &part.name, &file)
    };
    let cut = texts.iter().filter(is_cut);
    let cut = cut.map(|Seen { text, place, clip, .. }| format!("'{text}' is cut at {place:?}, seen in {clip:?}"));
    // Half a line at the edge of a list is not upon what stands beyond it.
    let is_whole = |text: &&Seen| text.clip.expand(1.0).contains_rect(text.place);
    // The words of a band on Limits lie under those of its lane, which have a ground of their own.
    let is_under = |text: &&Seen| part.name == "Limits" && text.text == "on";
    let whole: Vec<&Seen> = texts.iter().copied().filter(|text| is_whole(text) && !is_under(text)).collect();
    cut.chain(upon_another(&whole)).collect()
}

fn no_text_is_cut_at((width, height): (f32, f32)) {
    let mut faulty = Vec::new();
    for of in SAMPLES {
        let mut window = sized_window(sample(of.name), Vec2::new(width, height), 1.0);
        window.state_mut().ask(in_look(Look::Light));
        checked(&mut window);
        for part in parts(of.name) {
            part.asks.iter().for_each(|ask| window.state_mut().ask(ask.clone()));
            checked(&mut window);
            faulty
                .extend(faults(&window, &part).into_iter().map(|fault| format!("{} {}: {fault}", of.name, part.name)));
        }
    }
    assert!(faulty.is_empty(), "{width} × {height}: {faulty:#?}");
}

#[test]
fn no_text_of_any_sheet_is_cut_in_the_smallest_window() {
    no_text_is_cut_at((900.0, 560.0));
}

#[test]
fn no_text_of_any_sheet_is_cut_in_the_usual_window() {
    no_text_is_cut_at((1280.0, 800.0));
}

#[test]
fn no_text_of_any_sheet_is_cut_in_a_large_window() {
    no_text_is_cut_at((1920.0, 1080.0));
}
