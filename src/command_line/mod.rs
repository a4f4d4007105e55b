//! Floor 6: every job of the program that needs no window. One file per job; it reads files, calls the floors below,
//! and answers with text or JSON.
//!
//! Text for people and JSON documents go to stdout, everything else to stderr. Exit codes: 0 done, 1 the job's answer
//! is 'no', 2 bad usage or bad input. A job that fails has written nothing.

mod answer;
mod check;
mod compare;
mod completions;
mod export;
mod failure;
mod image_files;
mod import;
mod json;
mod locked_timing;
mod lookup;
mod merge;
mod new;
mod output;
mod picture;
mod places;
mod rig;
mod samples;
mod set;
mod shape;
mod sheet;
mod show;
mod stream;
mod values;
mod verify;
mod worksheet;

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use answer::Answer;
use failure::Failure;

/// What the program was asked for.
#[derive(Debug)]
pub enum Request {
    /// A window on a project file, or on the built-in sample.
    Window(Option<PathBuf>),
    /// One of the jobs.
    Job(Job),
}

const LONG_ABOUT: &str = "\
Sparkloft is a workbench for spark-advance tables: shape, compare, prove and export them.

Without a job it opens the window: on PROJECT, or on a built-in sample. Every job works without a display.";

const NOTES: &str = "\
Units: advance in crank degrees before top dead centre (negative: after), speed in crank rpm, load in % throttle
opening or kPa absolute, as the project says. Ranges such as 2800..3700 include both ends; numbers have a decimal
point and may be negative.

Output: text goes to stdout, with --json exactly one JSON document; remarks and errors go to stderr. -o replaces an
existing file whole and may name the input. A job that fails writes nothing.

Exit codes: 0 done; 1 the answer is 'no' (compare, verify: something differs; check: something found); 2 bad
usage or bad input.
Exit codes: 0 done; 1 the answer is 'no' (compare: something differs; check: something found; merge: conflicts remain);
2 bad usage or bad input.

Examples:
  sparkloft samples demo
  sparkloft show demo/tarn-special.ron
  sparkloft shape demo/tarn-special.ron -o mine.ron --speed 2800..3700 --load 40..66 add 1
  sparkloft shape mine.ron -o mine.ron --speed 2400..4200 --load 32..80 smooth 1.5
  sparkloft compare demo/tarn-special.ron mine.ron
  sparkloft merge demo/tarn-special.ron mine.ron theirs.ron -o merged.ron
  sparkloft lookup mine.ron --speed 3200 --load 40 --coolant 85
  sparkloft rig mine.ron --run sweep-to-the-limit -o events.csv
  sparkloft worksheet timing-light mine.ron --readings light.csv --apply -o mine.ron
  sparkloft check mine.ron
  sparkloft export mine.ron -o unit.hex --with-description
  sparkloft verify mine.ron unit.hex
  sparkloft export mine.ron -o mine.csv
  sparkloft picture mine.ron --view surface -o mine.png
  sparkloft sheet mine.ron -o mine.pdf";

/// The notes with the caution.
fn notes() -> String {
    format!("{NOTES}\n\nCaution: {}", crate::project::cautions::SHORT)
}

#[derive(Debug, Parser)]
#[command(name = "sparkloft", version, about = "A workbench for spark-advance tables", long_about = LONG_ABOUT)]
#[command(after_long_help = notes(), after_help = "sparkloft --help tells of units, exit codes and examples.")]
#[command(args_conflicts_with_subcommands = true)]
struct CommandLine {
    /// A project file to open in the window
    project: Option<PathBuf>,
    #[command(subcommand)]
    job: Option<Kind>,
}

/// A job with all it was given.
#[derive(Debug)]
pub struct Job(Kind);

#[derive(Debug, Subcommand)]
enum Kind {
    Samples(samples::Samples),
    New(new::New),
    Show(show::Show),
    Shape(shape::Shape),
    Set(set::Set),
    Check(check::Check),
    Compare(compare::Compare),
    Merge(merge::Merge),
    LockedTiming(locked_timing::LockedTiming),
    Export(export::Export),
    Import(import::Import),
    Verify(verify::Verify),
    Lookup(lookup::Lookup),
    Rig(rig::Rig),
    Worksheet(worksheet::Worksheet),
    Picture(picture::Picture),
    Sheet(sheet::Sheet),
    Completions(completions::Completions),
}

/// Reads the command line. When that alone is the answer (help, version, bad usage), it is printed here.
///
/// # Errors
/// The exit code after such an answer.
pub fn read(arguments: impl IntoIterator<Item = OsString>) -> Result<Request, ExitCode> {
    match CommandLine::try_parse_from(arguments) {
        Ok(CommandLine { job: Some(job), .. }) => Ok(Request::Job(Job(job))),
        Ok(CommandLine { project, .. }) => Ok(Request::Window(project)),
        Err(error) => {
            // A reader that went away, or nobody to tell.
            let _ = error.print();
            Err(if error.use_stderr() { ExitCode::from(answer::BAD) } else { ExitCode::SUCCESS })
        }
    }
}

impl Job {
    /// Does it, prints its answer, and gives the exit code.
    pub fn run(self) -> ExitCode {
        answer::print(self.answer())
    }

    fn answer(self) -> Result<Answer, Failure> {
        match self.0 {
            Kind::Samples(job) => job.run(),
            Kind::New(job) => job.run(),
            Kind::Show(job) => job.run(),
            Kind::Shape(job) => job.run(),
            Kind::Set(job) => job.run(),
            Kind::Check(job) => job.run(),
            Kind::Compare(job) => job.run(),
            Kind::Merge(job) => job.run(),
            Kind::LockedTiming(job) => job.run(),
            Kind::Export(job) => job.run(),
            Kind::Import(job) => job.run(),
            Kind::Verify(job) => job.run(),
            Kind::Lookup(job) => job.run(),
            Kind::Rig(job) => job.run(),
            Kind::Worksheet(job) => job.run(),
            Kind::Picture(job) => job.run(),
            Kind::Sheet(job) => job.run(),
            Kind::Completions(job) => job.run(),
        }
    }
}

/// Says on stderr why there is no window; gives the exit code.
pub fn refuse_window(reason: &str) -> ExitCode {
    answer::complain(&format!("error: {reason}"));
    ExitCode::from(answer::BAD)
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;

    fn request(words: &str) -> Request {
        read(words.split(' ').map(OsString::from)).unwrap()
    }

    #[test]
    fn the_command_line_is_consistent() {
        CommandLine::command().debug_assert();
    }

    #[test]
    fn a_path_or_nothing_is_the_window() {
        assert!(matches!(read([OsString::from("sparkloft")]), Ok(Request::Window(None))));
        assert!(matches!(request("sparkloft a.ron"), Request::Window(Some(path)) if *path == *"a.ron"));
        assert!(matches!(request("sparkloft samples"), Request::Job(Job(Kind::Samples(_)))));
    }
}
