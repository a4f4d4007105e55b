//! `rig`: a run on the simulated bench rig, and the trigger signal as a sound file.

mod summary;

use std::io::{BufWriter, Error, Write};
use std::path::{Path, PathBuf};

use clap::ValueEnum;
use clap::builder::{OsStringValueParser, TypedValueParser};
use hound::{SampleFormat, WavSpec, WavWriter};
use serde::Serialize;

use super::answer::Pending;
use super::output::{Format, file_path, locked_line, locked_note, read_up_to, refuse_taken};
use super::stream::{Output, is_dash};
use super::values::{Mark, number};
use super::{Answer, Failure};
use crate::command_line::output::read_project;
use crate::document::Staged;
use crate::image::FlashedUnit;
use crate::interchange::{EventRows, MAX_RUN_BYTES, read_run_as};
use crate::project::{KeptRun, Project};
use crate::rig::{BuiltIn, Pulse, Rig as Bench, Run, Settings, Summary, TriggerSignal};
use crate::wording::{Unit, quantity, written};

/// Drive a project through a run on the simulated rig: what the spark will do, before the engine turns
#[derive(Debug, clap::Args)]
#[command(after_help = "\
The rig turns the trigger wheel exactly by the run; the unit sees edge times alone, finds the gap,
and charges and fires its coils as the project commands, at every edge anew.

Built-in runs, fitted to the project's idle, limits and loads:
  crank-and-start     the starter turns a warm engine until it fires and idles
  idle                warm idle
  sweep-to-the-limit  full load from idle to the over-speed limit, held there, and back
  cold-start          a start at -10 °C with a tired battery, and warming up
  launch              a standing start on the launch limit
  run-down            from speed to standstill with the throttle closed
