//! A run: speed, load, temperatures and switches over time; and the settings that the rig adds: variation,
//! latency, faults.

use thiserror::Error;

use super::{Layout, Swing};
use crate::project::{LoadKind, Signal, signal_range};
use crate::wording::{Unit, outside, written};

/// One row of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// When, in seconds.
    pub time_s: f64,
    /// Crank speed in rpm, 0 or more: the mean, if there is cyclic variation.
    pub speed_rpm: f64,
    /// Load in the project's load unit.
    pub load: f64,
    /// Coolant temperature in °C.
    pub coolant_c: Option<f64>,
    /// Intake air temperature in °C.
    pub air_c: Option<f64>,
    /// Battery voltage in V.
    pub battery_v: f64,
    /// Throttle opening in %.
    pub throttle_pct: Option<f64>,
    /// Whether the launch switch is closed, from this row to the next.
    pub launch: bool,
}

/// A scripted drive: two or more rows, each later than the one before. Between rows everything is linear in
/// time, except the launch switch, which keeps its row's position.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    rows: Vec<Row>,
    unsteady: Option<Unsteady>,
}

/// Cyclic speed variation that belongs to a run: that of an engine turned by its starter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unsteady {
    /// The variation, 0..=0.5 of the speed.
    pub variation: f64,
    /// It applies where the run's speed is below this.
    pub below_rpm: f64,
}

/// Why rows do not make a run.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum RunError {
    /// Fewer than two rows.
    #[error("a run needs two rows at least, and there {}", if *.rows == 1 { "is one" } else { "are none" })]
    TooFew {
        /// How many there are.
        rows: usize,
    },
    /// A time that is not after the one before.
    #[error(
        "time_s {after} is not after {before} of the row before; times must rise",
        after = written(*.after), before = written(*.before)
    )]
    Time {
        /// Which row, counted from 0.
        row: usize,
        /// The time before it.
        before: f64,
        /// Its own time.
        after: f64,
    },
    /// A value out of range.
    #[error("{column} {}", outside(*.value, (*.low, *.high), Unit::None))]
    Range {
        /// Which row, counted from 0.
        row: usize,
        /// The column's name.
        column: &'static str,
        /// The value refused.
        value: f64,
        /// The least value.
        low: f64,
        /// The greatest value.
        high: f64,
    },
}

impl RunError {
    /// The index, from 0, of the row at fault, if the error is about one.
    pub fn row(&self) -> Option<usize> {
        match *self {
            Self::TooFew { .. } => None,
            Self::Time { row, .. } | Self::Range { row, .. } => Some(row),
        }
    }
}

/// The latest time in a run: about eleven days. Up to it, floating-point seconds and the sum of the angles, which
/// [`Motion`](super::Motion) compensates, place an edge to within about a ten-thousandth of a degree even at the
/// highest speed.
const LATEST_S: f64 = 1e6;

impl Run {
    /// Checks the rows and makes a run of them.
    ///
    /// # Errors
    /// [`RunError`] naming the first row that is out of range or out of order.
    pub fn new(rows: Vec<Row>) -> Result<Self, RunError> {
        for (at, row) in rows.iter().enumerate() {
            check(at, row)?;
        }
        for (at, pair) in rows.windows(2).enumerate() {
            let (before, after) = (pair[0].time_s, pair[1].time_s);
            if after <= before {
                return Err(RunError::Time { row: at + 1, before, after });
            }
        }
        if rows.len() < 2 { Err(RunError::TooFew { rows: rows.len() }) } else { Ok(Self { rows, unsteady: None }) }
    }

    /// The same run with cyclic variation of its own; `variation` is limited to 0.5.
    pub(super) fn unsteady(mut self, variation: f64, below_rpm: f64) -> Self {
        self.unsteady = Some(Unsteady { variation: variation.clamp(0.0, 0.5), below_rpm });
        self
    }

    /// The run's own cyclic variation, if it has one. Where the settings ask for a larger one, that applies
    /// instead.
    pub fn own_variation(&self) -> Option<Unsteady> {
        self.unsteady
    }

