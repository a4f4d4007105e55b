//! From version 2 to 3: the chamber, the engine's own safe speed and the coil's secondary voltage are asked for; the record
//! of timing-light readings keeps sensor and latency, too; thresholds have reasons, exports made despite errors have one, and
//! what nobody confirmed is known as assumed. A zero offset beyond three pitches of the wheel is moved into the reference, as
//! whole pitches: every dead centre stays where it is. Kept states are projects of their own and are turned with it.

use ron::error::SpannedError;
use ron::value::RawValue;
use serde::Deserialize;

use super::super::Wheel;
use super::turn::{Step, Turn, read, turn_all};
use crate::wording::{Unit, fixed, quantity, settle, shortest, true_minus, with_unit};

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
    last_export: Option<&'a RawValue>,
}

#[derive(Deserialize)]
struct Engine<'a> {
    #[serde(borrow)]
    plug_gap_mm: &'a RawValue,
}

/// Version 2 let a zero offset be 40° either way, whatever the wheel.
#[derive(Deserialize)]
struct Zero<'a> {
    wheel: Wheel,
    #[serde(borrow)]
    reference_deg: &'a RawValue,
    #[serde(borrow)]
    zero_offset_deg: &'a RawValue,
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
struct Export<'a> {
    #[serde(borrow)]
    checksum: &'a RawValue,
}

/// Turns a text of version 2. Parts that are not as version 2 has them stay as they are: whoever reads the text afterwards
/// says what is wrong with them.
///
/// # Errors
/// What the parser says of a text that is not RON.
pub(super) fn step(text: &str) -> Result<Step, SpannedError> {
    turn_all(text, project)
}

/// A reference and a zero offset of which whole pitches were moved.
struct Moved {
    teeth: f64,
    reference_deg: f64,
    zero_offset_deg: f64,
}

impl Zero<'_> {
    /// The same place of the wheel with a zero offset that is a trim; `None` where it is one.
    fn moved(&self) -> Option<Moved> {
        let [reference_deg, offset_deg] =
            [self.reference_deg, self.zero_offset_deg].map(|part| read::<f64>(Some(part)));
        let (reference_deg, offset_deg) = reference_deg.zip(offset_deg)?;
        if offset_deg.abs() <= self.wheel.most_zero_offset_deg() || !offset_deg.is_finite() {
            return None;
        }
        let teeth = (offset_deg / self.wheel.pitch_deg()).round();
        let by_deg = teeth * self.wheel.pitch_deg();
        Some(Moved {
            teeth,
            reference_deg: settle((reference_deg + by_deg).rem_euclid(360.0)),
            zero_offset_deg: settle(offset_deg - by_deg),
        })
    }

    /// What there is to say of it.
    fn words(&self, what: &str, moved: &Moved) -> String {
        let was = self.zero_offset_deg.get_ron().trim();
        format!(
            "{what} was {}°, beyond three pitches of the wheel: the reference is moved by {} to {}, and the zero offset is {}; \
             top dead centre stays where it is.",
            true_minus(was),
            with_unit(&fixed(moved.teeth, 0), Unit::Tooth),
            quantity(moved.reference_deg, Unit::Degree),
            quantity(moved.zero_offset_deg, Unit::Degree)
        )
    }
}

/// Moves whole pitches of a zero offset into the reference; gives the text of the zero offset then.
fn zero(turn: &mut Turn<'_>, part: Option<&RawValue>, what: &str) -> Option<String> {
    let zero: Zero<'_> = read(part)?;
    let moved = zero.moved()?;
    turn.remarks.push(zero.words(what, &moved));
    turn.replace(zero.reference_deg, shortest(moved.reference_deg));
    Some(shortest(moved.zero_offset_deg))
}

fn project(turn: &mut Turn<'_>, outline: &Outline<'_>, whose: &str) {
    if read(outline.format) != Some(2) {
        return;
    }
    if let Some(format) = outline.format {
        // Nobody was asked for the chamber, so the usual one is marked as assumed.
        turn.replace(format, r#"3, assumed: ["engine.chamber"]"#.into());
    }
    if let Some(Engine { plug_gap_mm }) = read(outline.engine) {
        turn.after(plug_gap_mm, "chamber: two_valve_side_plug, highest_safe_speed_rpm: None");
    }
    if let Some(Coil { dwell_ms }) = read(outline.coil) {
        turn.after(dwell_ms, "secondary_voltage_kv: None");
    }
    let zero_of_now = zero(turn, outline.trigger, &format!("{whose}The zero offset"));
    if let Some((zero, Zero { zero_offset_deg, .. })) = zero_of_now.zip(read(outline.trigger)) {
        turn.replace(zero_offset_deg, zero);
    }
    let zero_of_then =
        zero(turn, outline.timing_light, &format!("{whose}The zero offset of the timing-light readings"));
    if let Some((TimingLight { zero_offset_deg }, Trigger { sensor, latency_us })) =
        read(outline.timing_light).zip(read(outline.trigger))
    {
        let [sensor, latency_us, own] = [sensor, latency_us, zero_offset_deg].map(|part| part.get_ron().trim());
        let zero = zero_of_then.as_deref().unwrap_or(own);
        turn.replace(zero_offset_deg, format!("{zero}, sensor: {sensor}, latency_us: {latency_us}"));
    }
    if let Some(Checks { thresholds }) = read(outline.checks) {
        turn.after(thresholds, "threshold_reasons: {}");
    }
    if let Some(Export { checksum }) = read(outline.last_export) {
        turn.after(checksum, "despite_errors: None");
    }
}
