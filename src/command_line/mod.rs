//! Floor 6: every job of the program that needs no window. There is one file per job; it reads files, calls the
//! floors below, and answers with text or JSON.
//!
//! Text for people and JSON documents go to stdout, everything else to stderr. Exit codes: 0 done, 1 the job's
//! answer is 'no', 2 bad usage or bad input. A job that fails has written nothing.

mod answer;
mod check;
mod compare;
mod completions;
mod convert_load;
mod export;
mod failure;
mod first_table;
mod held;
mod import;
mod json;
mod locked_timing;
mod lookup;
mod merge;
mod new;
mod opinion;
mod output;
mod picture;
mod points;
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
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Command, CommandFactory, FromArgMatches, Parser, Subcommand};

use crate::wording::Refusal;
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

Without a job it opens the window: on PROJECT, or on a built-in sample. Every job works without a
display.";

const NOTES: &str = "\
Units: advance in crank degrees before top dead centre (negative: after), speed in crank rpm, load
in % throttle opening or kPa absolute, as the project says. Ranges such as 2800..3700 include both
ends; numbers have a decimal point and may be negative.

Output: text goes to stdout, with --json exactly one JSON document; remarks and errors go to
stderr. -o replaces an existing file whole and may name the input, unless a window has that open
or somebody changed it meanwhile. A job that fails writes nothing.

Exit codes: 0 done; 1 the answer is 'no' (compare, verify: something differs; check: something
found; merge: conflicts remain); 2 bad usage or bad input.

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

/// No line of a help text is wider than this, in characters.
const WIDTH: usize = 100;

/// The notes, including the caution.
fn notes() -> String {
    format!("{NOTES}\n\nCaution: {}", crate::project::cautions::SHORT)
}

#[derive(Debug, Parser)]
#[command(name = "sparkloft", version, about = "A workbench for spark-advance tables", long_about = LONG_ABOUT)]
#[command(after_long_help = notes(), after_help = "sparkloft --help tells of units, exit codes and examples.")]
#[command(args_conflicts_with_subcommands = true, max_term_width = WIDTH)]
struct CommandLine {
    /// A project file to open in the window
    project: Option<PathBuf>,
    #[command(subcommand)]
    job: Option<Kind>,
}

/// A job with everything that it was given.
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
    Points(points::Points),
    FirstTable(first_table::FirstTableJob),
    ConvertLoad(convert_load::ConvertLoad),
    Opinion(opinion::Opinion),
    Picture(picture::Picture),
    Sheet(sheet::Sheet),
    Completions(completions::Completions),
}

/// Reads the command line. If that alone gives the answer (help, version, bad usage), it is printed here.
///
/// # Errors
/// The exit code after such an answer.
pub fn read(arguments: impl IntoIterator<Item = OsString>) -> Result<Request, ExitCode> {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    if let Some(words) = no_such_job(&arguments) {
        answer::complain(&format!("error: {words}"));
        return Err(ExitCode::from(answer::BAD));
    }
    let parsed = command().try_get_matches_from(arguments);
    match parsed.and_then(|matches| CommandLine::from_arg_matches(&matches)) {
        Ok(CommandLine { job: Some(job), .. }) => Ok(Request::Job(Job(job))),
        Ok(CommandLine { project, .. }) => Ok(Request::Window(project)),
        Err(error) => {
            // If the reader is gone or the output cannot be written, nothing can be done about it.
            let _ = error.print();
            Err(if error.use_stderr() { ExitCode::from(answer::BAD) } else { ExitCode::SUCCESS })
        }
    }
}

/// The definition of the whole command line. A negative number is always read as a value, so that an error can
/// state the range.
fn command() -> Command {
    negative_numbers(CommandLine::command())
}

fn negative_numbers(command: Command) -> Command {
    let command = command.mut_args(|argument| {
        let takes_values = !argument.is_positional() && argument.get_action().takes_values();
        if takes_values { argument.allow_negative_numbers(true) } else { argument }
    });
    let jobs: Vec<String> = command.get_subcommands().map(|job| job.get_name().to_owned()).collect();
    jobs.iter().fold(command, |command, job| command.mut_subcommand(job, negative_numbers))
}

/// How similar a word must be to a job's name to be suggested for it.
const ALIKE: f64 = 0.8;

