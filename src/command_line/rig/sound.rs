//! The trigger signal as a sound file.

use std::io::{BufWriter, Error, Write};
use std::path::Path;

use hound::{SampleFormat, WavSpec, WavWriter};

use crate::command_line::Failure;
use crate::command_line::pending::Pending;
use crate::document::Staged;
use crate::project::Project;
use crate::rig::{Pulse, Run, Settings, TriggerSignal};

/// A sound file counts its bytes in 32 bits; two of them are one sample.
const MOST_SAMPLES: usize = (u32::MAX as usize - 1024) / 2;

/// Writes the signal of a run: one channel, 16 bits. The file waits for the rest of the job to be done.
pub(super) fn write(
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

/// What must be known before the sound is played into anything.
pub(super) fn notes(settings: &Settings) -> Vec<String> {
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
