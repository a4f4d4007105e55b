//! Pictures of the Checks sheet and of findings elsewhere, to look at.

use eframe::egui::Vec2;
use egui_kittest::kittest::Queryable;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;

use super::harness::{Window, checked, pictured, sample, sized_window};

fn opened(size: Vec2, scale: f32, look: Command) -> Window {
    let mut window = sized_window(sample("wren-four"), size, scale);
    window.state_mut().ask(Action::Run(look));
    window.state_mut().ask(ScreenMessage::Show(Sheet::Checks));
    checked(&mut window);
    window
}

#[test]
fn every_look_at_every_size_can_be_pictured() {
    let cases = [
        ("light", Command::LookLight, Vec2::new(1280.0, 800.0), 2.0),
        ("dark", Command::LookDark, Vec2::new(1366.0, 768.0), 1.0),
        ("sunlight", Command::LookSunlight, Vec2::new(1920.0, 1080.0), 1.0),
        ("light", Command::LookLight, Vec2::new(900.0, 560.0), 1.0),
    ];
    for (name, look, size, scale) in cases {
        let mut window = opened(size, scale, look);
        window.get_by_label("Warning: the advance climbs by 16.25° per 1000 rpm at 1100–1500 rpm, 18 %").click();
        window.run();
        checked(&mut window);
        pictured(&mut window, &format!("checks-{name}-{}-{scale}", size.x));
        window.state_mut().ask(Action::Run(Command::NextFinding));
        checked(&mut window);
        pictured(&mut window, &format!("checks-{name}-{}-{scale}-there", size.x));
    }
}
