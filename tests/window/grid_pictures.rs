//! The grid in every look, small and sharp: it renders, and can be looked at.

use eframe::egui::{Event, Modifiers, Vec2};
use sparkloft::drawing::Layer;
use sparkloft::project::Project;
use sparkloft::table::{Block, Selection};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;

use super::harness::{Window, colours, new_project, pictured, sample, sized_window};

fn ask(window: &mut Window, command: Command) {
    window.state_mut().ask(Action::Run(command));
    window.run();
}

fn opened(project: Project, size: (f32, f32), scale: f32) -> Window {
    let mut window = sized_window(project, Vec2::new(size.0, size.1), scale);
    window.run();
    window
}

fn select(window: &mut Window, block: Block) {
    let cells = Selection::block(window.state().document().project().advance.table(), &block);
    let selection = window.state().screen().selection.with_cells(cells);
    window.state_mut().ask(ScreenMessage::Select(selection));
    window.run();
}

#[test]
fn every_look_with_a_selection() {
    let looks = [("light", Command::LookLight), ("dark", Command::LookDark), ("sunlight", Command::LookSunlight)];
    for (name, look) in looks {
        let mut window = opened(sample("tarn-special"), (1280.0, 800.0), 1.0);
        ask(&mut window, look);
        select(&mut window, Block { loads: 9..13, speeds: 7..10 });
        assert!(colours(&pictured(&mut window, name)) > 20, "{name}");
        ask(&mut window, Command::Layer(Layer::Origin));
        window.event(Event::Text("2".into()));
        window.run();
        assert!(colours(&pictured(&mut window, &format!("grid-{name}-typing"))) > 20, "{name}");
    }
}

#[test]
fn small_sharp_and_large() {
    let sizes = [("1366", (1366.0, 768.0), 1.0), ("2x", (1280.0, 800.0), 2.0)];
    for (name, size, scale) in sizes {
        let mut window = opened(sample("larch-six"), size, scale);
        assert!(colours(&pictured(&mut window, name)) > 20, "{name}");
    }
    let mut window = opened(new_project(64, 64), (1280.0, 800.0), 1.0);
    window.event_modifiers(Event::PointerMoved(eframe::egui::pos2(300.0, 300.0)), Modifiers::NONE);
    window.run();
    assert!(colours(&pictured(&mut window, "grid-64")) > 20);
    let mut window = opened(sample("wren-four"), (1280.0, 800.0), 1.0);
    assert!(colours(&pictured(&mut window, "grid-8")) > 20);
}
