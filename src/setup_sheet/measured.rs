//! What was measured on the engine, as a table.

use super::rows::Rows;
use super::tables::{decimal, decimals_for, left, table};
use crate::project::{MeasuredPoint, Project};
use crate::wording::{Unit, fixed, given};

/// The measured points; `None` where there are none.
pub(super) fn points(project: &Project, room: f32) -> Option<Rows> {
    let points = &project.evidence.points;
    if points.is_empty() {
        return None;
    }
    let degs: Vec<f64> = points.iter().map(|point| point.advance_deg).collect();
    let decimals = decimals_for(&degs, 1);
    let load = project.sensors.load.unit();
    let row = |point: &MeasuredPoint| {
        let from = [point.source.as_str(), point.taken_at.as_str()];
        let from: Vec<&str> = from.into_iter().filter(|text| !text.is_empty()).collect();
        vec![
            point.name.clone(),
            given(point.speed_rpm, Unit::Rpm),
            given(point.load, load),
            point.bound.words().to_owned(),
            fixed(point.advance_deg, decimals),
            point.interval_words().unwrap_or_default(),
            point.kind.words().to_owned(),
            from.join(", "),
            if point.in_use { "yes" } else { "no" }.to_owned(),
        ]
    };
    let rows: Vec<Vec<String>> = points.iter().map(|point| row(point)).collect();
    let columns = [
        left("point"),
        decimal("at rpm"),
        decimal(if load == Unit::Percent { "load %" } else { "load kPa" }),
        left("is"),
        decimal("advance °"),
        left("interval"),
        left("kind"),
        left("from"),
        left("in use"),
    ];
    Some(table("Measured points", &columns, &rows, room))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{OnTwin, PointBound, PointKind, SAMPLES};
    use crate::setup_sheet::{Paper, sheet_pages};

    fn texts(project: &Project) -> Vec<String> {
        let pages = sheet_pages(project, Paper::A4).unwrap();
        pages.into_iter().flat_map(|page| page.texts).map(|text| text.text).collect()
    }

    #[test]
    fn points_are_listed_where_there_are_any() {
        let bare = SAMPLES[0].project().unwrap();
        assert!(!texts(&bare).iter().any(|text| text == "Measured points"));
        let point = |at: u32| MeasuredPoint {
            name: format!("P{at}"),
            speed_rpm: 3000.0,
            load: 60.0,
            advance_deg: 24.5,
            low_deg: Some(23.75),
            high_deg: Some(25.0),
            bound: PointBound::AtMost,
            kind: PointKind::Knock,
            source: "hill climb".into(),
            taken_at: "2026-05-04".into(),
            in_use: at != 7,
            ..MeasuredPoint::default()
        };
        let (project, _) = bare.with_points((0..90).map(point).collect(), OnTwin::Refuse).unwrap();
        let texts = texts(&project);
        assert!(texts.iter().any(|text| text == "Measured points"));
        for at in 0..90 {
            assert!(texts.contains(&format!("P{at}")), "P{at}");
        }
        for wanted in ["at most", "24.5", "23.75–25.0°", "knock", "hill climb, 2026-05-04", "yes", "no"] {
            assert!(texts.iter().any(|text| text == wanted), "{wanted}");
        }
    }
}
