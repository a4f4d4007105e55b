//! Pictures of the frame, to look at; and that nothing in them is too large for its place.

use eframe::egui::{Key, Modifiers, Vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::document::Document;
use sparkloft::drawing::Look;
use sparkloft::window::Surroundings;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::file_jobs::FileJob;
use sparkloft::window::state::outbox::{Action, FileAction};
use sparkloft::window::workbench::Workbench;

use super::frame::{Place, change};
use super::harness::{Window, pictured, sample, workbench_window};

fn opened(place: &Place, size: Vec2, scale: f32, greets: bool) -> Window {
    let surroundings = Surroundings { greets, ..place.surroundings() };
    workbench_window(Workbench::within(place.untitled(), surroundings), size, scale)
}

#[test]
fn every_look_at_every_size_can_be_pictured() {
    let place = Place::new();
    let cases = [
        (Look::Light, Command::LookLight, Vec2::new(1280.0, 800.0), 1.0),
        (Look::Dark, Command::LookDark, Vec2::new(1366.0, 768.0), 1.0),
        (Look::Sunlight, Command::LookSunlight, Vec2::new(1280.0, 800.0), 1.0),
        (Look::Light, Command::LookLight, Vec2::new(1280.0, 800.0), 2.0),
        (Look::Light, Command::LookLight, Vec2::new(900.0, 560.0), 1.0),
    ];
    for (look, command, size, scale) in cases {
        let mut window = opened(&place, size, scale, false);
        window.state_mut().ask(Action::Run(command));
        window.run();
        change(&mut window, "Raise 12 cells by 1.0°");
        let name = format!("{look:?}-{}-{scale}", size.x).to_lowercase();
        pictured(&mut window, &format!("frame-{}", &name));
        window.key_press_modifiers(Modifiers::COMMAND, Key::K);
        window.run();
        pictured(&mut window, &format!("frame-{name}-finder"));
    }
}

#[test]
fn greetings_panels_and_side_panels_can_be_pictured() {
    let place = Place::new();
    let mut window = opened(&place, Vec2::new(1280.0, 800.0), 1.0, true);
    window.run();
    pictured(&mut window, "frame-greeting");
    change(&mut window, "Raise 12 cells by 1.0°");
    change(&mut window, "Fair 256 cells, strength 2.0");
    change(&mut window, "Limit slope of 256 cells to 12.0° per 1000 rpm, 3 held cells stayed");
    let shown = [
        (Command::New, "new"),
        (Command::OpenSample, "samples"),
        (Command::ExportTable, "export"),
        (Command::Undo, "undone"),
        (Command::History, "history"),
        (Command::Keys, "keys"),
        (Command::Quit, "quit"),
    ];
    for (command, name) in shown {
        window.state_mut().ask(Action::Run(command));
        window.run();
        pictured(&mut window, &format!("frame-{}", name));
        window.key_press(Key::Escape);
        window.run();
    }
}

#[test]
fn long_names_and_long_problems_can_be_pictured() {
    let place = Place::new();
    for (name, command, size) in [
        ("light", Command::LookLight, Vec2::new(1280.0, 800.0)),
        ("dark", Command::LookDark, Vec2::new(1366.0, 768.0)),
        ("sunlight", Command::LookSunlight, Vec2::new(900.0, 560.0)),
    ] {
        let title = "larch-six estate, second table for winter fuel";
        let document = Document::untitled_in(&place.data(), sample("wren-four"), title);
        let mut window = workbench_window(Workbench::within(document, place.surroundings()), size, 1.0);
        window.state_mut().ask(Action::Run(command));
        window.run();
        change(&mut window, "Raise 12 cells by 1.0°");
        let path = place.path("a folder with quite a long name").join("of the winter before last").join("project.ron");
        window.state_mut().ask(Action::File(FileAction::Do(FileJob::SaveAs { then: None }, path)));
        for _ in 0..20 {
            window.run_ok();
            std::thread::sleep(std::time::Duration::from_millis(5));
        }
        // The problem itself, whole, and no question before it.
        window.get_by_label("Put the problem away");
        pictured(&mut window, &format!("frame-problem-{name}"));
    }
}
