//! The image as files for a flashing tool.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::Serialize;

use super::described::{Described, described, text as items_text};
use super::{Checked, Export};
use crate::command_line::answer::Pending;
use crate::command_line::held::{self, NotInImage, Spark};
use crate::command_line::json::Where;
use crate::command_line::output::{locked_note, refuse_taken, save_project, shown};
use crate::command_line::{Answer, Failure};
use crate::document::{Export as Ready, Exported, ExportedFile, Rewrite};
use crate::image::{
    FlashedUnit, OutputFormat, RemarkKind, SRecordType, compare_spark, encode, folding_words, largest_folding,
};
use crate::project::{AddressRange, LastExport, Project};
use crate::wording::{Unit, count, one_line};

#[derive(Serialize)]
struct Done<'a> {
    file: String,
    format: &'static str,
    files: Vec<DoneFile>,
    start: u32,
    size: usize,
    checksum: Checksum,
    locked_timing_deg: Option<f64>,
    changes: Vec<Change>,
    spark: Spark,
    not_in_image: Vec<NotInImage>,
    #[serde(flatten)]
    checked: Checked,
    despite_errors: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    image: Option<Described<'a>>,
}

#[derive(Serialize)]
struct DoneFile {
    file: String,
    format: &'static str,
    bytes: usize,
    s_record_type: Option<&'static str>,
}

#[derive(Serialize)]
struct Checksum {
    words: String,
    stored: Option<u32>,
}

#[derive(Serialize)]
struct Change {
    item: String,
    kind: &'static str,
    largest_change: f64,
    unit: Unit,
    #[serde(flatten)]
    place: Where,
}

pub(super) fn run(
    export: &Export,
    project: &Project,
    format: OutputFormat,
    rewrite: Option<Rewrite>,
) -> Result<Answer, Failure> {
    let path = export.file()?;
    // A project that cannot be an image at all is bad input, not an answer 'no'.
    encode(project).map_err(|error| Failure::Export(error.into()))?;
    let checked = Checked::of(project);
    let errors = checked.errors();
    let needs_reason = format != OutputFormat::Description && errors > 0;
    if needs_reason && export.despite_errors.is_none() {
        return refused(export, errors, checked);
    }
    let mut files = vec![(format, path.to_owned())];
    if export.with_description {
        files.push((OutputFormat::Description, beside(path)?));
    }
    for (_, file) in &files {
        refuse_taken("export", file, &[("the project", &export.project)])?;
    }
    let ready = Ready::new(project, &files, export.width())?;
    let exported = ready.exported();
    let unit = FlashedUnit::of(project).map_err(|source| Failure::Unit(Box::new(source)))?;
    let spark = compare_spark(project, &unit);
    let (not_in_image, list) = held::list(project)?;
    let done = done(export, project, exported, (Spark::of(&spark), not_in_image, checked));
    let mut text = told(exported, &done);
    text += &held::spark_text(&spark, project);
    text += &folded_text(project)?;
    text += &list;
    text += &done.checked.text();
    if export.describe {
        text += &items_text(project);
    }
    let mut notes = notes(project, exported);
    let mut files = Vec::new();
    match (&export.despite_errors, needs_reason) {
        (Some(reason), true) => {
            text += &format!("Written despite {}: {}\n", open_errors(errors), one_line(reason));
            let after = remembering(project, &done, reason)?;
            files = save_project(&export.project, &after, rewrite)?;
            notes.push(format!("{}: the reason is kept in it", shown(&export.project)));
        }
        (Some(_), false) => notes.push("--despite-errors is not needed: no error is open".into()),
        (None, _) => {}
    }
    let answer = export.format.answer(&done, || text)?;
    files.insert(0, Pending::Export(Box::new(ready)));
    Ok(Answer { notes, files, ..answer })
}

fn open_errors(errors: usize) -> String {
    count(errors, "open error")
}

#[derive(Serialize)]
struct Refused {
    file: Option<String>,
    files: [DoneFile; 0],
    refused: String,
    #[serde(flatten)]
    checked: Checked,
}

/// The answer if errors are open and no reason is given: nothing is written.
fn refused(export: &Export, errors: usize, checked: Checked) -> Result<Answer, Failure> {
    let refused = format!(
        "nothing was written: {}; mend what is found, accept it with a reason, or give one with --despite-errors",
        open_errors(errors)
    );
    let refused = Refused { file: None, files: [], refused, checked };
    let text = || format!("{}\n{}", refused.refused, refused.checked.text());
    Ok(Answer { is_no: true, ..export.format.answer(&refused, text)? })
}

