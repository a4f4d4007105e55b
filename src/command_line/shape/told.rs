//! What fairing and fitting tell beside the table: demands that contradict each other, cells that stand at one, how sure a
//! fitted cell is, and how the readings lie.

use serde::Serialize;

use crate::command_line::Failure;
use crate::command_line::answer::Answer;
use crate::command_line::output::Format;
use crate::project::Project;
use crate::shaping::{Contradiction, DemandKind, Faired, Fitted, RestsOn, Shaped, Target, Tool, points_in_use};
use crate::table::{Cell, Table};
use crate::wording::{Unit, count, point, quantity, settle, signed_figure};

/// Readings that are listed in a text; a document has all of them.
const MOST_LISTED: usize = 20;

#[derive(Serialize)]
struct Contradicted {
    short_by_deg: f64,
    demands: Vec<Demand>,
    /// The step on which alone it cannot be.
    #[serde(skip_serializing_if = "Option::is_none")]
    only_on_step_deg: Option<f64>,
}

#[derive(Serialize)]
struct Demand {
    kind: &'static str,
    cells: Vec<Spot>,
    words: String,
    remedy: String,
}

#[derive(Serialize)]
struct Spot {
    speed_rpm: f64,
    load: f64,
}

impl Spot {
    fn of(table: &Table, cell: Cell) -> Self {
        let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
        Self { speed_rpm: speeds[cell.speed], load: loads[cell.load] }
    }
}

/// The answer that demands cannot all be kept: no file, and what to do.
pub(super) fn contradicted(format: Format, table: &Table, told: &Contradiction) -> Result<Answer, Failure> {
    let demands = told.demands.iter().map(|demand| Demand {
        kind: demand.kind.id(),
        cells: demand.cells.iter().map(|&cell| Spot::of(table, cell)).collect(),
        words: demand.words.clone(),
        remedy: demand.remedy.clone(),
    });
    let value = Contradicted {
        short_by_deg: settle(told.short_by_deg),
        demands: demands.collect(),
        only_on_step_deg: told.only_on_step_deg,
    };
    let text = || {
        let line = |demand: &crate::shaping::Clash| match demand.remedy.as_str() {
            "" => format!("  {}\n", demand.words),
            remedy => format!("  {}: {remedy}\n", demand.words),
        };
        let lines = told.demands.iter().map(line);
        format!("{}\n{}any one of these ends it\n", told.heading(), lines.collect::<String>())
    };
    let notes = vec!["nothing was written".into()];
    Ok(Answer { notes, is_no: true, ..format.answer(&value, text)? })
}

/// What a tool tells beside the table.
#[derive(Serialize)]
pub(super) struct Beside {
    /// Cells that a demand keeps from being smoother.
    #[serde(skip_serializing_if = "Option::is_none")]
    standing: Option<Vec<Standing>>,
    /// How far the cell that moved farthest did.
    #[serde(skip_serializing_if = "Option::is_none")]
    farthest_deg: Option<f64>,
    /// The same as counts of cells.
    #[serde(skip)]
    counts: Vec<(DemandKind, usize)>,
    /// Measured points that take no part, since nothing around them may move.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    points_among_fixed: Vec<Spot>,
    /// Measured points that rounding to the step left outside.
    #[serde(skip_serializing_if = "Option::is_none")]
    points_out: Option<Vec<PointOut>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    fit: Option<Fit>,
}

#[derive(Serialize)]
struct Standing {
    speed_rpm: f64,
    load: f64,
    demand: &'static str,
    onward_deg: f64,
}

#[derive(Serialize)]
struct PointOut {
    speed_rpm: f64,
    load: f64,
    by_deg: f64,
}

#[derive(Serialize)]
struct Fit {
    bend_deg: f64,
    readings: Vec<Reading>,
    cells: Vec<Sure>,
}