Any other name is that of a run which the project keeps (typed on the Rig sheet, listed by 'set P
--list' as runs), or else a file: CSV with the columns time_s, speed_rpm and load, and, where there are
any, coolant_c, air_c, battery_v (13.8 when left out), throttle_pct and launch (0 or 1). Between
rows all is linear, the launch switch steps. Fields may be parted by tabs or semicolons too, and
then decimals by a comma; --decimal-mark tells where 1,000 may be both.

EVENTS has one row per event: time_s, crank_deg, event, channel, commanded_deg, actual_deg,
error_deg, value. Events are edge (value: the speed it reckons with, rpm), gap (its ratio), sync,
sync_lost (why), charge (dwell, ms), spark (energy, mJ), cut (the state that cuts), skip (dwell,
ms), let_down, output_on, output_off, state (its name). channel names the coil or the output;
error is commanded minus actual, positive is late. It is written while the run goes on: memory
stays the same however long that is.

With --json: {locked_timing_deg (null for a real map), duration_s, edges, gaps, syncs,
sync_losses, sparks, cuts, skips, let_downs, short_dwells, degrees_before_first_spark,
max_abs_error_deg, rms_error_deg, min_energy_mj, max_dwell_ms, min_dwell_ms, states {name:
seconds}, outputs {name: {switches, on_s}}}; null where nothing happened that could be summed.

Examples:
  sparkloft rig P.ron --run sweep-to-the-limit
  sparkloft rig P.ron --run crank-and-start --variation 0.3 --json
  sparkloft rig P.ron --run drive.csv -o events.csv --drop 2.5 --extra 4.1
  sparkloft rig P.ron --run idle --wav trigger.wav --sample-rate 96000")]
pub(super) struct Rig {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// A built-in run, one that the project keeps, or a file
    #[arg(long, value_name = "NAME|FILE.csv")]
    run: PathBuf,
    /// Write every event to this file; - writes to stdout
    #[arg(short, long, value_name = "EVENTS.csv")]
    output: Option<PathBuf>,
    /// What stands before decimals in the run's file, where its numbers do not tell, as 1,000 alone does not
    #[arg(long, value_name = "MARK")]
    decimal_mark: Option<Mark>,
    /// The unit has what it makes of the project's image: every number as the bytes hold it
    #[arg(long)]
    as_flashed: bool,
    #[command(flatten)]
    harder: Harder,
    /// Write the trigger signal as a sound file
    #[arg(long, value_name = "OUT.wav", value_parser = OsStringValueParser::new().try_map(file_path))]
    wav: Option<PathBuf>,
    /// Samples a second of the sound file
    #[arg(long, value_name = "HZ", default_value_t = 48_000, requires = "wav")]
    #[arg(value_parser = clap::value_parser!(u32).range(8_000..=384_000))]
    sample_rate: u32,
    /// The form of the trigger signal
    #[arg(long, default_value = "square", requires = "wav")]
    pulse: Form,
    #[command(flatten)]
    format: Format,
}

/// How the run is made harder.
#[derive(Debug, clap::Args)]
struct Harder {
    /// Cyclic speed variation, 0 to 0.5 of the speed: the crank slows into each compression
    #[arg(long, value_name = "SHARE", value_parser = number, default_value = "0")]
    variation: f64,
    /// Crank degrees after the start where the variation is fastest; halfway between compressions when left out
    #[arg(long, value_name = "DEG", value_parser = number, allow_hyphen_values = true, requires = "variation")]
    fastest_at: Option<f64>,
    /// The unit sees each edge so many µs late
    #[arg(long, value_name = "US", value_parser = number, default_value = "0")]
    latency: f64,
    /// It sees each edge late by the project's sensor latency
    #[arg(long, conflicts_with = "latency")]
    sensor_latency: bool,
    /// It sees each edge up to so many µs early or late
    #[arg(long, value_name = "US", value_parser = number, default_value = "0")]
    jitter: f64,
    /// Another seed gives other jitter
    #[arg(long, value_name = "NUMBER", default_value = "0", requires = "jitter")]
    seed: u64,
    /// The next edge after this time, in seconds, is not seen; may be given more than once
    #[arg(long, value_name = "S", value_parser = number, allow_hyphen_values = true)]
    drop: Vec<f64>,
    /// At this time, in seconds, an edge is seen where none is; may be given more than once
    #[arg(long, value_name = "S", value_parser = number, allow_hyphen_values = true)]
    extra: Vec<f64>,
    /// Sync after one gap, whatever the project says
    #[arg(long)]
    one_gap: bool,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Form {
    /// A square wave, as of a Hall sensor
    Square,
    /// A smoothed pulse for each tooth that grows with speed, as of a coil and magnet
    Smoothed,
}

impl From<Form> for Pulse {
    fn from(form: Form) -> Self {
        match form {
            Form::Square => Self::Square,
            Form::Smoothed => Self::Smoothed,
        }
    }
}

#[derive(Serialize)]
struct Done<'a> {
    locked_timing_deg: Option<f64>,
    #[serde(flatten)]
    summary: &'a Summary,
}

impl Rig {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let to_stdout = self.output.as_deref().is_some_and(is_dash);
        if to_stdout && self.format.json {
            return Err(Failure::Usage("with --json stdout is taken: -o needs a file".into(), "rig"));
        }
        let project = self.harder.project(read_project(&self.project)?)?;
        self.check_outputs(&project)?;
        let run = find_run(&project, &self.run, self.decimal_mark)?;
        let settings = self.harder.settings(&project);
        let unit = self.as_flashed.then(|| FlashedUnit::of(&project)).transpose();
        let unit = unit.map_err(|source| Failure::Unit(Box::new(source)))?;
        let bench = match &unit {
            Some(unit) => Bench::with_unit(&project, unit.on_the_rig(), settings.clone())?,
            None => Bench::new(&project, settings.clone())?,
        };
        let wav = self.wav.as_deref();
        let sound = wav.map(|path| write(path, &project, &run, &settings, self.sample_rate, self.pulse.into()));
        let sound = sound.transpose()?;
        let (summary, events) = self.drive(&project, &bench, &run)?;
        let mut notes = self.remarks(&project, &run);
        if sound.is_some() {
            notes.extend(sound_notes(&settings));
        }
        let files = events.into_iter().chain(sound).collect();
        if to_stdout {
            notes.extend(locked_note(&project, "the project"));
            return Ok(Answer { notes, files, ..Answer::default() });
        }
        let text = || locked_line(&project) + &summary::text(&summary, [self.output.as_deref(), wav]);
        let done = Done { locked_timing_deg: project.locked_timing_deg, summary: &summary };
        Ok(Answer { notes, files, ..self.format.answer(&done, text)? })
    }

    /// No file that is written may be one that is read, or one of the others.
    fn check_outputs(&self, project: &Project) -> Result<(), Failure> {
        let is_built_in = BuiltIn::ALL.into_iter().any(|built_in| self.run.as_os_str() == built_in.name());
        let mut read = vec![("the project", self.project.as_path())];
        if !is_built_in && kept(project, &self.run).is_none() {
            read.push(("the run", &self.run));
        }
        let events = self.output.as_deref().filter(|path| !is_dash(path));
        for path in events.into_iter().chain(self.wav.as_deref()) {
            refuse_taken("rig", path, &read)?;
        }
        match self.wav.as_deref().zip(events) {
            Some((wav, events)) => refuse_taken("rig", wav, &[("the file of the events", events)]),
            None => Ok(()),
        }
    }

    /// Remarks: that the run has a cyclic variation of its own, and that the project has switched off what the
    /// run is meant to show.
    fn remarks(&self, project: &Project, run: &Run) -> Vec<String> {
        let is = |built_in: BuiltIn| self.run.as_os_str() == built_in.name();
        let (limits, mut remarks) = (&project.limits, Vec::new());
        if let Some(own) = run.own_variation() {
            let (variation, below) = (written(own.variation), quantity(own.below_rpm, Unit::Rpm));
            remarks.push(format!("this run has a cyclic variation of {variation} of its own below {below}"));
        }
        if is(BuiltIn::Launch) && !limits.launch.enabled {
            remarks.push("launch is switched off in this project: set limits.launch.enabled=yes".to_owned());
        }
        if is(BuiltIn::SweepToTheLimit) && !limits.over_speed.enabled {
            remarks
                .push("the over-speed limit is switched off in this project: the sweep ends with the table".to_owned());
        }
        remarks
    }

    fn drive(&self, project: &Project, bench: &Bench<'_>, run: &Run) -> Result<(Summary, Option<Pending>), Failure> {
        let Some(path) = &self.output else {
            return Ok((bench.run(run, &mut ()), None));
        };
        let unwritable = |source| Failure::Output { path: path.clone(), source };
        let mut rows = EventRows::new(Output::to(path)?, project);
        let summary = bench.run(run, &mut rows);
        match rows.finish() {
            Ok(output) => output.finish().map_err(unwritable).map(|file| (summary, file)),
            // A reader that closes the pipe has read what it wanted.
            Err(source) => super::answer::unless_closed(Err(source)).map_err(unwritable).map(|()| (summary, None)),
        }
    }
}

