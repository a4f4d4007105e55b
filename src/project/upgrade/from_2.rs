//! From version 2 to 3: the chamber, the engine's own safe speed and the coil's secondary voltage are asked for; the record
//! of timing-light readings keeps sensor and latency, too; thresholds have reasons, exports made despite errors have one, and
//! what nobody confirmed is known as assumed; runs have a cyclic variation of their own. Kept states are projects of their own and are turned with it.

use ron::error::SpannedError;
use ron::value::RawValue;
use serde::Deserialize;

use super::super::locate::offset_in;
use super::super::ron_form::options;
use super::Step;
use super::rewrite::Edits;

/// What of a project this step looks at; the rest is as it was.
#[derive(Deserialize)]
struct Outline<'a> {
    #[serde(borrow, default)]
    format: Option<&'a RawValue>,
    #[serde(borrow, default)]
    engine: Option<&'a RawValue>,
    #[serde(borrow, default)]
    trigger: Option<&'a RawValue>,
    #[serde(borrow, default)]
    coil: Option<&'a RawValue>,
    #[serde(borrow, default)]
    timing_light: Option<&'a RawValue>,
    #[serde(borrow, default)]
    checks: Option<&'a RawValue>,
    #[serde(borrow, default)]
    runs: Option<&'a RawValue>,
    #[serde(borrow, default)]
    last_export: Option<&'a RawValue>,
    #[serde(borrow, default)]
    snapshots: Option<&'a RawValue>,
}

#[derive(Deserialize)]
struct Engine<'a> {
    #[serde(borrow)]
    plug_gap_mm: &'a RawValue,
}

#[derive(Deserialize)]
struct Trigger<'a> {
    #[serde(borrow)]
    sensor: &'a RawValue,
    #[serde(borrow)]
    latency_us: &'a RawValue,
}

#[derive(Deserialize)]
struct Coil<'a> {
    #[serde(borrow)]
    dwell_ms: &'a RawValue,
}

#[derive(Deserialize)]
struct TimingLight<'a> {
    #[serde(borrow)]
    zero_offset_deg: &'a RawValue,
}

#[derive(Deserialize)]
struct Checks<'a> {
    #[serde(borrow)]
    thresholds: &'a RawValue,
}

#[derive(Deserialize)]
struct Run<'a> {
    #[serde(borrow)]
    rows: &'a RawValue,
}

#[derive(Deserialize)]
struct Export<'a> {
    #[serde(borrow)]
    checksum: &'a RawValue,
}

#[derive(Deserialize)]
struct Kept<'a> {
    #[serde(borrow)]
    state: &'a RawValue,
}

/// Turns a text of version 2. Parts that are not as version 2 has them stay as they are: whoever reads the text afterwards
/// says what is wrong with them.
///
/// # Errors
/// What the parser says of a text that is no RON.
pub(super) fn step(text: &str) -> Result<Step, SpannedError> {
    let outline: Outline<'_> = options().from_str(text)?;
    let mut turn = Turn { text, edits: Edits::default() };
    turn.project(&outline);
    let snapshots: Vec<Kept<'_>> = read(outline.snapshots).unwrap_or_default();
    let export: Option<Kept<'_>> = read(outline.last_export);
    for kept in snapshots.iter().chain(&export) {
        if let Some(outline) = read(Some(kept.state)) {
            turn.project(&outline);
        }
    }
    Ok(Step { rewritten: turn.edits.carry_out(text), remarks: Vec::new() })
}

/// A part of the text as what it should be, if it is.
fn read<'a, T: Deserialize<'a>>(part: Option<&'a RawValue>) -> Option<T> {
    options().from_str(part?.get_ron()).ok()
}

struct Turn<'t> {
    text: &'t str,
    edits: Edits,
}

impl Turn<'_> {
    fn project(&mut self, outline: &Outline<'_>) {
        if read(outline.format) != Some(2) {
            return;
        }
        if let Some(format) = outline.format {
            // Nobody was asked for the chamber: it is the usual one, and so it says.
            self.replace(format, r#"3, assumed: ["engine.chamber"]"#.into());
        }
        if let Some(Engine { plug_gap_mm }) = read(outline.engine) {
            self.after(plug_gap_mm, "chamber: two_valve_side_plug, highest_safe_speed_rpm: None");
        }
        if let Some(Coil { dwell_ms }) = read(outline.coil) {
            self.after(dwell_ms, "secondary_voltage_kv: None");
        }
        if let Some((TimingLight { zero_offset_deg }, Trigger { sensor, latency_us })) =
            read(outline.timing_light).zip(read(outline.trigger))
        {
            let [sensor, latency_us] = [sensor, latency_us].map(|part| part.get_ron().trim());
            self.after(zero_offset_deg, &format!("sensor: {sensor}, latency_us: {latency_us}"));
        }
        if let Some(Checks { thresholds }) = read(outline.checks) {
            self.after(thresholds, "threshold_reasons: {}");
        }
        for Run { rows } in read::<Vec<Run<'_>>>(outline.runs).unwrap_or_default() {
            self.after(rows, "variation: 0, varies_below_rpm: 0");
        }
        if let Some(Export { checksum }) = read(outline.last_export) {
            self.after(checksum, "despite_errors: None");
        }
    }

    /// Puts fields behind the value of another one.
    fn after(&mut self, part: &RawValue, fields: &str) {
        let part = part.get_ron().trim();
        if let Some(start) = offset_in(self.text, part) {
            let end = start + part.len();
            self.edits.replace(end..end, format!(", {fields}"));
        }
    }

    fn replace(&mut self, part: &RawValue, new: String) {
        let part = part.get_ron().trim();
        if let Some(start) = offset_in(self.text, part) {
            self.edits.replace(start..start + part.len(), new);
        }
    }
}
