//! The difference of two advance tables, point by point.

use std::fmt;

use thiserror::Error;

use crate::project::{LoadKind, Project};
use crate::table::{Axis, Cell, Lookup, Selection, Table};
use crate::watch::{Stopped, Watch};
use crate::wording::{Unit, range, settle};

/// A point counts as changed if its delta exceeds this in either direction: above the rounding error of
/// interpolation, far below any angle that matters.
pub const CHANGED_ABOVE_DEG: f64 = 1e-9;

/// Edited − base at the union of both tables' breakpoints, inside the rectangle that both cover.
///
/// Both tables are bilinear between neighbouring points of the union, so the difference is too: what holds at
/// the points holds between them. The union may have more points than a table can.
#[derive(Clone, Debug, PartialEq)]
pub struct Delta {
    speed_rpm: Vec<f64>,
    load: Vec<f64>,
    load_kind: LoadKind,
    deg: Vec<f64>,
    not_compared: Vec<NotCompared>,
}

/// Which axis of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableAxis {
    /// Engine speed, the columns.
    Speed,
    /// Load, the rows.
    Load,
}

impl TableAxis {
    /// The word for it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Speed => "speed",
            Self::Load => "load",
        }
    }

    /// The unit of its breakpoints.
    pub const fn unit(self, load: LoadKind) -> Unit {
        match self {
            Self::Speed => Unit::Rpm,
            Self::Load => load.unit(),
        }
    }
}

/// Which of the two projects.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The project compared with.
    Base,
    /// The project at hand.
    Edited,
}

/// A part of one table that the other does not reach; it is not compared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NotCompared {
    /// Whose table reaches there.
    pub only_in: Side,
    /// Along which axis it extends further.
    pub axis: TableAxis,
    /// Where it begins, in the axis unit.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// The unit of both.
    pub unit: Unit,
}

impl fmt::Display for NotCompared {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let whose = match self.only_in {
            Side::Base => "the base",
            Side::Edited => "the edited table",
        };
        let stretch = range((self.from, self.to), self.unit);
        write!(formatter, "{stretch} is not compared: only {whose} reaches there")
    }
}

/// Why two tables cannot be compared.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Refusal {
    /// One table is over throttle, the other over pressure.
    #[error(
        "the base's load is {base} and this project's is {edited}: rows of the two mean different things, so the tables cannot be compared; choose a base with load {edited}",
        base = .base.name(), edited = .edited.name()
    )]
    LoadKinds {
        /// The base's load.
        base: LoadKind,
        /// The edited project's load.
        edited: LoadKind,
    },
    /// The tables have no rectangle in common.
    #[error(
        "the tables have no {axis} in common: the base runs {base}, this table {edited}; choose a base that overlaps",
        axis = .axis.name(), base = range(*.base, *.unit), edited = range(*.edited, *.unit)
    )]
    NothingInCommon {
        /// The axis on which they do not overlap.
        axis: TableAxis,
        /// First and last breakpoint of the base.
        base: (f64, f64),
        /// First and last breakpoint of the edited table.
        edited: (f64, f64),
        /// The unit of all four.
        unit: Unit,
    },
}

impl Delta {
    /// Compares the advance tables of two projects, of any axes and sizes.
    ///
    /// Formula: edited(x, y) − base(x, y), both bilinear, at every pair of breakpoints of either table inside the
    /// common rectangle, settled to twelve decimals so that 0.7 − 0.2 is 0.5.
    ///
    /// # Errors
    /// [`Refusal`] when the load kinds differ or the tables have no rectangle in common.
    pub fn between(base: &Project, edited: &Project) -> Result<Self, Refusal> {
        let mut delta = Self::without_degrees(base, edited)?;
        let tables = [base, edited].map(|project| Lookup::new(project.advance.table()));
        delta.deg = delta.load.iter().flat_map(|&load| delta.row(&tables, load)).collect();
        Ok(delta)
    }

