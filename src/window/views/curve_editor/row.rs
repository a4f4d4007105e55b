//! The numbers of a curve in boxes below its chart: breakpoints above values.

use eframe::egui::text::{CCursor, CCursorRange};
use eframe::egui::text_edit::TextEditState;
use eframe::egui::{self, Align2, Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};

use crate::table::Curve;
use crate::window::kit::theme::color;
use crate::window::kit::theme::kit_sizes::CHART;
use crate::window::kit::theme::view_sizes::{CURSOR_MARK_BELOW, CURSOR_MARK_ENDS, CURVE_SIZES};
use crate::window::state::edits::{CurveEdit, CurveOf, CurveWords, Direction, DocumentEdit};
use crate::window::state::outbox::Outbox;
use crate::window::views::form::{self, Entry, Meaning};
use crate::window::views::view::View;
use crate::wording::{Unit, bounds, written};

/// The key of a breakpoint's box: its path in the project.
pub(in crate::window) fn at_key(of: CurveOf, index: usize) -> String {
    format!("{}.at[{index}]", of.path())
}

/// The key of a value's box.
pub(in crate::window) fn value_key(of: CurveOf, index: usize) -> String {
    format!("{}.value[{index}]", of.path())
}

/// Room to the left of chart and boxes, for the numbers of the scale and the units of the boxes.
pub(in crate::window) fn left(words: &CurveWords) -> f32 {
    if words.value.unit.text().chars().count() > 1 { CURVE_SIZES.wide_left } else { CURVE_SIZES.left }
}

/// The boxes of one curve.
pub(in crate::window) struct Numbers<'a> {
    pub of: CurveOf,
    pub words: &'a CurveWords,
    pub curve: &'a Curve,
    /// The point that is marked.
    pub cursor: usize,
    /// A box that has just got the keyboard focus, with the number of characters typed.
    pub typing: Option<(usize, usize)>,
}

/// What happened in the boxes.
#[derive(Default)]
pub(in crate::window) struct Answer {
    /// The point whose box has the keyboard focus.
    pub focused: Option<usize>,
    /// The key of the box with a refused text, and why it is refused.
    pub refused: Option<(String, String)>,
}

