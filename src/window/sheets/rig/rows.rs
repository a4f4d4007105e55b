//! The rows of the run, to be typed over or pasted from a spreadsheet.

use eframe::egui::{
    self, Align, Button, Event, Label, Layout, Margin, Rect, RichText, ScrollArea, TextEdit, UiBuilder, vec2,
};

use super::trace_view::head;
use super::{RunChoice, TypedRow, sizes};
use crate::interchange::{RUN_COLUMNS, read_run, run_fields};
use crate::window::theme::color;
use crate::window::{Action, Outbox, View};

/// Height of a row, and of the line of columns.
const ROW: f32 = 25.0;
/// Height of the words below the rows.
const FOOT: f32 = 30.0;

/// Between the edge of a field and its number, in points; the names of the columns keep the same distance.
const TEXT_MARGIN: i8 = 4;

/// The place of a column in a line of the rows, or in the line with their names.
fn field(line: Rect, column: usize) -> Rect {
    #[expect(clippy::cast_precision_loss, reason = "eight columns")]
    let left = line.left() + sizes::ROW_NUMBER + column as f32 * (sizes::FIELD + sizes::FIELD_GAP);
    line.with_min_x(left).with_max_x(left + sizes::FIELD)
}

/// Which field had the keyboard last, for pasting.
#[derive(Default)]
pub(super) struct RowsView {
    focused: Option<(usize, usize)>,
}

/// A column's name and unit.
fn column_name(column: usize, view: &View<'_>) -> (&'static str, &'static str) {
    let load = view.project.sensors.load.unit();
    let names = [
        ("time", "s"),
        ("speed", "rpm"),
        ("load", load),
        ("coolant", "°C"),
        ("air", "°C"),
        ("battery", "V"),
        ("throttle", "%"),
        ("launch", "0 or 1"),
    ];
    names.get(column).copied().unwrap_or_default()
}

impl RowsView {
    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let whole = ui.max_rect();
        let line = Rect::from_min_size(whole.min, vec2(whole.width(), sizes::STRIP_HEAD));
        head(ui, line, "Rows of the run", |ui| buttons(ui, view, outbox), view);
        self.take_paste(ui.ctx(), view, outbox);
        let told = told(view);
        // Two lines: what is wrong with the rows can be read to its end.
        let foot = Rect::from_min_max(egui::pos2(whole.left(), whole.bottom() - FOOT), whole.max);
        let mut below = ui.new_child(UiBuilder::new().max_rect(foot).layout(Layout::top_down(Align::Min)));
        let ink = if told.1 { view.theme.palette.error } else { view.theme.palette.ink_secondary };
        below.add(Label::new(RichText::new(told.0).size(view.theme.small).color(color(ink))).wrap());
        let names = Rect::from_min_size(line.left_bottom(), vec2(whole.width(), ROW));
        columns(ui, names, view);
        let rest = Rect::from_min_max(names.left_bottom(), egui::pos2(whole.right(), foot.top()));
        let mut body = ui.new_child(UiBuilder::new().max_rect(rest));
        body.spacing_mut().item_spacing = vec2(2.0, 0.0);
        ScrollArea::vertical().auto_shrink(false).show_rows(&mut body, ROW, view.screen.rig.rows.len(), |ui, rows| {
            for row in rows {
                self.row(ui, row, view, outbox);
            }
        });
    }

    fn row(&mut self, ui: &mut egui::Ui, row: usize, view: &View<'_>, outbox: &mut Outbox) {
        let Some(texts) = view.screen.rig.rows.get(row) else { return };
        ui.horizontal(|ui| {
            ui.set_height(ROW);
            let line = Rect::from_min_size(ui.max_rect().min, vec2(ui.max_rect().width(), ROW));
            let number = RichText::new((row + 1).to_string()).color(color(view.theme.palette.ink_secondary));
            ui.put(line.with_max_x(line.left() + sizes::ROW_NUMBER), Label::new(number));
            for (column, before) in texts.iter().enumerate() {
                let mut text = before.clone();
                let place = field(line, column).shrink2(vec2(0.0, 2.0));
                let edit = TextEdit::singleline(&mut text)
                    .desired_width(place.width())
                    .margin(Margin::symmetric(TEXT_MARGIN, 2))
                    .align(egui::Align2::RIGHT_CENTER);
                let (name, unit) = column_name(column, view);
                let response = ui.put(place, edit).accessible_name(format!("row {}, {name} {unit}", row + 1));
                if response.has_focus() {
                    self.focused = Some((row, column));
                }
                if response.changed() {
                    set(outbox, row, column, text);
                }
            }
            let many = view.screen.rig.rows.len();
            if tool(ui, "+", &format!("Add a row after row {}", row + 1), None).clicked() {
                outbox.screen(move |screen| screen.rig.edit_rows(|rows| insert_after(rows, row)));
            }
            let refusal = (many <= 2).then_some("a run needs two rows at least");
            if tool(ui, "\u{2212}", &format!("Remove row {}", row + 1), refusal).clicked() {
                outbox.screen(move |screen| {
                    screen.rig.edit_rows(|rows| {
                        if row < rows.len() {
                            rows.remove(row);
                        }
                    });
                });
            }
        });
    }

    /// Text of more than one field goes over several: from the focused field on, or, with names of columns, over all.
    fn take_paste(&self, ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
        if view.dialogs.take_keys() || view.screen.finder.is_some() {
            return;
        }
        let is_table = |text: &str| text.trim_end().contains(['\t', '\n', '\r']);
        let pasted = ctx.input_mut(|input| {
            let place = input.events.iter().position(|event| matches!(event, Event::Paste(text) if is_table(text)))?;
            Some(input.events.remove(place))
        });
        let Some(Event::Paste(text)) = pasted else { return };
        let begins_with_names = text.trim_start().starts_with(|first: char| first.is_alphabetic());
        if begins_with_names {
            match read_run(text.as_bytes()) {
                Ok(run) => {
                    let rows: Vec<TypedRow> =
                        run.rows().iter().map(|row| run_fields(row).map(Option::unwrap_or_default)).collect();
                    outbox.say(format!("{} rows pasted", rows.len()));
                    outbox.screen(move |screen| screen.rig.edit_rows(|all| *all = rows));
                }
                Err(error) => outbox.complain(format!("Nothing was pasted: {error}")),
            }
            return;
        }
        let (row, column) = self.focused.unwrap_or((0, 0));
        match block(&text, column) {
            Ok(block) => {
                outbox.say(format!("{} rows pasted from row {} on", block.len(), row + 1));
                outbox.screen(move |screen| screen.rig.edit_rows(|rows| put(rows, (row, column), &block)));
            }
            Err(told) => outbox.complain(told),
        }
    }
}

