//! Every sheet, page, panel and question in every look and size, to be looked at one by one. It takes minutes, so only
//! who wants the pictures runs it: `SPARKLOFT_PICTURES=DIR cargo test --test all every_picture -- --ignored`, with
//! `SPARKLOFT_SIZES=1366,1920` for some of the sizes.

use eframe::egui::{Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, TouchPhase, Vec2, vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::drawing::{Layer, Look};
use sparkloft::project::{Project, set_fields};
use sparkloft::rig::Settings;
use sparkloft::table::Cell;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::compare_state::{BaseChoice, CompareMessage};
use sparkloft::window::state::engine_state::{EngineMessage, Page};
use sparkloft::window::state::export_state::{ExportMessage, Part, Shown};
use sparkloft::window::state::limits_state::LimitsMessage;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::rig_state::RigMessage;
use sparkloft::window::state::screen::{ScreenMessage, Sheet};
use sparkloft::window::state::selection::CellSelection;
use sparkloft::window::state::surface_state::{Beside, SurfaceMessage};
use sparkloft::window::workbench::Workbench;

use super::compare_pictures::edited;
use super::frame::{Place, change as change_notes};
use super::harness::{Window, checked, in_look, sample, save, sized_window, with_points, workbench_window};
use super::merge::merging_sized;

/// Sizes of windows in points, and pixels to a point.
const SIZES: [(&str, (f32, f32), f32); 5] = [
    ("900", (900.0, 560.0), 1.0),
    ("1280", (1280.0, 800.0), 1.0),
    ("1366", (1366.0, 768.0), 1.0),
    ("1920", (1920.0, 1080.0), 1.0),
    ("double", (1280.0, 800.0), 2.0),
];

/// The sizes that are wanted: all, or those named in `SPARKLOFT_SIZES`.
fn sizes() -> impl Iterator<Item = (&'static str, (f32, f32), f32)> {
    let wanted = std::env::var("SPARKLOFT_SIZES").ok();
    let is_wanted = move |name: &str| wanted.as_ref().is_none_or(|wanted| wanted.split(',').any(|one| one == name));
    SIZES.into_iter().filter(move |(name, ..)| is_wanted(name))
}

fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run_ok();
    settle(window);
}

