//! Readings as they go into the analysis: torque from whatever was read, and pulls read off at the table's speeds.

use std::collections::BTreeMap;

use super::SweepSetting;
use super::grouping::median;
use crate::project::{AirStandard, SweepReading};
use crate::worksheet::WorksheetError;
use crate::worksheet::least_squares::Fit;

/// At least so many rows of a pull tell its torque at a speed.
const LEAST_ROWS: usize = 3;

/// A standard error below this share of the torque is a rounding error.
const NOTHING: f64 = 1e-9;

/// A reading as the analysis takes it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Taken {
    /// The place of its sweep among those that are judged together.
    pub(super) sweep: usize,
    /// Its row in that sweep, counted from 1; of a pull the first of the rows that it was read off.
    pub(super) row: usize,
    /// All rows that its torque and its knock come from, counted from 1.
    pub(super) rows: Vec<usize>,
    /// Torque in Nm, or the figure of a brake.
    pub(super) torque: f64,
    /// Its standard deviation, in the same unit.
    pub(super) torque_sd: Option<f64>,
    /// The name of its sweep, where it completes a point of an earlier one.
    pub(super) of: Option<String>,
    /// The reading itself.
    pub(super) reading: SweepReading,
}

/// What became of the pulls.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct PullsRead {
    /// How many there were.
    pub(super) pulls: usize,
    /// How many readings they gave.
    pub(super) readings: usize,
    /// The factors for the air that are too far from the standard, the furthest one.
    pub(super) far_factor: Option<f64>,
    /// Pulls whose air is not known, though it was to be corrected for.
    pub(super) without_air: usize,
}

/// The readings with their torque; each pull becomes one reading at every speed of the setting that lies inside it.
///
/// # Errors
/// [`WorksheetError`] for pulls where no speeds are known to read them off at.
pub(super) fn take(
    readings: &[SweepReading],
    setting: &SweepSetting,
) -> Result<(Vec<Taken>, PullsRead), WorksheetError> {
    let mut pulls: BTreeMap<u32, Vec<(usize, &SweepReading)>> = BTreeMap::new();
    let mut taken = Vec::with_capacity(readings.len());
    for (row, reading) in (1..).zip(readings) {
        match reading.pull {
            Some(pull) => pulls.entry(pull).or_default().push((row, reading)),
            None => taken.push(settled(row, reading, setting)),
        }
    }
    if !pulls.is_empty() && setting.speeds_rpm.is_empty() {
        return Err(WorksheetError::Contradiction(
            "these are pulls, which are read off at the speeds of a table: give the project they belong to".into(),
        ));
    }
    let mut read = PullsRead { pulls: pulls.len(), ..PullsRead::default() };
    for rows in pulls.values() {
        let factors = factors(rows, setting, &mut read);
        let at = |&speed_rpm: &f64| at_speed(rows, &factors, speed_rpm, setting);
        let mut read_off: Vec<Taken> = setting.speeds_rpm.iter().filter_map(at).collect();
        hear(rows, &mut read_off);
        read.readings += read_off.len();
        taken.extend(read_off);
    }
    taken.sort_by_key(|taken| taken.row);
    Ok((taken, read))
}

fn settled(row: usize, reading: &SweepReading, setting: &SweepSetting) -> Taken {
    let torque = |figure: f64| setting.torque_kind.torque(figure, reading.speed_rpm);
    let torque_sd = reading.torque_sd.map(torque);
    let torque_read = torque(reading.torque);
    Taken { sweep: 0, row, rows: vec![row], torque: torque_read, torque_sd, of: None, reading: reading.clone() }
}

/// What to multiply the torque of each row by for the air; 1 where nothing is corrected.
fn factors(rows: &[(usize, &SweepReading)], setting: &SweepSetting, read: &mut PullsRead) -> Vec<f64> {
    let Some(standard) = setting.air.filter(|_| !setting.is_boosted) else {
        return vec![1.0; rows.len()];
    };
    let known: Option<Vec<f64>> = rows.iter().map(|(_, reading)| standard.factor_of(reading)).collect();
    let Some(factors) = known else {
        read.without_air += 1;
        return vec![1.0; rows.len()];
    };
    for &factor in factors.iter().filter(|factor| !AirStandard::is_comparable(**factor)) {
        let is_further = read.far_factor.is_none_or(|far| (factor - 1.0).abs() > (far - 1.0).abs());
        read.far_factor = if is_further { Some(factor) } else { read.far_factor };
    }
    factors
}