    /// As [`Delta::between`]; the watch is asked before every row.
    pub(super) fn watched(
        base: &Project,
        edited: &Project,
        watch: Watch<'_>,
    ) -> Result<Result<Self, Refusal>, Stopped> {
        let mut delta = match Self::without_degrees(base, edited) {
            Ok(delta) => delta,
            Err(refusal) => return Ok(Err(refusal)),
        };
        let tables = [base, edited].map(|project| Lookup::new(project.advance.table()));
        let mut deg = Vec::with_capacity(delta.load.len() * delta.speed_rpm.len());
        for (done, &load) in delta.load.iter().enumerate() {
            watch.round(done, delta.load.len())?;
            deg.extend(delta.row(&tables, load));
        }
        delta.deg = deg;
        Ok(Ok(delta))
    }

    fn without_degrees(base: &Project, edited: &Project) -> Result<Self, Refusal> {
        let load_kind = edited.sensors.load;
        if base.sensors.load != load_kind {
            return Err(Refusal::LoadKinds { base: base.sensors.load, edited: load_kind });
        }
        let (was, is) = (base.advance.table(), edited.advance.table());
        let mut not_compared = Vec::new();
        let speed_rpm = common(TableAxis::Speed, was.speed(), is.speed(), load_kind, &mut not_compared)?;
        let load = common(TableAxis::Load, was.load(), is.load(), load_kind, &mut not_compared)?;
        Ok(Self { speed_rpm, load, load_kind, deg: Vec::new(), not_compared })
    }

    /// The deltas of the row at a load, in degrees.
    fn row<'a>(&'a self, [was, is]: &'a [Lookup; 2], load: f64) -> impl Iterator<Item = f64> + 'a {
        self.speed_rpm.iter().map(move |&speed_rpm| difference(was.at(speed_rpm, load), is.at(speed_rpm, load)))
    }

    /// The speeds of its columns in rpm, ascending.
    pub fn speed_rpm(&self) -> &[f64] {
        &self.speed_rpm
    }

    /// The loads of its rows, ascending.
    pub fn load(&self) -> &[f64] {
        &self.load
    }

    /// What the loads are.
    pub fn load_kind(&self) -> LoadKind {
        self.load_kind
    }

    /// Every delta in degrees, row by row from the lowest load.
    pub fn deg(&self) -> &[f64] {
        &self.deg
    }

    /// The parts of either table that the other does not reach.
    pub fn not_compared(&self) -> &[NotCompared] {
        &self.not_compared
    }

    /// The delta at a point (row and column of the union), which lies within it.
    pub fn at(&self, point: Cell) -> f64 {
        self.deg[self.index(point)]
    }

    /// Speed in rpm and load of a point, which lies within the union.
    pub fn place(&self, point: Cell) -> (f64, f64) {
        (self.speed_rpm[point.speed], self.load[point.load])
    }

    /// Every point with its delta, row by row.
    pub fn points(&self) -> impl Iterator<Item = (Cell, f64)> + '_ {
        let columns = self.speed_rpm.len();
        self.deg.iter().enumerate().map(move |(index, &deg)| (Cell::new(index / columns, index % columns), deg))
    }

    /// The point of the union at a speed and a load, if both are breakpoints of it.
    pub fn point_at(&self, speed_rpm: f64, load: f64) -> Option<Cell> {
        let find = |list: &[f64], x: f64| list.iter().position(|&at| at == x);
        Some(Cell::new(find(&self.load, load)?, find(&self.speed_rpm, speed_rpm)?))
    }

    /// The index of a point in [`Delta::deg`].
    pub(super) fn index(&self, point: Cell) -> usize {
        point.load * self.speed_rpm.len() + point.speed
    }
}

/// Whether a delta counts as a change.
pub(super) fn is_change(deg: f64) -> bool {
    deg.abs() > CHANGED_ABOVE_DEG
}

fn difference(base_deg: f64, edited_deg: f64) -> f64 {
    let deg = edited_deg - base_deg;
    // Settling goes through text, and most points of most comparisons need none.
    if deg == 0.0 { 0.0 } else { settle(deg) }
}

/// The breakpoints of either axis inside the range that both cover; also notes the parts that are not compared.
fn common(
    axis: TableAxis,
    base: &Axis,
    edited: &Axis,
    load: LoadKind,
    not_compared: &mut Vec<NotCompared>,
) -> Result<Vec<f64>, Refusal> {
    let (low, high) = (base.first().max(edited.first()), base.last().min(edited.last()));
    let unit = axis.unit(load);
    if low > high {
        let [base, edited] = [base, edited].map(|axis| (axis.first(), axis.last()));
        return Err(Refusal::NothingInCommon { axis, base, edited, unit });
    }
    for (only_in, own) in [(Side::Base, base), (Side::Edited, edited)] {
        let ends = [(own.first(), low), (high, own.last())];
        let beyond = ends.into_iter().filter(|(from, to)| from < to);
        not_compared.extend(beyond.map(|(from, to)| NotCompared { only_in, axis, from, to, unit }));
    }
    Ok(base.union(edited).into_iter().filter(|x| (low..=high).contains(x)).collect())
}

