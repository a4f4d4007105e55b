//! Pictures of the Compare sheet, to be looked at: written where `SPARKLOFT_PICTURES` says; otherwise every state is
//! only laid out, which must not panic and must come to rest.

use eframe::egui::{Key, Modifiers, Role, Vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::drawing::Look;
use sparkloft::project::{Origin, Project, set_fields, write};
use sparkloft::shaping::Tool;
use sparkloft::table::Selection;
use sparkloft::window::state::compare_state::{BaseChoice, CompareMessage};
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::state::surface_state::SurfaceMessage;

use super::harness::{Window, in_look, new_project, sample, save, sized_window};

fn opened(project: Project, size: (f32, f32), scale: f32, look: Look) -> Window {
    let mut window = sized_window(project, Vec2::new(size.0, size.1), scale);
    change(&mut window, in_look(look));
    change(&mut window, ScreenMessage::Show(Sheet::Compare));
    window
}

fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run();
    settle(window);
}

/// Lets what workers compute come in.
fn settle(window: &mut Window) {
    std::thread::sleep(std::time::Duration::from_millis(100));
    window.run();
}

fn choose(window: &mut Window, base: &'static str) {
    change(window, CompareMessage::Base(BaseChoice::Snapshot(base.into())));
}

/// The sample against an older snapshot, with a dip at full load and other limits.
pub(super) fn edited() -> Project {
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
    set_fields(&project, &[("limits.over_speed.cuts_all_at_rpm", "7600"), ("outputs[0].conditions[0].on", "7100")])
        .unwrap()
}

#[test]
fn looks() {
    for look in Look::ALL {
        let mut window = opened(edited(), (1280.0, 800.0), 1.0, look);
        choose(&mut window, "start of season");
        save(&mut window, &format!("compare-{look:?}"));
        change(&mut window, CompareMessage::AsSurface(true));
        save(&mut window, &format!("compare-{look:?}-difference"));
        window.get_by_role(Role::ComboBox).click();
        window.run();
        save(&mut window, &format!("compare-{look:?}-chooser"));
        window.key_press(Key::Escape);
        window.run();
        window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::N);
        window.run();
        save(&mut window, &format!("compare-{look:?}-form"));
    }
}

#[test]
fn sizes() {
    for (name, size, scale) in
        [("1366", (1366.0, 768.0), 1.0), ("900", (900.0, 560.0), 1.0), ("double", (1280.0, 800.0), 2.0)]
    {
        let mut window = opened(edited(), size, scale, Look::Light);
        choose(&mut window, "start of season");
        save(&mut window, name);
    }
    let mut window = opened(edited(), (900.0, 560.0), 1.0, Look::Light);
    change(&mut window, SurfaceMessage::Tab(true));
    save(&mut window, "compare-900-surface");
}

#[test]
fn tables() {
    for (speeds, loads) in [(8, 8), (64, 64)] {
        let project = new_project(speeds, loads);
        let mut window = opened(project, (1280.0, 800.0), 1.0, Look::Light);
        save(&mut window, &format!("compare-{speeds}-none"));
        let table = window.state().document().project().advance.table().clone();
        let ranges = Selection::ranges(&table, Some((1500.0, 4000.0)), Some((60.0, 100.0))).unwrap();
        window.state_mut().ask(Action::Shape(Tool::Add { deg: -2.5 }, ranges));
        window.run();
        settle(&mut window);
        save(&mut window, &format!("compare-{speeds}"));
        change(&mut window, CompareMessage::Solid(false));
        save(&mut window, &format!("compare-{speeds}-wire"));
    }
}

#[test]
fn other_tables() {
    let folder = tempfile::tempdir().unwrap();
    for (name, other) in [("pressure", sample("larch-six")), ("coarse", sample("wren-four"))] {
        let path = folder.path().join(format!("{name} with a rather long name that does not fit.ron"));
        std::fs::write(&path, write(&other).unwrap()).unwrap();
        let mut window = opened(edited(), (1280.0, 800.0), 1.0, Look::Light);
        change(&mut window, CompareMessage::Base(BaseChoice::File(path)));
        settle(&mut window);
        save(&mut window, name);
        change(&mut window, CompareMessage::AsSurface(true));
        save(&mut window, &format!("compare-{name}-difference"));
    }
}
