//! The text typed over cells: how it changes, what it means, and how it is seen, with its caret over the cursor's cell.

use eframe::egui::{self, Id, Pos2, Rect, Role, Sense, Stroke, StrokeKind, UiBuilder, WidgetInfo, pos2};

use crate::interchange::{NumberError, typed_number};
use crate::project::Advance;
use crate::shaping::Tool;
use crate::table::Selection;
use crate::window::kit::grid::Layout;
use crate::window::kit::theme::kit_sizes::{BUBBLE, BUBBLE_AWAY, HAIRLINE};
use crate::window::kit::theme::view_sizes::{CARET_ROOM, EDITOR_PAD};
use crate::window::kit::theme::{color, hairline, ring};
use crate::window::state::grid_state::GridMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::selection::CellEditor;
use crate::window::views::typed_amount::{Plus, Typed, looks_relative};
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, count, quantity, signed_quantity, written};

/// No advance needs more characters.
const MOST_CHARACTERS: usize = 24;

impl CellEditor {
    /// An editor that replaces the selected cells with what is typed.
    pub fn typing(text: &str) -> Self {
        let mut editor = Self { text: String::new(), caret: 0, in_place: false };
        editor.insert(text);
        editor
    }

    /// An editor for a value, with the caret after it.
    pub fn on_value(advance_deg: f64) -> Self {
        let mut editor = Self::typing(&written(advance_deg));
        editor.in_place = true;
        editor
    }

    /// Inserts text at the caret, as far as there is room; line ends and tabs are left out.
    pub fn insert(&mut self, text: &str) {
        let room = MOST_CHARACTERS.saturating_sub(self.length());
        let typed: String = text.chars().filter(|character| !character.is_control()).take(room).collect();
        self.text.insert_str(self.byte(self.caret), &typed);
        self.caret += typed.chars().count();
    }

    /// Removes the character before the caret.
    pub fn backspace(&mut self) {
        if self.caret > 0 {
            self.caret -= 1;
            self.delete();
        }
    }

    /// Removes the character after the caret.
    pub fn delete(&mut self) {
        let at = self.byte(self.caret);
        if at < self.text.len() {
            self.text.remove(at);
        }
    }

    /// Moves the caret by that many characters, within the text.
    pub fn step(&mut self, by: isize) {
        self.caret = self.caret.saturating_add_signed(by).min(self.length());
    }

    fn length(&self) -> usize {
        self.text.chars().count()
    }

    fn byte(&self, characters: usize) -> usize {
        self.text.char_indices().nth(characters).map_or(self.text.len(), |(at, _)| at)
    }
}

/// The tool that a typed text asks for, tried on the cells.
///
/// # Errors
/// A sentence if the text is neither a number nor a change, or the cells cannot hold the result.
pub(in crate::window) fn entered(text: &str, advance: &Advance, cells: &Selection) -> Result<Tool, Refusal> {
    let tool = tool(read(text)?, advance, cells);
    tool.apply(advance, cells)?;
    Ok(tool)
}

/// The tool that lowers by a number typed with a minus before it, which by itself would set, tried on the cells.
///
/// # Errors
/// A sentence if the text is no such number, or the cells cannot hold the result.
pub(in crate::window) fn lowered(text: &str, advance: &Advance, cells: &Selection) -> Result<Tool, Refusal> {
    let Typed::Value(deg) = read(text)? else {
        return Err(Refusal::new(format!("'{text}' is a change already")).remedy("press Enter alone"));
    };
    if deg >= 0.0 {
        return Err(Refusal::new("Alt+Enter lowers by a number with a minus").remedy("type a plus to raise"));
    }
    let tool = tool(Typed::Add(deg), advance, cells);
    tool.apply(advance, cells)?;
    Ok(tool)
}

fn read(text: &str) -> Result<Typed, Refusal> {
    let number = |text: &str| {
        typed_number(text).map_err(|error| match error {
            NumberError::Missing => {
                Refusal::new("Type a number of degrees, or press Esc to leave the cells as they are")
            }
            NumberError::Comma => Refusal::new(error.to_string()).at(format!("'{text}'")),
            error => Refusal::new(format!("'{text}' is {error}; mend it, or press Esc to leave the cells as they are")),
        })
    };
    Typed::read(text, Plus::Adds, number)
}

