//! The advance table as the unit will have it, and what the unit's arithmetic computes from it.

use super::assemble::{encode_item, raws_of};
use super::folding::as_exported;
use super::number::{physical, quantise};
use super::unit_axis::{axis_item, leading_item, unit_axis};
use super::values::values_of;
use super::{ImageError, IntegerLookup, Raw};
use crate::project::{CellType, Content, ContentSize, Item, Parts, Project};
use crate::spark::TableLookup;
use crate::table::{Axis, Cell, Lookup, Table};
use crate::wording::shortest;

/// With more points than this, the largest difference is searched for at only some of them.
const MOST_POINTS: usize = 65_536;
/// How many points of each interval are examined then.
const POINTS_PER_INTERVAL: i64 = 16;

/// A breakpoint or a point between two: its physical value, and its count.
type Point = (f64, i64);

/// The advance table after rounding to counts.
#[derive(Clone, Debug)]
pub struct AsFlashed {
    item: Item,
    table: Table,
    raws: Vec<Raw>,
    ideal: Table,
    integer: Option<InCounts>,
}

/// The table in counts with the items of its axes.
#[derive(Clone, Debug)]
struct InCounts {
    lookup: IntegerLookup,
    speed: Item,
    load: Item,
}

/// A difference between what the unit computes and what was wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlashedDifference {
    /// What the unit computes.
    pub flashed_deg: f64,
    /// What was intended.
    pub wanted_deg: f64,
    /// At which speed.
    pub speed_rpm: f64,
    /// At which load, % or kPa.
    pub load: f64,
}

impl FlashedDifference {
    /// Flashed minus intended: positive is more advance.
    pub fn deg(&self) -> f64 {
        self.flashed_deg - self.wanted_deg
    }
}

/// The size of the advance table in the image of a project; `None` where its image holds none.
pub fn flashed_size(project: &Parts) -> Option<ContentSize> {
    leading_item(project, Content::AdvanceCells).map(|item| project.content_size(item))
}

/// The advance table of a project after rounding to counts; `None` if its image holds none. If it holds
/// several, the first of the project's size, or else the first.
///
/// # Errors
/// [`ImageError`] when the table or its axes cannot be put into the image.
pub fn as_flashed(project: &Project) -> Result<Option<AsFlashed>, ImageError> {
    let project = &as_exported(project)?;
    let fields = project.field_tree()?;
    built(project, &|item| Ok(encode_item(item, values_of(project, &fields, item)?)?.raws))
}

/// The advance table in the bytes of an image; `None` if the layout has none. It is compared with the project's
/// own table.
///
/// # Errors
/// [`ImageError`] if the bytes do not hold a table.
pub(super) fn as_flashed_in(project: &Project, bytes: &[u8]) -> Result<Option<AsFlashed>, ImageError> {
    built(project, &|item| Ok(raws_of(bytes, &project.image, project, item)))
}

fn built(
    project: &Project,
    raws: &dyn Fn(&Item) -> Result<Vec<Raw>, ImageError>,
) -> Result<Option<AsFlashed>, ImageError> {
    let Some(item) = leading_item(project, Content::AdvanceCells) else {
        return Ok(None);
    };
    let own = project.advance.table();
    let cells = raws(item)?;
    let axis = |content, own: &Axis| {
        let held = axis_item(project, item, content)?;
        let counts = held.map(raws).transpose()?;
        let unit = unit_axis(project, item, content, own)?;
        let axis = match (held, &counts) {
            (Some(held), Some(counts)) => rounded(item, held, counts)?,
            _ => unit,
        };
        Ok::<_, ImageError>((axis, held.zip(counts)))
    };
    let (speed, speed_held) = axis(Content::AdvanceSpeeds, own.speed())?;
    let (load, load_held) = axis(Content::AdvanceLoads, own.load())?;
    let integer = speed_held.zip(load_held).and_then(|((speed, speed_raws), (load, load_raws))| {
        let lookup = IntegerLookup::new(counts(&speed_raws)?, counts(&load_raws)?, counts(&cells)?)?;
        Some(InCounts { lookup, speed: speed.clone(), load: load.clone() })
    });
    let values = cells.iter().map(|&raw| physical(raw, item)).collect();
    let table = Table::new(speed, load, values).map_err(|error| ImageError::Resample {
        item: item.name.clone(),
        error: crate::project::AdvanceError::from(error).into(),
    })?;
    Ok(Some(AsFlashed { item: item.clone(), table, raws: cells, ideal: own.clone(), integer }))
}

