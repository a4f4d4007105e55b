//! The Advance sheet holds what it shows: no text is cut, no text stands upon another, and nothing moves when a result
//! arrives, in every size of window.

use std::collections::HashMap;

use eframe::egui::epaint::{ClippedShape, Shape, TextShape};
use eframe::egui::{Rect, Vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::drawing::Look;
use sparkloft::project::SAMPLES;
use sparkloft::table::{Cell, Selection};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;

use super::frame::has;
use super::harness::{Window, checked, in_look, pause, pictured, sample, sized_window};
use super::inspector::{select, set_amount};

const SIZES: [(f32, f32); 4] = [(900.0, 560.0), (1280.0, 800.0), (1366.0, 768.0), (1920.0, 1080.0)];

fn opened(name: &str, (width, height): (f32, f32), look: Look) -> Window {
    let project = sample(name);
    let (loads, speeds) = (project.advance.table().load().len(), project.advance.table().speed().len());
    let mut window = sized_window(project, Vec2::new(width, height), 1.0);
    window.state_mut().ask(in_look(look));
    select(&mut window, Cell::new(loads / 2, speeds / 2), Cell::new(loads / 2 + 2, speeds / 2 + 3));
    checked(&mut window);
    window
}

/// A text that is painted.
pub struct Seen {
    /// The text.
    pub text: String,
    /// Its place.
    pub place: Rect,
    /// Where it can be seen.
    pub clip: Rect,
    /// Whether its end was left out for want of room.
    pub is_elided: bool,
}

/// Words that end so because more follows, not because they are cut.
const GOES_ON: [&str; 3] = ["breakpoints\u{2026}", "demands\u{2026}", "Checking\u{2026}"];

/// The texts that are painted.
pub fn texts(window: &Window) -> Vec<Seen> {
    fn gather(shape: &Shape, clip: Rect, found: &mut Vec<Seen>) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| gather(shape, clip, found)),
            Shape::Text(TextShape { galley, .. }) => {
                let (text, place) = (galley.text().to_owned(), shape.visual_bounding_rect());
                if place.is_positive() {
                    found.push(Seen { text, place, clip, is_elided: galley.elided });
                }
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    for ClippedShape { clip_rect, shape, .. } in &window.output().shapes {
        gather(shape, *clip_rect, &mut found);
    }
    found
}

/// What stands upon other text.
pub fn upon_another(texts: &[&Seen]) -> Vec<String> {
    let mut faults = Vec::new();
    for (at, Seen { text, place, .. }) in texts.iter().enumerate() {
        let shrunk = place.shrink(0.8);
        // Emphasised text is painted twice.
        let others = texts[..at].iter().filter(|other| other.text != *text);
        for other in others.filter(|other| other.place.shrink(0.8).intersects(shrunk)) {
            faults.push(format!("'{text}' stands upon '{}' at {place:?}", other.text));
        }
    }
    faults
}

/// What is cut, or stands upon other text, of the texts that `is_meant`.
fn faults(window: &Window, is_meant: impl Fn(Rect) -> bool) -> Vec<String> {
    let texts = texts(window);
    let texts: Vec<&Seen> =
        texts.iter().filter(|text| text.place.intersects(text.clip) && is_meant(text.place)).collect();
    let is_short =
        |seen: &Seen| seen.is_elided || seen.text.contains('\u{2026}') && !GOES_ON.contains(&seen.text.as_str());
    let cut = texts.iter().filter(|seen| is_short(seen) || !seen.clip.expand(1.0).contains_rect(seen.place));
    let cut = cut.map(|Seen { text, place, clip, .. }| format!("'{text}' is cut at {place:?}, seen in {clip:?}"));
    cut.chain(upon_another(&texts)).collect()
}

/// The inspector's area: from its first button to the right edge.
fn inspector(window: &Window) -> Rect {
    let left = window.get_by_label_contains("Hold to lower").rect().left();
    window.ctx.content_rect().with_min_x(left - 4.0)
}

fn grid(window: &Window) -> Rect {
    window.get_by_label_contains("advance table, degrees").rect()
}

#[test]
fn no_text_of_grid_and_inspector_is_cut_on_any_sample_in_any_size() {
    let mut faulty = Vec::new();
    for sample in SAMPLES {
        for size in SIZES {
            let mut window = opened(sample.name, size, Look::Light);
            for look in Look::ALL {
                window.remove_cursor();
                window.state_mut().ask(in_look(look));
                window.run();
                let whole = window.ctx.content_rect();
                let (inspector, grid) = (inspector(&window), grid(&window));
                assert!(whole.expand(0.5).contains_rect(grid), "{grid:?}");
                let is_meant = |place: Rect| inspector.intersects(place) || grid.contains(place.center());
                let mut found = faults(&window, is_meant);
                window.get_by_label_contains("Raise or lower by").hover();
                window.run();
                assert!(has(&window, "Proposed: "));
                found.extend(faults(&window, |place| inspector.intersects(place)));
                faulty.extend(found.into_iter().map(|fault| format!("{} {size:?} {look:?}: {fault}", sample.name)));
                if sample.name == "tarn-special" || size.0 == 1280.0 {
                    pictured(&mut window, &format!("column-{}-{}-{look:?}", sample.name, size.0));
                }
            }
        }
    }
    assert!(faulty.is_empty(), "{faulty:#?}");
}

#[test]
fn what_a_sample_is_stays_within_its_line() {
    for look in Look::ALL {
        for size in [SIZES[0], SIZES[1]] {
            let mut window = sized_window(sample("tarn-special"), size.into(), 1.0);
            window.state_mut().ask(in_look(look));
            window.state_mut().ask(Command::OpenSample);
            window.run();
            for sample in SAMPLES {
                let line = window.get_by_label(&format!("Open {}", sample.name)).rect();
                let texts = texts(&window);
                let Seen { place, clip, .. } = texts.iter().find(|seen| seen.text == sample.description).unwrap();
                assert!(
                    line.contains_rect(*place) && clip.contains_rect(*place),
                    "{look:?} {size:?}: {place:?} {line:?}"
                );
            }
        }
    }
}

/// Everything that has a name, with its place; of what is named alike, the first.
fn places(window: &Window) -> HashMap<String, Rect> {
    fn gather<'tree>(node: &(impl NodeT<'tree> + 'tree), found: &mut HashMap<String, Rect>) {
        let access = node.accesskit_node();
        if let (Some(label), Some(bounds)) = (access.label(), access.bounding_box()) {
            let [x0, y0, x1, y1] = [bounds.x0, bounds.y0, bounds.x1, bounds.y1];
            #[expect(clippy::cast_possible_truncation, reason = "points of a screen")]
            let rect = Rect::from_min_max((x0 as f32, y0 as f32).into(), (x1 as f32, y1 as f32).into());
            found.entry(label).or_insert(rect);
        }
        node.children().for_each(|child| gather(&child, found));
    }
    let mut found = HashMap::new();
    gather(&window.root(), &mut found);
    found
}