/// A single held cell takes what is typed into it, also as a change.
fn tool(typed: Typed, advance: &Advance, cells: &Selection) -> Tool {
    let only = cells.cells().next().filter(|&cell| cells.count() == 1 && advance.held().contains(cell));
    match (typed, only) {
        (Typed::Value(deg), _) => Tool::Type { deg },
        (typed, Some(cell)) => Tool::Type { deg: typed.of(advance.table().at(cell)) },
        (Typed::Add(deg), None) => Tool::Add { deg },
        (Typed::Scale { percent }, None) => Tool::Scale { percent },
    }
}

/// What is said before Enter is pressed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::window) enum Effect {
    /// What Enter will do, and what Alt+Enter will do where that is something else.
    Does(String, Option<String>),
    /// Why it will be refused.
    Refused(String),
}

impl Effect {
    /// For the status line.
    pub(in crate::window) fn line(&self) -> String {
        match self {
            Self::Does(enter, None) => format!("Enter {enter}, Esc does not"),
            Self::Does(enter, Some(alt)) => format!("Enter {enter}, Alt+Enter {alt}, Esc does neither"),
            Self::Refused(why) => why.clone(),
        }
    }

    /// For the place beside the editor.
    fn beside(&self) -> String {
        match self {
            Self::Does(enter, None) => enter.clone(),
            Self::Does(enter, Some(alt)) => format!("{enter}; Alt+Enter {alt}"),
            Self::Refused(why) => why.clone(),
        }
    }
}

/// What a typed text will do to the cells.
pub(in crate::window) fn effect(text: &str, advance: &Advance, cells: &Selection) -> Effect {
    let (which, remark) = reached(advance, cells);
    if looks_relative(text, Plus::Adds)
        && let Err(why) = entered(text, advance, cells)
    {
        return Effect::Refused(why.to_string());
    }
    let amount = |deg: f64| quantity(deg.abs(), Unit::Degree);
    match read(text) {
        Ok(Typed::Add(deg)) if deg < 0.0 => Effect::Does(format!("takes {} off {which}{remark}", amount(deg)), None),
        Ok(Typed::Add(deg)) => Effect::Does(format!("adds {} to {which}{remark}", amount(deg)), None),
        Ok(Typed::Scale { percent }) => {
            let percent = signed_quantity(percent, Unit::Percent);
            Effect::Does(format!("changes {which} by {percent}{remark}"), None)
        }
        Ok(Typed::Value(deg)) if deg < 0.0 => {
            let set = format!("sets {which} to {}{remark}", quantity(deg, Unit::Degree));
            Effect::Does(set, Some(format!("lowers by {}", amount(deg))))
        }
        _ => Effect::Does(format!("sets {which}{remark}"), None),
    }
}

/// Which of the cells move, and what is to be said of the others.
fn reached(advance: &Advance, cells: &Selection) -> (String, String) {
    let all = cells.count();
    let held = cells.cells().filter(|&cell| advance.held().contains(cell)).count();
    match (all, held) {
        (1, 1) => ("the held cell".to_owned(), ", which stays held".to_owned()),
        (_, 0) => (count(all, "cell"), String::new()),
        (_, held) if held == all => (format!("none of {all} cells"), ", all held".to_owned()),
        (_, held) => (format!("{} of {all} cells", all - held), format!(", {held} held")),
    }
}

/// The id of the editor for screen readers.
pub(in crate::window) fn editor_id() -> Id {
    super::id().with("editor")
}

/// A press anywhere else closes the editor: with a step if its text is a number, otherwise without.
pub(in crate::window) fn commit_when_left(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox, shown: Option<Rect>) {
    if view.screen.grid.editor.is_none() {
        return;
    }
    let pressed = ui.input(|input| if input.pointer.any_pressed() { input.pointer.interact_pos() } else { None });
    let is_left = pressed.is_some_and(|at| !shown.is_some_and(|rect| rect.contains(at)));
    if is_left && !super::commit_editor(view, outbox) {
        outbox.send(GridMessage::CloseEditor);
    }
}