/// The project with this export and its reason recorded.
fn remembering(project: &Project, done: &Done<'_>, reason: &str) -> Result<Project, Failure> {
    let name = Path::new(&done.file).file_name().unwrap_or_default().to_string_lossy().into_owned();
    let last = LastExport {
        file_name: name,
        written_at: jiff::Timestamp::now().to_string(),
        checksum: done.checksum.words.clone(),
        despite_errors: Some(reason.to_owned()),
        state: project.as_state(),
    };
    Ok(project.edit(|parts| parts.last_export = Some(Arc::new(last)))?)
}

/// Where the description goes.
fn beside(path: &Path) -> Result<PathBuf, Failure> {
    let beside = path.with_extension(OutputFormat::Description.ending());
    if beside == path {
        let reason = format!("{}: --with-description goes with a file of bytes", shown(path));
        return Err(Failure::Usage(reason, "export"));
    }
    Ok(beside)
}

/// How far folding moves the cells; empty if nothing is folded.
fn folded_text(project: &Project) -> Result<String, Failure> {
    let largest = largest_folding(project).map_err(|error| Failure::Export(error.into()))?;
    let unit = project.sensors.load.unit();
    Ok(largest.map_or_else(String::new, |largest| folding_words(largest, unit) + "\n"))
}

fn done<'a>(
    export: &'a Export,
    project: &'a Project,
    exported: &Exported,
    (spark, not_in_image, checked): (Spark, Vec<NotInImage>, Checked),
) -> Done<'a> {
    let files: Vec<DoneFile> = exported.files.iter().map(DoneFile::of).collect();
    let changes = exported.image.remarks(project).into_iter().map(|remark| Change {
        item: remark.item,
        kind: match remark.kind {
            RemarkKind::Rounded => "rounded",
            RemarkKind::Resampled => "resampled",
        },
        largest_change: remark.largest_change,
        unit: remark.unit,
        place: Where::of(&remark.place),
    });
    Done {
        file: files.first().map_or_else(String::new, |file| file.file.clone()),
        format: files.first().map_or("", |file| file.format),
        files,
        start: exported.image.start,
        size: exported.image.bytes.len(),
        checksum: Checksum { words: exported.image.checksum_words(project), stored: exported.image.checksum },
        locked_timing_deg: project.locked_timing_deg,
        changes: changes.collect(),
        spark,
        not_in_image,
        despite_errors: export.despite_errors.as_deref(),
        checked,
        image: export.describe.then(|| described(project)),
    }
}

impl DoneFile {
    fn of(file: &ExportedFile) -> Self {
        let kind = match (file.format, file.grown_to) {
            (_, Some(kind)) | (OutputFormat::SRecord(kind), None) => Some(type_name(kind)),
            _ => None,
        };
        Self { file: shown(&file.path), format: file.format.name(), bytes: file.bytes, s_record_type: kind }
    }
}

const fn type_name(kind: SRecordType) -> &'static str {
    match kind {
        SRecordType::S19 => "S19",
        SRecordType::S28 => "S28",
        SRecordType::S37 => "S37",
    }
}

fn told(exported: &Exported, done: &Done<'_>) -> String {
    let file = |file: &DoneFile| format!("wrote and read back {}: {}, {} bytes\n", file.file, file.format, file.bytes);
    let files: String = done.files.iter().map(file).collect();
    let image = &exported.image;
    let end = u64::from(image.start) + image.bytes.len() as u64;
    let size = count(image.bytes.len(), "byte");
    format!("{files}image {}, {size}, checksum {}\n", AddressRange::new(image.start.into(), end), done.checksum.words)
}

/// Remarks for stderr: first that it is a locked-timing copy, then what the image does not hold exactly.
fn notes(project: &Project, exported: &Exported) -> Vec<String> {
    let mut notes: Vec<String> = locked_note(project, "what was exported").into_iter().collect();
    for file in &exported.files {
        if let Some(kind) = file.grown_to {
            let (path, kind) = (shown(&file.path), type_name(kind));
            notes.push(format!(
                "{path}: the addresses need records of type {kind}; the file has those, whatever its ending says"
            ));
        }
    }
    notes.extend(exported.image.remarks(project).into_iter().map(|remark| remark.words));
    notes
}
