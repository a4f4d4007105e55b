//! `merge`: combines what two people changed in one project.

use std::path::PathBuf;

use clap::ValueEnum;
use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::json::Value;
use super::output::{Format, brief, file_path, pinned_note, read_for, save_project, shown};
use super::{Answer, Failure};
use crate::compare::{self, Brought, Conflict, ConflictPlace, FieldDifferences, Version};
use crate::watch::Watch;
use crate::wording::count;

/// Merge what two people changed in one project
#[derive(Debug, clap::Args)]
#[command(after_help = "\
What was changed on one side is taken from there, what was changed alike on both is taken; the
rest are conflicts. The advance table is merged cell by cell where all three have the same
breakpoints, everything else field by field; outputs, image items and snapshots are known by their
name. Fields that mean something only together are taken together.

With --json: file (null when nothing was written), preferred (mine, theirs or null), from_theirs
{cells, fields, snapshots}, conflicts [{path, label, speed_rpm, load, base, mine, theirs}];
speed_rpm and load are null but for cells. from_theirs counts what in OUT is not as in MINE; it is
null when nothing was written.

Exit codes: 0 merged and written; 1 conflicts remain and nothing was written; 2 bad usage or bad
input.

Examples:
  sparkloft merge base.ron mine.ron theirs.ron -o merged.ron
  sparkloft merge base.ron mine.ron theirs.ron -o merged.ron --prefer mine")]
pub(super) struct Merge {
    /// The project that both started from
    #[arg(value_name = "BASE")]
    base: PathBuf,
    /// The one person's project
    #[arg(value_name = "MINE")]
    mine: PathBuf,
    /// The other person's project
    #[arg(value_name = "THEIRS")]
    theirs: PathBuf,
    /// The project file to write; may be one of the three
    #[arg(short, long, value_name = "OUT", value_parser = OsStringValueParser::new().try_map(file_path))]
    output: PathBuf,
    /// Take this side in every conflict
    #[arg(long, value_name = "SIDE")]
    prefer: Option<Side>,
    #[command(flatten)]
    format: Format,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Side {
    /// The one person's
    Mine,
    /// The other person's
    Theirs,
}

impl From<Side> for Version {
    fn from(side: Side) -> Self {
        match side {
            Side::Mine => Self::Mine,
            Side::Theirs => Self::Theirs,
        }
    }
}

#[derive(Serialize)]
struct Merged<'a> {
    file: Option<String>,
    preferred: Option<&'static str>,
    from_theirs: Option<FromTheirs>,
    conflicts: Vec<MergeConflict<'a>>,
}

#[derive(Serialize)]
struct FromTheirs {
    cells: usize,
    fields: usize,
    snapshots: usize,
}

#[derive(Serialize)]
struct MergeConflict<'a> {
    path: String,
    label: &'a str,
    speed_rpm: Option<f64>,
    load: Option<f64>,
    base: Value<'a>,
    mine: Value<'a>,
    theirs: Value<'a>,
}

impl Merge {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        // Two of the three may be the same file, which has only one lock.
        let mut rewrite = None;
        let mut read = |path| {
            let output = rewrite.is_none().then_some(self.output.as_path());
            let (project, own) = read_for(path, output)?;
            rewrite = rewrite.take().or(own);
            Ok::<_, Failure>(project)
        };
        let (base, mine, theirs) = (read(&self.base)?, read(&self.mine)?, read(&self.theirs)?);
        let merge = compare::Merge::new(&base, &mine, &theirs, Watch::NOBODY)?;
        let conflicts = merge.conflicts();
        let side = self.prefer.map(Version::from);
        if !conflicts.is_empty() && side.is_none() {
            let merged = Merged { file: None, preferred: None, from_theirs: None, conflicts: listed(conflicts) };
            let notes =
                vec!["nothing was written: decide with --prefer mine or --prefer theirs, or in the window".into()];
            return Ok(Answer { notes, is_no: true, ..self.format.answer(&merged, || told(conflicts))? });
        }
        let result = merge.resolve(|_| side.unwrap_or(Version::Mine))?;
        let brought = Brought::into_mine(&mine, &result, &FieldDifferences::between(&mine, &result, Watch::NOBODY)?);
        let files = save_project(&self.output, &result, rewrite)?;
        let notes = pinned_note(&mine, &result).into_iter().collect();
        let Brought { cells, fields, snapshots } = brought;
        let merged = Merged {
            file: Some(shown(&self.output)),
            preferred: side.map(Version::name),
            from_theirs: Some(FromTheirs { cells, fields, snapshots }),
            conflicts: listed(conflicts),
        };
        let text = || {
            let decided = side.filter(|_| !conflicts.is_empty());
            let decided = decided.map_or_else(String::new, |side| format!("taken from {}: ", side.name()));
            let conflicts = if conflicts.is_empty() { String::new() } else { decided + &told(conflicts) };
            format!("{conflicts}not as in mine: {brought}\nwrote {}\n", shown(&self.output))
        };
        Ok(Answer { notes, files, ..self.format.answer(&merged, text)? })
    }
}

fn listed(conflicts: &[Conflict]) -> Vec<MergeConflict<'_>> {
    let list = |conflict: &'_ Conflict| {
        let (path, at) = match &conflict.place {
            ConflictPlace::Cell { cell, speed_rpm, load } => {
                (format!("advance.deg[{}][{}]", cell.load, cell.speed), Some((*speed_rpm, *load)))
            }
            ConflictPlace::Field { path } => (path.clone(), None),
        };
        (path, at)
    };
    let one = |conflict| {
        let (path, at): (String, Option<(f64, f64)>) = list(conflict);
        let [base, mine, theirs] = &conflict.values;
        MergeConflict {
            path,
            label: &conflict.label,
            speed_rpm: at.map(|at| at.0),
            load: at.map(|at| at.1),
            base: Value(base.as_ref()),
            mine: Value(mine.as_ref()),
            theirs: Value(theirs.as_ref()),
        }
    };
    conflicts.iter().map(one).collect()
}

/// The conflicts, one per line: its place and its three values.
fn told(conflicts: &[Conflict]) -> String {
    let line = |conflict: &Conflict| {
        let [base, mine, theirs] = conflict.words.each_ref().map(|words| brief(words));
        format!("  {}: base {base} | mine {mine} | theirs {theirs}\n", conflict.label)
    };
    let lines: String = conflicts.iter().map(line).collect();
    format!("{}:\n{lines}", count(conflicts.len(), "conflict"))
}