#[derive(Serialize)]
struct Reading {
    /// The point's name.
    #[serde(skip_serializing_if = "Option::is_none")]
    point: Option<String>,
    speed_rpm: f64,
    load: f64,
    advance_deg: f64,
    residual_deg: f64,
    standardised: f64,
    leverage: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    remark: Option<&'static str>,
}

#[derive(Serialize)]
struct Sure {
    speed_rpm: f64,
    load: f64,
    sd_deg: f64,
    share: f64,
    rests_on: &'static str,
}

impl Beside {
    pub(super) fn of(project: &Project, tool: &Tool, shaped: &Shaped) -> Self {
        let (table, faired, fitted) = (shaped.advance.table(), shaped.faired.as_deref(), shaped.fitted.as_deref());
        let points: &[Target] = match tool {
            Tool::Fair { demands } => &demands.points,
            Tool::Fit { points } => points,
            _ => &[],
        };
        let standing = |faired: &Faired| {
            let of = |standing: &crate::shaping::Standing| {
                let Spot { speed_rpm, load } = Spot::of(table, standing.cell);
                Standing { speed_rpm, load, demand: standing.at.id(), onward_deg: settle(standing.onward_deg) }
            };
            faired.standing.iter().map(of).collect()
        };
        let out = |faired: &Faired| {
            let of = |&(index, by_deg): &(usize, f64)| {
                let Target { speed_rpm, load, .. } = points.get(index)?;
                Some(PointOut { speed_rpm: *speed_rpm, load: *load, by_deg: settle(by_deg) })
            };
            let out: Vec<PointOut> = faired.points_out.iter().filter_map(of).collect();
            (!out.is_empty()).then_some(out)
        };
        let among_fixed = |faired: &Faired| {
            let of = |&index: &usize| {
                let Target { speed_rpm, load, .. } = *points.get(index)?;
                Some(Spot { speed_rpm, load })
            };
            faired.points_among_fixed.iter().filter_map(of).collect()
        };
        Self {
            standing: faired.map(standing),
            farthest_deg: faired.map(|faired| settle(faired.largest_change_deg)),
            counts: faired.map(Faired::standing_counts).unwrap_or_default(),
            points_among_fixed: faired.map(among_fixed).unwrap_or_default(),
            points_out: faired.and_then(out),
            fit: fitted.map(|fitted| Fit::of(table, (project, points), fitted)),
        }
    }

    /// In lines, each with its end; nothing if there is nothing to tell.
    pub(super) fn text(&self, project: &Project) -> String {
        let unit = project.sensors.load.unit();
        let mut text = String::new();
        if let Some(deg) = self.farthest_deg.filter(|deg| *deg > 0.0) {
            text += &format!("largest change of a cell {}\n", quantity(deg, Unit::Degree));
        }
        if !self.counts.is_empty() {
            let list: Vec<String> =
                self.counts.iter().map(|(demand, cells)| format!("{cells} at {}", words(*demand))).collect();
            text += &format!("cells that stand at a demand: {}\n", list.join(", "));
        }
        for spot in &self.points_among_fixed {
            let place = point(spot.speed_rpm, spot.load, unit);
            text += &format!("the point at {place} was left out: no cell around it may move\n");
        }
        for out in self.points_out.iter().flatten() {
            // Never told as less than it is.
            let by = signed_figure((out.by_deg * 100.0 - 1e-7).ceil() / 100.0, Unit::Degree);
            text += &format!("the step leaves the point at {} out by {by}\n", point(out.speed_rpm, out.load, unit));
        }
        self.fit.as_ref().map_or_else(|| text.clone(), |fit| text.clone() + &fit.text(unit))
    }
}

/// A demand as it is told in a list.
fn words(kind: DemandKind) -> String {
    match kind {
        DemandKind::Within => "the limit to how far a cell moves".into(),
        kind => kind.id().replace('_', " "),
    }
}

