//! Pictures of the Rig sheet, to be looked at: written where `SPARKLOFT_PICTURES` says; otherwise every state is only
//! laid out, which must not panic and must come to rest.

use eframe::egui::Vec2;
use sparkloft::drawing::{Look, StripAxis};
use sparkloft::project::Project;
use sparkloft::rig::{BuiltIn, Settings};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::rig_state::{RigMessage, RunChoice};
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;

use egui_kittest::kittest::Queryable;

use super::harness::{Window, in_look, sample, save, sized_window, until};
use super::rig::change;

fn opened(project: Project, size: (f32, f32), scale: f32, look: Look, messages: Vec<RigMessage>) -> Window {
    let mut window = sized_window(project, Vec2::new(size.0, size.1), scale);
    change(&mut window, in_look(look));
    change(&mut window, ScreenMessage::Show(Sheet::Rig));
    for message in messages {
        change(&mut window, message);
    }
    settle(&mut window);
    window
}

fn settle(window: &mut Window) {
    until(window, |window| window.query_by_label_contains("Computing").is_none());
    for _ in 0..5 {
        std::thread::sleep(std::time::Duration::from_millis(20));
        window.run();
    }
}

#[test]
fn looks() {
    for look in Look::ALL {
        let mut window = opened(sample("tarn-special"), (1280.0, 800.0), 1.0, look, {
            let settings = Settings { dropped_at_s: vec![3.0], ..Settings::default() };
            vec![RigMessage::Set(settings), RigMessage::LookAt(8.53)]
        });
        save(&mut window, &format!("rig-{look:?}"));
        change(&mut window, RigMessage::LookAt(3.005));
        settle(&mut window);
        save(&mut window, &format!("rig-{look:?}-lost"));
        change(&mut window, Action::Run(Command::RigRows));
        save(&mut window, &format!("rig-{look:?}-rows"));
    }
}

/// A stretch around a lost sync, with the readings at the pointer and the form of the faults beside the lanes.
#[test]
fn brushed() {
    let sizes = [("1280", (1280.0, 800.0)), ("900", (900.0, 560.0)), ("1920", (1920.0, 1080.0))];
    for (look, (name, size)) in Look::ALL.into_iter().zip(sizes) {
        let settings = Settings { dropped_at_s: vec![3.0, 7.5], variation: 0.02, ..Settings::default() };
        let messages = vec![RigMessage::Set(settings), RigMessage::LookAt(3.005)];
        let mut window = opened(sample("tarn-special"), size, 1.0, look, messages);
        change(&mut window, RigMessage::ShowStretch((2.9, 3.1)));
        let lanes = window.get_by_label("Time in the run, seconds").rect();
        window.event(eframe::egui::Event::PointerMoved(lanes.left_top() + Vec2::new(lanes.width() * 0.3, 40.0)));
        window.run();
        save(&mut window, &format!("rig-{look:?}-{name}-brushed"));
        change(&mut window, RigMessage::ShowFaults(true));
        save(&mut window, &format!("rig-{look:?}-{name}-faults"));
        change(&mut window, RigMessage::LookAt(7.5));
        change(&mut window, RigMessage::ShowStretch((7.5, 7.5)));
        settle(&mut window);
        save(&mut window, &format!("rig-{look:?}-{name}-closest"));
    }
}

#[test]
fn sizes() {
    for (name, size, scale) in
        [("1366", (1366.0, 768.0), 1.0), ("900", (900.0, 560.0), 1.0), ("double", (1280.0, 800.0), 2.0)]
    {
        let mut window = opened(sample("tarn-special"), size, scale, Look::Light, vec![RigMessage::LookAt(4.0)]);
        save(&mut window, name);
    }
}

#[test]
fn runs() {
    for (sample_name, built_in) in [
        ("copse-eight", BuiltIn::ColdStart),
        ("larch-six", BuiltIn::Launch),
        ("wren-four", BuiltIn::CrankAndStart),
        ("tarn-special", BuiltIn::RunDown),
    ] {
        let mut window = opened(sample(sample_name), (1280.0, 800.0), 1.0, Look::Light, {
            let settings = Settings { variation: 0.15, jitter_us: 5.0, ..Settings::default() };
            let choose = RigMessage::Choose(RunChoice::BuiltIn(built_in));
            vec![choose, RigMessage::Set(settings), RigMessage::Axis(StripAxis::Time)]
        });
        save(&mut window, &format!("rig-{sample_name}-{}", built_in.name()));
        window.state_mut().ask(RigMessage::Axis(StripAxis::Crank));
        change(&mut window, RigMessage::LookAt(1.4));
        settle(&mut window);
        save(&mut window, &format!("rig-{sample_name}-{}-crank", built_in.name()));
    }
}
