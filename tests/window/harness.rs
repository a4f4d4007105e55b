//! A workbench in a headless egui.

use std::path::Path;
use std::sync::Arc;
use std::thread;
use std::time::{Duration, Instant};

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, Rect, UiBuilder, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use image::RgbaImage;
use software_renderer::SoftwareRenderer;
use sparkloft::document::{DataFolder, Document};
use sparkloft::drawing::Look;
use sparkloft::project::{LoadKind, MeasuredPoint, NewProject, Origin, PointBound, PointKind, Project, SAMPLES};
use sparkloft::table::{Cell, Selection};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::workbench::Workbench;

pub use software_renderer::colours;

/// The folder for pictures, where they are wanted.
const PICTURES: &str = "SPARKLOFT_PICTURES";

/// A headless window.
pub type Window = Harness<'static, Workbench>;

/// The four samples by name.
pub fn sample(name: &str) -> Project {
    SAMPLES.iter().find(|sample| sample.name == name).unwrap().project().unwrap()
}

/// A new project of a size.
pub fn new_project(speeds: usize, loads: usize) -> Project {
    NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds, loads }.create().unwrap()
}

/// What shows a window in a look.
pub const fn in_look(look: Look) -> Action {
    Action::Run(match look {
        Look::Light => Command::LookLight,
        Look::Dark => Command::LookDark,
        Look::Sunlight => Command::LookSunlight,
    })
}

/// A window of 1280 × 800 points on a project.
pub fn window(project: Project) -> Window {
    sized_window(project, Vec2::new(1280.0, 800.0), 1.0)
}

/// A window of any size and scale on a project.
pub fn sized_window(project: Project, size: Vec2, pixels_per_point: f32) -> Window {
    let document = Document::untitled_in(&DataFolder::none(), project, "trial");
    workbench_window(Workbench::new(document), size, pixels_per_point)
}

/// A window of any size and scale on a workbench.
pub fn workbench_window(workbench: Workbench, size: Vec2, pixels_per_point: f32) -> Window {
    Harness::builder()
        .with_size(size)
        .with_pixels_per_point(pixels_per_point)
        // A worker's answer may come while the window settles; one that repaints for ever still fails.
        .with_max_steps(16)
        .renderer(SoftwareRenderer::default())
        .build_ui_state(
            |ui, workbench: &mut Workbench| {
                workbench.logic(ui.ctx());
                // The harness gives a margin that the real window does not have.
                let whole = UiBuilder::new().max_rect(ui.ctx().content_rect());
                ui.scope_builder(whole, |ui| {
                    ui.set_clip_rect(ui.max_rect());
                    workbench.ui(ui);
                });
            },
            workbench,
        )
}

/// Presses keys one after the other, as written in a flow: 'Alt+Up', 'Shift+Right', '2', '+', 'Enter'.
pub fn press(window: &mut Window, keys: &str) {
    for word in keys.split_whitespace() {
        let (held, name) = word.rsplit_once('+').filter(|(_, name)| !name.is_empty()).unwrap_or(("", word));
        let modifiers = Modifiers {
            alt: held.contains("Alt"),
            shift: held.contains("Shift"),
            command: held.contains("Ctrl"),
            ..Modifiers::NONE
        };
        match Key::from_name(name).filter(|_| name.chars().count() > 1 || modifiers.any()) {
            Some(key) => window.key_press_modifiers(modifiers, key),
            None => name.chars().for_each(|character| window.event(Event::Text(character.to_string()))),
        }
        window.run();
    }
}

/// What the status line says.
pub fn message(window: &Window) -> &str {
    window.state().screen().notice.as_ref().map_or("", |notice| notice.text.as_str())
}

/// The value of a cell, in degrees.
pub fn value(window: &Window, load: usize, speed: usize) -> f64 {
    window.state().document().project().advance.table().at(Cell::new(load, speed))
}

/// The project with other values in its cells, by load and speed.
pub fn with_values(project: &Project, values: impl Fn(usize, usize) -> f64) -> Project {
    let table = project.advance.table();
    let numbers = table.cells().map(|cell| values(cell.load, cell.speed)).collect();
    project.with_advance(project.advance.with_values(numbers, Origin::Typed).unwrap()).unwrap()
}

