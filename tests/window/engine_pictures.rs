//! Pictures of the Engine sheet, to be looked at: written where `SPARKLOFT_PICTURES` says; otherwise every page is only
//! laid out, which must not panic and must come to rest.

use eframe::egui::Vec2;
use egui_kittest::kittest::NodeT;
use sparkloft::drawing::Look;
use sparkloft::project::{Project, TimingReading, TypedReading};
use sparkloft::window::state::engine_state::{EngineMessage, Page};
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;

use super::harness::{Window, in_look, sample, save, sized_window};

fn opened(project: Project, size: (f32, f32), scale: f32, look: Look, page: Page) -> Window {
    let typed = readings().map(|[commanded_deg, observed_deg, speed_rpm]| {
        TypedReading::from(TimingReading { commanded_deg, observed_deg, speed_rpm })
    });
    let is_light = page == Page::TimingLight;
    let project = if is_light { project.edit(|parts| parts.typed_readings = typed.to_vec()).unwrap() } else { project };
    let mut window = sized_window(project, Vec2::new(size.0, size.1), scale);
    window.state_mut().ask(in_look(look));
    window.state_mut().ask(ScreenMessage::Show(Sheet::Engine));
    turn_to(&mut window, page);
    window
}

fn turn_to(window: &mut Window, page: Page) {
    window.state_mut().ask(EngineMessage::Open(page));
    window.run();
}

/// 4° of offset and 80 µs of lag, read to half a degree.
fn readings() -> [[f64; 3]; 7] {
    [
        [10.0, 13.5, 1000.0],
        [10.0, 13.0, 2000.0],
        [10.0, 12.5, 3000.0],
        [10.0, 12.0, 4000.0],
        [5.0, 8.5, 1500.0],
        [15.0, 18.0, 1500.0],
        [25.0, 28.5, 1500.0],
    ]
}

const SIZES: [((f32, f32), f32, &str); 4] = [
    ((1280.0, 800.0), 1.0, "1280"),
    ((1366.0, 768.0), 1.0, "1366"),
    ((1280.0, 800.0), 2.0, "2x"),
    ((900.0, 700.0), 1.0, "900"),
];

#[test]
fn every_page_in_every_look() {
    for look in Look::ALL {
        let mut window = opened(sample("tarn-special"), (1280.0, 800.0), 1.0, look, Page::Installation);
        for page in Page::ALL {
            turn_to(&mut window, page);
            save(&mut window, &format!("engine-{page:?}-{look:?}").to_lowercase());
        }
    }
}

/// Nothing reaches out of the window sideways, whatever its size and the project.
#[test]
fn every_page_at_every_size_keeps_within_its_width() {
    for (size, scale, name) in SIZES {
        for project in ["larch-six", "copse-eight"] {
            let mut window = opened(sample(project), size, scale, Look::Light, Page::Installation);
            for page in Page::ALL {
                turn_to(&mut window, page);
                // Of egui's own bars and of what is scrolled away there are nodes as well; sideways nothing scrolls.
                let outside: Vec<String> = all_nodes(&window)
                    .into_iter()
                    .filter(|(right, _)| *right > size.0 * scale + 0.5)
                    .map(|(_, label)| label)
                    .collect();
                assert!(outside.is_empty(), "{page:?} at {name}: {outside:?}");
                if project == "larch-six" {
                    save(&mut window, &format!("engine-{page:?}-{name}").to_lowercase());
                }
            }
        }
    }
}

fn all_nodes(window: &Window) -> Vec<(f32, String)> {
    let mut nodes = Vec::new();
    collect(&window.root(), &mut nodes);
    nodes
}

fn collect<'tree>(node: &(impl NodeT<'tree> + 'tree), nodes: &mut Vec<(f32, String)>) {
    for child in node.children() {
        let access = child.accesskit_node();
        if let Some(bounds) = access.bounding_box() {
            #[expect(clippy::cast_possible_truncation, reason = "points on a screen")]
            nodes.push((bounds.x1 as f32, access.label().unwrap_or_default()));
        }
        collect(&child, nodes);
    }
}

#[test]
fn readings_are_a_project_s_own_rows() {
    let project = sample("tarn-special").edit(|parts| {
        parts.timing_light.readings =
            vec![TimingReading { commanded_deg: 10.0, observed_deg: 11.0, speed_rpm: 1000.0 }];
    });
    let window = opened(project.unwrap(), (1280.0, 800.0), 1.0, Look::Light, Page::Installation);
    assert!(window.state().document().project().typed_readings.is_empty());
}
