//! Where the engine runs on the advance table: the path so far on the surface and on the grid.

use eframe::egui::{self, Rect, Role, Sense, WidgetInfo, vec2};

use super::path::Path;
use super::trace_view::head;
use crate::drawing::{
    Camera, CellSpace, ColorMap, Ground, HeightScale, Look, Marks, ModelBox, Projector, Relief, ReliefSpec, Scene,
    Tint, View as CameraView,
};
use crate::table::Table;
use crate::window::kit::scene_painter::{Sheet, point, viewport};
use crate::window::kit::theme::rig_sizes::{BELOW_GRID, BESIDE_GRID, GRID_LINE, SURFACE_SHARE};
use crate::window::kit::theme::{color, rig_sizes};
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen;
use crate::window::views::view::View;
use crate::wording::{Unit, figure, fixed, given, with_unit};

/// Without labels the surface may come so much closer.
const CLOSER: f64 = 1.4;

/// Both pictures, and what they were made of.
#[derive(Default)]
pub(super) struct PointView {
    relief: Option<Relief>,
    scene: Scene,
    sheet: Sheet,
    /// The path on the surface, and on the grid.
    paths: (Path, Path),
    made_of: Option<(u64, Rect, Look, HeightScale)>,
}

impl PointView {
    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let whole = ui.max_rect();
        let line = Rect::from_min_size(whole.min, vec2(whole.width(), rig_sizes::STRIP_HEAD));
        let remark =
            egui::RichText::new("path so far").size(view.theme.small).color(color(view.theme.palette.ink_secondary));
        head(ui, line, "On the advance table", |ui| drop(ui.label(remark)), view);
        let rest = Rect::from_min_max(line.left_bottom(), whole.max);
        let above = rest.with_max_y(rest.top() + rest.height() * SURFACE_SHARE);
        let below = rest.with_min_y(above.bottom() + view.theme.gap);
        self.surface(ui, above, view);
        self.grid(ui, below, view, outbox);
    }

    fn surface(&mut self, ui: &mut egui::Ui, rect: Rect, view: &View<'_>) {
        let table = view.table();
        let model = ModelBox::around(table, None);
        let mut camera = Camera::view(CameraView::ThreeQuarter);
        let middle = point(rect.center());
        camera.zoom_about(CLOSER, middle, &viewport(rect));
        let projector = camera.projector(&model, &viewport(rect));
        self.make(rect, view, &model, &projector);
        self.sheet.paint(&ui.painter().with_clip_rect(rect.intersect(ui.clip_rect())), view.theme);
        let place = |speed_rpm: f64, load: f64| {
            let (speed_rpm, load) = onto(table, speed_rpm, load);
            projector.project(model.point(speed_rpm, load, table.lookup(speed_rpm, load)))
        };
        self.paths.0.paint(ui, view, rect, &place);
        let response = ui.interact(rect, ui.scope_id().with("surface"), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, describe(view)));
    }

    fn make(&mut self, rect: Rect, view: &View<'_>, model: &ModelBox, projector: &Projector) {
        let look = view.theme.palette.look;
        let made_of = Some((view.content_key, rect, look, view.scales.heights));
        if self.made_of == made_of {
            return;
        }
        self.made_of = made_of;
        let spec = ReliefSpec {
            table: view.table(),
            base: None,
            model: *model,
            look,
            fill: crate::drawing::Fill::Layer(Tint::advance(view.table(), view.scales.heights.range())),
            base_style: crate::drawing::BaseStyle::Wire,
            levels: Some(view.scales.heights.levels(view.table())),
            load_unit: view.project.sensors.load.unit(),
        };
        match &mut self.relief {
            Some(relief) => relief.update(&spec),
            None => self.relief = Some(Relief::new(&spec)),
        }
        if let Some(relief) = &mut self.relief {
            relief.draw(projector, &Marks::default(), &mut self.scene);
            // So small, contour numbers would only stand in the way.
            self.scene.labels.clear();
            self.sheet.fill(&self.scene);
        }
    }

    /// The table's cells as tinted fields, equally wide, as on the Advance sheet.
    fn grid(&mut self, ui: &mut egui::Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) {
        let (table, palette) = (view.table(), view.theme.palette);
        let area = Rect::from_min_max(rect.min + vec2(BESIDE_GRID, 0.0), rect.max - vec2(0.0, BELOW_GRID));
        let (columns, rows) = (table.speed().len(), table.load().len());
        #[expect(clippy::cast_precision_loss, reason = "at most 64")]
        let size = vec2(area.width() / columns as f32, area.height() / rows as f32);
        let map = ColorMap::new(palette.look, Ground::Grid);
        #[expect(clippy::cast_precision_loss, reason = "at most 64")]
        for cell in table.cells() {
            let at =
                egui::pos2(area.left() + cell.speed as f32 * size.x, area.bottom() - (cell.load + 1) as f32 * size.y);
            let tint = map.sequential(view.scales.heights.share(table.at(cell)));
            let cell = Rect::from_min_size(at, size);
            ui.painter().rect_filled(cell, 0.0, color(tint));
            let line = egui::Stroke::new(GRID_LINE, color(palette.grid_line));
            ui.painter().rect_stroke(cell, 0.0, line, egui::StrokeKind::Middle);
        }
        breakpoints(ui, area, view);
        let space = CellSpace::new(table);
        let place = |speed_rpm: f64, load: f64| {
            let (column, row) = space.from_axes(onto(table, speed_rpm, load));
            #[expect(clippy::cast_possible_truncation, reason = "at most 63")]
            let at = area.left_bottom() + vec2((column as f32 + 0.5) * size.x, -(row as f32 + 0.5) * size.y);
            point(at)
        };
        self.paths.1.paint(ui, view, area, &place);
        let response = ui.interact(area, ui.scope_id().with("grid"), Sense::click());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Go to the advance table"));
        if response.on_hover_text("Go to the Advance sheet, where the point shows as well.").clicked() {
            outbox.run(Command::Sheet(screen::Sheet::Advance));
        }
    }
}

