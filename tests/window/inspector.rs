//! The inspector: facts, sentences with live preview, hold buttons.

use eframe::egui::{Key, Vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::drawing::Look;
use sparkloft::table::{Block, Cell, Selection};
use sparkloft::window::Action;
use sparkloft::window::screen::{CellSelection, LookChoice, Screen};

use super::harness::{Window, sample, sized_window, window};

/// A window on the first sample with the rows and columns between two cells selected.
pub fn selected(a: Cell, b: Cell) -> Window {
    let mut window = window(sample("tarn-special"));
    select(&mut window, a, b);
    window
}

pub fn select(window: &mut Window, a: Cell, b: Cell) {
    let table = window.state().document().project().advance.table().clone();
    let selection = CellSelection { cells: Selection::block(&table, &Block::between(a, b)), cursor: b, anchor: a };
    change_screen(window, move |screen| screen.selection = selection);
    window.run();
}

pub fn change_screen(window: &mut Window, change: impl FnOnce(&mut Screen) + 'static) {
    window.state_mut().ask(Action::Screen(Box::new(change)));
}

pub fn save(window: &mut Window, name: &str) {
    let picture = window.render().unwrap();
    if let Ok(folder) = std::env::var("SPARKLOFT_PICTURES") {
        picture.save(std::path::Path::new(&folder).join(format!("{name}.png"))).unwrap();
    }
}

#[test]
fn looks_right_in_every_look() {
    for (name, look) in [("light", Look::Light), ("dark", Look::Dark), ("sunlight", Look::Sunlight)] {
        let mut window = selected(Cell::new(8, 7), Cell::new(11, 9));
        change_screen(&mut window, move |screen| screen.look = LookChoice::Fixed(look));
        window.run();
        window.get_by_label_contains("Fair, strength").hover();
        window.run();
        save(&mut window, &format!("inspector-{name}"));
    }
}

#[test]
fn looks_right_at_other_sizes() {
    for (name, size, scale) in [("1366", Vec2::new(1366.0, 768.0), 1.0), ("2x", Vec2::new(1280.0, 800.0), 2.0)] {
        let mut window = sized_window(sample("marlow-six"), size, scale);
        select(&mut window, Cell::new(4, 4), Cell::new(4, 4));
        window.key_press(Key::Tab);
        window.run();
        save(&mut window, &format!("inspector-{name}"));
    }
}
