//! What the readings of one operating point tell.

use super::curve::{Curve, NoCurve, different_advances};
use crate::wording::{Unit, figure, fixed, with_unit};

use super::{Chosen, DegInterval, KnockBracket, SweepChoice, SweepVerdict};

/// Fewer different advances do not tell the top.
const LEAST_ADVANCES: usize = 5;

/// What a reading is used for.
#[derive(Clone, Debug, PartialEq)]
pub enum ReadingUse {
    /// The curve goes by it.
    Used,
    /// The curve goes by it, but it lies further off than chance would bring one in twenty sweeps.
    Doubtful,
    /// It lies too far down the side for this shape of curve.
    FarFromTop,
    /// It lies further off the curve of the others than chance would bring one in a hundred sweeps.
    LeftOut,
    /// Somebody left it out, for this reason.
    LeftOutByHand(String),
}

/// A reading of an operating point.
#[derive(Clone, Debug, PartialEq)]
pub struct PointReading {
    /// The place of its sweep among those that are judged together, from 0.
    pub sweep: usize,
    /// The name of its sweep, where it completes a point of an earlier one.
    pub of: Option<String>,
    /// Its row in that sweep, counted from 1; of a pull the first of those that its torque was read off.
    pub row: usize,
    /// Every row that its torque and its knock come from, counted from 1 and in their order: of a pull several, else only
    /// its own.
    pub rows: Vec<usize>,
    /// In degrees.
    pub advance_deg: f64,
    /// In Nm, or the figure of a brake.
    pub torque: f64,
    /// How often it knocked; `None` when nobody listened.
    pub knock: Option<f64>,
    /// When it was taken, as a share of the sweep about its middle.
    pub moment: f64,
    /// What it is used for.
    pub usage: ReadingUse,
}

/// Best torque with the one reading in doubt counted the other way: with what was left out, or without what is doubtful.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OtherAnswer {
    /// The reading's place among those of the point, from 0.
    pub reading: usize,
    /// By how much it lies off the curve of the others, in the unit of torque.
    pub off: f64,
    /// Its externally studentised residual.
    pub studentised: f64,
    /// Best torque that way, in degrees.
    pub best_deg: f64,
    /// Its interval.
    pub best: DegInterval,
}

/// How much is known of a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SweepState {
    /// Best torque is known well enough.
    Known,
    /// Knock comes before best torque.
    LimitedByKnock,
    /// More readings are wanted.
    Open,
}

/// What the readings of one operating point tell.
#[derive(Clone, Debug)]
pub struct SweepPoint {
    /// Its number, from 1, in the order in which points were read.
    pub number: usize,
    /// The place of its sweep among those that are judged together, from 0.
    pub sweep: usize,
    /// Its name, if the readings have one.
    pub name: Option<String>,
    /// The median of the speeds.
    pub speed_rpm: f64,
    /// Half of how far the speeds lie apart.
    pub speed_spread_rpm: f64,
    /// The median of the loads.
    pub load: f64,
    /// Half of how far the loads lie apart.
    pub load_spread: f64,
    /// The readings, in their order.
    pub readings: Vec<PointReading>,
    /// The curve, if they allow one.
    pub curve: Option<Curve>,
    /// A parabola through those near the top, as a check.
    pub parabola: Option<Curve>,
    /// The answer with the reading in doubt counted the other way.
    pub other: Option<OtherAnswer>,
    /// Where it knocks.
    pub knock: KnockBracket,
    /// What it all means, the most serious first.
    pub verdicts: Vec<SweepVerdict>,
    /// Advances to read next, in degrees.
    pub next_deg: Vec<f64>,
    /// The speed and the load that it is called by without a name.
    pub(super) called_at: (f64, f64),
    pub(super) no_curve: Option<NoCurve>,
    pub(super) chosen: [Chosen; 3],
}

impl SweepPoint {
    /// The advance to use by one choice.
    pub const fn chosen(&self, choice: SweepChoice) -> &Chosen {
        let [least, best, knock] = &self.chosen;
        match choice {
            SweepChoice::Least => least,
            SweepChoice::Best => best,
            SweepChoice::Knock => knock,
        }
    }

    /// How much is known of it.
    pub fn state(&self) -> SweepState {
        let has = |is: fn(&SweepVerdict) -> bool| self.verdicts.iter().any(is);
        if has(|verdict| matches!(verdict, SweepVerdict::KnockFirst { .. })) {
            return SweepState::LimitedByKnock;
        }
        if has(|verdict| matches!(verdict, SweepVerdict::Known { .. })) {
            return SweepState::Known;
        }
        SweepState::Open
    }

    /// The lowest and the highest advance that was read and not left out, in degrees.
    pub fn read_deg(&self) -> Option<(f64, f64)> {
        let used = self.readings.iter().filter(|reading| !matches!(reading.usage, ReadingUse::LeftOutByHand(_)));
        used.map(|reading| (reading.advance_deg, reading.advance_deg))
            .reduce(|(low, high), (deg, _)| (low.min(deg), high.max(deg)))
    }

    /// How steady it was held, '±6 rpm, ±0.2 %': half of how far its readings lie apart.
    pub fn held_words(&self, load_unit: Unit) -> String {
        let rpm = figure(self.speed_spread_rpm, Unit::Rpm);
        format!("±{rpm}, ±{}", with_unit(&fixed(self.load_spread, 1), load_unit))
    }

    /// How many different advances were read.
    pub fn advances(&self) -> usize {
        let used = self.readings.iter().filter(|reading| !matches!(reading.usage, ReadingUse::LeftOutByHand(_)));
        different_advances(used.map(|reading| reading.advance_deg))
    }

    /// Whether too few different advances were read to tell the top.
    pub(super) fn has_few(&self) -> bool {
        self.advances() < LEAST_ADVANCES
    }

    /// Whether knock comes before the flat top ends, so that nothing above matters.
    pub(super) fn is_limited_by_knock(&self) -> bool {
        let Some(from_deg) = self.knock.from_deg else { return false };
        match &self.curve {
            Some(curve) => curve.flat_high_deg.is_none_or(|flat_high_deg| from_deg <= flat_high_deg),
            None => self.no_curve == Some(NoCurve::NoTop { rises: true }),
        }
    }

    /// How many readings were left out.
    pub fn left_out(&self) -> usize {
        let is_out = |reading: &&PointReading| {
            matches!(reading.usage, ReadingUse::LeftOut | ReadingUse::LeftOutByHand(_) | ReadingUse::FarFromTop)
        };
        self.readings.iter().filter(is_out).count()
    }
}
