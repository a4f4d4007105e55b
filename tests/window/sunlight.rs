//! The sunlight look: what makes the window usable outdoors besides its colours and larger digits.

use eframe::egui::accesskit::Role;
use eframe::egui::{FontId, Rect};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::drawing::Look;
use sparkloft::window::kit::theme::Theme;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::{ScreenMessage, Sheet};

use super::harness::{Window, checked, in_look, pictured, sample, window};

/// What is clicked or typed into, except cells and bytes, which are as large as their digits.
const TARGETS: [Role; 7] =
    [Role::Button, Role::RadioButton, Role::CheckBox, Role::ComboBox, Role::SpinButton, Role::Tab, Role::TextInput];
/// The least height of such a target in the sun, in points.
const LEAST: f32 = 28.0;

fn sunlit(sheet: Sheet) -> Window {
    let mut window = window(sample("tarn-special"));
    window.state_mut().ask(in_look(Look::Sunlight));
    window.state_mut().ask(ScreenMessage::Show(sheet));
    checked(&mut window);
    window
}

/// Name and area of every target.
fn targets(window: &Window) -> Vec<(String, Rect)> {
    let of = |role| {
        window.query_all_by_role(role).map(|node| (node.accesskit_node().label().unwrap_or_default(), node.rect()))
    };
    TARGETS.into_iter().flat_map(of).collect()
}

#[test]
fn everything_that_is_clicked_is_a_large_target() {
    let mut small = Vec::new();
    for &sheet in Sheet::ALL {
        let window = sunlit(sheet);
        let found = targets(&window);
        assert!(found.len() > Sheet::ALL.len(), "{}", sheet.row().name);
        let too_small = found.into_iter().filter(|(_, rect)| rect.height() < LEAST);
        small.extend(too_small.map(|(name, rect)| format!("{}: {name}: {rect:?}", sheet.row().name)));
    }
    assert!(small.is_empty(), "{} too small:\n{}", small.len(), small.join("\n"));
}

#[test]
fn breakpoints_are_set_in_fourteen_points() {
    let theme = Theme::of(Look::Sunlight);
    assert_eq!(theme.breakpoints_font(), FontId::proportional(14.0));
    assert!(theme.digits >= 16.0 && theme.body >= 13.0);
}

/// With contour lines the grid has more that is neither ground nor ink.
#[test]
fn no_contour_line_runs_through_the_grid_until_one_is_asked_for() {
    let mut window = sunlit(Sheet::Advance);
    let without = pictured(&mut window, "sunlight-without-contours");
    window.state_mut().ask(Action::Run(Command::ToggleContours));
    window.run();
    let with = pictured(&mut window, "sunlight-with-contours");
    let dark = |picture: &image::RgbaImage| picture.pixels().filter(|pixel| pixel.0[0] < 200).count();
    assert!(dark(&with) > dark(&without) + 2_000, "{} {}", dark(&with), dark(&without));
    window.state_mut().ask(in_look(Look::Light));
    window.run();
    let light = pictured(&mut window, "light-with-contours");
    window.state_mut().ask(in_look(Look::Sunlight));
    window.run();
    assert_eq!(pictured(&mut window, "sunlight-with-contours-again"), with);
    window.state_mut().ask(in_look(Look::Light));
    window.run();
    assert_eq!(pictured(&mut window, "light-with-contours-again"), light);
}
