//! The sunlight look: what makes the window usable outdoors besides its colours and larger digits.

use eframe::egui::accesskit::Role;
use eframe::egui::{FontId, Rect};
use egui_kittest::kittest::{NodeT, Queryable};
use image::RgbaImage;
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
    assert_eq!(theme.breakpoints_font(theme.digits), FontId::proportional(14.0));
    assert!(theme.digits >= 16.0 && theme.body >= 13.0);
}

/// The outline of a field within a sentence has air above and below, so that it does not run along that of the sentence.
#[test]
fn fields_do_not_touch_the_outline_of_their_sentence() {
    let mut window = sunlit(Sheet::Advance);
    let field = window.get_by_label("raise or lower by").rect();
    let sentence = window.get_by_label_contains("Raise or lower by 1.0").rect();
    let picture = pictured(&mut window, "sunlight-sentence");
    let is_dark = |y: f32| picture.get_pixel((field.left() + 6.0) as u32, y as u32).0[0] < 128;
    let dark: Vec<f32> =
        (0..sentence.height() as u32).map(|y| sentence.top() + y as f32).filter(|y| is_dark(*y)).collect();
    let between: Vec<f32> = dark.windows(2).map(|pair| pair[1] - pair[0]).collect();
    assert!(dark.len() == 4 && between[0] >= 3.0 && between[2] >= 3.0, "{dark:?} in {sentence:?}");
}

/// How many pixels are darker in a picture than in another.
fn darker(picture: &RgbaImage, than: &RgbaImage) -> usize {
    picture.pixels().zip(than.pixels()).filter(|(here, there)| here.0[0] < there.0[0]).count()
}

/// The choice is one for this look and another for those with tints.
#[test]
fn no_contour_line_runs_through_the_grid_until_one_is_asked_for() {
    let mut window = sunlit(Sheet::Advance);
    let without = pictured(&mut window, "sunlight-without-contours");
    window.state_mut().ask(Action::Run(Command::ToggleContours));
    window.run();
    let with = pictured(&mut window, "sunlight-with-contours");
    assert!(darker(&with, &without) > 1_000, "{}", darker(&with, &without));
    window.state_mut().ask(in_look(Look::Light));
    window.run();
    let light = pictured(&mut window, "light-with-contours");
    window.state_mut().ask(Action::Run(Command::ToggleContours));
    window.run();
    let bare = pictured(&mut window, "light-without-contours");
    assert!(darker(&light, &bare) > 1_000, "{}", darker(&light, &bare));
}