fn rounded(item: &Item, held: &Item, raws: &[Raw]) -> Result<Axis, ImageError> {
    let breakpoints: Vec<f64> = raws.iter().map(|&raw| physical(raw, held)).collect();
    let points = breakpoints.len();
    Axis::new(breakpoints).map_err(|error| ImageError::UnitAxis { item: item.name.clone(), points, error })
}

/// The counts of integer numbers; `None` when they are floating point.
fn counts(raws: &[Raw]) -> Option<Vec<i64>> {
    let count = |raw: &Raw| match raw {
        Raw::Count(count) => Some(*count),
        Raw::Float(_) => None,
    };
    raws.iter().map(count).collect()
}

impl TableLookup for AsFlashed {
    fn table_deg(&self, speed_rpm: f64, load: f64) -> f64 {
        self.advance_deg(speed_rpm, load)
    }
}

impl AsFlashed {
    /// The table as the unit reads it: cells and breakpoints rounded, of the unit's own size.
    pub const fn table(&self) -> &Table {
        &self.table
    }

    /// The decimals that show every count, at most three.
    pub fn decimals(&self) -> usize {
        if self.item.cell == CellType::F32 {
            return 3;
        }
        let places = |number: f64| shortest(number).split_once('.').map_or(0, |(_, decimals)| decimals.len());
        places(self.item.scale).max(places(self.item.offset)).min(3)
    }

    /// A cell as it is stored in the image; the cell lies within the table.
    pub fn raw(&self, cell: Cell) -> Raw {
        self.raws[self.table.index(cell)]
    }

    /// The lookup in counts; `None` if cells or axes are floating point, or the image does not hold the axes.
    pub fn integer(&self) -> Option<&IntegerLookup> {
        self.integer.as_ref().map(|integer| &integer.lookup)
    }

    /// The advance at a speed and a load as the unit computes it: in counts if it can, otherwise bilinear in
    /// the rounded table. Both coordinates are clamped to the axes; in counts, they are first rounded as
    /// breakpoints are.
    pub fn advance_deg(&self, speed_rpm: f64, load: f64) -> f64 {
        let in_counts = self.integer.as_ref().and_then(|integer| {
            let count = |x: f64, axis: &Axis, item| match quantise(x.clamp(axis.first(), axis.last()), item) {
                Ok(Raw::Count(count)) => Some(count),
                _ => None,
            };
            let speed = count(speed_rpm, self.table.speed(), &integer.speed)?;
            let load = count(load, self.table.load(), &integer.load)?;
            Some(physical(Raw::Count(integer.lookup.at(speed, load)), &self.item))
        });
        in_counts.unwrap_or_else(|| self.table.lookup(speed_rpm, load))
    }

    /// The largest difference between what the unit computes and the project's own table, from rounding of
    /// cells and breakpoints, another size, and integer arithmetic together. In counts it is searched for at
    /// every pair of axis counts, or at 16 points in each interval if there are more than 65,536 pairs;
    /// otherwise at the breakpoints of both tables, between which both are bilinear.
    pub fn largest_difference(&self) -> FlashedDifference {
        self.largest_from(&self.ideal)
    }

    /// The part of it that comes from the unit's arithmetic: the largest difference from exact interpolation in
    /// the rounded table; zero if the unit does not compute in counts.
    pub fn arithmetic_difference(&self) -> FlashedDifference {
        self.largest_from(&self.table)
    }

