//! The switched outputs with their hysteresis, and the tachometer signal.

use super::Conditions;
use crate::project::{Combine, Condition, LoadKind, Output, Parts, Signal, Tachometer};

/// What an output is doing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Shown {
    /// It is off.
    #[default]
    Off,
    /// It is on.
    On,
    /// It is on and blinks.
    Blinking,
}

impl Shown {
    /// Whether it is on, steady or blinking.
    pub const fn is_on(self) -> bool {
        !matches!(self, Self::Off)
    }
}

/// Every output of a project with what each of its conditions remembers. In a new one no condition is met and
/// every output is off; inverted ones switch on at the first update.
///
/// A condition with `on > off` is met from where the signal rises to `on` until it falls to `off`, one with
/// `on < off` the other way round; while its signal is unknown it is not met. An output without conditions
/// counts as never met; an output that is not used stays off.
#[derive(Clone, Debug)]
pub struct Outputs<'a> {
    load: LoadKind,
    outputs: Vec<Followed<'a>>,
}

#[derive(Clone, Debug)]
struct Followed<'a> {
    output: &'a Output,
    goes_by_speed: bool,
    met: Vec<bool>,
    shown: Shown,
}

impl<'a> Outputs<'a> {
    /// Every output of the project, off.
    pub fn new(parts: &'a Parts) -> Self {
        let by_speed = |condition: &Condition| matches!(condition.signal, Signal::Speed | Signal::Advance);
        let follow = |output: &'a Output| Followed {
            output,
            goes_by_speed: output.conditions.iter().any(by_speed),
            met: vec![false; output.conditions.len()],
            shown: Shown::Off,
        };
        Self { load: parts.sensors.load, outputs: parts.outputs.iter().map(follow).collect() }
    }

    /// What each output is doing, in the project's order.
    pub fn shown(&self) -> impl Iterator<Item = Shown> + '_ {
        self.outputs.iter().map(|followed| followed.shown)
    }

    /// Whether any output in use watches the commanded advance.
    pub fn watches_advance(&self) -> bool {
        let watches = |condition: &Condition| condition.signal == Signal::Advance;
        self.outputs.iter().any(|followed| followed.output.enabled && followed.output.conditions.iter().any(watches))
    }

    /// Updates the outputs with the conditions; calls `changed` for each output whose state changes, with its
    /// index, the old state and the new.
    ///
    /// `advance_deg` is the commanded advance, where one is known.
    #[inline]
    pub fn update(
        &mut self,
        conditions: &Conditions,
        advance_deg: Option<f64>,
        mut changed: impl FnMut(usize, Shown, Shown),
    ) {
        self.update_some(|_| true, conditions, advance_deg, &mut changed);
    }

    /// The same while the speed is unknown: outputs that depend on it, or on the advance that follows from it,
    /// stay as they are.
    pub fn update_but_speed(&mut self, conditions: &Conditions, mut changed: impl FnMut(usize, Shown, Shown)) {
        self.update_some(|followed| !followed.goes_by_speed, conditions, None, &mut changed);
    }

    #[inline]
    fn update_some(
        &mut self,
        is_meant: impl Fn(&Followed<'a>) -> bool,
        conditions: &Conditions,
        advance_deg: Option<f64>,
        changed: &mut impl FnMut(usize, Shown, Shown),
    ) {
        for (index, followed) in self.outputs.iter_mut().enumerate().filter(|(_, followed)| is_meant(followed)) {
            let before = followed.shown;
            followed.update(conditions, self.load, advance_deg);
            if followed.shown != before {
                changed(index, before, followed.shown);
            }
        }
    }
}

impl Followed<'_> {
    #[inline]
    fn update(&mut self, conditions: &Conditions, load: LoadKind, advance_deg: Option<f64>) {
        if !self.output.enabled {
            return;
        }
        for (met, condition) in self.met.iter_mut().zip(&self.output.conditions) {
            let reading = conditions.signal(condition.signal, load, advance_deg);
            *met = reading.is_some_and(|reading| is_met(condition, *met, reading));
        }
        let met = match self.output.combine {
            _ if self.met.is_empty() => false,
            Combine::All => self.met.iter().all(|&met| met),
            Combine::Any => self.met.iter().any(|&met| met),
        };
        let blinks = self.output.blinks_from_rpm.is_some_and(|from_rpm| conditions.speed_rpm >= from_rpm);
        self.shown = match met != self.output.inverted {
            true if blinks => Shown::Blinking,
            true => Shown::On,
            false => Shown::Off,
        };
    }
}

#[inline]
fn is_met(condition: &Condition, was_met: bool, reading: f64) -> bool {
    let &Condition { on, off, .. } = condition;
    match (on > off, was_met) {
        (true, true) => reading > off,
        (true, false) => reading >= on,
        (false, true) => reading < off,
        (false, false) => reading <= on,
    }
}