    /// Checks the loads against the range of their kind.
    ///
    /// # Errors
    /// [`RunError::Range`] naming the first row that is out of it.
    pub fn check_loads(&self, load: LoadKind) -> Result<(), RunError> {
        let (low, high) = load.range();
        match self.rows.iter().enumerate().find(|(_, row)| !(low..=high).contains(&row.load)) {
            Some((row, &Row { load: value, .. })) => Err(RunError::Range { row, column: "load", value, low, high }),
            None => Ok(()),
        }
    }

    /// Its rows, in order.
    pub fn rows(&self) -> &[Row] {
        &self.rows
    }

    /// When it begins, in seconds.
    pub fn start_s(&self) -> f64 {
        self.rows[0].time_s
    }

    /// When it ends, in seconds.
    pub fn end_s(&self) -> f64 {
        self.rows[self.rows.len() - 1].time_s
    }

    /// All conditions at one instant; before and after the run those at its ends.
    pub fn at(&self, time_s: f64) -> Row {
        let above = self.rows.partition_point(|row| row.time_s <= time_s);
        let index = above.saturating_sub(1).min(self.rows.len() - 2);
        let clamped_s = time_s.clamp(self.start_s(), self.end_s());
        let (from, to) = (&self.rows[index], &self.rows[index + 1]);
        from.toward(to, (clamped_s - from.time_s) / (to.time_s - from.time_s))
    }
}

impl Row {
    /// The row at `share` (0..=1) of the way to the next one.
    #[inline]
    pub(super) fn toward(&self, next: &Self, share: f64) -> Self {
        let between = |from: f64, to: f64| from + share * (to - from);
        let both = |from: Option<f64>, to: Option<f64>| Some(between(from?, to?));
        Self {
            time_s: between(self.time_s, next.time_s),
            speed_rpm: between(self.speed_rpm, next.speed_rpm),
            load: between(self.load, next.load),
            coolant_c: both(self.coolant_c, next.coolant_c),
            air_c: both(self.air_c, next.air_c),
            battery_v: between(self.battery_v, next.battery_v),
            throttle_pct: both(self.throttle_pct, next.throttle_pct),
            launch: self.launch,
        }
    }
}

fn check(at: usize, row: &Row) -> Result<(), RunError> {
    // The run does not know which kind of load it has; any kind will do here, since load is checked separately.
    let range = |signal| signal_range(signal, LoadKind::Pressure);
    let columns = [
        ("time_s", Some(row.time_s), (-LATEST_S, LATEST_S)),
        ("speed_rpm", Some(row.speed_rpm), range(Signal::Speed)),
        ("load", Some(row.load), (LoadKind::Throttle.range().0, LoadKind::Pressure.range().1)),
        ("coolant_c", row.coolant_c, range(Signal::Coolant)),
        ("air_c", row.air_c, range(Signal::Air)),
        ("battery_v", Some(row.battery_v), range(Signal::Battery)),
        ("throttle_pct", row.throttle_pct, range(Signal::Throttle)),
    ];
    for (column, value, (low, high)) in columns {
        if let Some(value) = value.filter(|value| !(low..=high).contains(value)) {
            return Err(RunError::Range { row: at, column, value, low, high });
        }
    }
    Ok(())
}

/// What makes a run harder. The default adds nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// Cyclic speed variation, 0..=0.5 of the speed; one period for each compression.
    pub variation: f64,
    /// The crank angle where the variation is fastest; half a period after TDC when `None`, so that the crank is
    /// slowest at TDC.
    pub fastest_deg: Option<f64>,
    /// How late the unit sees each edge, in µs.
    pub latency_us: f64,
    /// The most by which the unit sees an edge early or late, in µs; uniformly distributed.
    pub jitter_us: f64,
    /// Another seed gives different jitter.
    pub seed: u64,
    /// At each of these times the next edge is not seen.
    pub dropped_at_s: Vec<f64>,
    /// At each of these times an edge is seen although there is none.
    pub extra_at_s: Vec<f64>,
}

/// A setting out of its range.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[error("{setting} {}", outside(*.value, (*.low, *.high), Unit::None))]
pub struct SettingsError {
    /// Which setting, with its unit.
    pub setting: &'static str,
    /// The value refused.
    pub value: f64,
    /// The least value.
    pub low: f64,
    /// The greatest value.
    pub high: f64,
}

