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
use crate::project::{LoadKind, Project, Tree, lie_together, list_fields, set_fields};
use crate::watch::Watch;
use crate::wording::{Refusal, Unit, ascii, count, one_line, quantity, shortest};

/// Set fields of a project, or list them all
#[derive(Debug, clap::Args)]
#[command(override_usage = "sparkloft set P -o OUT [--add-missing-items] FIELD=VALUE…\n       sparkloft set P --list")]
#[command(after_help = "\
Fields have dotted paths, those that compare prints; lists count from 0, an entry with a name may
be given by it, as in outputs[fan].enabled. Numbers, names, flags (yes, no) and text are written plainly, lists with commas, an optional value is taken away with
none; lists of records are written in RON. Cells are advance.deg[LOAD][SPEED], held marks
advance.held[LOAD][SPEED]; a held cell keeps its value until it is released. Thresholds of the
checks go back to their default with none. The fields are set one after the other, then the whole
is judged: all of them are set, or none.

A value that came with a new project is assumed until it is set; setting the same value confirms it.
The kind of load is changed with --start-anew only: the table and everything else that is written
over load start anew for it, nothing keeps its numbers with another meaning.

Examples:
  sparkloft set P.ron --list
  sparkloft set P.ron -o P.ron trigger.zero_offset_deg=-1.5
  sparkloft set P.ron -o P.ron engine.compression_ratio=10.5 --full-load-line
  sparkloft set P.ron -o OUT.ron sensors.load=pressure --start-anew
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
    #[arg(required_unless_present_any = ["list", "full_load_line", "add_missing_items"])]
    fields: Vec<(String, String)>,
    /// Start everything anew that is written over load, for the kind given as sensors.load=KIND
    #[arg(long, conflicts_with = "list")]
    start_anew: bool,
    /// Compute the full-load line from the engine's figures, and switch it on
    #[arg(long, conflicts_with = "list")]
    full_load_line: bool,
    /// Give everything that the image does not hold an item where there is room, after the fields are set
    #[arg(long, conflicts_with = "list")]
    add_missing_items: bool,
    /// List every field with its value and its unit and range
    #[arg(long)]
    list: bool,
    #[command(flatten)]
    format: Format,
}

fn assignment(text: &str) -> Result<(String, String), Refusal> {
    let (path, value) = text.split_once('=').ok_or_else(|| Refusal::new("write FIELD=VALUE, such as step_deg=0.5"))?;
    Ok((path.trim().into(), value.into()))
}

#[derive(Serialize)]
struct Listed<'a> {
    path: &'a str,
    label: &'a str,
    range: String,
    value: Value<'a>,
    assumed: bool,
}

