//! Heading, fixed views, style of the base, and arming of lifts.

use eframe::egui::{
    self, Align, Align2, FontId, Layout, Rect, Response, RichText, Role, Sense, Ui, UiBuilder, WidgetInfo, vec2,
};

use crate::drawing::{Camera, View as CameraView};
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::view_sizes::{ROOM_FOR_BOTH_GROUPS, ROOM_FOR_BOX};
use crate::window::kit::theme::{Theme, color, hairline, strong_text};
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::state::surface_state::{Beside, SurfaceMessage};
use crate::window::views::measured;
use crate::window::views::view::View;

/// A part's heading in a line, with an unobtrusive remark at its right end.
pub fn heading(ui: &mut Ui, line: Rect, title: &str, remark: &str, theme: &Theme) {
    heading_with_any(ui, line, title, &[remark], theme);
}

/// The same with the first of several remarks that is seen whole; the last if none is.
pub fn heading_with_any(ui: &mut Ui, line: Rect, title: &str, remarks: &[&str], theme: &Theme) {
    let (font, ink) = (theme.heading_font(), color(theme.palette.ink));
    let written = strong_text(ui.painter(), line.left_center(), Align2::LEFT_CENTER, title, font, ink);
    let named = ui.interact(written, ui.scope_id().with(title), Sense::hover());
    named.widget_info(|| WidgetInfo::labeled(Role::Heading, true, title));
    let rest = line.with_min_x(written.right() + theme.gap);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rest).layout(Layout::right_to_left(Align::Center)));
    let width = |remark: &str| {
        ui.painter().layout_no_wrap(remark.to_owned(), theme.small_font(), egui::Color32::PLACEHOLDER).size().x
    };
    let fits = |remark: &&&str| width(remark) <= rest.width();
    let remark = remarks.iter().find(fits).or(remarks.last()).copied().unwrap_or_default();
    let remark = RichText::new(remark).size(theme.small).color(color(theme.palette.ink_secondary));
    ui.add(egui::Label::new(remark).truncate());
}

/// Clickable text; underlined if it is the chosen one.
pub fn quiet_button(ui: &mut Ui, theme: &Theme, text: &str, name: &str, chosen: bool, tooltip: &str) -> Response {
    let font = FontId::proportional(theme.small);
    let galley = ui.painter().layout_no_wrap(text.to_owned(), font, egui::Color32::PLACEHOLDER);
    let size = vec2(galley.size().x + theme.gap, ui.available_height().min(theme.small_target));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, name));
    let lit = chosen || response.hovered() || response.has_focus();
    let ink = color(if lit { theme.palette.ink } else { theme.palette.ink_secondary });
    let place = Align2::CENTER_CENTER.align_size_within_rect(galley.size(), rect);
    ui.painter().galley(place.min, galley, ink);
    if chosen || response.has_focus() {
        let y = ui.painter().round_to_pixel_center(place.bottom() + HAIRLINE);
        ui.painter().hline(place.x_range(), y, hairline(ink));
    }
    response.on_hover_text(tooltip)
}

/// The name of the camera's position.
pub(in crate::window) fn view_name(camera: &Camera) -> &'static str {
    fixed_view(camera).map_or("free view", CameraView::name)
}

fn fixed_view(camera: &Camera) -> Option<CameraView> {
    CameraView::ALL.into_iter().find(|&view| {
        let fixed = Camera::view(view);
        let turned = (camera.azimuth_deg - fixed.azimuth_deg).rem_euclid(360.0);
        turned == 0.0 && camera.elevation_deg == fixed.elevation_deg
    })
}

const fn view_command(view: CameraView) -> Command {
    match view {
        CameraView::Front => Command::ViewFront,
        CameraView::Side => Command::ViewSide,
        CameraView::Plan => Command::ViewPlan,
        CameraView::ThreeQuarter => Command::ViewThreeQuarter,
    }
}

/// What can be shown beside the table: text, name, explanation.
const BESIDE: [(Beside, &str, &str, &str); 6] = [
    (Beside::Nothing, "none", "Base: hidden", "Show the table alone."),
    (Beside::SolidBase, "base", "Base: solid", "Show the base as a second body of plain paper."),
    (Beside::WireBase, "base net", "Base: wire", "Show the base as a net."),
    (
        Beside::Points,
        "points",
        "Measured points",
        "Show what was measured as pins: the head is at its own degrees, the stem ends on the table.",
    ),
    (
        Beside::Sure,
        "how sure",
        "How sure the cells are",
        "Show how sure a fit to the measured points would be: between two nets of long dashes the truth lies about nine times \
         in ten. Far apart, nobody knows.",
    ),
    (
        Beside::Ceiling,
        "ceiling",
        "Ceiling: full-load line",
        "Show what the table may not exceed as a hatched sheet: the full-load line less what the trims may add. A bold line \
         runs where the table rises through it.",
    ),
];

