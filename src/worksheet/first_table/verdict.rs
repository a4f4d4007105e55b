//! What a first table means.

use super::distributor::{Fitted, Port};
use super::{difference_words, engine_differences, largest_difference, share_words};
use crate::project::{Advance, Project};
use crate::wording::{Unit, one_line, point, quantity, settle};
use crate::worksheet::{Gravity, Verdict};

/// More at full load breaks engines. Common practice, no source.
const MOST_AT_FULL_LOAD_DEG: f64 = 36.0;
/// More than this from weights and capsule together is no usual distributor. Common practice, no source.
const MOST_OF_BOTH_DEG: f64 = 45.0;
/// An idle with more than this was steadied by vacuum. Common practice, no source.
const MOST_AT_IDLE_DEG: f64 = 18.0;
/// The engine's own table and the starting table usually differ by less. Assumed.
const USUALLY_WITHIN_DEG: f64 = 8.0;

/// What a first table means.
#[derive(Clone, Debug, PartialEq)]
pub enum FirstTableVerdict {
    /// Full load would get more than is safe.
    MuchAtFullLoad {
        /// The most, crank degrees.
        deg: f64,
        /// At which speed, rpm.
        speed_rpm: f64,
    },
    /// Weights and capsule together give more than usual.
    MuchOfBoth {
        /// The most, crank degrees.
        deg: f64,
        /// Where, as words.
        place: String,
    },
    /// The idle has the capsule's advance.
    IdleByVacuum {
        /// The advance at idle, crank degrees.
        deg: f64,
    },
    /// The weights' curve ends below the rev limit.
    EndsEarly {
        /// Where, rpm.
        at_rpm: f64,
        /// The limit, rpm.
        limit_rpm: f64,
    },
    /// The initial advance was read where the weights had begun to move.
    ReadOnCurve {
        /// What they had given, crank degrees.
        deg: f64,
    },
    /// Cells for which there is no opinion.
    NoOpinion {
        /// How many.
        cells: usize,
        /// Of how many.
        of: usize,
    },
    /// The opinion behind it was never tested.
    Untested,
    /// It is far from the starting table.
    FarFromStarter {
        /// By how much and where, as words.
        words: String,
    },
    /// The other engine differs in what decides the advance.
    OtherEngine {
        /// The other project's name.
        name: String,
        /// In what, as words.
        differences: Vec<String>,
    },
    /// Cells beyond the other table.
    Beyond {
        /// How many.
        cells: usize,
        /// Of how many.
        of: usize,
    },
}

impl FirstTableVerdict {
    pub(super) fn of_distributor(project: &Project, fitted: &Fitted<'_>) -> Vec<Self> {
        let own = fitted.distributor;
        let table = project.advance.table();
        let places = || {
            let loads = table.load().breakpoints();
            loads.iter().flat_map(|load| table.speed().breakpoints().iter().map(|speed| (*speed, *load)))
        };
        let most = |deg: &dyn Fn(f64, f64) -> f64, from_load: f64| {
            let within = places().filter(|(_, load)| *load >= from_load);
            within.map(|(speed_rpm, load)| (deg(speed_rpm, load), speed_rpm, load)).max_by(|a, b| a.0.total_cmp(&b.0))
        };
        let mut verdicts = Vec::new();
        let total = |speed_rpm: f64, load: f64| settle(fitted.parts(speed_rpm, load).total_deg());
        if let Some((deg, speed_rpm, _)) =
            most(&total, project.full_load_line.from_load).filter(|most| most.0 > MOST_AT_FULL_LOAD_DEG)
        {
            verdicts.push(Self::MuchAtFullLoad { deg, speed_rpm });
        }
        let both = |speed_rpm: f64, load: f64| {
            let parts = fitted.parts(speed_rpm, load);
            settle(parts.centrifugal_deg + parts.vacuum_deg)
        };
        if let Some((deg, speed_rpm, load)) = most(&both, f64::NEG_INFINITY).filter(|most| most.0 > MOST_OF_BOTH_DEG) {
            verdicts.push(Self::MuchOfBoth { deg, place: point(speed_rpm, load, project.sensors.load.unit()) });
        }
        let idle_deg = total(fitted.idle_rpm, fitted.idle_load);
        if own.vacuum.port == Port::Manifold && idle_deg > MOST_AT_IDLE_DEG {
            verdicts.push(Self::IdleByVacuum { deg: idle_deg });
        }
        if own.already_deg() > 0.0 {
            verdicts.push(Self::ReadOnCurve { deg: settle(own.already_deg()) });
        }
        let limit_rpm = project.top_speed_rpm();
        if own.ends_at_rpm() < limit_rpm {
            verdicts.push(Self::EndsEarly { at_rpm: own.ends_at_rpm(), limit_rpm });
        }
        verdicts
    }