/// Paints the open editor; returns its area.
pub(in crate::window) fn paint(ui: &mut egui::Ui, view: &View<'_>, layout: &Layout) -> Option<Rect> {
    let editor = view.screen.grid.editor.as_ref()?;
    let cell = layout.cell(view.screen.selection.cursor)?;
    let (theme, palette) = (view.theme, view.theme.palette);
    let ink = color(palette.ink);
    let galley = ui.painter().layout_no_wrap(editor.text.clone(), theme.digits_font_of(layout.digits), ink);
    let wide = cell.width().max(galley.size().x + 2.0 * EDITOR_PAD + CARET_ROOM);
    let right = (cell.left() + wide).min(ui.max_rect().right());
    let rect = Rect::from_min_max(pos2(right - wide, cell.top()), pos2(right, cell.bottom())).expand(HAIRLINE);
    let painter = ui.painter();
    painter.rect_filled(rect, 0.0, color(palette.field));
    let stroke = Stroke::new(theme.selection_width, color(palette.accent));
    painter.rect_stroke(rect, 0.0, stroke, StrokeKind::Inside);
    let at = pos2(rect.right() - EDITOR_PAD - galley.size().x, rect.center().y - galley.size().y / 2.0);
    let caret = galley.pos_from_cursor(egui::text::CCursor::new(editor.caret));
    painter.galley(at, galley, ink);
    let caret = caret.translate(at.to_vec2());
    painter.vline(caret.left(), caret.y_range(), ring(ink));
    let effect = effect(&editor.text, &view.document.project().advance, &view.screen.selection.cells).beside();
    bubble(ui, view, rect, &effect);
    tell(ui, rect, &editor.text, &effect);
    Some(rect)
}

/// Says beside the editor what Enter will do.
fn bubble(ui: &egui::Ui, view: &View<'_>, editor: Rect, text: &str) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let galley = ui.painter().layout_no_wrap(text.to_owned(), theme.small_font(), color(palette.ink));
    let size = galley.size() + 2.0 * BUBBLE;
    let bounds = ui.max_rect();
    let below = editor.bottom() + BUBBLE_AWAY;
    let y = if below + size.y > bounds.bottom() { editor.top() - BUBBLE_AWAY - size.y } else { below };
    let x = editor.left().min(bounds.right() - size.x).max(bounds.left());
    let rect = Rect::from_min_size(Pos2::new(x, y), size);
    let painter = ui.painter();
    painter.rect_filled(rect, f32::from(theme.radius), color(palette.paper));
    let stroke = hairline(color(palette.rule_strong));
    painter.rect_stroke(rect, f32::from(theme.radius), stroke, StrokeKind::Inside);
    painter.galley(rect.min + BUBBLE, galley, color(palette.ink));
}

