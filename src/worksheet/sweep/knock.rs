//! Where knock sets in at one operating point.

/// What the readings say about knock.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct KnockBracket {
    /// The least advance that knocked, in degrees.
    pub from_deg: Option<f64>,
    /// The greatest advance below it that was heard to be free of knock, in degrees.
    pub clean_to_deg: Option<f64>,
    /// A greater advance was clean though a lesser one knocked: the greatest such, in degrees.
    pub out_of_order_deg: Option<f64>,
    /// Whether anybody listened.
    pub is_heard: bool,
}

impl KnockBracket {
    /// The bracket of readings, each with its advance and how often it knocked; `None` where nobody listened.
    pub(super) fn of(readings: impl Iterator<Item = (f64, Option<f64>)>) -> Self {
        let heard: Vec<(f64, bool)> =
            readings.filter_map(|(advance_deg, knock)| Some((advance_deg, knock? > 0.0))).collect();
        let knocking = heard.iter().filter(|(_, knocks)| *knocks).map(|(deg, _)| *deg);
        let from_deg = knocking.reduce(f64::min);
        let clean = || heard.iter().filter(|(_, knocks)| !knocks).map(|(deg, _)| *deg);
        let is_below = |deg: &f64| from_deg.is_none_or(|from| *deg < from);
        let is_above = |deg: &f64| from_deg.is_some_and(|from| *deg >= from);
        Self {
            from_deg,
            clean_to_deg: clean().filter(is_below).reduce(f64::max),
            out_of_order_deg: clean().filter(is_above).reduce(f64::max),
            is_heard: !heard.is_empty(),
        }
    }

    /// The most advance that knock allows, in degrees: what was heard to be clean, and the margin below what knocked.
    /// `None` where nothing knocked.
    pub(super) fn most_deg(&self, margin_deg: f64) -> Option<f64> {
        let below = self.from_deg? - margin_deg;
        Some(self.clean_to_deg.map_or(below, |clean| clean.min(below)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{SweepReading, TorqueKind};
    use crate::worksheet::{Counts, SweepAnswer, SweepChoice, SweepPoint, SweepSetting, Verdict};

    /// Torque with its top at 27°, heard up to an advance.
    fn heard_up_to(most_deg: f64, knocking_from_deg: f64) -> SweepPoint {
        let reading = |at: u8| {
            let advance_deg = 12.0 + 3.0 * f64::from(at);
            let torque = 150.0 - 0.05 * (advance_deg - 27.0).powi(2);
            let knock = (advance_deg <= most_deg).then_some(f64::from(u8::from(advance_deg >= knocking_from_deg)));
            SweepReading { speed_rpm: 3000.0, load: 60.0, advance_deg, torque, knock, ..SweepReading::default() }
        };
        let readings: Vec<SweepReading> = (0..9).map(reading).collect();
        SweepAnswer::of(&readings, &SweepSetting::new(TorqueKind::TorqueNm)).unwrap().points.remove(0)
    }

    #[test]
    fn what_was_read_without_listening_is_told() {
        let told = |point: &SweepPoint| -> Vec<String> {
            let words = point.verdicts.iter().map(Verdict::words);
            words.filter(|words| words.contains("listened")).collect()
        };
        assert_eq!(told(&heard_up_to(21.0, 90.0)), ["Knock was listened for up to 21.0° only."]);
        assert!(told(&heard_up_to(36.0, 90.0)).is_empty(), "all of them were heard");
        assert!(told(&heard_up_to(33.0, 30.0)).is_empty(), "what knocked says how far");
        assert_eq!(told(&heard_up_to(0.0, 90.0)), ["Nothing is known of knock: nobody listened."]);
    }

    /// Readings without knock bound nothing, however far they were heard.
    #[test]
    fn nothing_is_chosen_below_knock_where_nothing_knocked() {
        let chosen = *heard_up_to(36.0, 90.0).chosen(SweepChoice::Knock);
        assert_eq!((chosen.deg, chosen.counts), (None, Counts::Nothing));
        let chosen = *heard_up_to(36.0, 30.0).chosen(SweepChoice::Knock);
        assert_eq!((chosen.deg, chosen.counts), (Some(27.0), Counts::Knock(27.0)));
    }

    fn bracket(readings: &[(f64, Option<f64>)]) -> KnockBracket {
        KnockBracket::of(readings.iter().copied())
    }

    #[test]
    fn knock_lies_between_the_last_clean_advance_and_the_first_that_knocks() {
        let found =
            bracket(&[(30.0, Some(4.0)), (20.0, Some(0.0)), (26.0, Some(0.0)), (28.0, Some(1.0)), (27.0, None)]);
        assert_eq!((found.clean_to_deg, found.from_deg, found.out_of_order_deg), (Some(26.0), Some(28.0), None));
        assert_eq!(
            (found.most_deg(2.0), found.most_deg(1.0), found.most_deg(3.0)),
            (Some(26.0), Some(26.0), Some(25.0))
        );
        let clean = bracket(&[(20.0, Some(0.0)), (32.0, Some(0.0))]);
        assert_eq!((clean.clean_to_deg, clean.from_deg, clean.most_deg(2.0)), (Some(32.0), None, None));
    }

    #[test]
    fn a_clean_reading_above_is_out_of_order() {
        let found = bracket(&[(20.0, Some(0.0)), (24.0, Some(1.0)), (24.0, Some(0.0)), (28.0, Some(0.0))]);
        assert_eq!((found.clean_to_deg, found.from_deg, found.out_of_order_deg), (Some(20.0), Some(24.0), Some(28.0)));
        let all = bracket(&[(20.0, Some(2.0)), (24.0, Some(1.0))]);
        assert_eq!((all.clean_to_deg, all.most_deg(2.0)), (None, Some(18.0)));
        assert_eq!(bracket(&[(20.0, None)]), KnockBracket::default());
    }
}