/// Lets what threads compute come in.
fn settle(window: &mut Window) {
    for _ in 0..6 {
        std::thread::sleep(std::time::Duration::from_millis(15));
        window.run_ok();
    }
    for _ in 0..600 {
        if window.query_by_label_contains("Computing").is_none()
            && window.query_by_label_contains("Comparing the spark").is_none()
        {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
        window.run_ok();
    }
    checked(window);
}

/// A window on a sheet with a block selected, as a tuner would leave it.
fn opened(project: Project, sheet: Sheet, (_, size, scale): (&str, (f32, f32), f32)) -> Window {
    let table = project.advance.table().clone();
    let (loads, speeds) = (table.load().len(), table.speed().len());
    let mut window = sized_window(project, Vec2::from(size), scale);
    window.state_mut().ask(ScreenMessage::Show(sheet));
    let (from, to) = (Cell::new(loads * 9 / 16, speeds * 7 / 16), Cell::new(loads * 11 / 16, speeds / 2));
    change(&mut window, ScreenMessage::Select(CellSelection::block(&table, from, to)));
    window
}

fn in_every_look(window: &mut Window, what: &str, size: &str) {
    for look in Look::ALL {
        change(window, in_look(look));
        save(window, &format!("{what}-{size}-{look:?}").to_lowercase());
    }
}

fn choose_base(window: &mut Window) {
    change(window, CompareMessage::Base(BaseChoice::Snapshot("start of season".into())));
}

#[test]
#[ignore = "for looking at"]
fn advance() {
    for shown in sizes() {
        let mut window = opened(edited(), Sheet::Advance, shown);
        choose_base(&mut window);
        for layer in Layer::ALL {
            change(&mut window, Action::Run(Command::Layer(layer)));
            in_every_look(&mut window, &format!("advance-{}", layer.name().replace(' ', "-")), shown.0);
        }
        change(&mut window, Action::Run(Command::Layer(Layer::Advance)));
        if window.query_by_label_contains("Raise or lower by 1.0").is_some() {
            window.get_by_label_contains("Raise or lower by 1.0").hover();
            window.run_ok();
            settle(&mut window);
            in_every_look(&mut window, "advance-proposed", shown.0);
        }
        if shown.0 == "900" {
            change(&mut window, SurfaceMessage::Tab(true));
            in_every_look(&mut window, "advance-surface", shown.0);
        }
    }
}

#[test]
#[ignore = "for looking at"]
fn beside_the_table() {
    for shown in sizes() {
        let project = set_fields(&with_points(&sample("tarn-special")), &[("full_load_line.enabled", "true")]).unwrap();
        let mut window = opened(project, Sheet::Advance, shown);
        if shown.0 == "900" {
            change(&mut window, SurfaceMessage::Tab(true));
        }
        for (beside, name) in [(Beside::Sure, "sure"), (Beside::Ceiling, "ceiling"), (Beside::Points, "points")] {
            change(&mut window, SurfaceMessage::Beside(beside));
            in_every_look(&mut window, &format!("beside-{name}"), shown.0);
        }
    }
}

#[test]
#[ignore = "for looking at"]
fn evidence() {
    for shown in sizes() {
        let mut window = opened(sample("tarn-special"), Sheet::Evidence, shown);
        in_every_look(&mut window, "evidence", shown.0);
    }
}

#[test]
#[ignore = "for looking at"]
fn trims_and_limits() {
    let project =
        set_fields(&sample("tarn-special"), &[("limits.launch.enabled", "true"), ("outputs[0].enabled", "true")])
            .unwrap();
    for shown in sizes() {
        let mut window = opened(project.clone(), Sheet::Trims, shown);
        in_every_look(&mut window, "trims", shown.0);
        change(&mut window, ScreenMessage::Show(Sheet::Limits));
        change(&mut window, LimitsMessage::Open(0));
        in_every_look(&mut window, "limits", shown.0);
        // Scrolled, as the wheel does it.
        window.hover_at(window.ctx.content_rect().center() + vec2(0.0, 200.0));
        window.event(Event::MouseWheel {
            unit: MouseWheelUnit::Point,
            delta: vec2(0.0, -120.0),
            phase: TouchPhase::Move,
            source: MouseWheelSource::Wheel,
            modifiers: Modifiers::NONE,
        });
        window.run_ok();
        in_every_look(&mut window, "limits-scrolled", shown.0);
    }
}

#[test]
#[ignore = "for looking at"]
fn rig() {
    for shown in sizes() {
        let mut window = opened(sample("tarn-special"), Sheet::Rig, shown);
        change(&mut window, RigMessage::Set(Settings { dropped_at_s: vec![3.0], ..Settings::default() }));
        change(&mut window, RigMessage::LookAt(8.53));
        in_every_look(&mut window, "rig", shown.0);
        change(&mut window, RigMessage::ShowFaults(true));
        change(&mut window, RigMessage::LookAt(3.005));
        in_every_look(&mut window, "rig-faults", shown.0);
        change(&mut window, RigMessage::ShowFaults(false));
        change(&mut window, Action::Run(Command::RigRows));
        in_every_look(&mut window, "rig-rows", shown.0);
    }
}

#[test]
#[ignore = "for looking at"]
fn checks() {
    for shown in sizes() {
        let mut window = opened(sample("wren-four"), Sheet::Checks, shown);
        change(&mut window, Action::Run(Command::NextFinding));
        change(&mut window, ScreenMessage::Show(Sheet::Checks));
        in_every_look(&mut window, "checks", shown.0);
    }
}

#[test]
#[ignore = "for looking at"]
fn compare_and_merge() {
    let folder = tempfile::tempdir().unwrap();
    for shown in sizes() {
        let mut window = opened(edited(), Sheet::Compare, shown);
        choose_base(&mut window);
        in_every_look(&mut window, "compare", shown.0);
        change(&mut window, CompareMessage::AsSurface(true));
        change(&mut window, SurfaceMessage::Tab(true));
        in_every_look(&mut window, "compare-surface", shown.0);
        let mut window = merging_sized(folder.path(), Vec2::from(shown.1), shown.2);
        in_every_look(&mut window, "merge", shown.0);
    }
}

#[test]
#[ignore = "for looking at"]
fn export() {
    for shown in sizes() {
        let mut window = opened(sample("tarn-special"), Sheet::Export, shown);
        let items = &window.state().document().project().image.items;
        let place = items.iter().position(|item| item.name == "advance").unwrap();
        let byte = u64::from(items[place].address) + 1;
        change(&mut window, ExportMessage::Select(Part::Item(place), Some(byte)));
        in_every_look(&mut window, "export", shown.0);
        for (view, name) in [(Shown::Numbers, "numbers"), (Shown::Comparison, "comparison"), (Shown::Unit, "unit")] {
            change(&mut window, ExportMessage::Show(view));
            in_every_look(&mut window, &format!("export-{name}"), shown.0);
        }
    }
}

#[test]
#[ignore = "for looking at"]
fn engine() {
    for shown in sizes() {
        let mut window = opened(sample("tarn-special"), Sheet::Engine, shown);
        for page in Page::ALL {
            change(&mut window, EngineMessage::Open(page));
            in_every_look(&mut window, &format!("engine-{page:?}"), shown.0);
        }
    }
}

#[test]
#[ignore = "for looking at"]
fn panels_and_questions() {
    let place = Place::new();
    let asked = [
        (Command::New, "new"),
        (Command::OpenSample, "samples"),
        (Command::ExportTable, "export-table"),
        (Command::History, "history"),
        (Command::Keys, "keys"),
        (Command::Marks, "marks"),
        (Command::Finder, "finder"),
        (Command::CellMenu, "cell-menu"),
        (Command::Breakpoints, "breakpoints"),
        (Command::Fairing, "demands"),
        (Command::TakeSnapshot, "snapshot"),
        (Command::LockedTiming, "locked-timing"),
        (Command::Quit, "quit"),
    ];
    for (size, points, scale) in sizes() {
        let workbench = Workbench::within(place.untitled(), place.surroundings());
        let mut window = workbench_window(workbench, Vec2::from(points), scale);
        for label in [
            "Raise 12 cells by 1.0°",
            "Fair 256 cells, strength 2.0",
            "Limit slope of 256 cells to 12.0° per 1000 rpm, 3 held cells stayed",
        ] {
            change_notes(&mut window, label);
        }
        for (command, name) in asked {
            for look in Look::ALL {
                change(&mut window, in_look(look));
                change(&mut window, Action::Run(command));
                save(&mut window, &format!("panel-{name}-{size}-{look:?}").to_lowercase());
                window.key_press_modifiers(Modifiers::NONE, Key::Escape);
                window.run_ok();
                // A panel at the side stays until its command is run once more.
                if window.state().screen().panel.is_some() {
                    change(&mut window, Action::Run(command));
                }
            }
        }
    }
}
