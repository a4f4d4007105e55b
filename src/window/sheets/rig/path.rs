//! The path of a run on a picture of the advance table, laid out once and kept.

use std::sync::Arc;

use eframe::egui::{self, Rect};

use crate::drawing::{Look, Point, Scene, Shape};
use crate::rig::Run;
use crate::window::kit::scene_painter;
use crate::window::kit::theme::engine_sheet_sizes::{PATH_APART, PATH_PIECE, RIG_PATH, RIG_POINT};
use crate::window::views::view::View;

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