    fn largest_from(&self, wanted: &Table) -> FlashedDifference {
        let (speeds, loads) = self.points(wanted);
        let (wanted, flashed) = (Lookup::new(wanted), Lookup::new(&self.table));
        let at = |speed: Point, load: Point| {
            let (speed_rpm, speed_count) = speed;
            let (load, load_count) = load;
            let flashed_deg = self.integer.as_ref().map_or_else(
                || flashed.at(speed_rpm, load),
                |integer| self.measured(integer.lookup.at(speed_count, load_count)),
            );
            FlashedDifference { flashed_deg, wanted_deg: wanted.at(speed_rpm, load), speed_rpm, load }
        };
        let mut largest = at(speeds[0], loads[0]);
        let mut most_deg = largest.deg().abs();
        for &load in &loads {
            for &speed in &speeds {
                let difference = at(speed, load);
                if difference.deg().abs() > most_deg {
                    (largest, most_deg) = (difference, difference.deg().abs());
                }
            }
        }
        largest
    }

    /// Speeds and loads at which the unit's arithmetic is furthest from exact interpolation: where its rounding steps
    /// add up most, and half a count beside each breakpoint, where a coordinate is rounded most. Empty if the unit does
    /// not compute in counts.
    pub fn farthest_off(&self) -> [Vec<f64>; 2] {
        self.integer.as_ref().map_or_else(Default::default, |integer| {
            let steps = self.arithmetic_difference();
            let speeds = beside(self.table.speed(), &integer.speed).chain([steps.speed_rpm]);
            let loads = beside(self.table.load(), &integer.load).chain([steps.load]);
            [speeds.collect(), loads.collect()]
        })
    }

    /// The degrees of a count, not settled: the rounding error of the product is still in it.
    fn measured(&self, count: i64) -> f64 {
        Raw::Count(count).number() * self.item.scale + self.item.offset
    }

    /// The speeds and loads at which to compare, with their counts.
    fn points(&self, other: &Table) -> (Vec<Point>, Vec<Point>) {
        let Some(InCounts { lookup, speed, load }) = &self.integer else {
            let plain = |a: &Axis, b: &Axis| a.union(b).into_iter().map(|x| (x, 0)).collect();
            return (plain(self.table.speed(), other.speed()), plain(self.table.load(), other.load()));
        };
        let span = |axis: &[i64]| usize::try_from(axis[axis.len() - 1] - axis[0] + 1).unwrap_or(usize::MAX);
        let every = span(lookup.speed()).saturating_mul(span(lookup.load())) <= MOST_POINTS;
        let measured = |axis: &[i64], item: &Item| {
            let counts = if every { all_counts(axis) } else { some_counts(axis) };
            counts.into_iter().map(|count| (physical(Raw::Count(count), item), count)).collect()
        };
        (measured(lookup.speed(), speed), measured(lookup.load(), load))
    }
}

/// Nearly half a count below and above each breakpoint.
fn beside<'a>(axis: &'a Axis, item: &Item) -> impl Iterator<Item = f64> + use<'a> {
    let half = 0.499 * item.scale.abs();
    axis.breakpoints().iter().flat_map(move |x| [x - half, x + half])
}

fn all_counts(axis: &[i64]) -> Vec<i64> {
    (axis[0]..=axis[axis.len() - 1]).collect()
}

fn some_counts(axis: &[i64]) -> Vec<i64> {
    let step = |pair: &[i64], step: i64| pair[0] + (pair[1] - pair[0]) * step / POINTS_PER_INTERVAL;
    let mut counts: Vec<i64> =
        axis.windows(2).flat_map(|pair| (0..=POINTS_PER_INTERVAL).map(move |at| step(pair, at))).collect();
    counts.dedup();
    counts
}

#[cfg(test)]
mod tests;
