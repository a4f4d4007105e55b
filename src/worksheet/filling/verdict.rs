//! What a fitted filling and a conversion by it mean.

use super::{FittedFilling, LoadConversion};
use crate::wording::{Unit, count, figure, fixed, quantity, with_unit};
use crate::worksheet::{Gravity, Verdict};

/// A fit that is worse than this does not convert a table well. Common practice, no source.
const MOST_RMS_KPA: f64 = 3.0;
/// Exponents of an engine with one size of throttle. Common practice, no source.
const EXPONENTS: (f64, f64) = (-1.0, 0.5);
/// More than this past a closed plate comes another way. Common practice, no source.
const MOST_LEAK: f64 = 0.06;

/// What a fitted filling and a conversion by it mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FillingVerdict {
    /// The log lies far off the fit.
    Apart {
        /// Root of the mean squared difference, kPa.
        rms_kpa: f64,
    },
    /// Filling changes with speed as no throttle's does.
    OddExponent {
        /// The exponent.
        exponent: f64,
    },
    /// More air passes the closed plate than leaks.
    Leaks {
        /// The leak's share of the open bore.
        leak: f64,
    },
    /// Rows with boost were left out.
    AboveAmbient {
        /// How many.
        rows: usize,
    },
    /// Too few speeds to see how filling changes with speed.
    OneSpeed,
    /// Cells of the new table lie where the old one had nothing.
    Outside {
        /// How many.
        cells: usize,
        /// Of how many.
        of: usize,
    },
    /// Openings that give nearly one pressure had different advances.
    LosesDetail {
        /// The largest difference, degrees.
        deg: f64,
        /// At which speed, rpm.
        speed_rpm: f64,
        /// Near which pressure, kPa.
        pressure_kpa: f64,
    },
    /// All is well.
    Good {
        /// Root of the mean squared difference, kPa.
        rms_kpa: f64,
    },
}

impl FillingVerdict {
    /// What a fit means, the most serious first.
    pub fn of_fit(fitted: &FittedFilling) -> Vec<Self> {
        let filling = fitted.filling;
        let mut verdicts = Vec::new();
        if fitted.rms_kpa > MOST_RMS_KPA {
            verdicts.push(Self::Apart { rms_kpa: fitted.rms_kpa });
        }
        if !(EXPONENTS.0..=EXPONENTS.1).contains(&filling.exponent) {
            verdicts.push(Self::OddExponent { exponent: filling.exponent });
        }
        if filling.leak > MOST_LEAK {
            verdicts.push(Self::Leaks { leak: filling.leak });
        }
        if fitted.above_ambient > 0 {
            verdicts.push(Self::AboveAmbient { rows: fitted.above_ambient });
        }
        if verdicts.is_empty() {
            verdicts.push(Self::Good { rms_kpa: fitted.rms_kpa });
        }
        if !fitted.is_exponent_fitted {
            verdicts.push(Self::OneSpeed);
        }
        verdicts
    }

    /// What a conversion means.
    pub fn of_conversion(conversion: &LoadConversion) -> Vec<Self> {
        let of = conversion.cells.len();
        let cells = conversion.cells.iter().filter(|cell| cell.is_outside).count();
        let outside = (cells > 0).then_some(Self::Outside { cells, of });
        let lost = conversion.lost_detail.filter(|lost| lost.deg > 0.0);
        let lost = lost.map(|lost| Self::LosesDetail {
            deg: lost.deg,
            speed_rpm: lost.speed_rpm,
            pressure_kpa: lost.pressure_kpa,
        });
        outside.into_iter().chain(lost).collect()
    }
}

impl Verdict for FillingVerdict {
    fn gravity(&self) -> Gravity {
        match self {
            Self::Apart { .. } | Self::OddExponent { .. } | Self::Leaks { .. } => Gravity::Warning,
            Self::AboveAmbient { .. } | Self::OneSpeed | Self::Outside { .. } | Self::LosesDetail { .. } => {
                Gravity::Note
            }
            Self::Good { .. } => Gravity::Good,
        }
    }

    fn words(&self) -> String {
        match *self {
            Self::Apart { rms_kpa } => format!(
                "The log lies {} about the fit: the rows are not settled, or throttle and pressure do not belong \
                 together.",
                kpa(rms_kpa)
            ),
            Self::OddExponent { exponent } => format!(
                "Filling goes with the power {} of speed: an air leak, a sensor or a wrong size is in it.",
                fixed(exponent, 2)
            ),
            Self::Leaks { leak } => format!(
                "{} of the bore passes the closed throttle: an idle by-pass or a leak.",
                figure(100.0 * leak, Unit::Percent)
            ),
            Self::AboveAmbient { rows } => {
                format!(
                    "{} above the pressure around: no throttle explains boost, and none is used.",
                    count(rows, "row")
                )
            }
            Self::OneSpeed => {
                "Too few speeds to see how filling changes with speed; it counts as the same at all.".into()
            }
            Self::Outside { cells, of } => format!(
                "{} of {of} lie where the old table had nothing and have its nearest value, marked as extended.",
                count(cells, "cell")
            ),
            Self::LosesDetail { deg, speed_rpm, pressure_kpa } => format!(
                "At {} openings that all give about {} had advances {} apart; pressure tells them no longer.",
                quantity(speed_rpm, Unit::Rpm),
                figure(pressure_kpa, Unit::Kilopascal),
                figure(deg, Unit::Degree)
            ),
            Self::Good { rms_kpa } => format!("The log lies {} about the fit.", kpa(rms_kpa)),
        }
    }
}

/// A difference of pressures, for which whole kPa are too coarse.
fn kpa(difference: f64) -> String {
    with_unit(&fixed(difference, 2), Unit::Kilopascal)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::worksheet::filling::Filling;

    fn told(change: impl FnOnce(&mut FittedFilling)) -> Vec<(Gravity, String)> {
        let filling = Filling { size_rpm: 30_000.0, leak: 0.012, exponent: -0.3, ambient_kpa: 100.0 };
        let mut fitted = FittedFilling {
            filling,
            is_exponent_fitted: true,
            pairs: Vec::new(),
            above_ambient: 0,
            rms_kpa: 0.8,
            worst_kpa: 2.0,
        };
        change(&mut fitted);
        FillingVerdict::of_fit(&fitted).iter().map(|verdict| (verdict.gravity(), verdict.words())).collect()
    }

    #[test]
    fn a_fit_is_judged_on_both_sides_of_each_limit() {
        assert_eq!(told(|_| ()), [(Gravity::Good, "The log lies 0.80 kPa about the fit.".to_owned())]);
        assert_eq!(told(|fitted| fitted.rms_kpa = 3.0)[0].0, Gravity::Good);
        assert_eq!(told(|fitted| fitted.rms_kpa = 3.1)[0].0, Gravity::Warning);
        assert!(told(|fitted| fitted.filling.exponent = 0.6)[0].1.contains("the power 0.60 of speed"));
        assert!(told(|fitted| fitted.filling.leak = 0.061)[0].1.starts_with("6.1 % of the bore"));
        assert!(told(|fitted| fitted.above_ambient = 2)[0].1.starts_with("2 rows above"));
        let slow = told(|fitted| fitted.is_exponent_fitted = false);
        assert_eq!((slow.len(), slow[1].0), (2, Gravity::Note));
    }
}
