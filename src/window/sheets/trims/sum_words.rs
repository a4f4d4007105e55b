//! What the advance of the selected cell is made of: its parts, each with its degrees and why, as `spark` has them.

use super::effect;
use crate::project::{Project, Trim};
use crate::spark::{Breakdown, State};
use crate::table::Cell;
use crate::window::state::edits::CurveOf;
use crate::window::state::trims_state::TrimsState;
use crate::wording::{Unit, fixed, quantity, signed, step_decimals, with_unit};

/// Where a part comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Source {
    Cranking,
    Table,
    Coolant,
    Air,
    Blend,
    Launch,
    OverSpeed,
    Margin,
    Floor,
    Ceiling,
    /// All of them.
    Sum,
}

/// Where a part is changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Home {
    /// The table itself.
    Table,
    /// A curve of this sheet.
    Curve(CurveOf),
    /// A curve of the sheet with the limits.
    LimitCurve(CurveOf),
    /// A field of the sheet with the limits, by its path.
    LimitField(&'static str),
}

impl Source {
    /// Its name at the start of a line.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Cranking => "Cranking advance",
            Self::Table => "Table",
            Self::Coolant => "Coolant trim",
            Self::Air => "Air trim",
            Self::Blend => "Out of cranking",
            Self::Launch => "Launch",
            Self::OverSpeed => "Over-speed",
            Self::Margin => "Safety margin",
            Self::Floor => "Floor",
            Self::Ceiling => "Ceiling",
            Self::Sum => "Commanded",
        }
    }

    /// Whether it is degrees before TDC rather than a change of them.
    pub(super) const fn is_whole(self) -> bool {
        matches!(self, Self::Cranking | Self::Table | Self::Sum)
    }

    /// Where it is changed; the sum nowhere.
    pub(super) const fn home(self) -> Option<Home> {
        Some(match self {
            Self::Sum => return None,
            Self::Table => Home::Table,
            Self::Coolant => Home::Curve(CurveOf::CoolantTrim),
            Self::Air => Home::Curve(CurveOf::AirTrim),
            Self::Margin => Home::LimitCurve(CurveOf::SafetyMargin),
            Self::Cranking => Home::LimitField("limits.cranking.advance_deg"),
            Self::Blend => Home::LimitField("limits.cranking.blend_rpm"),
            Self::Launch => Home::LimitField("limits.launch.enabled"),
            Self::OverSpeed => Home::LimitField("limits.over_speed.eases_by_deg"),
            Self::Floor => Home::LimitField("limits.clamp.floor_deg"),
            Self::Ceiling => Home::LimitField("limits.clamp.ceiling_deg"),
        })
    }
}

/// One part: where it comes from, how many degrees, and why.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Part {
    pub source: Source,
    /// What it adds; all of it for the sum.
    pub deg: f64,
    /// The same as it is written; a word where its temperature is not known.
    pub degrees: String,
    pub why: String,
}

/// Every part of the commanded advance at a cell that has something to say, in the order in which they are added, and
/// their sum; `place` is the cell in words.
pub(super) fn parts(
    project: &Project,
    state: &TrimsState,
    (cell, place): (Cell, String),
    breakdown: &Breakdown,
) -> Vec<Part> {
    let (given, places) = (breakdown.contributions, step_decimals(project.step_deg));
    let load = effect::conditions(project, state, cell).load;
    let part = |source: Source, deg: f64, why: String| {
        let number = if source.is_whole() { fixed(deg, places) } else { signed(deg, places) };
        Part { source, deg, degrees: with_unit(&number, Unit::Degree), why }
    };
    let mut parts = Vec::new();
    if breakdown.state.is_cranking_or_stopped() {
        parts.push(part(Source::Cranking, given.cranking, "cranking: table and trims have no say".to_owned()));
    } else {
        parts.push(part(Source::Table, given.table, place));
        for (source, trim, temperature_c, deg) in [
            (Source::Coolant, &project.trims.coolant, state.coolant_c, given.coolant_trim),
            (Source::Air, &project.trims.air, state.air_c, given.air_trim),
        ] {
            parts.push(match deg {
                Some(deg) => part(source, deg, trim_words(trim, temperature_c, load, places)),
                None => Part { source, deg: 0.0, degrees: "none".into(), why: "no temperature".into() },
            });
        }
    }
    let bound = if given.clamp < 0.0 { Source::Ceiling } else { Source::Floor };
    let others = [
        (Source::Blend, given.blend, "from cranking to table"),
        (Source::Launch, given.launch, "held back by launch"),
        (Source::OverSpeed, given.over_speed, "eased off below the limit"),
        (Source::Margin, given.margin, "kept apart from the table"),
        (bound, given.clamp, "no advance goes beyond it"),
    ];
    let others = others.into_iter().filter(|(_, deg, _)| *deg != 0.0);
    parts.extend(others.map(|(source, deg, why)| part(source, deg, why.to_owned())));
    parts.push(part(Source::Sum, breakdown.commanded_deg, state_words(breakdown).to_owned()));
    parts
}

