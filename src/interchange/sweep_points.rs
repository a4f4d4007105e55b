//! What timing sweeps tell as delimited text, one row for each operating point.

use super::lines::push_text_field;
use crate::wording::shortest;
use crate::worksheet::{SweepRow, Verdict};

/// The columns of what sweeps tell.
pub const SWEEP_POINT_COLUMNS: [&str; 22] = [
    "point",
    "speed_rpm",
    "load",
    "readings",
    "left_out",
    "mbt_deg",
    "mbt_low_deg",
    "mbt_high_deg",
    "flat_low_deg",
    "flat_low_low_deg",
    "flat_low_high_deg",
    "flat_high_deg",
    "top_torque",
    "scatter_pct",
    "drift_pct",
    "parabola_mbt_deg",
    "clean_to_deg",
    "knock_from_deg",
    "choice",
    "choice_deg",
    "torque_at_choice_pct",
    "verdicts",
];

/// Writes one row for each point below a row of [`SWEEP_POINT_COLUMNS`]; rows end with CR LF, and what is not known is
/// empty.
pub fn write_sweep_points(rows: &[SweepRow]) -> String {
    let mut out = SWEEP_POINT_COLUMNS.join(",").into_bytes();
    out.extend_from_slice(b"\r\n");
    for row in rows {
        push_text_field(&mut out, &row.point);
        let numbers = [
            Some(row.speed_rpm),
            Some(row.load),
            Some(whole(row.readings)),
            Some(whole(row.left_out)),
            row.mbt_deg,
            row.mbt_low_deg,
            row.mbt_high_deg,
            row.flat_low_deg,
            row.flat_low_low_deg,
            row.flat_low_high_deg,
            row.flat_high_deg,
            row.top_torque,
            row.scatter_pct,
            row.drift_pct,
            row.parabola_mbt_deg,
            row.clean_to_deg,
            row.knock_from_deg,
        ];
        numbers.into_iter().for_each(|number| push_number(&mut out, number));
        out.push(b',');
        out.extend_from_slice(row.choice.name().as_bytes());
        push_number(&mut out, row.choice_deg);
        push_number(&mut out, row.torque_at_choice_pct);
        out.push(b',');
        let words: Vec<String> = row.verdicts.iter().map(Verdict::words).collect();
        push_text_field(&mut out, &words.join(" "));
        out.extend_from_slice(b"\r\n");
    }
    String::from_utf8_lossy(&out).into_owned()
}

#[expect(clippy::cast_precision_loss, reason = "a hundred thousand readings at most")]
fn whole(count: usize) -> f64 {
    count as f64
}

fn push_number(out: &mut Vec<u8>, number: Option<f64>) {
    out.push(b',');
    out.extend(number.map(shortest).unwrap_or_default().bytes());
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interchange::lines::Separator;
    use crate::interchange::read_sweep_as;
    use crate::interchange::records::split;
    use crate::project::{SweepReading, TorqueKind};
    use crate::worksheet::{DegInterval, SweepAnswer, SweepChoice, SweepSetting};

    /// The invented day beside the samples, whose truth `dyno_day.py` states: best torque of each known point lies within
    /// its interval or, with eleven intervals of 95 %, at most once outside.
    #[test]
    fn the_invented_day_is_read_as_it_was_made() {
        let day = include_bytes!("../../sample-projects/dyno-day.csv");
        let read = read_sweep_as(day, None, None).unwrap();
        let setting = SweepSetting { load: read.load, ..SweepSetting::new(read.torque_kind) };
        let answer = SweepAnswer::of(&read.readings, &setting).unwrap();
        assert_eq!(answer.summary(), "14 points: 11 known, 2 limited by knock, 1 open");
        let truth = [26.2, 35.2, 40.4, 31.7, 35.0, 33.4, 27.8, 28.8, 29.0, 32.8, 29.6];
        let best = answer.points.iter().filter_map(|point| point.curve.as_ref()).map(|curve| curve.best);
        let is_missed = |(interval, truth): &(DegInterval, f64)| {
            interval.low_deg.is_some_and(|low| low > *truth) || interval.high_deg.is_some_and(|high| high < *truth)
        };
        assert!(best.zip(truth).filter(is_missed).count() <= 1);
        let slips: Vec<usize> = answer
            .points
            .iter()
            .filter_map(|point| point.other.map(|other| point.readings[other.reading].row))
            .collect();
        assert_eq!(slips, [97, 107], "one is doubtful by chance; the belt slipped once");
    }

    #[test]
    fn every_row_has_a_field_for_every_column() {
        let reading = |step: u8| SweepReading {
            speed_rpm: 3000.0,
            load: 60.0,
            advance_deg: 20.0 + 2.0 * f64::from(step),
            torque: 100.0,
            point: Some("=full, \"3\"".into()),
            ..SweepReading::default()
        };
        let readings: Vec<SweepReading> = (0..3).map(reading).collect();
        let answer = SweepAnswer::of(&readings, &SweepSetting::new(TorqueKind::Brake)).unwrap();
        let text = write_sweep_points(&answer.rows(SweepChoice::Knock));
        let records = split(&text, Separator::Comma).unwrap();
        assert_eq!(records.len(), 2);
        assert!(records.iter().all(|record| record.fields.len() == SWEEP_POINT_COLUMNS.len()), "{text}");
        assert_eq!((records[1].text(0), records[1].text(3), records[1].text(5)), ("=full, \"3\"", "3", ""));
        assert!(records[1].text(18) == "knock" && records[1].text(21).starts_with("3 advances do not tell the top"));
        // The names of the JSON document, which has besides how steady it was and the advances to read next.
        let json = serde_json::to_value(answer.rows(SweepChoice::Least)).unwrap();
        let mut names: Vec<&str> = json[0].as_object().unwrap().keys().map(String::as_str).collect();
        names.retain(|name| !["speed_spread_rpm", "load_spread", "next_deg"].contains(name));
        let mut columns = SWEEP_POINT_COLUMNS.to_vec();
        columns.sort_unstable();
        names.sort_unstable();
        assert_eq!(names, columns);
    }
}