impl Numbers<'_> {
    /// Draws the boxes; if they do not fit side by side they scroll.
    pub(in crate::window) fn show(&self, ui: &mut Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) -> Answer {
        self.units(ui, rect, view);
        let inner = Rect::from_min_max(pos2(rect.left() + left(self.words), rect.top()), rect.max);
        #[expect(clippy::cast_precision_loss, reason = "at most 64 points")]
        let count = self.curve.axis().len() as f32;
        let (least, most) = CURVE_SIZES.box_width;
        let width = (inner.width() / count).floor().clamp(least, most);
        let mut answer = Answer::default();
        let mut ui = ui.new_child(UiBuilder::new().max_rect(inner).id_salt(("numbers", self.of)));
        if width * count <= inner.width() {
            self.boxes(&mut ui, inner.min, width, view, outbox, &mut answer);
            return answer;
        }
        ScrollArea::horizontal().id_salt(("numbers", self.of)).show(&mut ui, |ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(width * count, inner.height()), egui::Sense::hover());
            self.boxes(ui, rect.min, width, view, outbox, &mut answer);
        });
        answer
    }

    fn units(&self, ui: &Ui, rect: Rect, view: &View<'_>) {
        let ink = color(view.theme.palette.ink_secondary);
        let value = of_unit(self.words.value.unit);
        let mut y = rect.top() + CURVE_SIZES.box_height / 2.0;
        for unit in [self.words.at.unit.text(), value] {
            let at = pos2(rect.left() + left(self.words) - CHART.number_gap, y);
            ui.painter().text(at, Align2::RIGHT_CENTER, unit, view.theme.small_font(), ink);
            y += CURVE_SIZES.box_height + CURVE_SIZES.box_gap;
        }
    }

    fn boxes(
        &self,
        ui: &mut Ui,
        from: egui::Pos2,
        width: f32,
        view: &View<'_>,
        outbox: &mut Outbox,
        answer: &mut Answer,
    ) {
        // Tab goes through the breakpoints, then through the values.
        let places: Vec<f32> =
            std::iter::successors(Some(from.x), |left| Some(left + width)).take(self.curve.axis().len()).collect();
        for is_value in [false, true] {
            let top = if is_value { from.y + CURVE_SIZES.box_height + CURVE_SIZES.box_gap } else { from.y };
            for (index, ((at, value), &left)) in self.curve.points().zip(&places).enumerate() {
                let rect =
                    Rect::from_min_size(pos2(left, top), vec2(width - CURVE_SIZES.box_gap, CURVE_SIZES.box_height));
                self.one(ui, rect, (index, at, value), is_value, view, outbox, answer);
            }
        }
        if let Some(&left) = places.get(self.cursor) {
            let y = ui.painter().round_to_pixel_center(from.y + 2.0 * CURVE_SIZES.box_height + CURSOR_MARK_BELOW);
            let mark = egui::Stroke::new(view.theme.palette.selection_width, color(view.theme.palette.accent));
            ui.painter().hline(left + CURSOR_MARK_ENDS.0..=left + width - CURSOR_MARK_ENDS.1, y, mark);
        }
    }

    #[expect(clippy::too_many_arguments, reason = "a point, and what every view is given")]
    fn one(
        &self,
        ui: &mut Ui,
        rect: Rect,
        (index, at, value): (usize, f64, f64),
        is_value: bool,
        view: &View<'_>,
        outbox: &mut Outbox,
        answer: &mut Answer,
    ) {
        let (words, of) = (self.words, self.of);
        let (key, name, shown, direction) = if is_value {
            (value_key(of, index), format!("{}, value", words.point_name(at)), words.value_text(value), words.value)
        } else {
            (at_key(of, index), format!("{}, breakpoint {}", words.name, index + 1), words.at_text(at), words.at)
        };
        let tooltip = self.tooltip(&name, &direction);
        let entry = Entry {
            key: &key,
            label: "",
            name: &name,
            shown: &shown,
            unit: form::text_box::Behind::NOTHING,
            width: None,
            tooltip: &tooltip,
        };
        let stepped = |text: &str, steps: f64| {
            let to = direction.stepped(form::read(text, direction.unit).ok()?, steps);
            Some(if is_value { words.value_text(to) } else { words.at_text(to) })
        };
        let project = view.document.project();
        let refused = form::number_at(ui, view, outbox, rect, &entry, stepped, |text| {
            let to = form::read(text, direction.unit)?;
            let edit = if is_value { CurveEdit::Value { index, to } } else { CurveEdit::Breakpoint { index, to } };
            let after = edit.apply(project, of)?;
            if of.curve(&after) == of.curve(project) {
                return Ok(Meaning::Same);
            }
            let label = edit.label(project, of);
            Ok(Meaning::Step(label, DocumentEdit::Curve(of, edit)))
        });
        let id = form::id(&key);
        if ui.memory(|memory| memory.has_focus(id)) {
            answer.focused = Some(index);
        }
        if let Some((_, count)) = self.typing.filter(|typing| is_value && typing.0 == index) {
            let mut state = TextEditState::load(ui.ctx(), id).unwrap_or_default();
            state.cursor.set_char_range(Some(CCursorRange::one(CCursor::new(count))));
            state.store(ui.ctx(), id);
        }
        if let Some(why) = refused {
            answer.refused = Some((key, why));
        }
    }

    fn tooltip(&self, name: &str, direction: &Direction) -> String {
        let step = written(direction.step);
        let range = bounds(direction.range, direction.unit);
        format!(
            "{name}: {range}\nEnter or Tab sets it, Esc gives up; Up and Down change it by {step}, with Shift by ten times that.\n\
             Tab-separated rows from a spreadsheet can be pasted here."
        )
    }
}

/// The unit of a curve's values; a share has none.
pub(super) fn of_unit(unit: Unit) -> &'static str {
    if unit.is_none() { "share" } else { unit.text() }
}
