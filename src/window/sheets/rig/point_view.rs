//! Where the engine runs on the advance table: the path so far on the surface and on the grid.

use std::sync::Arc;

use eframe::egui::{self, Rect, Role, Sense, WidgetInfo, vec2};

use crate::drawing::{
    Camera, CellSpace, ColorMap, Ground, HeightScale, Look, ModelBox, Point, Projector, Relief, ReliefSpec, Scene,
    Shape, Tint, View as CameraView,
};
use crate::rig::Run;
use crate::table::Table;
use crate::window::kit::scene_painter;
use crate::window::kit::scene_painter::{Sheet, point, viewport};
use crate::window::kit::theme::color;
use crate::window::kit::theme::engine_sheet_sizes::{
    AXIS_WORDS, PATH_APART, PATH_PIECE, RIG_BELOW_GRID, RIG_BESIDE_GRID, RIG_GRID_LINE, RIG_PATH, RIG_POINT,
    RIG_STRIP_HEAD, RIG_SURFACE_SHARE,
};
use crate::window::sheets::rig::trace_view::head;
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen;
use crate::window::views::view::View;
use crate::wording::{Unit, figure, fixed, given, with_unit};

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
        let line = Rect::from_min_size(whole.min, vec2(whole.width(), RIG_STRIP_HEAD));
        let remark =
            egui::RichText::new("path so far").size(view.theme.small).color(color(view.theme.palette.ink_secondary));
        head(ui, line, "On the advance table", |ui| drop(ui.label(remark)), view);
        let rest = Rect::from_min_max(line.left_bottom(), whole.max);
        let above = rest.with_max_y(rest.top() + rest.height() * RIG_SURFACE_SHARE);
        let below = rest.with_min_y(above.bottom() + view.theme.gap);
        self.surface(ui, above, view);
        self.grid(ui, below, view, outbox);
    }

    fn surface(&mut self, ui: &mut egui::Ui, rect: Rect, view: &View<'_>) {
        let table = view.table();
        let model = ModelBox::around(table, None);
        let projector = Camera::view(CameraView::ThreeQuarter).bare_projector(&model, &viewport(rect));
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
            sheer: None,
            load_unit: view.project.sensors.load.unit(),
        };
        match &mut self.relief {
            Some(relief) => relief.update(&spec),
            None => self.relief = Some(Relief::new(&spec)),
        }
        if let Some(relief) = &mut self.relief {
            relief.draw_bare(projector, &mut self.scene);
            self.sheet.fill(&self.scene);
        }
    }

    /// The table's cells as tinted fields, equally wide, as on the Advance sheet.
    fn grid(&mut self, ui: &mut egui::Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) {
        let (table, palette) = (view.table(), view.theme.palette);
        let area = Rect::from_min_max(rect.min + vec2(RIG_BESIDE_GRID, 0.0), rect.max - vec2(0.0, RIG_BELOW_GRID));
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
            let line = egui::Stroke::new(RIG_GRID_LINE, color(palette.grid_line));
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
    write(area.left_top() - vec2(AXIS_WORDS.x, 0.0), Align2::RIGHT_TOP, given(load.last(), unit));
    write(egui::pos2(area.left() - AXIS_WORDS.x, area.center().y), Align2::RIGHT_CENTER, unit.text().to_owned());
    write(area.left_bottom() - vec2(AXIS_WORDS.x, 0.0), Align2::RIGHT_BOTTOM, given(load.first(), unit));
    write(area.left_bottom() + vec2(0.0, AXIS_WORDS.y), Align2::LEFT_TOP, given(speed.first(), Unit::Rpm));
    write(area.center_bottom() + vec2(0.0, AXIS_WORDS.y), Align2::CENTER_TOP, "rpm".to_owned());
    write(area.right_bottom() + vec2(0.0, AXIS_WORDS.y), Align2::RIGHT_TOP, given(speed.last(), Unit::Rpm));
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

const MOST_PIECES: u16 = 24;

/// From speed and load to the screen.
pub(super) type Place<'a> = &'a dyn Fn(f64, f64) -> Point;

/// The whole run as places on the screen, each with its time.
#[derive(Default)]
pub(super) struct Path {
    points: Vec<(f64, Point)>,
    run: Option<Arc<Run>>,
    made_of: Option<(u64, Rect)>,
    scene: Scene,
    painted: Option<(u64, Look)>,
    sheet: scene_painter::Sheet,
}

impl Path {
    /// Paints the path up to the cursor as a line, and the point at its end as a ring in the colour of the cursor.
    pub(super) fn paint(&mut self, ui: &egui::Ui, view: &View<'_>, rect: Rect, place: Place<'_>) {
        let (rig, look) = (&view.screen.rig, view.theme.palette.look);
        let (Ok(run), Some((speed_rpm, load))) = (&rig.run, rig.point()) else {
            return;
        };
        let made_of = Some((view.content_key, rect));
        let is_same_run = self.run.as_ref().is_some_and(|of| Arc::ptr_eq(of, run));
        if !is_same_run || self.made_of != made_of {
            (self.run, self.made_of, self.painted) = (Some(Arc::clone(run)), made_of, None);
            self.lay_out(run, place);
        }
        let painted = Some((rig.cursor_s.to_bits(), look));
        if self.painted != painted {
            self.painted = painted;
            self.draw(rig.cursor_s, place(speed_rpm, load), look);
        }
        self.sheet.paint(ui.painter(), view.theme);
    }

    fn lay_out(&mut self, run: &Run, place: Place<'_>) {
        self.points.clear();
        let mut add = |time_s: f64, at: Point| {
            let is_apart =
                self.points.last().is_none_or(|(_, last)| (at.x - last.x).hypot(at.y - last.y) >= PATH_APART);
            if is_apart {
                self.points.push((time_s, at));
            }
        };
        for pair in run.rows().windows(2) {
            let (from, to) = (&pair[0], &pair[1]);
            let [start, end] = [from, to].map(|row| place(row.speed_rpm, row.load));
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few pieces")]
            let pieces =
                ((end.x - start.x).hypot(end.y - start.y) / PATH_PIECE).ceil().min(f32::from(MOST_PIECES)) as u16;
            for piece in 0..pieces.max(1) {
                let share = f64::from(piece) / f64::from(pieces.max(1));
                let between = |from: f64, to: f64| from + share * (to - from);
                let at = place(between(from.speed_rpm, to.speed_rpm), between(from.load, to.load));
                add(between(from.time_s, to.time_s), at);
            }
        }
    }

    fn draw(&mut self, cursor_s: f64, end: Point, look: Look) {
        let palette = look.palette();
        self.scene.clear();
        let passed = self.points.partition_point(|(time_s, _)| *time_s < cursor_s);
        let places = self.points.get(..passed).unwrap_or_default().iter().map(|(_, at)| *at).chain([end]);
        let mut before = None;
        for to in places {
            if let Some(from) = before.replace(to) {
                self.scene.shapes.push(Shape::Line { from, to, width: RIG_PATH, color: palette.ink });
            }
        }
        let (fill, outline) = (palette.handle, palette.accent);
        self.scene.shapes.push(Shape::Dot { at: end, radius: RIG_POINT, fill, outline, outline_width: 2.2 });
        self.sheet.fill(&self.scene);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;
    use crate::rig::BuiltIn;

    #[test]
    fn the_path_follows_the_run_and_ends_at_the_cursor() {
        let project = SAMPLES[0].project().unwrap();
        let run = BuiltIn::SweepToTheLimit.run(&project).unwrap();
        #[expect(clippy::cast_possible_truncation, reason = "a place on a screen")]
        let place = |speed_rpm: f64, load: f64| Point::new(speed_rpm as f32 / 20.0, load as f32);
        let mut path = Path::default();
        path.lay_out(&run, &place);
        assert!(path.points.windows(2).all(|pair| pair[0].0 < pair[1].0), "in the order of time");
        for (time_s, at) in &path.points {
            let row = run.at(*time_s);
            let there = place(row.speed_rpm, row.load);
            assert!((there.x - at.x).hypot(there.y - at.y) < 0.01, "{time_s} s");
        }
        let cursor_s = f64::midpoint(run.start_s(), run.end_s());
        let row = run.at(cursor_s);
        path.draw(cursor_s, place(row.speed_rpm, row.load), Look::Light);
        let lines = path.scene.shapes.iter().filter(|shape| matches!(shape, Shape::Line { .. })).count();
        assert_eq!(lines, path.points.iter().filter(|(time_s, _)| *time_s < cursor_s).count());
        assert!(
            matches!(path.scene.shapes.last(), Some(Shape::Dot { at, .. }) if *at == place(row.speed_rpm, row.load))
        );
    }
}
