//! What is out of order among limits and outputs, said at once in words.

use eframe::egui::{Align, Align2, Rect, Role, Sense, Ui, WidgetInfo, pos2};

use crate::checks::{CHECKS, Finding};
use crate::compare::Section;
use crate::project::Project;
use crate::window::kit::marks;
use crate::window::kit::theme::gaps::MARK_MIDDLE;
use crate::window::kit::theme::kit_sizes::MARK;
use crate::window::kit::theme::{color, elided, severity_ink};
use crate::window::state::screen::Sheet;
use crate::window::views::view::View;
use crate::wording::capital;

/// What the checks say to limits and outputs of a project, the worst first; accepted findings are left out.
pub(super) fn find(project: &Project) -> Vec<Finding> {
    let here = |section: &Section| Sheet::Limits.row().sections.contains(section);
    let checks = CHECKS.iter().filter(|check| check.sections.iter().any(here));
    let all = checks.flat_map(|check| check.findings(project));
    let mut findings: Vec<Finding> =
        all.filter(|finding| finding.is_open() && here(&finding.place.section())).collect();
    findings.sort_by_key(|finding| finding.severity);
    findings
}

/// Draws one line: the worst finding, how many more there are, and all of them as the tooltip.
pub(super) fn show(ui: &mut Ui, rect: Rect, findings: &[Finding], view: &View<'_>) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let Some(worst) = findings.first() else {
        let ink = color(palette.ink_secondary);
        ui.painter().text(
            rect.left_center(),
            Align2::LEFT_CENTER,
            "Limits and outputs are in order.",
            theme.small_font(),
            ink,
        );
        let response = ui.interact(rect, ui.scope_id().with("findings"), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, "Limits and outputs are in order."));
        return;
    };
    let (ink, word) = (color(severity_ink(theme, worst.severity)), capital(worst.severity.name()));
    let more = match findings.len() {
        1 => String::new(),
        count => format!("  ({} more)", count - 1),
    };
    let words = format!("{word}: {}. {}{more}", capital(&worst.message), worst.remedy);
    let mark = Rect::from_center_size(pos2(rect.left() + MARK_MIDDLE, rect.center().y), MARK);
    ui.painter().add(marks::severity(mark, worst.severity, ink));
    let room = Rect::from_x_y_ranges(mark.right() + theme.gap..=rect.right(), rect.y_range());
    elided(ui, room, words, theme.body_font()).paint(ui, Align::Min, ink);
    let all: Vec<String> = findings
        .iter()
        .map(|finding| format!("{}. {} {}", capital(&finding.message), finding.why, finding.remedy))
        .collect();
    let all = all.join("\n\n");
    let response = ui.interact(rect, ui.scope_id().with("findings"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &all));
    response.on_hover_text(&all);
}