/// The project with ten measured points, of which one is not in use and one lies beyond the axes. The first three are on
/// one cell in the middle, the others between breakpoints, some near digits, one at the end of both axes.
pub fn with_points(project: &Project) -> Project {
    let table = project.advance.table();
    let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
    let (column, row) = (speeds.len() / 2, loads.len() / 2);
    let between = |list: &[f64], at: usize, share: f64| list[at] + (list[at + 1] - list[at]) * share;
    let point = |name: &str, (right, up): (f64, f64), (column, row): (usize, usize), off_deg: f64| {
        let (speed_rpm, load) = (between(speeds, column, right), between(loads, row, up));
        let advance_deg = ((table.lookup(speed_rpm, load) + off_deg) * 2.0).round() / 2.0;
        let (low_deg, high_deg) = (Some(advance_deg - 1.5), Some(advance_deg + 1.0));
        let (kind, source) = (PointKind::BestTorque, "dyno-day.csv".to_owned());
        MeasuredPoint {
            name: name.into(),
            speed_rpm,
            load,
            advance_deg,
            low_deg,
            high_deg,
            kind,
            source,
            in_use: true,
            ..MeasuredPoint::default()
        }
    };
    let knock = MeasuredPoint {
        kind: PointKind::Knock,
        bound: PointBound::AtMost,
        low_deg: None,
        high_deg: None,
        ..point("knock", (0.6, 0.55), (column + 1, row + 1), 2.0)
    };
    let least = MeasuredPoint {
        bound: PointBound::AtLeast,
        high_deg: None,
        ..point("least", (0.5, 0.05), (column - 3, row - 2), -2.5)
    };
    let beyond =
        MeasuredPoint { speed_rpm: table.speed().last() + 150.0, ..point("beyond", (0.0, 0.0), (0, row), 0.0) };
    let points = vec![
        point("on a cell", (0.0, 0.0), (column, row), 4.0),
        point("there too", (0.0, 0.0), (column, row), 3.0),
        MeasuredPoint { in_use: false, ..point("left out", (0.0, 0.0), (column, row), -3.0) },
        point("between", (0.5, 0.5), (column - 2, row), 6.0),
        point("near digits", (0.0, 0.35), (column + 2, row - 1), -4.0),
        knock,
        least,
        point("at the end", (1.0, 1.0), (speeds.len() - 2, loads.len() - 2), 3.0),
        point("low", (0.3, 0.4), (1, 1), 8.0),
        beyond,
    ];
    project.edit(|parts| parts.evidence.points = points.into_iter().map(Arc::new).collect()).unwrap()
}

/// The project with a cell held.
pub fn with_held(project: &Project, load: usize, speed: usize) -> Project {
    let one = Selection::cell(project.advance.table(), Cell::new(load, speed));
    project.with_advance(project.advance.with_held(&one, true)).unwrap()
}

/// Saves what the window shows, but only if pictures are wanted, since filling triangles in software takes time. In
/// any case checks that the rail is whole.
pub fn save(window: &mut Window, name: &str) {
    rail_is_whole(window, name);
    if std::env::var_os(PICTURES).is_some() {
        pictured(window, name);
    }
}

/// Renders, saves the picture where pictures are wanted, and gives it. The rail must be whole.
pub fn pictured(window: &mut Window, name: &str) -> RgbaImage {
    rail_is_whole(window, name);
    let picture = window.render().unwrap();
    if let Some(folder) = std::env::var_os(PICTURES) {
        picture.save(Path::new(&folder).join(format!("{name}.png"))).unwrap();
    }
    picture
}

/// The rail stands inside the window, and no two of its entries upon one another.
fn rail_is_whole(window: &Window, name: &str) {
    let whole = window.ctx.content_rect();
    // The row of open projects has tabs too.
    let is_sheet = |name: &str| Sheet::ALL.iter().any(|sheet| sheet.row().name == name);
    let tabs = window.get_all_by_role(Role::Tab);
    let tabs = tabs.filter(|tab| tab.accesskit_node().label().is_some_and(|name| is_sheet(&name)));
    let tabs: Vec<Rect> = tabs.map(|tab| tab.rect()).collect();
    assert_eq!(tabs.len(), Sheet::ALL.len(), "{name}: the rail");
    for (at, tab) in tabs.iter().enumerate() {
        assert!(whole.expand(0.5).contains_rect(*tab), "{name}: {tab:?} is not inside {whole:?}");
        assert!(tabs[..at].iter().all(|other| !other.shrink(1.0).intersects(tab.shrink(1.0))), "{name}: {tab:?}");
    }
}

/// Runs until the checks are done with the project as it is, and what they found is shown.
pub fn checked(window: &mut Window) {
    for _ in 0..600 {
        window.run();
        // A thread judges sweeps where they are shown.
        let judges = window.query_by_label_contains("Judging the sweeps").is_some();
        if window.state().is_checked() && !judges {
            window.run();
            return;
        }
        pause(window);
    }
    panic!("the checks never came to an end");
}

/// Waits a moment, and on until something asks for a frame: threads do when they have an answer, and frames before that
/// would only take from their time.
pub fn pause(window: &Window) {
    let began = Instant::now();
    loop {
        thread::sleep(Duration::from_millis(5));
        if window.ctx.has_requested_repaint() || began.elapsed() > Duration::from_millis(100) {
            return;
        }
    }
}

/// Runs until something is so; a worker or a file may take a while.
pub fn until(window: &mut Window, is_so: impl Fn(&Window) -> bool) {
    let began = Instant::now();
    loop {
        window.run();
        if is_so(window) {
            return;
        }
        assert!(began.elapsed() < Duration::from_secs(60), "it never came to be; notice: {}", message(window));
        pause(window);
    }
}

/// Runs until nothing asks for another frame, and goes on asking nothing for a while: threads that still look at the
/// project may wake the window late on a busy machine.
pub fn at_rest(window: &mut Window) -> bool {
    let began = Instant::now();
    let mut quiet = 0;
    while began.elapsed() < Duration::from_secs(20) {
        // Without a frame where none is asked for.
        let is_asked = quiet == 0 || window.ctx.has_requested_repaint();
        quiet = if !is_asked || window.run() == 1 { quiet + 1 } else { 0 };
        if quiet == 10 {
            return true;
        }
        thread::sleep(Duration::from_millis(20));
    }
    false
}
