//! `first-table`: a first advance table from a distributor, from the engine's description, or from another project.

use std::path::PathBuf;

use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, file_path, read_for, read_project, read_up_to, refuse_taken, save_project, shown};
use super::worksheet::verdict_lines;
use super::{Answer, Failure};
use crate::project::Project;
use crate::watch::Watch;
use crate::wording::{Refusal, count};
use crate::worksheet::{Distributor, FirstTable, Verdict};

/// Make a project's first table from its distributor, its engine's description or another project
#[derive(Debug, clap::Args)]
#[command(override_usage = "sparkloft first-table P -o OUT (--distributor FILE | --engine | --like OTHER) [--json]")]
#[command(after_help = "\
The table keeps its breakpoints; every cell is new, none is held, and it is one step. Where it came
from and what was assumed is added to the project's notes, which the setup sheet prints.

FILE.ron describes a distributor:
  (initial_deg: 6, initial_rpm: 450,
   centrifugal: (terms: crank, points: [(500, 0), (1600, 9), (4600, 32)]),
   vacuum: (terms: distributor, unit: inhg, port: manifold, points: [(4, 0), (15, 8)]))
terms are crank or distributor (rpm and degrees count twice), unit is kpa, inhg or mmhg of
depression, port manifold, ported or none. It may have band_deg (how far a worn unit scatters; the
points are its middle), octane_then_ron, ambient_kpa, boost_deg_per_kpa (0.2), deg_per_octane (1).
Around idle the table is level; full load gets 36° at most, and everything the floor and ceiling.

--engine takes what the second opinion recommends less 4°, faired under the full-load line and what
is recommended; near idle, and where there is no opinion, the starting table of a new project. Its
figures are estimates: untested they are order of magnitude and shape only.

--like takes the table of OTHER.ron, looked up at this project's breakpoints, and tells in what the
engines differ.

With --json: {label, verdicts, assumed, cells, file}.

Examples:
  sparkloft first-table P.ron -o P.ron --distributor old.ron
  sparkloft first-table P.ron -o Q.ron --engine")]
#[command(group = clap::ArgGroup::new("source").required(true).args(["distributor", "engine", "like"]))]
pub(super) struct FirstTableJob {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// The project file to write; may be P itself
    #[arg(short, long, value_name = "OUT")]
    #[arg(value_parser = OsStringValueParser::new().try_map(file_path))]
    output: PathBuf,
    /// From the distributor that this file describes
    #[arg(long, value_name = "FILE.ron")]
    distributor: Option<PathBuf>,
    /// From the engine's description, by the second opinion
    #[arg(long)]
    engine: bool,
    /// From the table of this project
    #[arg(long, value_name = "OTHER.ron")]
    like: Option<PathBuf>,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct Done<'a> {
    label: &'a str,
    verdicts: Vec<String>,
    assumed: &'a [String],
    cells: Vec<&'a [f64]>,
    file: String,
}

/// A larger file is no distributor.
const MAX_DISTRIBUTOR_BYTES: u64 = 64 * 1024;

impl FirstTableJob {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let files = [("the distributor", self.distributor.as_deref()), ("the other project", self.like.as_deref())];
        let taken: Vec<_> = files.into_iter().filter_map(|(what, path)| Some((what, path?))).collect();
        refuse_taken("first-table", &self.output, &taken)?;
        let (project, rewrite) = read_for(&self.project, Some(&self.output))?;
        let first = self.make(&project)?;
        let files = save_project(&self.output, &first.project, rewrite)?;
        let table = first.project.advance.table();
        let done = Done {
            label: &first.label,
            verdicts: first.verdicts.iter().map(Verdict::words).collect(),
            assumed: &first.assumed,
            cells: (0..table.load().len()).map(|row| table.row(row)).collect(),
            file: shown(&self.output),
        };
        Ok(Answer { files, ..self.format.answer(&done, || text(&first, &done.file))? })
    }

    fn make(&self, project: &Project) -> Result<FirstTable, Failure> {
        if let Some(path) = &self.distributor {
            let bytes = read_up_to(path, MAX_DISTRIBUTOR_BYTES)?;
            let refused = |reason: Refusal| Failure::Distributor { path: path.clone(), reason };
            let text = std::str::from_utf8(&bytes).map_err(|error| refused(error.into()))?;
            return Ok(FirstTable::from_distributor(project, &Distributor::read(text).map_err(refused)?)?);
        }
        match &self.like {
            Some(path) => Ok(FirstTable::from_project(project, &read_project(path)?)?),
            None => Ok(FirstTable::from_engine(project, Watch::NOBODY)?),
        }
    }
}

fn text(first: &FirstTable, file: &str) -> String {
    let mut text = verdict_lines(&first.verdicts);
    first.assumed.iter().for_each(|words| text += &format!("{:<6}Assumed: {words}\n", ""));
    if !text.is_empty() {
        text.push('\n');
    }
    let cells = count(first.project.advance.table().values().len(), "cell");
    format!("{text}{}: {cells}, none held\nwrote {file}\n", first.label)
}