    /// The most that an advance differs from the starting table, if that is far.
    pub(super) fn far_from_starter(project: &Project, starter: &Advance, advance: &Advance) -> Option<String> {
        let far = largest_difference(advance.table(), starter.table())?;
        (far.0.abs() > USUALLY_WITHIN_DEG).then(|| difference_words(project, far))
    }

    pub(super) fn of_engine(refused: usize, of: usize, far: Option<String>, is_calibrated: bool) -> Vec<Self> {
        let untested = (!is_calibrated).then_some(Self::Untested);
        let none = (refused > 0).then_some(Self::NoOpinion { cells: refused, of });
        let far = far.map(|words| Self::FarFromStarter { words });
        [far, untested, none].into_iter().flatten().collect()
    }

    pub(super) fn of_other(project: &Project, other: &Project, beyond: usize) -> Vec<Self> {
        let differences = engine_differences(project, other);
        let name = one_line(&other.name).into_owned();
        let differs = (!differences.is_empty()).then_some(Self::OtherEngine { name, differences });
        let of = project.advance.table().values().len();
        let beyond = (beyond > 0).then_some(Self::Beyond { cells: beyond, of });
        differs.into_iter().chain(beyond).collect()
    }
}

impl Verdict for FirstTableVerdict {
    fn gravity(&self) -> Gravity {
        match self {
            Self::MuchAtFullLoad { .. }
            | Self::MuchOfBoth { .. }
            | Self::IdleByVacuum { .. }
            | Self::FarFromStarter { .. }
            | Self::OtherEngine { .. }
            | Self::Untested => Gravity::Warning,
            Self::EndsEarly { .. } | Self::ReadOnCurve { .. } | Self::NoOpinion { .. } | Self::Beyond { .. } => {
                Gravity::Note
            }
        }
    }

    fn words(&self) -> String {
        match self {
            Self::MuchAtFullLoad { deg, speed_rpm } => format!(
                "The distributor gives {} at full load and {}; the table has {} at most: see that its curve is in the right \
                 terms.",
                quantity(*deg, Unit::Degree),
                quantity(*speed_rpm, Unit::Rpm),
                quantity(MOST_AT_FULL_LOAD_DEG, Unit::Degree)
            ),
            Self::MuchOfBoth { deg, place } => format!(
                "Weights and capsule together give {} at {place}, more than distributors usually do.",
                quantity(*deg, Unit::Degree)
            ),
            Self::IdleByVacuum { deg } => {
                format!("The idle was steadied by vacuum, with {}; start at 14°.", quantity(*deg, Unit::Degree))
            }
            Self::EndsEarly { at_rpm, limit_rpm } => format!(
                "The weights' curve ends at {}, below the limit of {}; it is held from there.",
                quantity(*at_rpm, Unit::Rpm),
                quantity(*limit_rpm, Unit::Rpm)
            ),
            Self::ReadOnCurve { deg } => format!(
                "The initial advance was read where the weights had given {} already; that counts once.",
                quantity(*deg, Unit::Degree)
            ),
            Self::NoOpinion { cells, of } => format!(
                "There is no opinion on {}; there the table is that of a new project.",
                share_words(*cells, *of)
            ),
            Self::Untested => "No measured point stands behind it: order of magnitude and shape only.".into(),
            Self::FarFromStarter { words } => {
                format!(
                    "It differs from the starting table of a new project by up to {words}: look at the engine's figures."
                )
            }
            Self::OtherEngine { name, differences } => {
                format!("'{name}' is another engine: {}.", differences.join("; "))
            }
            Self::Beyond { cells, of } => {
                format!("{} lie beyond the other table and are marked as extended.", share_words(*cells, *of))
            }
        }
    }
}
