//! How near a check came to finding something: what was measured against what is allowed.

use crate::project::{Looser, Threshold};
use crate::wording::{Unit, held_against, quantity, with_unit};

/// A value and the bound that a check held it against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// What was measured.
    pub value: f64,
    /// The most, or the least, that it may be.
    pub allowed: f64,
    /// The unit of both.
    pub unit: Unit,
    /// On which side of the bound it may not be: [`Looser::Above`] if the bound says how much there may be.
    pub looser: Looser,
    /// The threshold that the bound is; `None` where it is none of the check's thresholds, or computed from one.
    pub set_by: Option<&'static Threshold>,
}

/// What a check holds a value against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bound {
    /// The most, or the least, that the value may be.
    pub(super) allowed: f64,
    /// The unit of both.
    pub(super) unit: Unit,
    /// The threshold that it is, if it is one.
    pub(super) set_by: Option<&'static Threshold>,
}

impl Bound {
    /// A bound that is no threshold.
    pub(super) const fn of(allowed: f64, unit: Unit) -> Self {
        Self { allowed, unit, set_by: None }
    }

    /// The lower of two.
    pub(super) fn lower(self, other: Self) -> Self {
        if other.allowed < self.allowed { other } else { self }
    }

    /// How a value stands to it that may not be on that side of it.
    pub(super) const fn margin(self, value: f64, looser: Looser) -> Margin {
        let Self { allowed, unit, set_by } = self;
        Margin { value, allowed, unit, looser, set_by }
    }
}

impl Margin {
    /// How far the value is within its bound; negative beyond it.
    pub fn room(&self) -> f64 {
        match self.looser {
            Looser::Above => self.allowed - self.value,
            Looser::Below => self.value - self.allowed,
        }
    }

    /// Whether the bound is kept: the check finds nothing here.
    pub fn is_kept(&self) -> bool {
        match self.looser {
            Looser::Above => !exceeds(self.value, self.allowed),
            Looser::Below => !exceeds(self.allowed, self.value),
        }
    }

    /// Whether it has less room than another, as a share of what is allowed.
    pub(super) fn is_nearer_than(&self, other: &Self) -> bool {
        let share = |margin: &Self| margin.room() / margin.allowed.abs().max(1e-3);
        match (self.is_kept(), other.is_kept()) {
            (true, false) => false,
            (false, true) => true,
            _ => share(self) < share(other),
        }
    }

    /// The value and the bound, each with its unit.
    pub fn figures(&self) -> [String; 2] {
        [found(self.value, self.allowed, self.unit), quantity(self.allowed, self.unit)]
    }

    /// '14.0° against at most 15.0°'.
    pub fn words(&self) -> String {
        let [value, allowed] = self.figures();
        format!("{value} against {} {allowed}", self.side())
    }

    /// 'at most' or 'at least'.
    pub const fn side(&self) -> &'static str {
        match self.looser {
            Looser::Above => "at most",
            Looser::Below => "at least",
        }
    }
}

/// Whether a value is beyond a bound by more than rounding error: every check compares in this way.
pub(super) fn exceeds(value: f64, bound: f64) -> bool {
    value > bound + 1e-9
}

/// A number with its unit, as message and figures show it. Shares, slopes and currents are always computed;
/// numbers in other units come from cells and fields and keep their digits.
pub(super) fn found(value: f64, threshold: f64, unit: Unit) -> String {
    if matches!(unit, Unit::Percent | Unit::Ampere) || unit.is_slope() {
        return with_unit(&held_against(value, threshold, unit), unit);
    }
    quantity(value, unit)
}