/// A pull's torque at one speed: the straight line through the rows near it, and its standard error there.
fn at_speed(rows: &[(usize, &SweepReading)], factors: &[f64], speed_rpm: f64, setting: &SweepSetting) -> Option<Taken> {
    let speeds = || rows.iter().map(|(_, reading)| reading.speed_rpm);
    let is_inside = speeds().any(|rpm| rpm <= speed_rpm) && speeds().any(|rpm| rpm >= speed_rpm);
    let near_rpm = setting.limits.pull_pct / 100.0 * speed_rpm;
    let is_near = |reading: &SweepReading| (reading.speed_rpm - speed_rpm).abs() <= near_rpm;
    let near: Vec<(usize, &SweepReading, f64)> = rows
        .iter()
        .zip(factors)
        .filter(|((_, reading), _)| reading.is_used() && is_near(reading))
        .map(|(&(row, reading), &factor)| (row, reading, factor))
        .collect();
    if !is_inside || near.len() < LEAST_ROWS {
        return None;
    }
    let off = near.iter().map(|(_, reading, _)| (reading.speed_rpm - speed_rpm) / near_rpm).collect();
    let torque = |(_, reading, factor): &(usize, &SweepReading, f64)| {
        factor * setting.torque_kind.torque(reading.torque, reading.speed_rpm)
    };
    let torques: Vec<f64> = near.iter().map(torque).collect();
    let fit = Fit::new(&[vec![1.0; near.len()], off], &torques);
    let torque = *fit.coefficients.first()?;
    let (row, first, _) = *near.first()?;
    let middle = |value: fn(&SweepReading) -> f64| median(near.iter().map(|(_, reading, _)| value(reading)));
    let known = |value: fn(&SweepReading) -> Option<f64>| -> Option<f64> {
        let all: Option<Vec<f64>> = near.iter().map(|(_, reading, _)| value(reading)).collect();
        all.map(|all| median(all.into_iter()))
    };
    let reading = SweepReading {
        speed_rpm,
        load: middle(|reading| reading.load),
        advance_deg: middle(|reading| reading.advance_deg),
        knock: None,
        lambda: known(|reading| reading.lambda),
        coolant_c: known(|reading| reading.coolant_c),
        air_c: known(|reading| reading.air_c),
        time_s: known(|reading| reading.time_s),
        // The name of a whole pull would make one point of all its speeds.
        point: None,
        ..first.clone()
    };
    // Smaller errors are those of the arithmetic, and would weigh readings at random.
    let torque_sd = fit.standard_error(0).filter(|sd| *sd > NOTHING * torque.abs());
    let rows = near.iter().map(|(row, _, _)| *row).collect();
    (torque > 0.0).then_some(Taken { sweep: 0, row, rows, torque, torque_sd, of: None, reading })
}

