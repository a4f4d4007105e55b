//! Pictures of the Compare sheet, to be looked at: written where `SPARKLOFT_PICTURES` says, otherwise only rendered.

use eframe::egui::{Key, Modifiers, Vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::project::{Origin, Project, set_fields};

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

fn choose(window: &mut Window, base: &str) {
    window.get_by_label_contains("base: ").click();
    window.run();
    window.get_by_label(base).click();
    window.run();
    settle(window);
}

fn look(window: &mut Window, name: &str) {
    window.key_press_modifiers(Modifiers::COMMAND, Key::K);
    window.run();
    let _ = name;
}

/// The sample against an older snapshot, with a dip at full load and other limits.
fn edited() -> Project {
    let project = sample("tarn-special");
    let table = project.advance.table();
    let lowered = |speed: f64, load: f64| match speed {
        _ if load < 48.0 => 0.0,
        2400.0 | 4200.0 => -0.5,
        2800.0 | 3700.0 => -1.5,
        3200.0 => -2.0,
        _ => 0.0,
    };
    let values = table.cells().map(|cell| {
        let (speed, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
        table.at(cell) + lowered(speed, load)
    });
    let advance = project.advance.with_values(values.collect(), Origin::Typed).unwrap();
    let project = project.with_advance(advance).unwrap();
    set_fields(&project, &[("limits.over_speed.cut_at_rpm", "7900"), ("outputs[0].on[0].above", "7050")])
        .or_else(|_| set_fields(&project, &[("notes", "a long note about fuel, weather and the road up the hill")]))
        .unwrap()
}

#[test]
fn looks() {
    let mut window = opened(edited(), (1280.0, 800.0), 1.0);
    save(&mut window, "newest");
    choose(&mut window, "start of season");
    save(&mut window, "light");
    window.get_by_label_contains("base: ").click();
    window.run();
    save(&mut window, "chooser");
    window.key_press(Key::Escape);
    window.run();
    window.get_by_label("Show difference as surface").click();
    window.run();
    save(&mut window, "difference");
    window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::N);
    window.run();
    save(&mut window, "form");
}

#[test]
fn sizes() {
    for (name, size, scale) in
        [("1366", (1366.0, 768.0), 1.0), ("900", (900.0, 560.0), 1.0), ("double", (1280.0, 800.0), 2.0)]
    {
        let mut window = opened(edited(), size, scale);
        choose(&mut window, "start of season");
        save(&mut window, name);
    }
}

#[test]
fn tables() {
    for (name, project) in [("8", new_project(8, 8)), ("64", new_project(64, 64))] {
        let mut window = opened(project, (1280.0, 800.0), 1.0);
        save(&mut window, &format!("{name}-none"));
        window.key_press(Key::R);
        settle(&mut window);
        save(&mut window, name);
    }
}