/// Two groups of buttons: on one line if there is room, otherwise on two. Returns where they end.
pub(in crate::window) fn show(ui: &mut Ui, line: Rect, view: &View<'_>, outbox: &mut Outbox) -> f32 {
    let left_to_right = Layout::left_to_right(Align::Center);
    let mut first = ui.new_child(UiBuilder::new().max_rect(line).layout(left_to_right));
    views(&mut first, view, outbox);
    let offered = offered(view);
    let room = line.right() - first.min_rect().right() - view.theme.margin;
    let widths: Vec<f32> = offered.iter().map(|(_, text, ..)| word_width(ui, view.theme, text)).collect();
    let caption = text_width(ui, view.theme, BESIDE_CAPTION) + ui.spacing().item_spacing.x - view.theme.gap / 2.0;
    if line.width() > ROOM_FOR_BOTH_GROUPS && caption + widths.iter().sum::<f32>() <= room {
        let layout = Layout::right_to_left(Align::Center);
        let mut other = ui.new_child(UiBuilder::new().max_rect(line).layout(layout));
        beside(&mut other, &offered, view, outbox);
        self::caption(&mut other, view.theme);
        return line.bottom();
    }
    let (mut next, mut place) = (0, line);
    while next < offered.len() {
        place = place.translate(vec2(0.0, line.height()));
        let mut other = ui.new_child(UiBuilder::new().max_rect(place).layout(left_to_right));
        let mut left = line.width();
        if next == 0 {
            self::caption(&mut other, view.theme);
            left -= caption;
        }
        other.add_space(-view.theme.gap / 2.0);
        let fits = widths[next..].iter().take_while(|width| {
            left -= **width;
            left >= -other.spacing().item_spacing.x
        });
        let count = fits.count().max(1);
        beside(&mut other, &offered[next..next + count], view, outbox);
        next += count;
    }
    place.bottom()
}

/// What stands before the words.
const BESIDE_CAPTION: &str = "beside";

fn caption(ui: &mut Ui, theme: &Theme) {
    ui.label(RichText::new(BESIDE_CAPTION).size(theme.small).color(color(theme.palette.ink_secondary)));
}

fn text_width(ui: &Ui, theme: &Theme, text: &str) -> f32 {
    let font = FontId::proportional(theme.small);
    ui.painter().layout_no_wrap(text.to_owned(), font, egui::Color32::PLACEHOLDER).size().x
}

/// The width of a word with the distance to the next.
fn word_width(ui: &Ui, theme: &Theme, text: &str) -> f32 {
    text_width(ui, theme, text) + theme.gap + ui.spacing().item_spacing.x
}

fn views(ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox) {
    let shown = fixed_view(&view.screen.surface.camera);
    ui.add_space(-view.theme.gap / 2.0);
    for fixed in CameraView::ALL {
        let command = view_command(fixed);
        let tooltip = view.keys.tooltip(command);
        let chosen = shown == Some(fixed);
        if quiet_button(ui, view.theme, fixed.name(), command.text(), chosen, &tooltip).clicked() {
            outbox.run(command);
        }
    }
    let tooltip = view.keys.tooltip(Command::ArmLift);
    let armed = view.screen.surface.lift_armed;
    ui.add_space(view.theme.gap);
    if quiet_button(ui, view.theme, "lift", Command::ArmLift.text(), armed, &tooltip).clicked() {
        outbox.run(Command::ArmLift);
    }
    if ui.available_width() < ROOM_FOR_BOX {
        return;
    }
    let tooltip = view.keys.tooltip(Command::BoxSelect);
    let armed = view.screen.surface.box_armed;
    if quiet_button(ui, view.theme, "box", Command::BoxSelect.text(), armed, &tooltip).clicked() {
        outbox.run(Command::BoxSelect);
    }
}

/// What can be shown beside the table of this project.
fn offered(view: &View<'_>) -> Vec<(Beside, &'static str, &'static str, &'static str)> {
    let has_points = !view.project.evidence.points.is_empty();
    let has_ceiling = measured::has_ceiling(view.project);
    let is_there = |beside: Beside| match beside {
        Beside::Points | Beside::Sure => has_points,
        Beside::Ceiling => has_ceiling,
        Beside::Nothing | Beside::SolidBase | Beside::WireBase => true,
    };
    BESIDE.into_iter().filter(|(beside, ..)| is_there(*beside)).collect()
}

/// Words that choose what is shown beside the table, in their order on the screen whichever way they are laid out.
fn beside(ui: &mut Ui, words: &[(Beside, &str, &str, &str)], view: &View<'_>, outbox: &mut Outbox) {
    let (shown, backwards) = (measured::beside(view), ui.layout().prefer_right_to_left());
    let mut word = |(beside, text, name, tooltip): &(Beside, &str, &str, &str)| {
        if quiet_button(ui, view.theme, text, name, shown == *beside, tooltip).clicked() {
            outbox.send(SurfaceMessage::Beside(*beside));
        }
    };
    if backwards {
        words.iter().rev().for_each(&mut word);
    } else {
        words.iter().for_each(&mut word);
    }
}