/// All of them in one line: 'table 29.0°, coolant trim +2.0°, air trim −1.2°, commanded 29.8°'.
pub(super) fn in_a_line(parts: &[Part]) -> String {
    let words = parts.iter().map(|part| format!("{} {}", part.source.name().to_lowercase(), part.degrees));
    words.collect::<Vec<_>>().join(", ")
}

fn trim_words(trim: &Trim, temperature_c: f64, load: f64, places: usize) -> String {
    if !trim.enabled {
        return "switched off".into();
    }
    let at = with_unit(&signed(trim.degrees.lookup(temperature_c), places), Unit::Degree);
    let weight = fixed(trim.weight.lookup(load), 2);
    format!("{at} at {} × weight {weight}", quantity(temperature_c, Unit::Celsius))
}

const fn state_words(breakdown: &Breakdown) -> &'static str {
    match breakdown.state {
        State::Stopped => "no spark: slower than 'no spark below'",
        State::Cranking => "before TDC, cranking",
        State::LimitCut => "but the over-speed limit cuts here",
        State::LaunchCut => "but launch cuts here",
        State::OverSpeed => "before TDC, easing off below the limit",
        State::Launch => "before TDC, launch",
        State::Running => "before TDC",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;
    use crate::spark::Evaluation;

    /// What is written at each part adds up to what `spark` commands, on every sample at every cell.
    #[test]
    fn the_parts_are_sparks_own_and_add_up_to_the_commanded_advance() {
        let mut seen = std::collections::HashSet::new();
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            for (coolant_c, air_c) in [(-40.0, -20.0), (20.0, 45.0), (90.0, 25.0), (118.0, 70.0)] {
                let state = TrimsState { coolant_c, air_c, ..TrimsState::default() };
                for cell in project.advance.table().cells() {
                    let of = effect::conditions(&project, &state, cell);
                    let breakdown = Evaluation::new(&project).lookup(&of);
                    let parts = parts(&project, &state, (cell, String::new()), &breakdown);
                    let (sum, added) = parts.split_last().unwrap();
                    assert_eq!((sum.source, sum.deg), (Source::Sum, breakdown.commanded_deg));
                    let total: f64 = added.iter().map(|part| part.deg).sum();
                    assert!((total - sum.deg).abs() < 1e-9, "{} {cell:?} {of:?}: {total}", sample.name);
                    let own: Vec<f64> =
                        breakdown.contributions.named().into_iter().filter_map(|(_, deg)| deg).collect();
                    assert!(added.iter().all(|part| own.contains(&part.deg)), "{} {cell:?}", sample.name);
                    seen.extend(added.iter().map(|part| part.source));
                }
            }
        }
        assert!(seen.contains(&Source::Coolant) && seen.contains(&Source::Air) && seen.len() > 3, "{seen:?}");
    }

    #[test]
    fn all_parts_stand_in_one_line_for_a_screen_reader() {
        let part = |source, degrees: &str| Part { source, deg: 0.0, degrees: degrees.into(), why: String::new() };
        let parts = [part(Source::Table, "24.0°"), part(Source::Coolant, "+1.5°"), part(Source::Sum, "25.5°")];
        assert_eq!(in_a_line(&parts), "table 24.0°, coolant trim +1.5°, commanded 25.5°");
    }
}