impl Fit {
    fn of(table: &Table, (project, points): (&Project, &[Target]), fitted: &Fitted) -> Self {
        let reading = |reading: &crate::shaping::Reading| {
            let Target { speed_rpm, load, advance_deg, .. } = *points.get(reading.point)?;
            Some(Reading {
                point: points_in_use(project).nth(reading.point).map(|point| point.name.clone()),
                speed_rpm,
                load,
                advance_deg,
                residual_deg: settle(reading.residual_deg),
                standardised: settle(reading.standardised),
                leverage: settle(reading.leverage),
                remark: reading.words(),
            })
        };
        let sure = |(cell, sure): (Cell, &Option<crate::shaping::Sure>)| {
            let (Spot { speed_rpm, load }, sure) = (Spot::of(table, cell), (*sure)?);
            let (sd_deg, share) = (settle(sure.sd_deg), settle(sure.share));
            Some(Sure { speed_rpm, load, sd_deg, share, rests_on: sure.rests_on.words() })
        };
        Self {
            bend_deg: settle(fitted.bend_deg),
            readings: fitted.readings.iter().filter_map(reading).collect(),
            cells: table.cells().zip(&fitted.cells).filter_map(sure).collect(),
        }
    }

    fn text(&self, unit: Unit) -> String {
        let on = |what: RestsOn| self.cells.iter().filter(|sure| sure.rests_on == what.words()).count();
        let [measured, leaning, today] = [RestsOn::Measured, RestsOn::Leaning, RestsOn::Today].map(on);
        let mut text = format!(
            "{} measured, {leaning} lean on measurements, {today} as in today's table; about nine in ten lie within twice \
             their sd\n",
            count(measured, "cell")
        );
        for reading in self.readings.iter().take(MOST_LISTED) {
            let residual = signed_figure(reading.residual_deg, Unit::Degree);
            let remark = reading.remark.map(|remark| format!(": {remark}")).unwrap_or_default();
            let name = reading.point.as_ref().map(|name| format!("{name}: ")).unwrap_or_default();
            text += &format!("{name}{residual} at {}{remark}\n", point(reading.speed_rpm, reading.load, unit));
        }
        let left = self.readings.len().saturating_sub(MOST_LISTED);
        if left > 0 { text + &format!("and {} more\n", count(left, "reading")) } else { text }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    use crate::project::{LoadKind, MeasuredPoint, NewProject};
    use crate::shaping::points_of;
    use crate::table::Selection;

    #[test]
    fn a_fit_tells_its_readings_by_name_and_how_sure_cells_are() {
        let new = NewProject { name: "Heron".into(), cylinders: 4, load: LoadKind::Pressure, speeds: 12, loads: 12 };
        let project = new.create().unwrap();
        let table = project.advance.table();
        let at = |name: &str, place: usize, in_use: bool| {
            let (speed_rpm, load) = (table.speed().breakpoints()[place], table.load().breakpoints()[place]);
            let advance_deg = table.lookup(speed_rpm, load) - 3.0;
            let point = MeasuredPoint { name: name.into(), speed_rpm, load, advance_deg, ..MeasuredPoint::default() };
            Arc::new(MeasuredPoint { in_use, ..point })
        };
        let points = vec![at("P1", 2, false), at("P2", 5, true)];
        let project = project.edit(|parts| parts.evidence.points = points).unwrap();
        let tool = Tool::Fit { points: points_of(&project) };
        let shaped = tool.apply(&project.advance, &Selection::all(project.advance.table())).unwrap();
        let beside = Beside::of(&project, &tool, &shaped);
        let text = beside.text(&project);
        assert!(text.contains("\nP2: ") && text.contains("nothing nearby checks this reading"), "{text}");
        assert!(text.contains("measured, ") && text.contains("as in today's table"), "{text}");
        let fit = beside.fit.unwrap();
        assert_eq!((fit.readings.len(), fit.cells.len()), (1, 144));
        assert_eq!(fit.readings[0].point.as_deref(), Some("P2"));
        assert!(fit.cells.iter().any(|cell| cell.rests_on == "measured"));
    }
}
