//! Pictures of the Compare sheet, to be looked at: written where `SPARKLOFT_PICTURES` says, otherwise only rendered.

use eframe::egui::{Key, Modifiers, Vec2};
use sparkloft::project::{Origin, Project};

use super::harness::{Window, new_project, sample, sized_window};

fn save(window: &mut Window, name: &str) {
    let picture = window.render().unwrap();
    if let Ok(folder) = std::env::var("SPARKLOFT_PICTURES") {
        picture.save(std::path::Path::new(&folder).join(format!("compare-{name}.png"))).unwrap();
    }
}

fn opened(project: Project, size: (f32, f32), scale: f32) -> Window {
    let mut window = sized_window(project, Vec2::new(size.0, size.1), scale);
    window.key_press_modifiers(Modifiers::ALT, Key::Num2);
    settle(&mut window);
    window
}

/// Runs until what workers compute has come in.
fn settle(window: &mut Window) {
    for _ in 0..5 {
        std::thread::sleep(std::time::Duration::from_millis(60));
        window.run();
    }
}


#[test]
fn looks() {
    let mut window = opened(sample("tarn-special"), (1280.0, 800.0), 1.0);
    save(&mut window, "light");
}
