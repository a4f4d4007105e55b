//! What a fit to measured points came to, in words: how many cells rest on the points, and how the readings lie to the table.

use crate::project::{MeasuredPoint, Parts};
use crate::shaping::{Fitted, Reading, RestsOn, points_in_use};
use crate::wording::{Unit, count, point, signed, with_unit};

/// So many readings that stand apart are named.
const MOST_NAMED: usize = 2;

/// 'Fits 14 points: 9 cells measured, 60 lean; largest residual +0.8° at P3; P7 stands apart.'
pub(in crate::window) fn proposed(project: &Parts, fitted: &Fitted) -> String {
    let points = count(fitted.readings.len(), "point");
    format!("Fits {points}: {}{}.", resting(fitted), residuals(project, &fitted.readings))
}

/// '9 cells measured, 60 lean on measurements; largest residual +0.8° at P3; P7 stands apart'
pub(in crate::window) fn came_to(project: &Parts, fitted: &Fitted) -> String {
    format!("{} on measurements{}", resting(fitted), residuals(project, &fitted.readings))
}

fn resting(fitted: &Fitted) -> String {
    let on = |what: RestsOn| fitted.cells.iter().flatten().filter(|sure| sure.rests_on == what).count();
    let leaning = on(RestsOn::Leaning);
    let lean = if leaning == 1 { "leans" } else { "lean" };
    format!("{} measured, {leaning} {lean}", count(on(RestsOn::Measured), "cell"))
}

fn residuals(project: &Parts, readings: &[Reading]) -> String {
    let Some(largest) = largest(readings) else { return String::new() };
    let told = format!("; largest residual {} at {}", residual(largest), name(project, largest));
    let mut apart = readings.iter().filter(|reading| reading.stands_apart());
    match (apart.next(), apart.next()) {
        (Some(alone), None) if alone.point == largest.point => format!("{told}, which stands apart"),
        (None, _) => told,
        _ => format!("{told}; {}", apart_words(project, readings)),
    }
}

/// Every reading with its place, its residual and what is to be said of it, one a line.
pub(in crate::window) fn readings(project: &Parts, fitted: &Fitted) -> String {
    let unit = project.sensors.load.unit();
    let line = |reading: &Reading| {
        let of = points_in_use(project).nth(reading.point);
        let place = of.map_or_else(String::new, |of| format!(" at {}", point(of.speed_rpm, of.load, unit)));
        let remark = reading.words().map_or_else(String::new, |words| format!(", {words}"));
        format!("{}{place}: {}{remark}", name(project, reading), residual(reading))
    };
    let lines: Vec<String> = fitted.readings.iter().map(line).collect();
    format!("Residuals, measured less fitted:\n{}", lines.join("\n"))
}

fn largest(readings: &[Reading]) -> Option<&Reading> {
    readings.iter().max_by(|one, other| one.residual_deg.abs().total_cmp(&other.residual_deg.abs()))
}

fn residual(reading: &Reading) -> String {
    with_unit(&signed(reading.residual_deg, 1), Unit::Degree)
}

fn name<'a>(project: &'a Parts, reading: &Reading) -> &'a str {
    points_in_use(project).nth(reading.point).map_or("a point", |of: &MeasuredPoint| &of.name)
}

/// 'P7 stands apart', 'P7, P9 and 2 more stand apart', of those that do.
fn apart_words(project: &Parts, readings: &[Reading]) -> String {
    let names: Vec<&str> =
        readings.iter().filter(|reading| reading.stands_apart()).map(|reading| name(project, reading)).collect();
    let more = names.len().saturating_sub(MOST_NAMED);
    match names.as_slice() {
        [one] => format!("{one} stands apart"),
        [one, other] => format!("{one} and {other} stand apart"),
        _ => format!("{} and {more} more stand apart", names.get(..MOST_NAMED).unwrap_or(&names).join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::project::{Project, SAMPLES};
    use crate::shaping::Sure;

    /// Points P1 to P4, of which P2 is not in use.
    fn project() -> Project {
        let at = |name: &str, speed_rpm: f64, in_use: bool| {
            let point = MeasuredPoint {
                name: name.into(),
                speed_rpm,
                load: 40.0,
                advance_deg: 24.0,
                ..MeasuredPoint::default()
            };
            Arc::new(MeasuredPoint { in_use, ..point })
        };
        let points =
            vec![at("P1", 2000.0, true), at("P2", 2500.0, false), at("P3", 3000.0, true), at("P4", 3500.0, true)];
        SAMPLES[0].project().unwrap().edit(|parts| parts.evidence.points = points).unwrap()
    }

    fn fitted(residuals: [(f64, f64); 3]) -> Fitted {
        let sure = |share: f64, rests_on| Some(Sure { sd_deg: 0.4, share, rests_on });
        let reading = |(point, (residual_deg, standardised)): (usize, (f64, f64))| Reading {
            point,
            residual_deg,
            standardised,
            leverage: 0.3,
        };
        Fitted {
            bend_deg: 0.5,
            cells: vec![sure(0.95, RestsOn::Measured), sure(0.6, RestsOn::Leaning), None, sure(0.1, RestsOn::Today)],
            readings: residuals.into_iter().enumerate().map(reading).collect(),
        }
    }

    #[test]
    fn tells_cells_the_largest_residual_and_the_readings_that_stand_apart() {
        let project = project();
        let told = |residuals| proposed(&project, &fitted(residuals));
        assert_eq!(
            told([(0.2, 0.5), (-0.84, -1.0), (0.4, 0.9)]),
            "Fits 3 points: 1 cell measured, 1 leans; largest residual \u{2212}0.8\u{b0} at P3."
        );
        let apart = |residuals| told(residuals).rsplit("; ").next().unwrap_or_default().to_owned();
        assert_eq!(apart([(0.2, 0.5), (2.5, 0.2), (2.0, 3.5)]), "P4 stands apart.");
        assert_eq!(
            apart([(0.2, 0.5), (0.1, 0.2), (2.0, 3.5)]),
            "largest residual +2.0\u{b0} at P4, which stands apart."
        );
        let all = came_to(&project, &fitted([(0.2, 0.5), (-0.84, -1.0), (0.4, 0.9)]));
        assert!(all.starts_with("1 cell measured, 1 leans on measurements; "), "{all}");
        assert_eq!(apart([(2.0, 3.5), (0.1, 0.2), (-2.0, -3.5)]), "P1 and P4 stand apart.");
        assert_eq!(apart([(2.0, 3.5), (-3.0, -5.0), (2.0, 3.5)]), "P1, P3 and 1 more stand apart.");
    }

    #[test]
    fn every_reading_is_listed_with_its_place() {
        let list = readings(&project(), &fitted([(0.2, 0.5), (-0.84, -1.0), (2.0, 3.5)]));
        let lines: Vec<&str> = list.lines().skip(1).collect();
        assert_eq!(lines.len(), 3);
        assert!(lines[1].starts_with("P3 at 3000 rpm") && lines[1].ends_with(": \u{2212}0.8\u{b0}"), "{list}");
        assert!(lines[2].ends_with(": +2.0\u{b0}, stands apart"), "{list}");
    }
}
