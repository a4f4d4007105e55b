//! Which rows of a log are settled.

use super::FillingPair;

/// A row of a log.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LoggedFilling {
    /// When, in seconds; `None` where rows were typed or chosen by hand: such a row counts as settled.
    pub time_s: Option<f64>,
    /// Crank speed in rpm.
    pub speed_rpm: f64,
    /// Throttle opening in %.
    pub opening_pct: f64,
    /// Manifold pressure in kPa.
    pub pressure_kpa: f64,
}

/// Slopes are taken over so much time about a row, in seconds.
const WINDOW_S: f64 = 1.0;
/// And over so many rows at least.
const LEAST_ROWS: usize = 3;
/// A settled row changes by no more than this a second: rpm, % and kPa. Common practice, no source.
const SETTLED: [f64; 3] = [150.0, 15.0, 20.0];

impl LoggedFilling {
    const fn values(&self) -> [f64; 3] {
        [self.speed_rpm, self.opening_pct, self.pressure_kpa]
    }

    const fn pair(&self) -> FillingPair {
        FillingPair { speed_rpm: self.speed_rpm, opening_pct: self.opening_pct, pressure_kpa: self.pressure_kpa }
    }
}

/// The settled rows of a log in their order: those without a time, and those about which speed, throttle and pressure all
/// have small slopes by least squares over a second. A row about which there are fewer than three rows is not settled.
pub fn settled(rows: &[LoggedFilling]) -> Vec<FillingPair> {
    let mut pairs = Vec::new();
    let mut from = 0;
    for (at, row) in rows.iter().enumerate() {
        let Some(time_s) = row.time_s else {
            pairs.push(row.pair());
            continue;
        };
        let is_within = |other: &LoggedFilling| other.time_s.is_some_and(|own| (own - time_s).abs() <= WINDOW_S / 2.0);
        while from < at && !rows.get(from).is_some_and(is_within) {
            from += 1;
        }
        let about: Vec<&LoggedFilling> = rows.iter().skip(from).take_while(|other| is_within(other)).collect();
        if about.len() >= LEAST_ROWS && is_settled(&about) {
            pairs.push(row.pair());
        }
    }
    pairs
}

fn is_settled(about: &[&LoggedFilling]) -> bool {
    #[expect(clippy::cast_precision_loss, reason = "the rows of a second")]
    let mean = |of: &dyn Fn(&LoggedFilling) -> f64| about.iter().map(|row| of(row)).sum::<f64>() / about.len() as f64;
    let time = |row: &LoggedFilling| row.time_s.unwrap_or_default();
    let mean_s = mean(&time);
    let spread: f64 = about.iter().map(|row| (time(row) - mean_s).powi(2)).sum();
    (0..SETTLED.len()).all(|which| {
        let value = |row: &LoggedFilling| row.values()[which];
        let middle = mean(&value);
        let along: f64 = about.iter().map(|row| (time(row) - mean_s) * (value(row) - middle)).sum();
        (along / spread).abs() <= SETTLED[which]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn log(speed: impl Fn(f64) -> f64) -> Vec<LoggedFilling> {
        let row = |tick: u8| {
            let time_s = f64::from(tick) / 10.0;
            LoggedFilling { time_s: Some(time_s), speed_rpm: speed(time_s), opening_pct: 20.0, pressure_kpa: 60.0 }
        };
        (0..41).map(row).collect()
    }

    /// 117.64 rpm a second is settled: least squares over eleven rows, by hand.
    #[test]
    fn slow_changes_are_settled_and_fast_ones_are_not() {
        assert_eq!(settled(&log(|time_s| 3000.0 + 117.64 * time_s)).len(), 41);
        assert_eq!(settled(&log(|time_s| 3000.0 + 151.0 * time_s)).len(), 0);
        let step = settled(&log(|time_s| if time_s < 2.0 { 2000.0 } else { 3000.0 }));
        assert!(step.iter().all(|pair| pair.speed_rpm == 2000.0 || pair.speed_rpm == 3000.0));
        assert!((28..=32).contains(&step.len()), "{}", step.len());
    }

    #[test]
    fn rows_without_a_time_count_and_lonely_ones_do_not() {
        let mut rows = log(|_| 2500.0);
        rows.truncate(1);
        assert_eq!(settled(&rows).len(), 0);
        rows[0].time_s = None;
        assert_eq!(settled(&rows).len(), 1);
        assert_eq!(settled(&[]), []);
    }
}