#[derive(Serialize)]
struct Done<'a> {
    file: String,
    fields: Vec<Changed<'a>>,
    confirmed: Vec<&'a str>,
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
            assumed: project.is_assumed(&field.path),
        });
        let line = |field: &crate::project::FieldValue| {
            let assumed = if project.is_assumed(&field.path) { "; assumed" } else { "" };
            format!(
                "{} = {}  # {}: {}{assumed}\n",
                one_line(&field.path),
                as_written(&field.value),
                field.label,
                ascii(&field.range)
            )
        };
        self.format.answer(&listed.collect::<Vec<_>>(), || fields.iter().map(line).collect())
    }

    fn set(&self, project: &Project, rewrite: Option<Rewrite>, output: &Path) -> Result<Answer, Failure> {
        let mut edited = self.edited(project)?;
        let mut notes = Vec::new();
        if self.add_missing_items {
            let (whole, completed) = add_missing(&edited).map_err(|error| Failure::Usage(error.to_string(), "set"))?;
            edited = whole;
            notes.extend(completed_notes(&completed));
        }
        let differences = FieldDifferences::between(project, &edited, Watch::NOBODY)?;
        let cells = project.advance.table().values().iter().zip(edited.advance.table().values());
        let cells_changed = cells.filter(|(was, is)| was.to_bits() != is.to_bits()).count();
        let files = save_project(output, &edited, rewrite)?;
        notes.extend([pinned_note(project, &edited), line_note(project, &edited)].into_iter().flatten());
        let fields = differences.list.iter().map(Changed::of).collect();
        let confirmed: Vec<&str> = project.assumed.difference(&edited.assumed).map(String::as_str).collect();
        let done = Done { file: shown(output), fields, confirmed, cells_changed };
        let text = || {
            let line = |field: &FieldDifference| {
                format!("{}: {} → {}\n", one_line(&field.path), brief(&field.base_words), brief(&field.edited_words))
            };
            let lines: String = differences.list.iter().map(line).collect();
            let cells =
                if cells_changed > 0 { format!("{} changed\n", count(cells_changed, "cell")) } else { String::new() };
            let is_confirmed = |path: &&str| !differences.list.iter().any(|field| lie_together(path, &field.path));
            let confirmed: String = done
                .confirmed
                .iter()
                .copied()
                .filter(is_confirmed)
                .map(|path| format!("{path}: confirmed\n"))
                .collect();
            let is_empty = lines.is_empty() && cells.is_empty() && confirmed.is_empty();
            let nothing = if is_empty { "nothing changed\n" } else { "" };
            format!("{lines}{confirmed}{cells}{nothing}wrote {}\n", done.file)
        };
        Ok(Answer { notes, files, ..self.format.answer(&done, text)? })
    }
}

impl Set {
    /// The kind of load is changed first, then the fields, then the full-load line that follows from them.
    fn edited(&self, project: &Project) -> Result<Project, Failure> {
        let assignments: Vec<_> = self.fields.iter().map(|(path, value)| (path.as_str(), value.as_str())).collect();
        let started = if self.start_anew { Some(started_anew(project, &assignments)?) } else { None };
        let edited = set_fields(started.as_ref().unwrap_or(project), &assignments)?;
        if !self.full_load_line {
            return Ok(edited);
        }
        let computed = edited.with_computed_line().map_err(|why| Failure::Usage(why.to_string(), "set"))?;
        Ok(computed.map_or(edited, |(_, after)| after))
    }
}

/// The project with the kind of load that is asked for.
fn started_anew(project: &Project, assignments: &[(&str, &str)]) -> Result<Project, Failure> {
    let asked = assignments.iter().rev().find(|(path, _)| *path == "sensors.load").map(|(_, kind)| kind.trim());
    let kinds = [LoadKind::Throttle, LoadKind::Pressure];
    let Some(kind) = kinds.into_iter().find(|kind| asked == Some(kind.name())) else {
        let why = "--start-anew is for another kind of load: give sensors.load=throttle or sensors.load=pressure";
        return Err(Failure::Usage(why.into(), "set"));
    };
    if kind == project.sensors.load {
        return Ok(project.clone());
    }
    let (_, after) = project.with_load_kind(kind).map_err(|why| Failure::Usage(why.to_string(), "set"))?;
    Ok(after)
}

/// A remark that the full-load line was left as it is although the values it follows from have changed.
fn line_note(before: &Project, after: &Project) -> Option<String> {
    let line = |project: &Project| project.engine.most_at_full_load_deg();
    let grounds = |project: &Project| (project.engine.highest_pressure_kpa, project.engine.induction);
    let is_same = line(before) == line(after) && grounds(before) == grounds(after);
    let kept = before.full_load_line == after.full_load_line && after.full_load_line.enabled;
    if is_same || !kept || matches!(after.with_computed_line(), Ok(None)) {
        return None;
    }
    Some(format!(
        "the full-load line is as it was; for the engine as it is now it would be {} from 3000 rpm: \
         'sparkloft set P -o P --full-load-line' computes it anew",
        quantity(line(after), Unit::Degree)
    ))
}

/// What was added, and what there was no room for.
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

/// A value in the words that set it; text is quoted, so that line breaks and its end can be seen.
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