/// Pasted fields, if they fit beside each other.
fn block(text: &str, column: usize) -> Result<Vec<Vec<String>>, String> {
    let rows: Vec<Vec<String>> = text
        .lines()
        .filter(|line| !line.trim().is_empty())
        .map(|line| line.split('\t').map(|field| field.trim().to_owned()).collect())
        .collect();
    let widest = rows.iter().map(Vec::len).max().unwrap_or(0);
    let room = RUN_COLUMNS.len() - column.min(RUN_COLUMNS.len());
    if widest > room {
        return Err(format!("Nothing was pasted: {widest} columns do not fit into the {room} from here to the right"));
    }
    Ok(rows)
}

fn put(rows: &mut Vec<TypedRow>, (row, column): (usize, usize), block: &[Vec<String>]) {
    for (down, fields) in block.iter().enumerate() {
        while rows.len() <= row + down {
            rows.push(TypedRow::default());
        }
        if let Some(own) = rows.get_mut(row + down) {
            own.iter_mut().skip(column).zip(fields).for_each(|(own, field)| own.clone_from(field));
        }
    }
}

fn set(outbox: &mut Outbox, row: usize, column: usize, text: String) {
    outbox.screen(move |screen| {
        screen.rig.edit_rows(|rows| {
            if let Some(field) = rows.get_mut(row).and_then(|row| row.get_mut(column)) {
                *field = text;
            }
        });
    });
}

/// A copy of the row, to be changed; its time is left to be typed.
fn insert_after(rows: &mut Vec<TypedRow>, row: usize) {
    if let Some(mut copy) = rows.get(row).cloned() {
        copy[0].clear();
        rows.insert(row + 1, copy);
    }
}

fn tool(ui: &mut egui::Ui, text: &str, name: &str, refusal: Option<&str>) -> egui::Response {
    let button = Button::new(text).min_size(vec2(22.0, 20.0));
    let response = ui.add_enabled(refusal.is_none(), button).on_hover_text(name);
    let response = response.on_disabled_hover_text(refusal.unwrap_or_default());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, refusal.is_none(), name));
    response
}

fn columns(ui: &mut egui::Ui, rect: Rect, view: &View<'_>) {
    let theme = view.theme;
    for column in 0..RUN_COLUMNS.len() {
        let (name, unit) = column_name(column, view);
        let words = RichText::new(format!("{name} {unit}")).size(theme.small);
        let place = field(rect, column).shrink2(vec2(f32::from(TEXT_MARGIN), 0.0));
        let mut own = ui.new_child(UiBuilder::new().max_rect(place).layout(Layout::right_to_left(Align::Center)));
        own.add(Label::new(words.color(color(theme.palette.ink_secondary))).selectable(false).truncate());
    }
}

fn buttons(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    if ui.button("Done").on_hover_text("Show the revolution again; the rows stay.").clicked() {
        outbox.run(crate::window::commands::Command::RigRows);
    }
    if ui.button("Copy rows").on_hover_text("Copy all rows with their names, for a spreadsheet.").clicked() {
        let rows = view.screen.rig.rows.iter().map(|row| row.join("\t"));
        let text: Vec<String> = std::iter::once(RUN_COLUMNS.join("\t")).chain(rows).collect();
        outbox.push(Action::Copy(text.join("\n")));
        outbox.say(format!("{} rows copied", view.screen.rig.rows.len()));
    }
}

/// What is wrong with the rows, or what they are for.
fn told(view: &View<'_>) -> (String, bool) {
    match (&view.screen.rig.run, &view.screen.rig.choice) {
        (Err(why), _) => (format!("Problem: {why}"), true),
        (_, RunChoice::Typed) => {
            ("The typed rows drive the rig. Paste rows from a spreadsheet into any field.".to_owned(), false)
        }
        _ => ("Type or paste to make a run of your own; the built-in run stays as it is.".to_owned(), false),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pasted_fields_go_down_and_to_the_right_and_make_room() {
        let mut rows = vec![TypedRow::default(); 2];
        put(&mut rows, (1, 1), &block("900\t20\n950,5\t30\n", 1).unwrap());
        assert_eq!(rows.len(), 3);
        assert_eq!((rows[1][1].as_str(), rows[2][1].as_str(), rows[2][2].as_str()), ("900", "950,5", "30"));
        assert!(rows[1][0].is_empty() && rows[0][1].is_empty());
        assert_eq!(
            block("1\t2", 7).unwrap_err(),
            "Nothing was pasted: 2 columns do not fit into the 1 from here to the right"
        );
    }
}