/// The message for a first word that is taken for a mistyped job; `None` if it is a job, may be a path, is an
/// option, or stands alone and resembles no job.
fn no_such_job(arguments: &[OsString]) -> Option<String> {
    let word = arguments.get(1)?.to_str()?;
    let command = CommandLine::command();
    let is_known = command.get_subcommands().any(|job| job.get_name() == word) || word == "help";
    let is_path = word.contains(['.', '/', '\\']) || Path::new(word).exists();
    if is_known || is_path || word.starts_with('-') {
        return None;
    }
    let alike = |job: &Command| (strsim::jaro_winkler(word, job.get_name()), job.get_name().to_owned());
    let nearest = command.get_subcommands().map(alike).max_by(|one, other| one.0.total_cmp(&other.0));
    match nearest.filter(|(alike, _)| *alike >= ALIKE) {
        Some((_, job)) => Some(format!("there is no job '{word}'; did you mean '{job}'? sparkloft --help lists them")),
        None if arguments.len() > 2 => Some(format!("there is no job '{word}'; sparkloft --help lists them")),
        None => None,
    }
}

impl Job {
    /// Runs the job, prints its answer, and returns the exit code.
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
            Kind::Points(job) => job.run(),
            Kind::FirstTable(job) => job.run(),
            Kind::ConvertLoad(job) => job.run(),
            Kind::Opinion(job) => job.run(),
            Kind::Picture(job) => job.run(),
            Kind::Sheet(job) => job.run(),
            Kind::Completions(job) => job.run(),
        }
    }
}

/// Writes to stderr why there is no window; returns the exit code.
pub fn refuse_window(reason: &Refusal) -> ExitCode {
    answer::complain(&format!("error: {reason}"));
    ExitCode::from(answer::BAD)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn request(words: &str) -> Request {
        read(words.split(' ').map(OsString::from)).unwrap()
    }

    #[test]
    fn the_command_line_is_consistent() {
        command().debug_assert();
    }

    /// Every command with the words that lead to it.
    fn walk(command: &Command, words: &[String], visit: &mut impl FnMut(&[String], &Command)) {
        visit(words, command);
        for job in command.get_subcommands().filter(|job| job.get_name() != "help") {
            let words = [words, &[job.get_name().to_owned()]].concat();
            walk(job, &words, visit);
        }
    }

    fn whole() -> Command {
        let mut whole = command();
        whole.build();
        whole
    }

    #[test]
    fn every_option_takes_a_negative_number_as_its_value() {
        let mut seen = 0;
        walk(&whole(), &["sparkloft".to_owned()], &mut |words, command| {
            let options = command.get_opts().filter(|option| option.get_long().is_some());
            for option in options.filter(|option| option.get_action().takes_values()) {
                let option = format!("--{}", option.get_long().unwrap_or_default());
                let line = words.iter().cloned().chain([option.clone(), "-5".into()]);
                let told =
                    super::command().try_get_matches_from(line).map_err(|error| (error.kind(), error.to_string()));
                let is_taken = told.as_ref().err().is_none_or(|(kind, words)| {
                    *kind != clap::error::ErrorKind::UnknownArgument && !words.contains("unexpected argument")
                });
                assert!(is_taken, "{words:?} {option} -5: {told:?}");
                seen += 1;
            }
        });
        assert!(seen > 90, "{seen}");
    }

    #[test]
    fn help_fits_a_hundred_columns_and_says_nothing_twice() {
        walk(&whole(), &["sparkloft".to_owned()], &mut |words, command| {
            for help in [command.clone().render_help(), command.clone().render_long_help()] {
                let help = help.to_string();
                let wide = help.lines().find(|line| line.chars().count() > WIDTH);
                assert_eq!(wide, None, "{words:?}");
                assert!(help.matches("Exit codes:").count() <= 1, "{words:?}");
            }
            for notes in [command.get_after_help(), command.get_after_long_help()].into_iter().flatten() {
                let notes = notes.to_string();
                let lines: Vec<&str> = notes.lines().filter(|line| line.len() > 40).collect();
                let twice = (1..lines.len()).find(|&index| lines[..index].contains(&lines[index]));
                assert_eq!(twice.map(|index| lines[index]), None, "{words:?}");
            }
        });
    }

    #[test]
    fn a_job_that_there_is_not_is_told_with_the_nearest() {
        let tell = |words: &str| no_such_job(&words.split(' ').map(OsString::from).collect::<Vec<_>>());
        assert!(tell("sparkloft shwo x").unwrap().contains("did you mean 'show'?"));
        assert!(tell("sparkloft sheets").unwrap().contains("did you mean 'sheet'?"));
        assert_eq!(tell("sparkloft quux x").unwrap(), "there is no job 'quux'; sparkloft --help lists them");
        for words in ["sparkloft", "sparkloft show x", "sparkloft quux", "sparkloft sample.ron x", "sparkloft --help"] {
            assert_eq!(tell(words), None, "{words}");
        }
    }

    #[test]
    fn a_path_or_nothing_is_the_window() {
        assert!(matches!(read([OsString::from("sparkloft")]), Ok(Request::Window(None))));
        assert!(matches!(request("sparkloft a.ron"), Request::Window(Some(path)) if *path == *"a.ron"));
        assert!(matches!(request("sparkloft samples"), Request::Job(Job(Kind::Samples(_)))));
    }
}
