//! What the readings of an operating point mean, in words.

use super::DegInterval;
use crate::wording::{Unit, count, figure, fixed, quantity, range, signed_figure, with_unit};
use crate::worksheet::{Gravity, Verdict};

/// What the readings of an operating point mean.
#[derive(Clone, Debug, PartialEq)]
pub enum SweepVerdict {
    /// Too few different advances.
    TooFew {
        /// How many there are.
        advances: usize,
        /// What to read too, in degrees.
        next_deg: Vec<f64>,
    },
    /// Best torque may lie anywhere on one side or on both.
    Unbounded {
        /// Its interval, open at one end at least.
        best: DegInterval,
    },
    /// Torque has no top within reach.
    NoTop {
        /// Whether it rises with advance.
        rises: bool,
    },
    /// Best torque lies beyond what was read.
    NotBracketed {
        /// The last reading on that side, in degrees.
        last_deg: f64,
        /// Whether it is the first reading that best torque lies below.
        is_below: bool,
    },
    /// The readings lie too close together for a top.
    Narrow {
        /// By how much fitted torque falls to the first and to the last advance, as shares of the top.
        falls: [f64; 2],
    },
    /// Knock comes before best torque.
    KnockFirst {
        /// The least advance that knocked, in degrees.
        from_deg: f64,
        /// Where best torque would be, in degrees, if the readings tell.
        best_deg: Option<f64>,
        /// Whether a lesser advance was heard to be clean.
        has_clean: bool,
    },
    /// A greater advance was clean though a lesser one knocked.
    KnockOrder {
        /// What knocked, in degrees.
        from_deg: f64,
        /// What was clean, in degrees.
        clean_deg: f64,
    },
    /// The readings scatter about the curve.
    Scatters {
        /// Their standard deviation in % of the top.
        scatter_pct: f64,
    },
    /// Torque drifted during the sweep.
    Drift {
        /// By how much, in % of the top.
        drift_pct: f64,
    },
    /// The curve and the parabola have their tops far apart.
    CurvesDisagree {
        /// Best torque by the curve, in degrees.
        curve_deg: f64,
        /// Best torque by the parabola, in degrees.
        parabola_deg: f64,
    },
    /// Best torque has an interval, but a wide one.
    Wide {
        /// Its interval.
        best: DegInterval,
    },
    /// The readings of a named point lie further apart than those of one point do.
    Apart {
        /// The lowest and the highest speed in rpm, if it is the speeds.
        speeds_rpm: Option<(f64, f64)>,
        /// The lowest and the highest load, if it is the loads.
        loads: Option<(f64, f64)>,
        /// What the loads are in.
        load_unit: Unit,
    },
    /// The mixture changed.
    Lambda {
        /// The lowest and the highest lambda.
        between: (f64, f64),
    },
    /// The coolant changed.
    Coolant {
        /// The lowest and the highest temperature in °C.
        between_c: (f64, f64),
    },
    /// The coolant was cold.
    Cold {
        /// The lowest temperature in °C.
        coolant_c: f64,
    },
    /// The intake air changed.
    Air {
        /// The lowest and the highest temperature in °C.
        between_c: (f64, f64),
    },
    /// One reading was left out.
    LeftOut {
        /// Its row in its sweep, counted from 1.
        row: usize,
        /// The name of its sweep, where it completes a point of an earlier one.
        of: Option<String>,
        /// Its advance, in degrees.
        advance_deg: f64,
        /// How far it lies off the curve, in % of the top.
        off_pct: f64,
        /// Best torque with it, in degrees.
        with_deg: f64,
    },
    /// One reading is doubtful.
    Doubtful {
        /// Its row in its sweep, counted from 1.
        row: usize,
        /// The name of its sweep, where it completes a point of an earlier one.
        of: Option<String>,
        /// Its advance, in degrees.
        advance_deg: f64,
        /// How far it lies off the curve of the others, in % of the top.
        off_pct: f64,
        /// Best torque without it, in degrees.
        without_deg: f64,
    },
    /// No advance was read twice.
    NoRepeat {
        /// By how much a drift of 1 % would move best torque, in degrees.
        moves_deg: f64,
    },
    /// Nobody listened for knock.
    NotListened,
    /// Nothing knocked, but nobody listened at the greatest advances.
    HeardUpTo {
        /// The greatest advance that was heard, in degrees.
        heard_deg: f64,
    },
    /// Best torque is known.
    Known {
        /// Best torque, in degrees.
        best_deg: f64,
        /// Its interval.
        between_deg: (f64, f64),
        /// The flat top, in degrees.
        flat_deg: Option<(f64, f64)>,
    },
}