/// Gives each reading of a pull the knock of all rows that are nearer to its speed than to that of any other reading of
/// this pull: knock sets in between the speeds of a table as often as at them.
fn hear(rows: &[(usize, &SweepReading)], read_off: &mut [Taken]) {
    let speeds: Vec<f64> = read_off.iter().map(|taken| taken.reading.speed_rpm).collect();
    for taken in read_off {
        let own_rpm = taken.reading.speed_rpm;
        let midpoint = |other_rpm: f64| 0.5 * (own_rpm + other_rpm);
        let below = speeds.iter().copied().filter(|rpm| *rpm < own_rpm).map(midpoint).reduce(f64::max);
        let above = speeds.iter().copied().filter(|rpm| *rpm > own_rpm).map(midpoint).reduce(f64::min);
        let span_rpm = below.unwrap_or(f64::NEG_INFINITY)..=above.unwrap_or(f64::INFINITY);
        let is_meant = |reading: &SweepReading| reading.is_used() && span_rpm.contains(&reading.speed_rpm);
        let meant = rows.iter().filter(|(_, reading)| is_meant(reading));
        let (heard, knocks): (Vec<usize>, Vec<f64>) =
            meant.filter_map(|&(row, reading)| Some((row, reading.knock?))).unzip();
        taken.reading.knock = knocks.into_iter().reduce(f64::max);
        taken.rows.extend(heard);
        taken.rows.sort_unstable();
        taken.rows.dedup();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::TorqueKind;
    use approx::assert_abs_diff_eq;

    fn row(pull: u32, speed_rpm: f64, torque: f64) -> SweepReading {
        let load = 98.0 + speed_rpm / 1e4;
        SweepReading { speed_rpm, load, advance_deg: 24.0, torque, pull: Some(pull), ..SweepReading::default() }
    }

    fn setting() -> SweepSetting {
        let speeds_rpm = vec![1500.0, 2000.0, 2500.0, 4000.0];
        SweepSetting { speeds_rpm, ..SweepSetting::new(TorqueKind::TorqueNm) }
    }

    /// 130 Nm at 2000 rpm with 0.1 Nm more or less in turn: the line through three rows, by hand.
    #[test]
    fn a_pull_is_read_off_at_the_speeds_inside_it() {
        let pull: Vec<SweepReading> = (0..40)
            .map(|at| {
                let speed_rpm = 1800.0 + 30.0 * f64::from(at);
                row(1, speed_rpm, 110.0 + speed_rpm / 100.0 + if at % 2 == 0 { 0.1 } else { -0.1 })
            })
            .collect();
        let (taken, read) = take(&pull, &setting()).unwrap();
        assert_eq!((read.pulls, read.readings), (1, 2));
        let at: Vec<(usize, f64)> = taken.iter().map(|taken| (taken.row, taken.reading.speed_rpm)).collect();
        assert_eq!(at, [(6, 2000.0), (22, 2500.0)]);
        // Rows 1950, 1980, 2010, 2040: errors −0.1, 0.1, −0.1, 0.1 about the line.
        assert_abs_diff_eq!(taken[0].torque, 130.0, epsilon = 0.05);
        let sd = taken[0].torque_sd.unwrap();
        assert!((0.03..0.15).contains(&sd), "{sd}");
        assert_eq!(taken[0].reading.load, 98.1995);
        let error = take(&pull, &SweepSetting::new(TorqueKind::TorqueNm)).unwrap_err().to_string();
        assert!(error.contains("give the project"), "{error}");
    }

    /// Knock at 2200 rpm only, where no speed of the table has rows near it, and at 2720 rpm, beyond the last of them.
    #[test]
    fn knock_between_the_speeds_of_the_table_counts_at_the_nearest() {
        let heard = |pull: u32, knocking_rpm: &[f64]| -> Vec<Option<f64>> {
            let at = |step: u8| 1900.0 + 20.0 * f64::from(step);
            let knock = |rpm: f64| Some(if knocking_rpm.contains(&rpm) { 3.0 } else { 0.0 });
            let pull: Vec<SweepReading> =
                (0..45).map(at).map(|rpm| SweepReading { knock: knock(rpm), ..row(pull, rpm, 100.0) }).collect();
            take(&pull, &setting()).unwrap().0.into_iter().map(|taken| taken.reading.knock).collect()
        };
        assert_eq!(heard(1, &[]), [Some(0.0), Some(0.0)]);
        assert_eq!(heard(1, &[2200.0]), [Some(3.0), Some(0.0)]);
        assert_eq!(heard(1, &[2260.0]), [Some(0.0), Some(3.0)]);
        assert_eq!(heard(1, &[2720.0]), [Some(0.0), Some(3.0)]);
        assert_eq!(heard(1, &[1900.0]), [Some(3.0), Some(0.0)]);
    }

    /// Its torque at 2000 rpm is read off rows from 1940 to 2060 rpm; from 2100 to 2240 rpm somebody listened.
    #[test]
    fn a_reading_of_a_pull_knows_all_its_rows() {
        let at = |step: u8| 1900.0 + 20.0 * f64::from(step);
        let knock = |rpm: f64| ((2100.0..2250.0).contains(&rpm)).then_some(0.0);
        let rows: Vec<SweepReading> =
            (0..31).map(at).map(|rpm| SweepReading { knock: knock(rpm), ..row(1, rpm, 100.0) }).collect();
        let (taken, _) = take(&rows, &setting()).unwrap();
        assert_eq!((taken[0].row, &taken[0].rows[..]), (3, &[3, 4, 5, 6, 7, 8, 9, 11, 12, 13, 14, 15, 16, 17, 18][..]));
        let plain = SweepReading { pull: None, ..row(1, 3000.0, 100.0) };
        let (taken, _) = take(&[plain.clone(), plain], &setting()).unwrap();
        assert_eq!(taken.iter().map(|taken| &taken.rows[..]).collect::<Vec<_>>(), [[1], [2]]);
    }

    /// A pull named throughout and read off at 2000 and 2500 rpm is two points, not one at 2250 rpm.
    #[test]
    fn the_name_of_a_pull_does_not_lump_its_speeds() {
        let named = |rpm: f64| SweepReading { point: Some("wide open".into()), ..row(1, rpm, 100.0) };
        let rows: Vec<SweepReading> = (0..31).map(|step| named(1900.0 + 25.0 * f64::from(step))).collect();
        let answer = crate::worksheet::SweepAnswer::of(&rows, &setting()).unwrap();
        let told: Vec<(Option<&str>, f64)> =
            answer.points.iter().map(|point| (point.name.as_deref(), point.speed_rpm)).collect();
        assert_eq!(told, [(None, 2000.0), (None, 2500.0)]);
    }

    /// 20 kW at 3000 rpm are 63.66 Nm: 20 000 W/(2π·50 /s).
    #[test]
    fn power_becomes_torque() {
        let reading = SweepReading { torque: 20.0, torque_sd: Some(0.2), pull: None, ..row(1, 3000.0, 0.0) };
        let (taken, read) = take(&[reading], &SweepSetting::new(TorqueKind::PowerKw)).unwrap();
        assert_abs_diff_eq!(taken[0].torque, 63.661_977, epsilon = 1e-6);
        assert_abs_diff_eq!(taken[0].torque_sd.unwrap(), taken[0].torque / 100.0, epsilon = 1e-9);
        assert_eq!(read, PullsRead::default());
    }

    #[test]
    fn only_pulls_are_corrected_for_the_air() {
        let cold = |reading: SweepReading| SweepReading {
            air_kpa: Some(97.0),
            air_c: Some(32.0),
            humidity_pct: Some(60.0),
            ..reading
        };
        let mut readings: Vec<SweepReading> = [1960.0, 2000.0, 2040.0].map(|rpm| cold(row(1, rpm, 100.0))).into();
        readings.push(SweepReading { pull: None, ..cold(row(1, 3000.0, 100.0)) });
        readings.extend([1960.0, 2000.0, 2040.0].map(|rpm| row(2, rpm, 100.0)));
        let setting = SweepSetting { air: Some(AirStandard::Sae), ..setting() };
        let (taken, read) = take(&readings, &setting).unwrap();
        let torques: Vec<f64> = taken.iter().map(|taken| taken.torque).collect();
        assert_abs_diff_eq!(torques[0], 107.5256, epsilon = 1e-3);
        assert_eq!((torques[1], torques[2]), (100.0, 100.0));
        assert_eq!(read.without_air, 1);
        assert_abs_diff_eq!(read.far_factor.unwrap(), 1.075_256, epsilon = 1e-6);
        let (taken, _) = take(&readings, &SweepSetting { is_boosted: true, ..setting }).unwrap();
        assert_abs_diff_eq!(taken[0].torque, 100.0, epsilon = 1e-9);
    }
}