/// The first and last breakpoints with their units.
fn breakpoints(ui: &egui::Ui, area: Rect, view: &View<'_>) {
    use egui::Align2;
    let (table, theme) = (view.table(), view.theme);
    let unit = view.project.sensors.load.unit();
    let ink = color(theme.palette.ink_secondary);
    let write = |at: egui::Pos2, align: Align2, text: String| {
        ui.painter().text(at, align, text, theme.small_font(), ink);
    };
    let (speed, load) = (table.speed(), table.load());
    write(area.left_top() - vec2(4.0, 0.0), Align2::RIGHT_TOP, given(load.last(), unit));
    write(egui::pos2(area.left() - 4.0, area.center().y), Align2::RIGHT_CENTER, unit.text().to_owned());
    write(area.left_bottom() - vec2(4.0, 0.0), Align2::RIGHT_BOTTOM, given(load.first(), unit));
    write(area.left_bottom() + vec2(0.0, 2.0), Align2::LEFT_TOP, given(speed.first(), Unit::Rpm));
    write(area.center_bottom() + vec2(0.0, 2.0), Align2::CENTER_TOP, "rpm".to_owned());
    write(area.right_bottom() + vec2(0.0, 2.0), Align2::RIGHT_TOP, given(speed.last(), Unit::Rpm));
}

/// The point in words.
fn describe(view: &View<'_>) -> String {
    let unit = view.project.sensors.load.unit();
    view.screen.rig.point().map_or_else(
        || "Running point: none".to_owned(),
        |(speed_rpm, load)| {
            let deg = view.table().lookup(speed_rpm, load);
            let load = with_unit(&fixed(load, 0), unit);
            format!("Running point: {}, {load}, table {} degrees", figure(speed_rpm, Unit::Rpm), view.degrees(deg))
        },
    )
}

/// Clamped to the table's axes, as a lookup is.
fn onto(table: &Table, speed_rpm: f64, load: f64) -> (f64, f64) {
    let (speed, loads) = (table.speed(), table.load());
    (speed_rpm.clamp(speed.first(), speed.last()), load.clamp(loads.first(), loads.last()))
}