impl Verdict for SweepVerdict {
    fn gravity(&self) -> Gravity {
        match self {
            Self::TooFew { .. } | Self::Unbounded { .. } | Self::NoTop { .. } => Gravity::Obstacle,
            Self::LeftOut { .. }
            | Self::Doubtful { .. }
            | Self::NoRepeat { .. }
            | Self::NotListened
            | Self::HeardUpTo { .. } => Gravity::Note,
            Self::Known { .. } => Gravity::Good,
            _ => Gravity::Warning,
        }
    }

    #[expect(clippy::too_many_lines, reason = "one sentence for each verdict")]
    fn words(&self) -> String {
        match self {
            Self::TooFew { advances, next_deg } => {
                let tell = if *advances == 1 { "does" } else { "do" };
                let more = if next_deg.is_empty() { String::new() } else { format!(": read {} too", list(next_deg)) };
                format!("{} {tell} not tell the top{more}.", count(*advances, "advance"))
            }
            Self::Unbounded { best: DegInterval { low_deg: None, high_deg: None } } => {
                "These readings fit any best advance: read further to both sides, or steadier.".into()
            }
            Self::Unbounded { best: DegInterval { low_deg: Some(low_deg), .. } } => {
                format!("These readings fit any best advance from {} up: read further on, or steadier.", deg(*low_deg))
            }
            Self::Unbounded { best } => format!(
                "These readings fit any best advance up to {}: read further back, or steadier.",
                deg(best.high_deg.unwrap_or_default())
            ),
            Self::NoTop { rises } => {
                let (way, where_to) = if *rises { ("rises", "on, while nothing knocks") } else { ("falls", "back") };
                format!(
                    "Torque has no top within the readings: it {way} with advance throughout. Read further {where_to}."
                )
            }
            Self::NotBracketed { last_deg, is_below } => {
                let (before, which) = if *is_below { ("before", "first") } else { ("beyond", "last") };
                format!(
                    "Best torque lies {before} the {which} reading ({}); the figure is extrapolated.",
                    quantity(*last_deg, Unit::Degree)
                )
            }
            Self::Narrow { falls } => {
                let [first, last] = falls.map(|share| with_unit(&fixed(100.0 * share, 1), Unit::Percent));
                format!(
                    "The sweep is too narrow: torque falls by {first} to its first advance and by {last} to its last. Read \
                     further to both sides."
                )
            }
            Self::KnockFirst { from_deg, best_deg, has_clean } => knock_first(*from_deg, *best_deg, *has_clean),
            Self::KnockOrder { from_deg, clean_deg } => format!(
                "It knocked at {} and not at {}: the lesser counts. Listen again.",
                quantity(*from_deg, Unit::Degree),
                quantity(*clean_deg, Unit::Degree)
            ),
            Self::Scatters { scatter_pct } => format!(
                "The readings scatter by {} about the curve: hold speed and load steadier, or average each longer.",
                figure(*scatter_pct, Unit::Percent)
            ),
            Self::Drift { drift_pct } => format!(
                "Torque changed by {} from the first reading to the last; this is taken out. Let everything warm through.",
                signed_figure(*drift_pct, Unit::Percent)
            ),
            Self::CurvesDisagree { curve_deg, parabola_deg } => format!(
                "The curve has its top at {}, a parabola through the readings near it at {}: neither is sure. Read more \
                 near the top.",
                deg(*curve_deg),
                deg(*parabola_deg)
            ),
            Self::Wide { best } => {
                let half_deg = 0.5 * best.width_deg().unwrap_or_default();
                format!("Best torque is known to ±{} only: read more advances, or steadier.", deg(half_deg))
            }
            Self::Apart { speeds_rpm, loads, load_unit } => {
                let speeds = speeds_rpm.map(|ends| range(ends, Unit::Rpm));
                let loads = loads.map(|ends| range(ends, *load_unit));
                let ends: Vec<String> = [speeds, loads].into_iter().flatten().collect();
                format!(
                    "The readings of this name lie apart, at {}: torque changes with that, not with the advance alone. Give \
                     each place a name of its own.",
                    ends.join(" and ")
                )
            }
            Self::Lambda { between } => format!(
                "Lambda went from {} to {}: torque changed with it, not with the advance alone.",
                fixed(between.0, 2),
                fixed(between.1, 2)
            ),
            Self::Coolant { between_c } => {
                format!("The coolant went through {}: let it settle.", range(*between_c, Unit::Celsius))
            }
            Self::Cold { coolant_c } => {
                format!(
                    "The coolant was at {}: a cold engine wants another advance.",
                    quantity(*coolant_c, Unit::Celsius)
                )
            }
            Self::Air { between_c } => format!(
                "The intake air went through {}: torque and knock change with it.",
                range(*between_c, Unit::Celsius)
            ),
            Self::LeftOut { row, of, advance_deg, off_pct, with_deg } => format!(
                "{} ({}) lies {} off the curve of the others and is left out; with it best torque would be at {}.",
                reading_words(*row, of.as_deref()),
                quantity(*advance_deg, Unit::Degree),
                signed_figure(*off_pct, Unit::Percent),
                deg(*with_deg)
            ),
            Self::Doubtful { row, of, advance_deg, off_pct, without_deg } => format!(
                "{} ({}) lies {} off the curve of the others. It counts; without it best torque would be at {}. \
                 Read it again.",
                reading_words(*row, of.as_deref()),
                quantity(*advance_deg, Unit::Degree),
                signed_figure(*off_pct, Unit::Percent),
                deg(*without_deg)
            ),
            Self::NoRepeat { moves_deg } => format!(
                "No advance was read twice, early and late: 1 % of drift would move the answer by {}. Read the first advance \
                 again at the end.",
                deg(*moves_deg)
            ),
            Self::NotListened => "Nothing is known of knock: nobody listened.".into(),
            Self::HeardUpTo { heard_deg } => {
                format!("Knock was listened for up to {} only.", quantity(*heard_deg, Unit::Degree))
            }
            Self::Known { best_deg, between_deg, flat_deg } => {
                let best = format!(
                    "Best torque at {} ({} to {}); the shape of the curve leaves about ±0.3° besides.",
                    deg(*best_deg),
                    fixed(between_deg.0, 1),
                    fixed(between_deg.1, 1)
                );
                match flat_deg {
                    Some((low_deg, high_deg)) => format!(
                        "{best} Within 1 % from {} to {}. Least advance for best torque: {}.",
                        fixed(*low_deg, 1),
                        deg(*high_deg),
                        deg(*low_deg)
                    ),
                    None => best,
                }
            }
        }
    }
}