fn tell(ui: &mut egui::Ui, rect: Rect, text: &str, effect: &str) {
    ui.scope_builder(UiBuilder::new().accessibility_parent(super::id()), |ui| {
        let response = ui.interact(rect, editor_id(), Sense::hover());
        response.widget_info(|| WidgetInfo {
            current_text_value: Some(text.to_owned()),
            ..WidgetInfo::labeled(Role::TextInput, true, format!("number for the selected cells; Enter {effect}"))
        });
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::Origin;
    use crate::table::{Axis, Cell, Table};

    fn advance() -> Advance {
        let axis = || Axis::new(vec![0.0, 10.0]).unwrap();
        Advance::uniform(Table::from_fn(axis(), axis(), |_, _| 20.0).unwrap(), Origin::Typed).unwrap()
    }

    #[test]
    fn edits_at_the_caret() {
        let mut editor = CellEditor::typing("12\t,5\n");
        assert_eq!((editor.text.as_str(), editor.caret), ("12,5", 4));
        editor.step(-2);
        editor.backspace();
        editor.insert("\u{2212}3");
        assert_eq!((editor.text.as_str(), editor.caret), ("1\u{2212}3,5", 3));
        editor.step(-9);
        editor.backspace();
        editor.delete();
        assert_eq!((editor.text.as_str(), editor.caret), ("\u{2212}3,5", 0));
        editor.step(99);
        editor.delete();
        editor.insert(&"9".repeat(99));
        assert_eq!((editor.text.chars().count(), editor.caret), (MOST_CHARACTERS, MOST_CHARACTERS));
    }

    #[test]
    fn a_point_and_a_comma_are_decimal_marks() {
        let advance = advance();
        let all = Selection::all(advance.table());
        for (text, deg) in [("12.5", 12.5), ("12,5", 12.5), ("1.234", 1.234), ("-3", -3.0), ("\u{2212}3,", -3.0)] {
            assert_eq!(entered(text, &advance, &all), Ok(Tool::Type { deg }), "{text}");
        }
        for text in ["", " ", "12.3.4", "1,234", "1,234.5", "abc", "1e", "400", "inf"] {
            assert!(entered(text, &advance, &all).is_err(), "{text}");
        }
    }

    #[test]
    fn a_change_counts_from_what_is_there() {
        let advance = advance();
        let all = Selection::all(advance.table());
        let cases = [
            ("+1", Tool::Add { deg: 1.0 }),
            ("-=1,5", Tool::Add { deg: -1.5 }),
            ("*1.05", Tool::Scale { percent: 5.0 }),
            ("+5%", Tool::Scale { percent: 5.0 }),
        ];
        for (text, tool) in cases {
            assert_eq!(entered(text, &advance, &all), Ok(tool), "{text}");
        }
        assert_eq!(lowered("-2", &advance, &all), Ok(Tool::Add { deg: -2.0 }));
        for text in ["+1", "2", "-=2", "x"] {
            assert!(lowered(text, &advance, &all).is_err(), "{text}");
        }
        let too_far = entered("+80", &advance, &all).unwrap_err().to_string();
        assert!(too_far.starts_with("the result 100° at 0 rpm, load 0 is outside"), "{too_far}");
    }

    #[test]
    fn one_held_cell_takes_a_change_and_stays_held() {
        let advance = advance();
        let one = Selection::cell(advance.table(), Cell::new(0, 0));
        let held = advance.with_held(&one, true);
        assert_eq!(entered("+1.5", &held, &one), Ok(Tool::Type { deg: 21.5 }));
        assert_eq!(entered("*1.1", &held, &one), Ok(Tool::Type { deg: 22.0 }));
        assert_eq!(lowered("-3", &held, &one), Ok(Tool::Type { deg: 17.0 }));
    }

    #[test]
    fn says_what_enter_will_do() {
        let advance = advance();
        let one = Selection::cell(advance.table(), Cell::new(0, 0));
        let all = Selection::all(advance.table());
        let some_held = advance.with_held(&one, true);
        let told = |text: &str, advance: &Advance, cells: &Selection| effect(text, advance, cells).beside();
        assert_eq!(told("2", &advance, &one), "sets 1 cell");
        assert_eq!(told("", &advance, &all), "sets 4 cells");
        assert_eq!(told("2", &some_held, &all), "sets 3 of 4 cells, 1 held");
        assert_eq!(told("2", &some_held, &one), "sets the held cell, which stays held");
        assert_eq!(told("2", &advance.with_held(&all, true), &all), "sets none of 4 cells, all held");
        assert_eq!(told("+1", &advance, &all), "adds 1.0° to 4 cells");
        assert_eq!(told("-=1,5", &some_held, &all), "takes 1.5° off 3 of 4 cells, 1 held");
        assert_eq!(told("*1.05", &advance, &all), "changes 4 cells by +5 %");
        assert_eq!(told("+", &advance, &all), "type an amount after '+'");
        assert_eq!(told("-2", &some_held, &all), "sets 3 of 4 cells to \u{2212}2.0°, 1 held; Alt+Enter lowers by 2.0°");
        assert_eq!(
            effect("-2", &advance, &all).line(),
            "Enter sets 4 cells to \u{2212}2.0°, Alt+Enter lowers by 2.0°, Esc does neither"
        );
        assert!(effect("+99", &advance, &all).line().starts_with("the result 119°"));
    }
}