/// The cells of a table whose value differs from the base's surface at their breakpoints.
pub fn changed_cells(base: &Table, table: &Table) -> Selection {
    let mut changed = Selection::none(table.load().len(), table.speed().len());
    if base == table {
        return changed;
    }
    for cell in table.cells() {
        let (speed, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
        changed.set(cell, (table.at(cell) - base.lookup(speed, load)).abs() > CHANGED_ABOVE_DEG);
    }
    changed
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::compare::samples::{advance, any_advance, over_pressure, project};
    use crate::project::Origin;

    fn throttle(axes: (&[f64], &[f64]), cells: &[f64]) -> Project {
        project(advance(axes, cells, Origin::Typed))
    }

    /// By hand. The base is the plane 10 + x/100 + y/10; the edited table is the same with 2° more at (2000,
    /// 40), falling to nothing at its neighbours. Half of that is left at the base's own breakpoints (1500, 40)
    /// and (2000, 20), a quarter at (1500, 20).
    #[test]
    fn a_lifted_cell_is_seen_at_the_breakpoints_of_both() {
        let plane = |xs: &[f64], ys: &[f64]| -> Vec<f64> {
            ys.iter().flat_map(|y| xs.iter().map(move |x| 10.0 + x / 100.0 + y / 10.0)).collect()
        };
        let (xs, ys): (&[f64], &[f64]) = (&[1000.0, 1500.0, 3000.0], &[20.0, 100.0]);
        let base = throttle((xs, ys), &plane(xs, ys));
        let (xs, ys): (&[f64], &[f64]) = (&[1000.0, 2000.0, 3000.0], &[0.0, 40.0, 80.0]);
        let mut cells = plane(xs, ys);
        cells[4] += 2.0;
        let delta = Delta::between(&base, &throttle((xs, ys), &cells)).unwrap();
        assert_eq!(delta.speed_rpm(), [1000.0, 1500.0, 2000.0, 3000.0]);
        assert_eq!(delta.load(), [20.0, 40.0, 80.0]);
        assert_eq!(delta.deg(), [0.0, 0.5, 1.0, 0.0, 0.0, 1.0, 2.0, 0.0, 0.0, 0.0, 0.0, 0.0]);
        let left_out: Vec<String> = delta.not_compared().iter().map(ToString::to_string).collect();
        let expected = [
            "80–100 % is not compared: only the base reaches there",
            "0–20 % is not compared: only the edited table reaches there",
        ];
        assert_eq!(left_out, expected);
    }

    #[test]
    fn half_a_degree_is_half_a_degree() {
        let axes: (&[f64], &[f64]) = (&[0.0, 1.0], &[0.0, 1.0]);
        // In binary, 0.7 − 0.2 falls just short of a half and 1.1 − 0.6 just exceeds it.
        let (base, edited) = (throttle(axes, &[0.2, 0.6, 0.2, 0.6]), throttle(axes, &[0.7, 1.1, 0.7, 1.1]));
        assert_eq!(Delta::between(&base, &edited).unwrap().deg(), [0.5; 4]);
        assert_eq!(Delta::between(&edited, &base).unwrap().deg(), [-0.5; 4]);
    }

    #[test]
    fn refuses_other_loads_and_tables_that_miss_each_other() {
        let low = throttle((&[500.0, 1000.0], &[0.0, 50.0]), &[1.0; 4]);
        let high = throttle((&[2000.0, 3000.0], &[0.0, 50.0]), &[1.0; 4]);
        assert_eq!(
            Delta::between(&low, &high).unwrap_err().to_string(),
            "the tables have no speed in common: the base runs 500–1000 rpm, this table 2000–3000 rpm; choose a base that overlaps"
        );
        let full = throttle((&[500.0, 1000.0], &[60.0, 90.0]), &[1.0; 4]);
        assert!(matches!(Delta::between(&low, &full), Err(Refusal::NothingInCommon { axis: TableAxis::Load, .. })));
        let error = Delta::between(&over_pressure(), &low).unwrap_err();
        assert!(error.to_string().starts_with("the base's load is pressure and this project's is throttle"), "{error}");
    }

    #[test]
    fn tables_that_only_touch_are_compared_where_they_do() {
        let low = throttle((&[500.0, 1000.0], &[0.0, 50.0]), &[1.0, 2.0, 1.0, 2.0]);
        let high = throttle((&[1000.0, 3000.0], &[0.0, 50.0]), &[5.0; 4]);
        let delta = Delta::between(&low, &high).unwrap();
        assert_eq!((delta.speed_rpm(), delta.deg()), ([1000.0].as_slice(), [3.0, 3.0].as_slice()));
        assert_eq!(delta.point_at(1000.0, 50.0), Some(Cell::new(1, 0)));
        assert_eq!(delta.point_at(1000.0, 49.0), None);
    }

    /// The delta between its points, bilinear like the tables.
    fn between_points(delta: &Delta, x: f64, y: f64) -> f64 {
        let find = |list: &[f64], at: f64| {
            let index = list.partition_point(|p| *p <= at).saturating_sub(1).min(list.len().saturating_sub(2));
            match list.get(index + 1) {
                Some(next) => (index, index + 1, (at - list[index]) / (next - list[index])),
                None => (0, 0, 0.0),
            }
        };
        let ((i, i1, u), (j, j1, v)) = (find(delta.speed_rpm(), x), find(delta.load(), y));
        let z = |load, speed| delta.at(Cell::new(load, speed));
        (z(j, i) * (1.0 - u) + z(j, i1) * u) * (1.0 - v) + (z(j1, i) * (1.0 - u) + z(j1, i1) * u) * v
    }

    proptest! {
        #[test]
        fn what_holds_at_the_points_holds_between_them(base in any_advance(), edited in any_advance()) {
            let (base, edited) = (project(base), project(edited));
            let Ok(delta) = Delta::between(&base, &edited) else { return Ok(()); };
            let (was, is) = (base.advance.table(), edited.advance.table());
            let dense = |list: &[f64]| -> Vec<f64> {
                let (first, last) = (list[0], list[list.len() - 1]);
                (0..=40).map(|i| first + (last - first) * f64::from(i) / 40.0).collect()
            };
            for &y in &dense(delta.load()) {
                for &x in &dense(delta.speed_rpm()) {
                    let direct = is.lookup(x, y) - was.lookup(x, y);
                    prop_assert!((between_points(&delta, x, y) - direct).abs() < 1e-8, "{} {}", x, y);
                }
            }
        }

        #[test]
        fn turned_about_it_changes_its_sign(base in any_advance(), edited in any_advance()) {
            let (base, edited) = (project(base), project(edited));
            match (Delta::between(&base, &edited), Delta::between(&edited, &base)) {
                (Ok(there), Ok(back)) => {
                    prop_assert_eq!((there.speed_rpm(), there.load()), (back.speed_rpm(), back.load()));
                    prop_assert!(there.deg().iter().zip(back.deg()).all(|(a, b)| *a == -b));
                    prop_assert_eq!(there.not_compared().len(), back.not_compared().len());
                }
                (there, back) => prop_assert!(there.is_err() && back.is_err()),
            }
        }
    }

    #[test]
    fn changes_are_found_on_other_breakpoints_too() {
        let axis = |values: &[f64]| Axis::new(values.to_vec()).unwrap();
        let plane = |x: f64, y: f64| x / 100.0 + y;
        let base = Table::from_fn(axis(&[0.0, 1000.0]), axis(&[0.0, 10.0]), plane).unwrap();
        let table = Table::from_fn(axis(&[0.0, 300.0, 1000.0]), axis(&[0.0, 5.0, 10.0]), plane).unwrap();
        assert!(changed_cells(&base, &table).is_empty());
        let mut values = table.values().to_vec();
        values[4] += 1e-6;
        let edited = table.with_values(values).unwrap();
        assert_eq!(changed_cells(&base, &edited).cells().collect::<Vec<_>>(), [Cell::new(1, 1)]);
    }
}