impl Harder {
    fn project(&self, project: Project) -> Result<Project, Failure> {
        if !self.one_gap {
            return Ok(project);
        }
        Ok(project.edit(|parts| parts.trigger.gaps_to_sync = 1)?)
    }

    fn settings(&self, project: &Project) -> Settings {
        Settings {
            variation: self.variation,
            fastest_deg: self.fastest_at,
            latency_us: if self.sensor_latency { project.trigger.latency_us } else { self.latency },
            jitter_us: self.jitter,
            seed: self.seed,
            dropped_at_s: self.drop.clone(),
            extra_at_s: self.extra.clone(),
        }
    }
}

/// The run of that name that the project keeps.
fn kept<'a>(project: &'a Project, name: &Path) -> Option<&'a KeptRun> {
    project.runs.iter().find(|run| name.as_os_str() == run.name.as_str()).map(|run| &**run)
}

/// A built-in run by its name, else one that the project keeps, else the run in that file.
fn find_run(project: &Project, name: &Path, mark: Option<Mark>) -> Result<Run, Failure> {
    if let Some(built_in) = BuiltIn::ALL.into_iter().find(|built_in| name.as_os_str() == built_in.name()) {
        return Ok(built_in.run(project)?);
    }
    if let Some(kept) = kept(project, name) {
        let told = |error| Failure::Usage(format!("the project's run '{}': {error}", kept.name), "rig");
        return Run::of_kept(kept, project.sensors.load).map_err(told);
    }
    let bytes = read_up_to(name, MAX_RUN_BYTES as u64).map_err(|failure| match failure {
        Failure::Read { source, .. } => no_run(project, name, source),
        other => other,
    })?;
    let read = read_run_as(&bytes, mark.map(Into::into), Some(project.sensors.load));
    read.map_err(|source| Failure::RunFile { path: name.to_owned(), source })
}

