//! The lanes without a scale: states, sync with its losses, outputs and cuts; and the marks of injected faults.

use super::{ERROR, FIRST_OUTPUT, LOSSES, STATE, SYNC, Trace, TraceSpec};
use crate::drawing::plot::{CHARACTER, TraceRow, fill, pointer, text, text_over};
use crate::drawing::{Color, ColorMap, Ground, Label, LabelRole, Look, Palette, Point, Rect, Scene};
use crate::rig::What;

const BAND_THICK: f32 = 11.0;
const MARK: f32 = 7.0;
/// If there are more fault marks than this, they are not labelled.
const FEW: usize = 4;

impl Trace {
    /// Draws each change of state, with its name if there is room. If states change too fast for that, all
    /// their names are written together over that stretch.
    pub(super) fn draw_states(&self, spec: &TraceSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let row = &self.rows[STATE].rect;
        let told = |what: &What| if let What::State(state) = what { Some(*state) } else { None };
        let mut narrow: Option<(f32, f32, Vec<&str>)> = None;
        let middle = row.top + row.height / 2.0;
        let name = |from: f32, to: f32, words: &str, scene: &mut Scene| {
            if to - from >= text_width(words) {
                text(scene, Point::new(from + 4.0, middle), (0.0, 0.5), words, palette.ink_secondary);
            }
        };
        for (from_s, to_s, state) in spec.driven.record.stretches_within(self.time.range, told) {
            let (from, to) = (self.time.to_screen(from_s), self.time.to_screen(to_s));
            let is_wide = to - from >= text_width(state.words());
            if is_wide || narrow.is_none() {
                let top = Point::new(from, row.top + 2.0);
                scene.line(top, Point::new(from, row.top + row.height), 1.0, palette.rule_strong);
            }
            if is_wide {
                if let Some((from, to, words)) = narrow.take() {
                    name(from, to, &words.join(", "), scene);
                }
                name(from, to, state.words(), scene);
                continue;
            }
            let group = narrow.get_or_insert_with(|| (from, to, Vec::new()));
            group.1 = to;
            if !group.2.contains(&state.words()) {
                group.2.push(state.words());
            }
        }
        if let Some((from, to, words)) = narrow {
            name(from, to, &words.join(", "), scene);
        }
    }

    /// Draws a line while the position is known, and marks with a reason where it was lost and where a fault
    /// was injected.
    pub(super) fn draw_sync(&self, spec: &TraceSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let row = &self.rows[SYNC].rect;
        let middle = row.top + row.height / 2.0;
        let told = |what: &What| match what {
            What::Sync => Some(None),
            What::SyncLost(loss) => Some(Some(*loss)),
            _ => None,
        };
        let (mut free_from, mut marked) = (row.left, f32::NEG_INFINITY);
        for (from_s, to_s, lost) in spec.driven.record.stretches_within(self.time.range, told) {
            let (from, to) = (self.time.to_screen(from_s), self.time.to_screen(to_s));
            let Some(loss) = lost else {
                fill(
                    scene,
                    Rect { left: from, top: middle - 2.0, width: (to - from).max(1.0), height: 4.0 },
                    palette.ink,
                );
                continue;
            };
            // The window has marks of its own; those of two losses at one place are one.
            if spec.frame.names && from - marked >= 1.0 {
                pointer(scene, Point::new(from, middle + MARK / 2.0), MARK, palette.error);
                marked = from;
            }
            if from >= free_from && from_s > self.time.range.0 {
                let words = format!("lost: {}", loss.words());
                let width = text_width(&words) + MARK;
                // At the right end the words are placed before the mark.
                let (x, side) = if from + width < row.left + row.width { (MARK, 0.0) } else { (-MARK, 1.0) };
                let at = Point::new(from + x, row.top - LOSSES);
                scene.labels.push(Label {
                    at,
                    anchor: (side, 0.0),
                    text: words,
                    role: LabelRole::Contour,
                    color: palette.error,
                    halo: palette.paper,
                });
                free_from = from + width + MARK;
            }
        }
        self.draw_faults(spec, palette, scene);
    }

    fn draw_faults(&self, spec: &TraceSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let y = self.rows[ERROR].rect.top;
        let faults = &spec.driven.settings;
        let all = [(&faults.dropped_at_s, "edge dropped"), (&faults.extra_at_s, "extra edge")];
        for (times, words) in all {
            for &time_s in times.iter().filter(|&&time_s| (self.time.range.0..=self.time.range.1).contains(&time_s)) {
                let x = self.time.to_screen(time_s);
                pointer(scene, Point::new(x, y), MARK, palette.warning);
                if times.len() <= FEW {
                    let right = self.time.screen.1 - x < 80.0;
                    let (by, side) = if right { (-MARK, 1.0) } else { (MARK, 0.0) };
                    text_over(scene, Point::new(x + by, y - MARK), (side, 0.3), words, palette);
                }
            }
        }
    }

    pub(super) fn draw_bands(&self, spec: &TraceSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let color = band_color(spec.frame.look);
        for (row, &output) in self.rows[FIRST_OUTPUT..].iter().zip(&self.outputs) {
            let told = |what: &What| match *what {
                What::OutputOn { output: at } if at == output => Some(true),
                What::OutputOff { output: at } if at == output => Some(false),
                _ => None,
            };
            let mut filled_to = f32::NEG_INFINITY;
            let stretches = spec.driven.record.stretches_within(self.time.range, told);
            for (from_s, to_s, _) in stretches.into_iter().filter(|stretch| stretch.2) {
                let (from, to) = (self.time.to_screen(from_s), self.time.to_screen(to_s).max(filled_to));
                // However often it switches, no point of the screen is filled twice.
                if to - filled_to >= 1.0 {
                    let own = band(row, from.max(filled_to), to);
                    filled_to = own.left + own.width;
                    fill(scene, own, color);
                }
            }
        }
        let row = &self.rows[self.rows.len() - 1];
        self.for_each_point(|from_s, to_s, x| {
            if spec.driven.record.has_cuts(from_s, to_s) {
                fill(scene, band(row, x, x + 1.0), palette.ink);
            }
        });
    }

    /// Calls `tell` for every point of the screen with its stretch of time.
    pub(super) fn for_each_point(&self, mut tell: impl FnMut(f64, f64, f32)) {
        let (left, right) = self.time.screen;
        let mut x = left;
        while x < right {
            tell(self.time.from_screen(x), self.time.from_screen(x + 1.0).next_down(), x);
            x += 1.0;
        }
    }
}

/// The approximate width of a text, rather too wide than too narrow.
#[expect(clippy::cast_precision_loss, reason = "a few words")]
fn text_width(words: &str) -> f32 {
    words.chars().count() as f32 * CHARACTER + 6.0
}

fn band(row: &TraceRow, from: f32, to: f32) -> Rect {
    let top = row.rect.top + (row.rect.height - BAND_THICK) / 2.0;
    Rect { left: from, top, width: (to - from).max(1.0), height: BAND_THICK }
}

/// The colour of things that are on: outputs, charging coils.
pub(in crate::drawing) fn band_color(look: Look) -> Color {
    match look {
        // No tints in sunlight: dark on white.
        Look::Sunlight => look.palette().base_line,
        Look::Light | Look::Dark => ColorMap::new(look, Ground::Surface).sequential(0.42),
    }
}
