//! Pictures of the slices with their comb, a stroke over one and a box on the surface, in every look, written where
//! SPARKLOFT_PICTURES says.

use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, pos2, vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::drawing::Look;
use sparkloft::table::Cell;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::selection::CellSelection;

use super::harness::{Window, colours, in_look, new_project, pictured, sample, sized_window};

fn pressed(window: &mut Window, pos: Pos2, modifiers: Modifiers) {
    window.event(Event::ModifiersChanged(modifiers));
    window.event(Event::PointerMoved(pos));
    window.event(Event::PointerButton { pos, button: PointerButton::Primary, pressed: true, modifiers });
    window.run();
}

/// The comb in every look; in the dark and the sunlight look a stroke and a box in the middle of their drags.
#[test]
fn combs_strokes_and_boxes_can_be_seen() {
    for (name, look, size) in [
        ("light", Look::Light, vec2(1280.0, 800.0)),
        ("dark", Look::Dark, vec2(1366.0, 768.0)),
        ("sunlight", Look::Sunlight, vec2(1280.0, 800.0)),
        ("small", Look::Light, vec2(900.0, 560.0)),
    ] {
        let mut window = sized_window(sample("larch-six"), size, 1.0);
        let table = window.state().document().project().advance.table().clone();
        window.state_mut().ask(in_look(look));
        window.state_mut().ask(ScreenMessage::Select(CellSelection::cell(&table, Cell::new(7, 6))));
        window.run();
        let without = colours(&pictured(&mut window, &format!("slices-{name}")));
        assert!(without > 100, "{name}: {without}");
        if name == "dark" {
            window.key_press(Key::D);
            window.run();
            let at =
                window.get_by(|node| node.label().is_some_and(|label| label.starts_with("2500 rpm, "))).rect().center();
            pressed(&mut window, at - vec2(90.0, 0.0), Modifiers::NONE);
            for step in 1..6_u8 {
                let by = f32::from(step);
                window.event(Event::PointerMoved(at + vec2(by * 30.0 - 90.0, -by * 6.0)));
                window.run();
            }
            pictured(&mut window, "slices-stroke");
        }
        if name == "sunlight" {
            let canvas = window.get_by_label_contains("surface of advance").rect();
            window.key_press(Key::X);
            window.run();
            let middle = canvas.center();
            pressed(&mut window, pos2(middle.x - 60.0, middle.y - 40.0), Modifiers::NONE);
            for step in 1..4_u8 {
                window.event(Event::PointerMoved(middle + vec2(f32::from(step) * 15.0, f32::from(step) * 12.0)));
                window.run();
            }
            assert!(window.state().screen().selection.cells.count() > 2);
            pictured(&mut window, "surface-box");
        }
    }
    let mut window = sized_window(new_project(64, 64), vec2(1280.0, 800.0), 1.0);
    window.run();
    assert!(colours(&pictured(&mut window, "slices-dense")) > 100);
}