/// 'Reading 3', 'Reading 2 of second day'.
fn reading_words(row: usize, of: Option<&str>) -> String {
    of.map_or_else(|| format!("Reading {row}"), |of| format!("Reading {row} of {of}"))
}

/// Degrees to one decimal: best torque is never known to two.
fn deg(value: f64) -> String {
    with_unit(&fixed(value, 1), Unit::Degree)
}

fn knock_first(from_deg: f64, best_deg: Option<f64>, has_clean: bool) -> String {
    let from = quantity(from_deg, Unit::Degree);
    let about = |best_deg: f64| with_unit(&fixed(best_deg, 0), Unit::Degree);
    let limited = match best_deg {
        Some(best_deg) if best_deg < from_deg => format!(
            "Knock comes on the flat top, from {from}: the point is limited by knock; best torque is about {}.",
            about(best_deg)
        ),
        Some(best_deg) => format!(
            "Knock comes before best torque: the point is limited by knock; best torque would be about {}.",
            about(best_deg)
        ),
        None => "Knock comes before best torque: the point is limited by knock.".into(),
    };
    if has_clean {
        return limited;
    }
    format!("{limited} It knocked at {from}, and nothing below was heard to be clean: read further back.")
}

/// '24, 27 and 33°'.
fn list(degrees: &[f64]) -> String {
    let words: Vec<String> = degrees.iter().map(|deg| fixed(*deg, 0)).collect();
    let joined = match words.split_last() {
        Some((last, before)) if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        _ => words.concat(),
    };
    with_unit(&joined, Unit::Degree)
}
