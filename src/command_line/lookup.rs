//! `lookup`: the table's advance at any number of points.

use std::ffi::OsStr;
use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::answer::unless_closed;
use super::output::{Format, shown};
use super::{Answer, Failure};
use crate::document::read_project;
use crate::interchange::{Chunks, StreamError, TableAdvance};
use crate::table::Table;

mod output;
mod workers;

use output::Output;

/// Look up the advance table at many points, file to file
#[derive(Debug, clap::Args)]
#[command(after_help = "\
FILE is UTF-8 text with a first row that names the columns; speed_rpm (rpm) and load (% or kPa) must be among them, in
any order. Every row comes out as it went in, with table_deg appended: degrees before top dead centre, bilinear
between the cells, flat beyond the axes. Fields are parted by tabs or semicolons when the first row has one, else by
commas; decimals follow a point. Memory stays the same however many rows there are. The output appears when it is
complete; a row that is not understood ends the job with its line, and nothing is written.

Examples:
  sparkloft lookup P.ron --points drive.csv -o drive-advance.csv
  sparkloft lookup P.ron --points - -o - < points.csv | head")]
pub(super) struct Lookup {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// The points; - reads stdin
    #[arg(long, value_name = "FILE")]
    points: PathBuf,
    /// The file to write, may be FILE itself; - writes to stdout
    #[arg(short, long, value_name = "OUT")]
    output: PathBuf,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct Done {
    file: String,
    rows: usize,
}

impl Lookup {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let to_stdout = is_dash(&self.output);
        if to_stdout && self.format.json {
            return Err(Failure::Usage("with --json stdout is taken: -o needs a file".into(), "lookup"));
        }
        let project = read_project(&self.project)?;
        let chunks = Chunks::new(self.open_points()?);
        let rows = self.look_up(project.advance.table(), chunks)?;
        if to_stdout {
            return Ok(Answer::default());
        }
        let done = Done { file: shown(&self.output), rows };
        self.format.answer(&done, || format!("looked up {rows} points\nwrote {}\n", done.file))
    }

    fn open_points(&self) -> Result<Box<dyn Read + Send>, Failure> {
        if is_dash(&self.points) {
            return Ok(Box::new(io::stdin()));
        }
        let opened = File::open(&self.points).map_err(|source| Failure::Read { path: self.points.clone(), source })?;
        Ok(Box::new(opened))
    }

    fn look_up(&self, table: &Table, chunks: Chunks<Box<dyn Read + Send>>) -> Result<usize, Failure> {
        let unwritable = |source| Failure::Output { path: self.output.clone(), source };
        let mut output = if is_dash(&self.output) { Output::Stdout(io::stdout()) } else { Output::to(&self.output)? };
        match workers::append_columns(chunks, &mut output, &TableAdvance::new(table)) {
            Ok(rows) => output.finish().map_err(unwritable).map(|()| rows),
            Err(StreamError::Write(source)) => unless_closed(Err(source)).map_err(unwritable).map(|()| 0),
            Err(source) => Err(Failure::Points { path: self.points.clone(), source }),
        }
    }
}

fn is_dash(path: &Path) -> bool {
    path.as_os_str() == OsStr::new("-")
}