/// The error if there is no such run. A name without a folder or an ending probably meant a built-in or kept
/// run.
fn no_run(project: &Project, name: &Path, source: std::io::Error) -> Failure {
    let is_bare = name.extension().is_none() && name.components().count() == 1;
    if !is_bare || source.kind() != std::io::ErrorKind::NotFound {
        return Failure::Read { path: name.to_owned(), source };
    }
    let names: Vec<&str> = BuiltIn::ALL.iter().map(|built_in| built_in.name()).collect();
    let own: Vec<&str> = project.runs.iter().map(|run| run.name.as_str()).collect();
    let own = if own.is_empty() { "the project keeps none".to_owned() } else { format!("it keeps {}", own.join(", ")) };
    let built_in = names.join(", ");
    let words =
        format!("'{}' is no built-in run ({built_in}), no run of the project ({own}) and no file", name.display());
    Failure::Usage(words, "rig")
}

/// A sound file has a 32-bit byte count, and two bytes are one sample.
const MOST_SAMPLES: usize = (u32::MAX as usize - 1024) / 2;

/// Writes the signal of a run: one channel, 16 bits. The file waits until the rest of the job is done.
fn write(
    path: &Path,
    project: &Project,
    run: &Run,
    settings: &Settings,
    rate_hz: u32,
    pulse: Pulse,
) -> Result<Pending, Failure> {
    let signal = TriggerSignal::new(project, run, settings, rate_hz, pulse);
    let samples = signal.size_hint().0;
    if samples > MOST_SAMPLES {
        let words =
            format!("{samples} samples are more than a sound file holds; choose a shorter run or fewer a second");
        return Err(Failure::Usage(words, "rig"));
    }
    let mut file = Staged::stream(path)?;
    let spec = WavSpec { channels: 1, sample_rate: rate_hz, bits_per_sample: 16, sample_format: SampleFormat::Int };
    fill(&mut file, spec, signal).map_err(|error| Failure::Output { path: path.to_owned(), source: plain(error) })?;
    Ok(Pending::Files(vec![file]))
}

fn fill(file: &mut Staged, spec: WavSpec, signal: TriggerSignal) -> hound::Result<()> {
    let mut buffered = BufWriter::new(file);
    let mut writer = WavWriter::new(&mut buffered, spec)?;
    for sample in signal {
        writer.write_sample(sample)?;
    }
    writer.finalize()?;
    Ok(buffered.flush()?)
}

fn plain(error: hound::Error) -> Error {
    match error {
        hound::Error::IoError(error) => error,
        other => Error::other(other),
    }
}

/// Warnings to read before the sound is played into any unit.
fn sound_notes(settings: &Settings) -> Vec<String> {
    let mut notes = vec![
        "the sound is for a bench, with the unit's own sensor unplugged and no coil connected; a sound output gives a \
         volt or so: begin with the volume at zero, raise it until every tooth is seen, and look at it on an oscilloscope"
            .to_owned(),
        "keep the two circuits apart with an isolating transformer (smoothed pulse) or an optocoupler (square); never \
         connect a sound output to anything of the ignition's primary or high-tension side"
            .to_owned(),
    ];
    if settings.jitter_us > 0.0 || !settings.dropped_at_s.is_empty() || !settings.extra_at_s.is_empty() {
        notes.push("the sound has the wheel as it turns: jitter, dropped and extra edges are not in it".into());
    }
    notes
}
