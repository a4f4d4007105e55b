//! The summary of a run as text for people.

use std::fmt::Write;
use std::path::Path;

use crate::command_line::output::{count, shown};
use crate::rig::Summary;
use crate::spark::State;
use crate::wording::fixed;

/// A state that lasted less would read as no time at all.
const SHORTEST_S: f64 = 0.005;

/// What the run came to, and which files were written.
pub(super) fn text(summary: &Summary, files: [Option<&Path>; 2]) -> String {
    let mut text = String::new();
    let mut line = |name: &str, words: String| {
        let _ = writeln!(text, "{name:<10}{words}");
    };
    line(
        "run",
        format!("{} s, {}, {}", fixed(summary.duration_s, 2), many(summary.edges, "edge"), many(summary.gaps, "gap")),
    );
    line("sync", sync_words(summary));
    line("sparks", spark_words(summary));
    line("error", error_words(summary));
    line("dwell", dwell_words(summary));
    for state in State::ALL.into_iter().filter(|state| summary.state_s(*state) >= SHORTEST_S) {
        line("state", format!("{:<11}{:>9} s", state.name(), fixed(summary.state_s(state), 2)));
    }
    for output in &summary.outputs {
        let on = match output.switches {
            0 => "never came on".to_owned(),
            switches => format!("came on {}, for {} s", times(switches), fixed(output.on_s, 2)),
        };
        line("output", format!("{}: {on}", output.name));
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
    let first = first.map(|deg| format!("; first spark after {}° of crank", fixed(deg, 0)));
    format!("{found}, {lost}{}", first.unwrap_or_default())
}

fn spark_words(summary: &Summary) -> String {
    let mut words = vec![many(summary.sparks, "spark"), format!("{} cut", summary.cuts)];
    let rare = [(summary.skips, "skipped for want of dwell"), (summary.let_downs, "let down without a spark")];
    words.extend(rare.iter().filter(|(count, _)| *count > 0).map(|(count, what)| format!("{count} {what}")));
    words.join(", ")
}

fn error_words(summary: &Summary) -> String {
    match summary.max_abs_error_deg.zip(summary.rms_error_deg) {
        Some((most_deg, rms_deg)) => format!("largest {}°, RMS {}°", fixed(most_deg, 2), fixed(rms_deg, 2)),
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
    format!("{} to {} ms, least energy {} mJ{short}", fixed(least_ms, 2), fixed(most_ms, 2), fixed(energy_mj, 1))
}

fn many(number: u64, noun: &str) -> String {
    usize::try_from(number).map_or_else(|_| format!("{number} {noun}s"), |number| count(number, noun))
}

fn times(count: u64) -> String {
    match count {
        1 => "once".into(),
        2 => "twice".into(),
        count => format!("{count} times"),
    }
}
