//! `show`: a summary of a project.

use std::fmt::Write;
use std::path::PathBuf;

use serde::Serialize;

use super::output::{Format, locked_line};
use super::{Answer, Failure};
use crate::command_line::output::read_project;
use crate::project::{Advance, Origin, Project};
use crate::table::Cell;
use crate::wording::{Unit, count, fixed, given, one_line, quantity, range, step_decimals, with_unit};

/// Show a project in short: engine, trigger, advance table, snapshots
#[derive(Debug, clap::Args)]
#[command(after_help = "\
The text shows the table to the project's step, lowest load first, held cells marked with *. With
--json: name, locked_timing_deg (null for a real map), cylinders, firing_order, load_kind,
speed_rpm, load, load_unit, advance_deg (one list per load row), held, origin, step_deg,
reference_deg, zero_offset_deg, snapshots; every number with all its digits.

Examples:
  sparkloft show mine.ron
  sparkloft show mine.ron --json")]
pub(super) struct Show {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct Shown<'a> {
    name: &'a str,
    locked_timing_deg: Option<f64>,
    cylinders: u8,
    firing_order: &'a [u8],
    load_kind: &'static str,
    speed_rpm: &'a [f64],
    load: &'a [f64],
    load_unit: Unit,
    advance_deg: Vec<&'a [f64]>,
    held: Vec<Vec<bool>>,
    origin: Vec<Vec<&'static str>>,
    step_deg: f64,
    reference_deg: f64,
    zero_offset_deg: f64,
    snapshots: Vec<ShownSnapshot<'a>>,
}

#[derive(Serialize)]
struct ShownSnapshot<'a> {
    name: &'a str,
    taken_at: &'a str,
    note: &'a str,
}

impl Show {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let project = read_project(&self.project)?;
        self.format.answer(&Shown::of(&project), || text(&project))
    }
}

impl<'a> Shown<'a> {
    fn of(project: &'a Project) -> Self {
        let (advance, table) = (&project.advance, project.advance.table());
        let snapshot = |kept: &'a std::sync::Arc<crate::project::Snapshot>| ShownSnapshot {
            name: &kept.name,
            taken_at: &kept.taken_at,
            note: &kept.note,
        };
        Self {
            name: &project.name,
            locked_timing_deg: project.locked_timing_deg,
            cylinders: project.engine.cylinders,
            firing_order: &project.engine.firing_order,
            load_kind: project.sensors.load.name(),
            speed_rpm: table.speed().breakpoints(),
            load: table.load().breakpoints(),
            load_unit: project.sensors.load.unit(),
            advance_deg: (0..table.load().len()).map(|load| table.row(load)).collect(),
            held: rows(advance, |cell| advance.held().contains(cell)),
            origin: rows(advance, |cell| advance.origin(cell).name()),
            step_deg: project.step_deg,
            reference_deg: project.trigger.reference_deg,
            zero_offset_deg: project.trigger.zero_offset_deg,
            snapshots: project.snapshots.iter().map(snapshot).collect(),
        }
    }
}

fn rows<T>(advance: &Advance, value: impl Fn(Cell) -> T) -> Vec<Vec<T>> {
    let (loads, speeds) = (advance.table().load().len(), advance.table().speed().len());
    let row = |load| (0..speeds).map(|speed| value(Cell::new(load, speed))).collect();
    (0..loads).map(row).collect()
}

fn text(project: &Project) -> String {
    [head(project), engine(project), table(project), grid(project), snapshots(project)].concat()
}

/// The name, and below it a line if this is a locked-timing copy.
fn head(project: &Project) -> String {
    format!("{}\n{}", one_line(&project.name), locked_line(project))
}

fn engine(project: &Project) -> String {
    let (engine, trigger) = (&project.engine, &project.trigger);
    let order: Vec<String> = engine.firing_order.iter().map(ToString::to_string).collect();
    format!(
        "engine   {}, {}, {}, firing order {}\n\
         trigger  wheel {}−{}, reference {}, zero offset {}\n",
        count(engine.cylinders, "cylinder"),
        quantity(engine.displacement_l, Unit::Litre),
        quantity(engine.compression_ratio, Unit::ToOne),
        order.join("-"),
        trigger.wheel.teeth,
        trigger.wheel.missing,
        quantity(trigger.reference_deg, Unit::Degree),
        quantity(trigger.zero_offset_deg, Unit::Degree),
    )
}

fn table(project: &Project) -> String {
    let (advance, table, load) = (&project.advance, project.advance.table(), project.sensors.load);
    let ends = |axis: &crate::table::Axis, unit: Unit| range((axis.first(), axis.last()), unit);
    let origin_count = |origin: &Origin| advance.origins().iter().filter(|found| *found == origin).count();
    let origins = Origin::ALL.iter().map(|origin| (origin_count(origin), origin.name()));
    let origins: Vec<String> =
        origins.filter(|(count, _)| *count > 0).map(|(count, name)| format!("{count} {name}")).collect();
    let values = table.values().iter();
    let (least, most) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| (low.min(*z), high.max(*z)));
    format!(
        "table    {} × {}, {}, {} {}\n\
         advance  {}, step {}; {} held; {}\n",
        count(table.speed().len(), "speed"),
        count(table.load().len(), "load"),
        ends(table.speed(), Unit::Rpm),
        ends(table.load(), load.unit()),
        load.name(),
        with_unit(&between(least, most, step_decimals(project.step_deg)), Unit::Degree),
        quantity(project.step_deg, Unit::Degree),
        count(advance.held().count(), "cell"),
        origins.join(", "),
    )
}

/// A range as the table shows its numbers: '−5.0 to 38.0'.
fn between(least: f64, most: f64, decimals: usize) -> String {
    format!("{} to {}", fixed(least, decimals), fixed(most, decimals))
}

/// The table with the decimals of the step, and a star after held cells.
fn grid(project: &Project) -> String {
    let (advance, table) = (&project.advance, project.advance.table());
    let decimals = step_decimals(project.step_deg);
    let width = 6 + decimals;
    let mut text = format!("\n{:>9}", format!("{} | rpm", project.sensors.load.unit()));
    for speed in table.speed().breakpoints() {
        let _ = write!(text, "{:>width$} ", given(*speed, Unit::Rpm));
    }
    for (row, load) in table.load().breakpoints().iter().enumerate() {
        let _ = write!(text, "\n{:>9}", given(*load, project.sensors.load.unit()));
        for (column, deg) in table.row(row).iter().enumerate() {
            let mark = if advance.held().contains(Cell::new(row, column)) { '*' } else { ' ' };
            let _ = write!(text, "{:>width$}{mark}", fixed(*deg, decimals));
        }
    }
    text.split_inclusive('\n').map(|line| line.trim_end().to_owned() + "\n").collect()
}

fn snapshots(project: &Project) -> String {
    let first_line = |note: &str| one_line(note.lines().next().unwrap_or_default()).into_owned();
    let line = |kept: &std::sync::Arc<crate::project::Snapshot>| {
        let (name, taken_at) = (one_line(&kept.name), one_line(&kept.taken_at));
        format!("snapshot '{name}', {taken_at}: {}\n", first_line(&kept.note))
    };
    let lines: String = project.snapshots.iter().map(line).collect();
    if lines.is_empty() { lines } else { format!("\n{lines}") }
}