/// A slope as in a sentence: 'by 15.1° per 1000 rpm'.
pub(super) fn slope(value: f64, threshold: f64, unit: Unit) -> String {
    with_unit(&held_against(value, threshold, unit), Unit::Degree)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::{Looked, run_with_margins};
    use crate::project::{Parts, Project, SAMPLES};
    use crate::watch::Watch;

    /// Checks that also find something of which they have no figure: what was never tried out, a limit that is off.
    const OTHERS_TOO: [&str; 3] = ["over_speed_order", "reach", "top_row"];

    fn looked(project: &Project) -> Vec<Looked> {
        let (findings, looked) = run_with_margins(project, Watch::NOBODY).unwrap();
        for Looked { check, margin } in &looked {
            let Some(margin) = margin else { continue };
            let count = findings.iter().filter(|finding| finding.id == check.id).count();
            if !margin.is_kept() {
                assert!(count > 0, "{}: {margin:?} but no finding", check.id);
            } else if !OTHERS_TOO.contains(&check.id) {
                assert_eq!(count, 0, "{}: {margin:?}", check.id);
            }
        }
        looked
    }

    /// A margin is negative exactly where the check finds something, with thresholds moved just to and just beyond what
    /// was measured as well.
    #[test]
    fn a_margin_is_used_up_exactly_where_something_is_found() {
        let mut moved = std::collections::BTreeSet::new();
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            for own in looked(&project) {
                let Some((margin, threshold)) = own.margin.and_then(|margin| Some((margin, margin.set_by?))) else {
                    continue;
                };
                for by in [0.0, -1e-3, 1e-3] {
                    let value = margin.value + by;
                    if !threshold.allows(value) {
                        continue;
                    }
                    let set = |parts: &mut Parts| {
                        parts.checks.thresholds.insert(threshold.name.into(), value);
                        parts.checks.threshold_reasons.insert(threshold.name.into(), "tried".into());
                    };
                    let after = project.edit(set).unwrap();
                    let own = looked(&after).into_iter().find(|looked| looked.check.id == own.check.id).unwrap();
                    let nearest = own.margin.unwrap();
                    if by != 0.0 && nearest.set_by == Some(threshold) {
                        assert_eq!(nearest.is_kept(), nearest.room() > 0.0, "{}: {nearest:?}", threshold.name);
                    }
                    moved.insert(threshold.name);
                }
            }
        }
        assert!(moved.len() >= 12, "{moved:?}");
    }

    /// A threshold that a bound is said to be has its value and its unit, and belongs to the check.
    #[test]
    fn a_bound_is_the_threshold_that_it_names() {
        let mut named = std::collections::BTreeSet::new();
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            let (findings, looked) = run_with_margins(&project, Watch::NOBODY).unwrap();
            let of_findings =
                findings.iter().map(|finding| (finding.id, finding.threshold, finding.unit, finding.set_by));
            let of_margins = looked.iter().filter_map(|looked| {
                let margin = looked.margin?;
                Some((looked.check.id, margin.allowed, margin.unit, margin.set_by))
            });
            for (id, allowed, unit, set_by) in of_findings.chain(of_margins) {
                let Some(threshold) = set_by else { continue };
                assert_eq!((threshold.of(&project), threshold.unit_in(&project)), (allowed, unit), "{id}");
                assert!(crate::checks::check(id).unwrap().thresholds.contains(threshold), "{id}: {threshold:?}");
                named.insert(threshold.name);
            }
        }
        assert!(named.len() >= 20, "{named:?}");
    }

    /// Two thresholds of the over-speed limit are 50 rpm: which of them a bound is does not follow from its value.
    #[test]
    fn of_two_thresholds_with_one_value_the_right_one_is_named() {
        let start = crate::checks::fixtures::sound();
        let with = |again_below_rpm: f64, cuts_all_above_rpm: f64| {
            let project = start.edit(|parts| {
                let over = &mut parts.limits.over_speed;
                over.pattern = crate::project::CutPattern::AlternateCoils;
                over.fires_again_below_rpm = over.cuts_at_rpm - again_below_rpm;
                over.cuts_all_at_rpm = over.cuts_at_rpm + cuts_all_above_rpm;
            });
            looked(&project.unwrap()).into_iter().find(|looked| looked.check.id == "over_speed_order").unwrap().margin
        };
        let set_by = |margin: Option<Margin>| margin.unwrap().set_by.unwrap().name;
        assert_eq!(set_by(with(60.0, 200.0)), "over_speed_order_hysteresis_rpm");
        assert_eq!(set_by(with(120.0, 60.0)), "over_speed_order_second_cut_rpm");
        let crowded = start.edit(|parts| {
            parts.limits.over_speed.fires_again_below_rpm = parts.limits.over_speed.cuts_at_rpm - 20.0;
        });
        let found = crate::checks::fixtures::only(&crowded.unwrap(), "over_speed_order");
        assert_eq!(found.set_by.unwrap().name, "over_speed_order_hysteresis_rpm");
    }

    #[test]
    fn a_sound_sample_tells_how_near_it_is() {
        let project = SAMPLES[0].project().unwrap();
        let looked = looked(&project);
        let figures = looked.iter().filter(|looked| looked.margin.is_some()).count();
        assert!(figures >= 15 && looked.len() > figures, "{figures} of {}", looked.len());
        let of = |id: &str| looked.iter().find(|looked| looked.check.id == id).unwrap();
        let slope = of("slope_speed");
        assert!(slope.margin.unwrap().is_kept() && slope.margin.unwrap().set_by.is_some(), "{:?}", slope.margin);
        for id in ["gap", "coil_current", "image_loss", "over_speed_order"] {
            assert!(of(id).margin.unwrap().is_kept(), "{id}");
        }
        let (gap, current) = (of("gap").margin.unwrap(), of("coil_current").margin.unwrap());
        assert_eq!((gap.allowed, gap.looser), (0.0, Looser::Below), "how far the gap is from the stretch");
        assert_eq!((current.allowed, current.unit), (project.coil.rated_current_a, Unit::Ampere));
    }
}