impl Settings {
    /// Checks every number against its range.
    ///
    /// # Errors
    /// [`SettingsError`] for the first one outside.
    pub fn check(&self) -> Result<(), SettingsError> {
        let one = |setting, value, low, high| match (low..=high).contains(&value) {
            true => Ok(()),
            false => Err(SettingsError { setting, value, low, high }),
        };
        one("variation", self.variation, 0.0, 0.5)?;
        one("fastest_deg", self.fastest_deg.unwrap_or(0.0), -720.0, 720.0)?;
        one("latency_us", self.latency_us, 0.0, 1_000.0)?;
        one("jitter_us", self.jitter_us, 0.0, 1_000.0)?;
        self.dropped_at_s.iter().try_for_each(|&time_s| one("dropped_at_s", time_s, -1e6, 1e6))?;
        self.extra_at_s.iter().try_for_each(|&time_s| one("extra_at_s", time_s, -1e6, 1e6))
    }

    /// The variation of these settings, if there is one.
    pub fn swing(&self, layout: &Layout) -> Option<Swing> {
        self.swing_of(self.variation, layout)
    }

    /// A variation of that size with the phase of these settings.
    pub(super) fn swing_of(&self, variation: f64, layout: &Layout) -> Option<Swing> {
        let fastest_deg = self.fastest_deg.unwrap_or_else(|| layout.fastest_deg());
        (variation > 0.0).then(|| Swing::new(variation, layout.compressions(), fastest_deg))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(time_s: f64, speed_rpm: f64) -> Row {
        Row {
            time_s,
            speed_rpm,
            load: 20.0,
            coolant_c: Some(80.0),
            air_c: None,
            battery_v: 13.5,
            throttle_pct: None,
            launch: time_s >= 1.0,
        }
    }

    #[test]
    fn is_linear_between_rows_and_steps_the_switch() {
        let run = Run::new(vec![row(0.0, 1000.0), row(1.0, 2000.0), row(3.0, 4000.0)]).unwrap();
        assert_eq!((run.at(0.5).speed_rpm, run.at(0.5).launch), (1500.0, false));
        assert_eq!((run.at(1.0).speed_rpm, run.at(1.0).launch), (2000.0, true));
        assert_eq!((run.at(-1.0).speed_rpm, run.at(9.0).speed_rpm), (1000.0, 4000.0));
        assert_eq!((run.at(2.0).coolant_c, run.at(2.0).air_c), (Some(80.0), None));
    }

    #[test]
    fn refuses_rows_out_of_order_or_range_naming_them() {
        let error = Run::new(vec![row(0.0, 0.0), row(1.0, 0.0), row(1.0, 0.0)]).unwrap_err();
        assert_eq!(
            (error.row(), error.to_string().as_str()),
            (Some(2), "time_s 1 is not after 1 of the row before; times must rise")
        );
        let error = Run::new(vec![row(0.0, 0.0), row(1.0, -5.0)]).unwrap_err();
        assert_eq!((error.row(), error.to_string().as_str()), (Some(1), "speed_rpm −5 is outside 0..30000"));
        let error = Run::new(vec![row(0.0, f64::NAN), row(1.0, 5.0)]).unwrap_err();
        assert_eq!(error.to_string(), "speed_rpm a number that is not finite is outside 0..30000");
        assert_eq!(
            Run::new(vec![row(0.0, 1.0)]).unwrap_err().to_string(),
            "a run needs two rows at least, and there is one"
        );
    }

    #[test]
    fn numbers_out_of_range_are_named() {
        assert_eq!(Settings::default().check(), Ok(()));
        let error = Settings { variation: 0.6, ..Settings::default() }.check().unwrap_err();
        assert_eq!(error.to_string(), "variation 0.6 is outside 0..0.5");
        assert!(Settings { jitter_us: f64::NAN, ..Settings::default() }.check().is_err());
        assert!(Settings { extra_at_s: vec![1.0, f64::INFINITY], ..Settings::default() }.check().is_err());
    }
}
