//! `set`: fields of a project by their path.

use std::path::{Path, PathBuf};

use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::json::Value;
use super::output::{Format, brief, file_path, pinned_note, read_for, save_project, shown};
use super::{Answer, Failure};
use crate::compare::{FieldDifference, FieldDifferences};
use crate::document::Rewrite;
use crate::image::{Completed, add_missing};
use crate::project::{Project, Tree, list_fields, set_fields};
use crate::wording::{ascii, count, one_line, shortest};

/// Set fields of a project, or list them all
#[derive(Debug, clap::Args)]
#[command(override_usage = "sparkloft set P -o OUT [--add-missing-items] FIELD=VALUE…\n       sparkloft set P --list")]
#[command(after_help = "\
Fields have dotted paths, those that compare prints; lists count from 0. Numbers, names, flags
(yes, no) and text are written plainly, lists with commas, an optional value is taken away with
none; lists of records are written in RON. Cells are advance.deg[LOAD][SPEED], held marks
advance.held[LOAD][SPEED]; a held cell keeps its value until it is released. Thresholds of the
checks go back to their default with none. The fields are set one after the other, then the whole
is judged: all of them are set, or none.

Examples:
  sparkloft set P.ron --list
  sparkloft set P.ron -o P.ron trigger.zero_offset_deg=-1.5
  sparkloft set P.ron -o OUT.ron limits.over_speed.cuts_at_rpm=7200 'outputs[0].conditions[0].on=6900'
  sparkloft set P.ron -o P.ron --add-missing-items
  sparkloft set P.ron -o P.ron image.coverage.launch.set=yes image.coverage.launch.note='dial 3'
  sparkloft set P.ron -o OUT.ron engine.firing_order=1,2,4,3 'advance.deg[3][4]=28.5'")]
pub(super) struct Set {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// The project file to write; may be P itself
    #[arg(short, long, value_name = "OUT", required_unless_present = "list", conflicts_with = "list")]
    #[arg(value_parser = OsStringValueParser::new().try_map(file_path))]
    output: Option<PathBuf>,
    /// A field and its new value
    #[arg(value_name = "FIELD=VALUE", value_parser = assignment, conflicts_with = "list")]
    #[arg(required_unless_present_any = ["list", "add_missing_items"])]
    fields: Vec<(String, String)>,
    /// Give everything that the image does not hold an item where there is room, after the fields are set
    #[arg(long, conflicts_with = "list")]
    add_missing_items: bool,
    /// List every field with its value and its unit and range
    #[arg(long)]
    list: bool,
    #[command(flatten)]
    format: Format,
}

fn assignment(text: &str) -> Result<(String, String), String> {
    let (path, value) = text.split_once('=').ok_or("write FIELD=VALUE, such as step_deg=0.5")?;
    Ok((path.trim().into(), value.into()))
}

#[derive(Serialize)]
struct Listed<'a> {
    path: &'a str,
    label: &'a str,
    range: String,
    value: Value<'a>,
}

#[derive(Serialize)]
struct Done<'a> {
    file: String,
    fields: Vec<Changed<'a>>,
    cells_changed: usize,
}

#[derive(Serialize)]
struct Changed<'a> {
    path: &'a str,
    base: Value<'a>,
    edited: Value<'a>,
}

impl Set {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let (project, rewrite) = read_for(&self.project, self.output.as_deref())?;
        match &self.output {
            Some(output) if !self.list => self.set(&project, rewrite, output),
            _ => self.list(&project),
        }
    }

    fn list(&self, project: &Project) -> Result<Answer, Failure> {
        let fields = list_fields(project)?;
        let listed = fields.iter().map(|field| Listed {
            path: &field.path,
            label: field.label,
            range: ascii(&field.range),
            value: Value(Some(&field.value)),
        });
        let line = |field: &crate::project::FieldValue| {
            format!(
                "{} = {}  # {}: {}\n",
                one_line(&field.path),
                as_written(&field.value),
                field.label,
                ascii(&field.range)
            )
        };
        self.format.answer(&listed.collect::<Vec<_>>(), || fields.iter().map(line).collect())
    }

    fn set(&self, project: &Project, rewrite: Option<Rewrite>, output: &Path) -> Result<Answer, Failure> {
        let assignments: Vec<_> = self.fields.iter().map(|(path, value)| (path.as_str(), value.as_str())).collect();
        let mut edited = set_fields(project, &assignments)?;
        let mut notes = Vec::new();
        if self.add_missing_items {
            let (whole, completed) = add_missing(&edited).map_err(|error| Failure::Usage(error.to_string(), "set"))?;
            edited = whole;
            notes.extend(completed_notes(&completed));
        }
        let differences = FieldDifferences::between(project, &edited)?;
        let cells = project.advance.table().values().iter().zip(edited.advance.table().values());
        let cells_changed = cells.filter(|(was, is)| was.to_bits() != is.to_bits()).count();
        let files = save_project(output, &edited, rewrite)?;
        notes.extend(pinned_note(project, &edited));
        let fields = differences.list.iter().map(Changed::of).collect();
        let done = Done { file: shown(output), fields, cells_changed };
        let text = || {
            let line = |field: &FieldDifference| {
                format!("{}: {} → {}\n", one_line(&field.path), brief(&field.base_words), brief(&field.edited_words))
            };
            let lines: String = differences.list.iter().map(line).collect();
            let cells =
                if cells_changed > 0 { format!("{} changed\n", count(cells_changed, "cell")) } else { String::new() };
            let nothing = if lines.is_empty() && cells.is_empty() { "nothing changed\n" } else { "" };
            format!("{lines}{cells}{nothing}wrote {}\n", done.file)
        };
        Ok(Answer { notes, files, ..self.format.answer(&done, text)? })
    }
}

/// What was added, and what has no room.
fn completed_notes(completed: &Completed) -> Vec<String> {
    let mut notes = Vec::new();
    if !completed.added.is_empty() {
        notes.push(format!(
            "{} added to the image: {}",
            count(completed.added.len(), "item"),
            one_line(&completed.added.join(", "))
        ));
    }
    if !completed.no_room.is_empty() {
        let parts: Vec<&str> = completed.no_room.iter().map(|part| part.words()).collect();
        notes.push(format!(
            "the image has no room for: {}; make it larger with image.size",
            crate::wording::lower_first(&parts.join(", "))
        ));
    }
    notes
}

impl<'a> Changed<'a> {
    fn of(field: &'a FieldDifference) -> Self {
        Self { path: &field.path, base: Value(field.base.as_ref()), edited: Value(field.edited.as_ref()) }
    }
}

/// A value in the words that set it; text in quotes, so that line breaks and its end are seen.
fn as_written(value: &Tree) -> String {
    match value {
        Tree::Number(number) => shortest(*number),
        Tree::Flag(flag) => if *flag { "yes" } else { "no" }.into(),
        Tree::Text(text) | Tree::Ron(text) => format!("{text:?}"),
        Tree::Name(name) => (*name).into(),
        Tree::Absent => "none".into(),
        Tree::Present(inner) => as_written(inner),
        Tree::List(items) if items.is_empty() => "[]".into(),
        Tree::List(items) | Tree::Tuple(items) => items.iter().map(as_written).collect::<Vec<_>>().join(","),
        Tree::Record(fields) => count(fields.len(), "value"),
        Tree::Map(entries) => count(entries.len(), "value"),
    }
}
