//! Every sheet holds what it shows: on each of the samples, in small and large windows, no text is cut and none stands upon
//! another. The Advance sheet is looked at more closely in `column.rs`.

use eframe::egui::{Rect, Vec2};
use sparkloft::drawing::Look;
use sparkloft::project::SAMPLES;
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
}

impl Part {
    fn new(name: impl Into<String>, asks: impl IntoIterator<Item = Action>) -> Self {
        Self { name: name.into(), asks: asks.into_iter().collect() }
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
    let panels = panels.map(|panel| Part::new(format!("{panel:?}"), [Action::Run(panel)]));
    let theirs = sample(name).snapshots.first().map(|kept| BaseChoice::Snapshot(kept.name.clone()));
    let merge = [Action::Run(Command::Merge)].into_iter();
    let merge = merge.chain(theirs.map(|theirs| CompareMessage::Merge(theirs).into()));
    pages.into_iter().chain(sheets).chain(panels).chain([Part::new("Merge", merge)]).collect()
}

/// What is cut by the sides of the place where it is seen, or stands upon other text. What scrolls may be cut above and below.
fn faults(window: &Window) -> Vec<String> {
    let seen = |text: &&Seen| text.place.intersects(text.clip);
    let texts = texts(window);
    let texts: Vec<&Seen> = texts.iter().filter(seen).collect();
    let is_cut = |text: &&&Seen| {
        let sides = Rect::from_x_y_ranges(text.clip.x_range(), text.place.y_range()).expand(1.0);
        text.is_elided || !sides.contains_rect(text.place)
    };
    let cut = texts.iter().filter(is_cut);
    let cut = cut.map(|Seen { text, place, clip, .. }| format!("'{text}' is cut at {place:?}, seen in {clip:?}"));
    // Half a line at the edge of a list is not upon what stands beyond it.
    let whole: Vec<&Seen> =
        texts.iter().copied().filter(|text| text.clip.expand(1.0).contains_rect(text.place)).collect();
    cut.chain(upon_another(&whole)).collect()
}

fn no_text_is_cut_at((width, height): (f32, f32)) {
    let mut faulty = Vec::new();
    for of in SAMPLES {
        let mut window = sized_window(sample(of.name), Vec2::new(width, height), 1.0);
        window.state_mut().ask(in_look(Look::Light));
        checked(&mut window);
        for part in parts(of.name) {
            part.asks.into_iter().for_each(|ask| window.state_mut().ask(ask));
            checked(&mut window);
            faulty.extend(faults(&window).into_iter().map(|fault| format!("{} {}: {fault}", of.name, part.name)));
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
