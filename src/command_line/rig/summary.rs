//! The summary of a run as text for people.

use std::fmt::Write;
use std::path::Path;

use crate::command_line::output::shown;
use crate::rig::Summary;
use crate::spark::State;
use crate::wording::{Unit, count, figure, figure_number, fixed, one_line, with_unit};

/// A state that lasted less than this would read as lasting no time at all.
const SHORTEST_S: f64 = 0.005;

/// The sums of the run, and which files were written.
pub(super) fn text(summary: &Summary, files: [Option<&Path>; 2]) -> String {
    let mut text = String::new();
    let mut line = |name: &str, words: String| {
        let _ = writeln!(text, "{name:<10}{words}");
    };
    line(
        "run",
        format!(
            "{}, {}, {}",
            figure(summary.duration_s, Unit::Second),
            count(summary.edges, "edge"),
            count(summary.gaps, "gap")
        ),
    );
    line("sync", sync_words(summary));
    line("sparks", spark_words(summary));
    line("error", error_words(summary));
    line("dwell", dwell_words(summary));
    for state in State::ALL.into_iter().filter(|state| summary.state_s(*state) >= SHORTEST_S) {
        line("state", format!("{:<11}{:>11}", state.name(), figure(summary.state_s(state), Unit::Second)));
    }
    for output in &summary.outputs {
        let on = match output.switches {
            0 => "never came on".to_owned(),
            switches => format!("came on {}, for {}", times(switches), figure(output.on_s, Unit::Second)),
        };
        line("output", format!("{}: {on}", one_line(&output.name)));
    }
    files.into_iter().flatten().for_each(|file| line("wrote", shown(file)));
    text
}

fn sync_words(summary: &Summary) -> String {
    let found = match summary.syncs {
        0 => "never found".to_owned(),
        syncs => format!("found {}", times(syncs)),
    };
    let lost = match summary.sync_losses {
        0 => "never lost".to_owned(),
        losses => format!("LOST {}", times(losses)),
    };
    let first = summary.degrees_before_first_spark;
    let first = first.map(|deg| format!("; first spark after {} of crank", with_unit(&fixed(deg, 0), Unit::Degree)));
    format!("{found}, {lost}{}", first.unwrap_or_default())
}

fn spark_words(summary: &Summary) -> String {
    let mut words = vec![count(summary.sparks, "spark"), format!("{} cut", summary.cuts)];
    let rare = [(summary.skips, "skipped for want of dwell"), (summary.let_downs, "let down without a spark")];
    words.extend(rare.iter().filter(|(number, _)| *number > 0).map(|(number, what)| format!("{number} {what}")));
    words.join(", ")
}

fn error_words(summary: &Summary) -> String {
    match summary.max_abs_error_deg.zip(summary.rms_error_deg) {
        Some((most_deg, rms_deg)) => {
            format!("largest {}, RMS {}", figure(most_deg, Unit::Degree), figure(rms_deg, Unit::Degree))
        }
        None => "no spark to judge".into(),
    }
}

fn dwell_words(summary: &Summary) -> String {
    let Some(((least_ms, most_ms), energy_mj)) =
        summary.min_dwell_ms.zip(summary.max_dwell_ms).zip(summary.min_energy_mj)
    else {
        return "no spark to judge".into();
    };
    let short = match summary.short_dwells {
        0 => String::new(),
        short => format!("; {short} shorter than asked for"),
    };
    format!(
        "{} to {}, least energy stored {}{short}",
        figure_number(least_ms, Unit::Millisecond),
        figure(most_ms, Unit::Millisecond),
        figure(energy_mj, Unit::Millijoule)
    )
}

fn times(count: u64) -> String {
    match count {
        1 => "once".into(),
        2 => "twice".into(),
        times => format!("{times} times"),
    }
}