/// Frequency in Hz of the square wave at `speed_rpm`: speed/60 × pulses per crank revolution. 0 at standstill
/// and when the tachometer is not used.
///
/// An old instrument that expects the coil's voltage peaks or its current may not read a square wave.
pub fn tachometer_hz(tachometer: &Tachometer, speed_rpm: f64) -> f64 {
    if !tachometer.enabled {
        return 0.0;
    }
    speed_rpm.max(0.0) / 60.0 * tachometer.pulses_per_revolution
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{NewProject, Project};
    use proptest::prelude::*;

    fn project(change: impl FnOnce(&mut Output)) -> Project {
        let new = NewProject { name: "lamp".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let one = |parts: &mut Parts| {
            parts.outputs.truncate(1);
            parts.outputs.iter_mut().for_each(|output| {
                output.conditions = vec![Condition { signal: Signal::Speed, on: 6000.0, off: 5800.0 }];
                output.blinks_from_rpm = None;
            });
            parts.outputs.first_mut().map(change);
        };
        new.create_with_outputs().edit(one).unwrap()
    }

    fn at(speed_rpm: f64) -> Conditions {
        Conditions { speed_rpm, load: 50.0, ..Conditions::default() }
    }

    fn shown(project: &Project, speeds_rpm: &[f64]) -> Vec<Shown> {
        let mut outputs = Outputs::new(project);
        let step = |&speed_rpm: &f64| {
            outputs.update(&at(speed_rpm), None, |_, _, _| ());
            outputs.shown().next().unwrap()
        };
        speeds_rpm.iter().map(step).collect()
    }

    #[test]
    fn on_where_it_rises_and_off_where_it_falls() {
        use Shown::{Off, On};
        let speeds_rpm = [5900.0, 5999.9, 6000.0, 5900.0, 5800.1, 5800.0, 5900.0];
        assert_eq!(shown(&project(|_| ()), &speeds_rpm), [Off, Off, On, On, On, Off, Off]);
    }

    #[test]
    fn the_other_way_about_with_on_below_off() {
        use Shown::{Off, On};
        let project =
            project(|output| output.conditions[0] = Condition { signal: Signal::Speed, on: 700.0, off: 900.0 });
        assert_eq!(shown(&project, &[800.0, 700.0, 800.0, 899.0, 900.0, 800.0]), [Off, On, On, On, Off, Off]);
    }

    #[test]
    fn blinks_from_its_second_threshold() {
        use Shown::{Blinking, Off, On};
        let project = project(|output| output.blinks_from_rpm = Some(6300.0));
        assert_eq!(shown(&project, &[6000.0, 6300.0, 6299.0, 5000.0]), [On, Blinking, On, Off]);
    }

    #[test]
    fn inverted_combined_and_unused() {
        use Shown::{Off, On};
        let two = |combine, inverted| {
            project(|output| {
                output.conditions.push(Condition { signal: Signal::Load, on: 40.0, off: 30.0 });
                (output.combine, output.inverted) = (combine, inverted);
            })
        };
        assert_eq!(shown(&two(Combine::All, false), &[1000.0, 6000.0]), [Off, On]);
        assert_eq!(shown(&two(Combine::Any, false), &[1000.0, 6000.0]), [On, On]);
        assert_eq!(shown(&two(Combine::All, true), &[1000.0, 6000.0]), [On, Off]);
        let unused = project(|output| (output.enabled, output.inverted) = (false, true));
        assert_eq!(shown(&unused, &[1000.0, 6000.0]), [Off, Off]);
        let bare = project(|output| output.conditions.clear());
        assert_eq!(shown(&bare, &[6000.0]), [Off]);
    }

    #[test]
    fn a_signal_that_is_not_there_meets_no_condition() {
        let hot = project(|output| output.conditions[0] = Condition { signal: Signal::Coolant, on: 96.0, off: 91.0 });
        assert_eq!(shown(&hot, &[1000.0]), [Shown::Off]);
        let late = project(|output| output.conditions[0] = Condition { signal: Signal::Advance, on: 5.0, off: 6.0 });
        let mut outputs = Outputs::new(&late);
        assert!(outputs.watches_advance());
        outputs.update(&at(1000.0), Some(5.0), |_, _, _| ());
        assert!(outputs.shown().all(Shown::is_on));
    }

    #[test]
    fn without_a_speed_only_what_goes_by_it_stays() {
        let slow = project(|output| {
            output.conditions[0] = Condition { signal: Signal::Speed, on: 800.0, off: 900.0 };
            output.inverted = true;
        });
        let hot = project(|output| output.conditions[0] = Condition { signal: Signal::Load, on: 40.0, off: 30.0 });
        for (project, is_on) in [(slow, false), (hot, true)] {
            let mut outputs = Outputs::new(&project);
            let mut told = 0;
            outputs.update_but_speed(&at(0.0), |_, _, _| told += 1);
            assert_eq!((outputs.shown().all(Shown::is_on), told), (is_on, usize::from(is_on)));
        }
    }

    proptest! {
        /// Whatever the signal does inside the band, the output stays as it was on entry.
        #[test]
        fn never_switches_twice_inside_its_band(
            enters_high in any::<bool>(),
            falling in any::<bool>(),
            inside in proptest::collection::vec(5800.001..5999.999, 1..40),
        ) {
            let project = project(|output| if falling {
                output.conditions[0] = Condition { signal: Signal::Speed, on: 5800.0, off: 6000.0 };
            });
            let enter = if enters_high { 6000.0 } else { 5800.0 };
            let speeds_rpm: Vec<f64> = std::iter::once(enter).chain(inside).collect();
            let shown = shown(&project, &speeds_rpm);
            prop_assert!(shown.iter().all(|&now| now == shown[0]));
            prop_assert_eq!(shown[0].is_on(), enters_high != falling);
        }
    }

    /// A four-cylinder engine fires twice a revolution: 6000 rpm is 100 revolutions and 200 pulses a second.
    #[test]
    fn counts_the_pulses_of_a_second() {
        let tachometer = Tachometer { enabled: true, pulses_per_revolution: 2.0 };
        assert_eq!(tachometer_hz(&tachometer, 6000.0), 200.0);
        assert_eq!(tachometer_hz(&tachometer, -5.0), 0.0);
        assert_eq!(tachometer_hz(&Tachometer { enabled: false, ..tachometer }, 6000.0), 0.0);
    }
}
