//! A curve to look at, to drag and to type: a chart with its points, and below it the same points as numbers.
//!
//! Used for trims, their weights, dwell, the full-load line and the safety margin. Every change is one labelled
//! step, a drag or a held key included. An impossible change is refused with its reason, and the curve stays
//! unchanged.

mod chart;
mod points;
mod row;

use eframe::egui::{self, Event, Id, Rect, Role, Sense, UiBuilder, WidgetInfo, pos2, vec2};

use self::chart::{CurveChart, Ranges};
use self::points::{Held, Points};
pub use self::row::typed_effect;
use self::row::{Answer, Numbers, of_unit};
use super::form;
use crate::interchange::{CurveClip, read_curve, write_curve};
use crate::table::Curve;
use crate::window::kit::chart::hovering;
use crate::window::state::edits::DocumentEdit;
use crate::window::state::outbox::{Action, Outbox};
use crate::window::views::surface::{heading, quiet_button};
use crate::window::views::view::View;
use crate::wording::Refusal;

pub use crate::window::kit::theme::view_sizes::{CURVE_SIZES, CurveSizes};
pub use crate::window::state::edits::{CurveEdit, CurveOf, CurveWords, Direction};

/// What a curve editor shows besides the curve.
#[derive(Clone, Debug, PartialEq)]
pub struct CurveSpec {
    /// The title above the chart.
    pub title: String,
    /// A remark in small type next to the title; empty for none.
    pub remark: String,
    /// The least range of breakpoints to show, such as the table's; the curve's own ends if `None`.
    pub reach: Option<(f64, f64)>,
    /// The least range of values to show.
    pub shows: (f64, f64),
    /// A curve with less rise than this is not stretched to the full height.
    pub least_span: f64,
    /// A number along the axis to mark, such as the temperature of a preview.
    pub mark: Option<f64>,
    /// Whether the curve has no effect at present.
    pub is_off: bool,
}

impl CurveSpec {
    /// A curve with a title, and a scale that includes zero.
    pub fn new(title: impl Into<String>, least_span: f64) -> Self {
        Self {
            title: title.into(),
            remark: String::new(),
            reach: None,
            shows: (0.0, 0.0),
            least_span,
            mark: None,
            is_off: false,
        }
    }
}

/// The id of a point's widget, which can have the keyboard focus.
pub fn point_id(of: CurveOf, index: usize) -> Id {
    Id::unique(("curve point", of, index))
}

/// The state of the editor of one curve: its marked point, and the drag in progress.
#[derive(Clone, Debug)]
pub struct CurveEditor {
    of: CurveOf,
    cursor: usize,
    held: Option<Held>,
    /// The scales do not change while a point is dragged.
    ranges: Option<Ranges>,
    /// The value whose box got the keyboard focus because a number was typed, and how many characters were
    /// typed.
    typing: Option<(usize, usize)>,
}

impl CurveEditor {
    /// An editor of a curve.
    pub const fn new(of: CurveOf) -> Self {
        Self { of, cursor: 0, held: None, ranges: None, typing: None }
    }

