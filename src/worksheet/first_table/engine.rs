//! A first table from what the second opinion recommends, faired as every proposal of it is.

use super::TAKES_OVER_RPM;
use crate::project::{Advance, Origin, Project};
use crate::shaping::{Ceiling, Demands, fair};
use crate::table::{Cell, Selection, Table};
use crate::watch::Watch;
use crate::wording::{Refusal, settle};
use crate::worksheet::PlaceOpinion;

/// The engine's own table is so much below what is recommended: a first table is to be tuned up, not down. Assumed.
pub(super) const BELOW_RECOMMENDED_DEG: f64 = 4.0;
/// Where there is no opinion, fairing may lift the starting table by this to meet what lies beside it. Assumed.
const MAY_LIFT_DEG: f64 = 8.0;
/// How far fairing may move a cell, degrees: as little as makes a table that keeps to the rest.
const WITHIN_DEG: [f64; 3] = [2.0, 4.0, 8.0];
/// No steeper than this along speed, degrees per 1000 rpm, and along load, degrees per % or kPa: a little less than what
/// the checks call steep.
const STEEPEST: (f64, f64) = (14.0, 0.55);
/// Before fairing the table is lowered to this share of that, so that fairing and the step have room.
const LEAVES_ROOM: f64 = 0.9;

/// What a cell is to have, and at most.
struct Wanted {
    deg: f64,
    most_deg: f64,
    origin: Origin,
}

/// The table, and where each cell came from.
pub(super) fn table(
    project: &Project,
    starter: &Advance,
    places: &[PlaceOpinion],
    watch: Watch<'_>,
) -> Result<(Advance, Vec<Origin>), Refusal> {
    let wanted: Vec<Wanted> = places.iter().map(|place| wanted(project, starter, place)).collect();
    let lowered = lowered(project, wanted.iter().map(|wanted| wanted.deg).collect());
    let rough = project.advance.table().with_values(lowered.into_iter().map(settle).collect())?;
    let rough = Advance::uniform(rough, Origin::Modelled)?;
    let origins = wanted.iter().map(|wanted| wanted.origin).collect();
    Ok((faired(project, &rough, &wanted, watch)?, origins))
}

/// Near idle the starting table counts alone, and further up what the opinion gives.
fn wanted(project: &Project, starter: &Advance, place: &PlaceOpinion) -> Wanted {
    let starts_deg = starter.table().lookup(place.speed_rpm, place.load);
    let clamp = &project.limits.clamp;
    let most_of_unit_deg = clamp.ceiling_deg - project.trims.most_deg(place.load);
    let (from, to) = TAKES_OVER_RPM;
    let share = ((place.speed_rpm - project.engine.idle_speed_rpm - from) / (to - from)).clamp(0.0, 1.0);
    let between = |deg: f64| starts_deg + (deg - starts_deg) * share;
    let (deg, most_deg, origin) = match &place.opinion {
        Ok(own) if share > 0.0 => {
            let deg = between(own.recommended_deg - BELOW_RECOMMENDED_DEG);
            (deg, between(own.recommended_deg), Origin::Modelled)
        }
        _ => (starts_deg, starts_deg + MAY_LIFT_DEG, Origin::Starter),
    };
    let most_deg = most_deg.min(most_of_unit_deg).min(most_at_full_load(project, place)).max(clamp.floor_deg);
    Wanted { deg: deg.clamp(clamp.floor_deg, most_deg), most_deg, origin }
}

/// From here on nothing rises with load.
fn upper_half(table: &Table) -> f64 {
    f64::midpoint(table.load().first(), table.load().last())
}

/// The greatest values that are no more than these and keep to the slopes everywhere: what is too high for a neighbour is
/// lowered. The columns around idle stay.
fn lowered(project: &Project, mut values: Vec<f64>) -> Vec<f64> {
    let table = project.advance.table();
    let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
    let fixed = level(project);
    let from_load = upper_half(table);
    let mut pairs: Vec<(Cell, Cell, f64)> = Vec::new();
    for cell in table.cells() {
        if cell.speed > 0 {
            let apart_rpm = speeds[cell.speed] - speeds[cell.speed - 1];
            let most_deg = LEAVES_ROOM * STEEPEST.0 * apart_rpm / 1000.0;
            let beside = Cell::new(cell.load, cell.speed - 1);
            pairs.extend([(cell, beside, most_deg), (beside, cell, most_deg)]);
        }
        if cell.load > 0 {
            let most_deg = LEAVES_ROOM * STEEPEST.1 * (loads[cell.load] - loads[cell.load - 1]);
            let below = Cell::new(cell.load - 1, cell.speed);
            let is_upper = loads[cell.load - 1] >= from_load;
            pairs.extend([(cell, below, if is_upper { 0.0 } else { most_deg }), (below, cell, most_deg)]);
        }
    }
    pairs.retain(|(high, _, _)| !fixed.contains(*high));
    // Every round only lowers, and a path of lowerings visits no cell twice.
    for _ in 0..values.len() {
        let mut has_changed = false;
        for (high, low, most_deg) in &pairs {
            let bound_deg = values[table.index(*low)] + most_deg;
            let own = &mut values[table.index(*high)];
            has_changed |= *own > bound_deg;
            *own = own.min(bound_deg);
        }
        if !has_changed {
            break;
        }
    }
    values
}

/// The least bent table within a few degrees: never rising with load in its upper half, nowhere steep, under the full-load
/// line and what is recommended, on the step, its idle as it starts.
fn faired(project: &Project, rough: &Advance, wanted: &[Wanted], watch: Watch<'_>) -> Result<Advance, Refusal> {
    let table = rough.table();
    let all = Selection::all(table);
    let most_deg: Vec<f64> = wanted.iter().map(|wanted| wanted.most_deg).collect();
    let ceiling = Ceiling::full_load(project).unwrap_or_else(|| Ceiling::new(most_deg.clone())).under(&most_deg);
    let mut tried = Demands {
        not_rising_above: Some(upper_half(table)),
        max_slope_per_1000rpm: Some(STEEPEST.0),
        max_slope_per_load: Some(STEEPEST.1),
        ceiling: Some(ceiling),
        step_deg: Some(project.step_deg),
        idle: Some(level(project)),
        ..Demands::default()
    };
    let mut last = None;
    for within_deg in WITHIN_DEG {
        tried.within_deg = Some(within_deg);
        match fair(rough, &all, &tried, watch) {
            Ok(shaped) => return Ok(shaped.advance),
            Err(error) => last = Some(error),
        }
    }
    let reason = last.map_or_else(String::new, |error| error.to_string());
    Err(Refusal::new(format!("no table keeps to all that a first one must: {reason}")))
}

/// What the full-load line leaves the table; infinite below it.
fn most_at_full_load(project: &Project, place: &PlaceOpinion) -> f64 {
    let line = &project.full_load_line;
    if !line.enabled || place.load < line.from_load {
        return f64::INFINITY;
    }
    line.allowed_deg(place.speed_rpm, place.load) - project.trims.most_deg(place.load)
}

/// The columns around idle and below, which stay as they start.
fn level(project: &Project) -> Selection {
    let table = project.advance.table();
    let to_rpm = project.engine.idle_speed_rpm + TAKES_OVER_RPM.0;
    let mut cells = Selection::none(table.load().len(), table.speed().len());
    let columns = table.speed().breakpoints().iter().take_while(|speed_rpm| **speed_rpm <= to_rpm).count();
    let rows = 0..table.load().len();
    cells.extend(rows.flat_map(|load| (0..columns).map(move |speed| Cell::new(load, speed))));
    cells
}