/// What stands elsewhere than before, of what is named as before; the points of curves move with their values.
fn moved(before: &HashMap<String, Rect>, now: &HashMap<String, Rect>) -> Vec<String> {
    let is_point = |name: &str| name.ends_with("degrees") && !name.starts_with("advance");
    let both = before.iter().filter_map(|(name, was)| Some((name, was, now.get(name)?)));
    let moved = both.filter(|(name, was, is)| was != is && !is_point(name) && !name.starts_with("lift "));
    moved.map(|(name, was, is)| format!("{name}: {was:?} → {is:?}")).collect()
}

#[test]
fn nothing_moves_when_a_proposal_or_a_finding_arrives() {
    for size in SIZES {
        let mut window = opened("tarn-special", size, Look::Light);
        select(&mut window, Cell::new(8, 8), Cell::new(8, 8));
        set_amount(&mut window, "raise or lower by", 8.0);
        checked(&mut window);
        assert!(has(&window, "No findings at these cells"));
        let before = places(&window);
        assert!(before.contains_key("Fair within ± 1.0, whole table"), "{before:#?}");
        // In a small window the list scrolls.
        let seen = if size.0 < 1000.0 { 2 } else { 3 };
        for sentence in &["Raise or lower by 8.0", "Hold as measured", "Fair within ± 1.0, whole table"][..seen] {
            window.get_by_label(sentence).hover();
            window.run();
            for _ in 0..200 {
                if has(&window, "Proposed: ") {
                    break;
                }
                pause(&window);
                window.run();
            }
            assert!(has(&window, "Proposed: "), "{size:?} {sentence}");
            assert_eq!(moved(&before, &places(&window)), Vec::<String>::new(), "{size:?} {sentence}");
        }
        window.remove_cursor();
        window.run();
        let tool = sparkloft::shaping::Tool::Add { deg: 8.0 };
        let table = window.state().document().project().advance.table().clone();
        window.state_mut().ask(Action::Shape(tool, Selection::cell(&table, Cell::new(8, 8))));
        window.run();
        checked(&mut window);
        assert!(!has(&window, "No findings at these cells"));
        assert_eq!(moved(&before, &places(&window)), Vec::<String>::new(), "{size:?}");
        pictured(&mut window, &format!("column-found-{}", size.0));
    }
}

#[test]
fn a_pointer_that_passes_proposes_nothing() {
    let mut window = opened("tarn-special", (1280.0, 800.0), Look::Light);
    // The pointer comes, and stays.
    window.get_by_label("Set to 20.0").hover();
    let mut at = |time: f64| {
        window.input_mut().time = Some(time);
        (0..4).for_each(|_| window.step());
        has(&window, "Proposed: Set 12 cells to 20.0°")
    };
    assert!(!at(100.0) && !at(100.15));
    assert!(at(100.21));
}

#[test]
fn all_sentences_are_seen_in_groups_and_the_whole_table_in_a_small_window() {
    use sparkloft::shaping::SENTENCES;
    for size in [(1280.0, 800.0), (1920.0, 1080.0)] {
        let window = opened("tarn-special", size, Look::Light);
        let area = inspector(&window);
        let held = window.get_by_label_contains("Hold to lower").rect();
        let mut bottom = held.bottom();
        // Without measured points there is nothing to fit to.
        for sentence in SENTENCES.iter().filter(|sentence| sentence.key != "fit") {
            let found = window.query_all_by_label_contains(sentence.verb).map(|node| node.rect());
            let is_it = |rect: &Rect| area.contains_rect(*rect) && rect.top() > held.bottom();
            bottom = found.into_iter().find(is_it).expect(sentence.verb).bottom().max(bottom);
        }
        assert!(window.get_by_label_contains("Point at a sentence").rect().top() >= bottom, "{size:?}");
        for group in ["set", "between", "fair", "lines"] {
            assert!(area.contains_rect(window.get_by_label(group).rect()), "{size:?} {group}");
        }
    }
    for name in ["tarn-special", "larch-six"] {
        let mut window = opened(name, (900.0, 560.0), Look::Light);
        for look in Look::ALL {
            window.state_mut().ask(in_look(look));
            window.run();
            let cells: Vec<Rect> =
                window.query_all_by_role(eframe::egui::Role::GridCell).map(|cell| cell.rect()).collect();
            assert_eq!(cells.len(), 256, "{name} {look:?}");
            let whole = window.ctx.content_rect();
            assert!(cells.iter().all(|cell| whole.contains_rect(*cell)));
        }
    }
}