    /// Draws the editor into a rectangle; returns what the pointer is over, in words.
    pub fn show(
        &mut self,
        ui: &mut egui::Ui,
        rect: Rect,
        view: &View<'_>,
        outbox: &mut Outbox,
        spec: &CurveSpec,
    ) -> Option<String> {
        let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).id_salt(("curve", self.of)));
        let ui = &mut ui;
        let (curve, words) = (self.of.curve(view.project), CurveWords::of(self.of, view.project));
        self.cursor = self.cursor.min(curve.axis().len() - 1);
        self.clipboard(ui, &words, view, outbox);
        let line = Rect::from_min_size(rect.min, vec2(rect.width(), CURVE_SIZES.heading_height));
        heading(ui, line, &spec.title, &remark(spec, &words), view.theme);
        let foot = rect.bottom() - view.theme.sentence_height;
        let numbers = foot - 2.0 * view.theme.small_target - CURVE_SIZES.below_boxes;
        let chart =
            Rect::from_min_max(pos2(rect.left(), line.bottom()), pos2(rect.right(), numbers - CURVE_SIZES.above_boxes));
        let pointed = self.chart(ui, chart, curve, &words, view, outbox, spec);
        let place = Rect::from_min_max(pos2(rect.left(), numbers), pos2(rect.right(), foot));
        let boxes = Numbers { of: self.of, words: &words, curve, cursor: self.cursor, typing: self.typing.take() };
        let Answer { focused, refused } = boxes.show(ui, place, view, outbox);
        self.cursor = focused.unwrap_or(self.cursor);
        let gutter = if rect.width() < CURVE_SIZES.words_below { 0.0 } else { row::left(&words) };
        let place = Rect::from_min_max(pos2(rect.left() + gutter, foot), rect.max);
        self.foot(ui, place, curve, &words, refused, view, outbox);
        pointed
    }

    #[expect(clippy::too_many_arguments, reason = "the curve, and what every view is given")]
    fn chart(
        &mut self,
        ui: &mut egui::Ui,
        rect: Rect,
        curve: &Curve,
        words: &CurveWords,
        view: &View<'_>,
        outbox: &mut Outbox,
        spec: &CurveSpec,
    ) -> Option<String> {
        if self.held.is_none() {
            self.ranges = None;
        }
        let ranges = *self.ranges.get_or_insert_with(|| chart::ranges(curve, words, spec));
        let mut chart = CurveChart::new(ui.painter(), curve, words, ranges, rect, view.theme)?;
        let plot = chart.chart.plot();
        // Not a tab stop itself: its points are.
        let ground = ui.interact(plot, Id::unique(("curve chart", self.of)), Sense::CLICK | Sense::HOVER);
        let name = format!("{}, {} over {}", words.name, of_unit(words.value.unit), words.at.unit);
        ground.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, &name));
        let points = Points { of: self.of, words, curve, chart: &chart };
        let hovered = self.points(ui, &points, view, outbox);
        if let Some(at) = ground.interact_pointer_pos().filter(|_| ground.double_clicked()) {
            let at = words.at.snapped(chart.chart.frame().along.from_screen(at.x));
            drop(ask(view, outbox, self.of, CurveEdit::Insert { at }));
        }
        chart.paint(curve, spec);
        let has_focus = |index| ui.memory(|memory| memory.has_focus(point_id(self.of, index)));
        let palette = view.theme.palette;
        chart.paint_points(ui.painter(), self.cursor, |index| {
            let is_hovered = hovered == Some(index);
            if has_focus(index) { Some(palette.ink) } else { is_hovered.then_some(palette.ink_secondary) }
        });
        // While a point is dragged its value is shown beside the pointer.
        let is_dragged = self.held.as_ref().is_some_and(Held::is_by_pointer);
        let told = hovered.or_else(|| has_focus(self.cursor).then_some(self.cursor)).filter(|_| !is_dragged);
        if let Some(point) = told.and_then(|index| curve.points().nth(index)) {
            chart.chart.value(point, words.rounded_words(point.1));
        }
        let tip = "Drag a point up or down, with Shift along the axis; double-click for a new point.\n\
                   With the keyboard: Left and Right go from point to point, Up and Down change the value by the step (Shift: ten), \
                   Ctrl+Left and Ctrl+Right move the point, Insert and Delete add and remove one; numbers type.";
        let pointer = hovering(ui, plot);
        ground.on_hover_text(tip);
        let at = pointer?;
        let at = match hovered.and_then(|index| curve.points().nth(index)) {
            Some((at, _)) => at,
            None => words.at.snapped(chart.chart.frame().along.from_screen(at.x)),
        };
        Some(format!("{}: {}", words.point_name(at), words.rounded_words(curve.lookup(at))))
    }

    #[expect(clippy::too_many_arguments, reason = "the curve, and what every view is given")]
    fn foot(
        &mut self,
        ui: &mut egui::Ui,
        rect: Rect,
        curve: &Curve,
        words: &CurveWords,
        refused: Option<(String, String)>,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) {
        let layout = egui::Layout::left_to_right(egui::Align::Center);
        let mut line = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout));
        let name = &words.name;
        let here = curve.axis().breakpoints().get(self.cursor).map_or_else(String::new, |&at| words.at_words(at));
        let button = |ui: &mut egui::Ui, text: &str, what: &str, tip: String| {
            quiet_button(ui, view.theme, text, &format!("{what} {name}"), false, &tip).clicked()
        };
        if button(
            &mut line,
            "add point",
            "Add a point to",
            format!("Adds a point half way from the one at {here} to the next (Insert on a point)"),
        ) {
            self.insert(self.of, curve, words, view, outbox);
        }
        if button(
            &mut line,
            "remove point",
            "Remove a point of",
            format!("Removes the point at {here} (Delete on a point)"),
        ) {
            self.remove(self.of, view, outbox);
        }
        if button(&mut line, "copy", "Copy", "Copies breakpoints and values as two rows for a spreadsheet (Ctrl+C on a point); paste rows or columns with Ctrl+V on a point or into a box".into()) {
            self.copy(curve, words, view, outbox);
        }
        let left = line.min_rect().right() + view.theme.gap;
        if let Some((key, why)) = refused {
            let rest = Rect::from_min_max(pos2(left, rect.top()), rect.max);
            form::remark(ui, view.theme, rest, &key, &why);
        }
    }

    /// Inserts a point half way to the next one (from the last one, half way back to the one before); on a
    /// multiple of the step if there is one between them.
    fn insert(&mut self, of: CurveOf, curve: &Curve, words: &CurveWords, view: &View<'_>, outbox: &mut Outbox) {
        let low = self.cursor.min(curve.axis().len() - 2);
        let [low, high] =
            [low, low + 1].map(|index| curve.axis().breakpoints().get(index).copied().unwrap_or_default());
        let middle = low + (high - low) / 2.0;
        let at = Some(words.at.snapped(middle)).filter(|&at| low < at && at < high).unwrap_or(middle);
        if ask(view, outbox, of, CurveEdit::Insert { at }).is_ok() {
            self.cursor = curve.axis().breakpoints().partition_point(|&other| other < at);
        }
    }

    fn remove(&mut self, of: CurveOf, view: &View<'_>, outbox: &mut Outbox) {
        // The reason was shown in the status line.
        drop(ask(view, outbox, of, CurveEdit::Remove { index: self.cursor }));
    }

    fn copy(&self, curve: &Curve, words: &CurveWords, view: &View<'_>, outbox: &mut Outbox) {
        outbox.send(Action::Copy(write_curve(curve, view.screen.grid.clipboard.mark)));
        outbox.say(format!("{} points of {} copied", curve.axis().len(), words.name));
    }

    /// Handles clipboard events while a point or a box of this curve has the keyboard focus. A single number is
    /// left to the box it is pasted into.
    fn clipboard(&self, ui: &egui::Ui, words: &CurveWords, view: &View<'_>, outbox: &mut Outbox) {
        let Some((index, place)) = self.focused(ui, view) else { return };
        let mut events = Vec::new();
        ui.input_mut(|input| {
            input.events.retain(|event| {
                let is_ours = match event {
                    Event::Copy | Event::Cut => place == Place::Point,
                    Event::Paste(text) => place == Place::Point || text.trim_end().contains(['\t', '\n', '\r']),
                    _ => false,
                };
                if is_ours {
                    events.push(event.clone());
                }
                !is_ours
            });
        });
        for event in events {
            match event {
                Event::Paste(text) => self.paste(&text, index, place, words, view, outbox),
                _ => self.copy(self.of.curve(view.project), words, view, outbox),
            }
        }
    }

    fn focused(&self, ui: &egui::Ui, view: &View<'_>) -> Option<(usize, Place)> {
        let focused = ui.memory(|memory| memory.focused())?;
        (0..self.of.curve(view.project).axis().len()).find_map(|index| {
            let ids = [
                (point_id(self.of, index), Place::Point),
                (form::id(&row::at_key(self.of, index)), Place::Breakpoint),
                (form::id(&row::value_key(self.of, index)), Place::Value),
            ];
            ids.into_iter().find(|(id, _)| *id == focused).map(|(_, place)| (index, place))
        })
    }

    fn paste(&self, text: &str, from: usize, place: Place, words: &CurveWords, view: &View<'_>, outbox: &mut Outbox) {
        let edit = match read_curve(text) {
            Ok(CurveClip::Points(points)) => CurveEdit::Replace { points },
            Ok(CurveClip::Line(values)) if place == Place::Breakpoint => CurveEdit::Breakpoints { from, values },
            Ok(CurveClip::Line(values)) => CurveEdit::Values { from, values },
            Err(error) => return outbox.complain(format!("Nothing was pasted: {error}")),
        };
        let (project, of) = (view.document.project(), self.of);
        match edit.apply(project, of) {
            Ok(after) if of.curve(&after) == of.curve(project) => outbox.say("What was pasted stands there already"),
            Ok(_) => {
                let label = edit.label(project, of);
                outbox.edit(label, DocumentEdit::Curve(of, edit));
            }
            Err(why) => outbox.complain(format!("Nothing was pasted into {}: {why}", words.name)),
        }
    }
}

/// Requests a change as one step, unless it changes nothing; reports why it is not possible.
///
/// # Errors
/// The reason, which was also shown in the status line.
pub(in crate::window) fn ask(
    view: &View<'_>,
    outbox: &mut Outbox,
    of: CurveOf,
    edit: CurveEdit,
) -> Result<(), Refusal> {
    let project = view.document.project();
    match edit.apply(project, of) {
        Ok(after) if of.curve(&after) == of.curve(project) => Ok(()),
        Ok(_) => {
            let label = edit.label(project, of);
            outbox.edit(label, DocumentEdit::Curve(of, edit));
            Ok(())
        }
        Err(why) => {
            outbox.complain(format!("{}: {why}", CurveWords::of(of, project).name));
            Err(why)
        }
    }
}

/// What part of a curve has the keyboard focus.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place {
    Point,
    Breakpoint,
    Value,
}

/// The remark, or, if there is none and no unit explains the values, what they are.
fn remark(spec: &CurveSpec, words: &CurveWords) -> String {
    if spec.remark.is_empty() && words.value.unit.is_none() { "share".to_owned() } else { spec.remark.clone() }
}
