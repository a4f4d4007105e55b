//! Contour lines of a bilinear table.

use std::collections::{BTreeMap, BTreeSet};

use super::chart::axis::{multiples, nice_step};
use crate::table::Table;

/// At most this many steps over the range of a table.
const MOST_LEVELS: usize = 16;
/// Vertices inserted between the two ends of a curve in one cell.
const BETWEEN: u32 = 3;

/// The levels of contour lines: all multiples of a round step within a range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Levels {
    /// Distance between levels, degrees: 1, 2 or 5 × 10ⁿ.
    pub step: f64,
    /// Lowest and highest value.
    pub range: (f64, f64),
}

impl Levels {
    /// Levels for values from `low` to `high`: at most sixteen steps.
    pub fn over(low: f64, high: f64) -> Self {
        Self { step: nice_step(high - low, MOST_LEVELS), range: (low, high) }
    }

    /// Levels with a given step; the step must be above 0.
    pub fn with_step(low: f64, high: f64, step: f64) -> Self {
        Self { step, range: (low, high) }
    }

    /// One level in this many, counted from 0°, is major: so that major levels are round numbers and not too
    /// rare. Every fifth for steps of 1 and 2 × 10ⁿ, every second for steps of 5 × 10ⁿ.
    pub fn major_every(&self) -> i64 {
        let mantissa = self.step / 10_f64.powf(self.step.log10().floor());
        if mantissa.round() == 5.0 { 2 } else { 5 }
    }

    /// Distance between major levels, degrees.
    pub fn major_step(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "2 or 5")]
        let every = self.major_every() as f64;
        self.step * every
    }

    /// Each level with whether it is major.
    pub fn iter(&self) -> impl Iterator<Item = (f64, bool)> {
        let every = self.major_every();
        multiples(self.step, self.range.0, self.range.1).map(move |(k, level)| (level, k % every == 0))
    }
}

/// One contour line.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    /// Its level.
    pub level: f64,
    /// Whether it is a major one.
    pub major: bool,
    /// (speed, load) along the line, at least two; in a closed line the last is the first.
    pub points: Vec<(f64, f64)>,
}

/// A place on a line for its label.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Anchor {
    /// Where, in the coordinates of the line.
    pub at: (f64, f64),
    /// Direction of the line there, not normalised.
    pub along: (f64, f64),
}

impl Contour {
    /// Whether the line comes back to its beginning.
    pub fn is_closed(&self) -> bool {
        self.points.len() > 2 && self.points.first() == self.points.last()
    }

    /// The place at `share` (0..=1) of the line's length, measured after scaling speed and load by `scale`.
    pub fn anchor(&self, share: f64, scale: (f64, f64)) -> Anchor {
        let length = |pair: &[(f64, f64)]| ((pair[1].0 - pair[0].0) * scale.0).hypot((pair[1].1 - pair[0].1) * scale.1);
        let mut rest = share * self.points.windows(2).map(length).sum::<f64>();
        let mut found = Anchor { at: self.points.first().copied().unwrap_or_default(), along: (1.0, 0.0) };
        for pair in self.points.windows(2) {
            let piece = length(pair);
            let along = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
            let t = if piece > 0.0 { (rest / piece).min(1.0) } else { 0.0 };
            found = Anchor { at: (pair[0].0 + along.0 * t, pair[0].1 + along.1 * t), along };
            rest -= piece;
            if rest <= 0.0 {
                break;
            }
        }
        found
    }
}

/// The lines along which the bilinear surface of `table` crosses each level, in axis coordinates.
///
/// A point counts as above if its value is at or above the level; a line separates above from below, so that a
/// flat area at the level is outlined where it falls away and nowhere else. In a cell with two opposite corners
/// above, the asymptotic decider (G. Nielson, B. Hamann 1991: the value at the saddle) says which are joined.
/// Every part is given once. A line ends only at the table's border, or at a breakpoint with exactly the level.
///
/// Every vertex has the level's value under [`Table::lookup`] within rounding error: both the crossings of the
/// grid's edges and the points of the hyperbola between them.
///
/// ```
/// use sparkloft::drawing::{Levels, contour_lines};
/// use sparkloft::table::{Axis, Table};
///
/// let (speed, load) = (Axis::new(vec![1000.0, 2000.0])?, Axis::new(vec![20.0, 100.0])?);
/// let table = Table::from_fn(speed, load, |speed_rpm, _| speed_rpm / 100.0)?;
/// let lines = contour_lines(&table, &Levels::with_step(10.0, 20.0, 4.0));
/// assert_eq!(lines.iter().map(|line| line.level).collect::<Vec<_>>(), [12.0, 16.0, 20.0]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn contour_lines(table: &Table, levels: &Levels) -> Vec<Contour> {
    let levels: Vec<(f64, bool)> = levels.iter().collect();
    let mut lines = Vec::new();
    for (cells, &(level, major)) in crossed_cells(table, &levels).iter().zip(&levels) {
        let tracer = Tracer::new(table, level, cells);
        lines.extend(tracer.lines().into_iter().map(|points| Contour { level, major, points }));
    }
    lines
}

/// For each of these ascending levels the cells, (column, row), that it crosses: most cells are crossed by few levels, and
/// most of the time would go into looking at the others.
fn crossed_cells(table: &Table, levels: &[(f64, bool)]) -> Vec<Vec<(usize, usize)>> {
    let mut cells = vec![Vec::new(); levels.len()];
    for row in 0..table.load().len() - 1 {
        let (below, above) = (table.row(row), table.row(row + 1));
        for (column, pairs) in below.windows(2).zip(above.windows(2)).enumerate() {
            let corners = [pairs.0[0], pairs.0[1], pairs.1[0], pairs.1[1]];
            let low = corners.into_iter().fold(f64::INFINITY, f64::min);
            let high = corners.into_iter().fold(f64::NEG_INFINITY, f64::max);
            let from = levels.partition_point(|&(level, _)| level <= low);
            let crossed = levels.iter().zip(&mut cells).skip(from).take_while(|((level, _), _)| *level <= high);
            crossed.for_each(|(_, cells)| cells.push((column, row)));
        }
    }
    cells
}

/// A place where a line meets the grid: inside an edge, or at a breakpoint with exactly the level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Node {
    /// Between columns `.0` and `.0 + 1` on row `.1`.
    AlongSpeed(usize, usize),
    /// Between rows `.1` and `.1 + 1` on column `.0`.
    AlongLoad(usize, usize),
    /// At column `.0`, row `.1`.
    Breakpoint(usize, usize),
}

/// A piece of a line in the cell whose lowest corner is `cell` = (column, row).
#[derive(Clone, Copy, Debug)]
struct Piece {
    ends: (Node, Node),
    cell: (usize, usize),
}

/// Whether both are breakpoints, in different rows and columns.
fn is_diagonal(a: Node, b: Node) -> bool {
    matches!((a, b), (Node::Breakpoint(i, j), Node::Breakpoint(k, l)) if i != k && j != l)
}

struct Tracer<'a> {
    table: &'a Table,
    level: f64,
    pieces: Vec<Piece>,
}

impl<'a> Tracer<'a> {
    fn new(table: &'a Table, level: f64, crossed: &[(usize, usize)]) -> Self {
        let mut tracer = Self { table, level, pieces: Vec::new() };
        let mut known = BTreeSet::new();
        for &cell in crossed {
            tracer.march(cell, &mut known);
        }
        tracer
    }

    /// How far the value at a breakpoint is above the level.
    fn height(&self, column: usize, row: usize) -> f64 {
        self.table.row(row)[column] - self.level
    }

    /// Adds the pieces of one cell that its neighbours have not added already.
    fn march(&mut self, cell: (usize, usize), known: &mut BTreeSet<(Node, Node)>) {
        let (i, j) = cell;
        let corners = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)];
        let h = corners.map(|(column, row)| self.height(column, row));
        let above = h.map(|height| height >= 0.0);
        let edge = |k: usize| self.crossing(corners[k], corners[(k + 1) % 4]);
        let crossed: Vec<usize> = (0..4).filter(|&k| above[k] != above[(k + 1) % 4]).collect();
        let pairs = match crossed.as_slice() {
            [] => return,
            [from, to] => vec![(edge(*from), edge(*to))],
            _ => {
                let joined_above = h[0] * h[2] - h[1] * h[3] >= 0.0;
                // The product's sign is that of the saddle's height when corners 0 and 2 are above, else opposite.
                let joined = if above[0] { joined_above } else { !joined_above };
                if above[0] == joined {
                    vec![(edge(0), edge(1)), (edge(2), edge(3))]
                } else {
                    vec![(edge(3), edge(0)), (edge(1), edge(2))]
                }
            }
        };
        for (a, b) in pairs {
            // With three corners at the level, the line follows the two edges between them.
            let mut between = (0..4).map(|k| (k, Node::Breakpoint(corners[k].0, corners[k].1)));
            let corner = between.find(|&(k, node)| h[k] == 0.0 && node != a && node != b).map(|(_, node)| node);
            match corner.filter(|_| is_diagonal(a, b)) {
                Some(corner) => {
                    self.add(a, corner, cell, known);
                    self.add(corner, b, cell, known);
                }
                None => self.add(a, b, cell, known),
            }
        }
    }

    fn add(&mut self, a: Node, b: Node, cell: (usize, usize), known: &mut BTreeSet<(Node, Node)>) {
        let ends = (a.min(b), a.max(b));
        if a != b && known.insert(ends) {
            self.pieces.push(Piece { ends, cell });
        }
    }

    /// Where the line crosses the edge between two neighbouring breakpoints, one above and one below.
    fn crossing(&self, a: (usize, usize), b: (usize, usize)) -> Node {
        let (low, high) = (a.min(b), a.max(b));
        if self.height(low.0, low.1) == 0.0 {
            return Node::Breakpoint(low.0, low.1);
        }
        if self.height(high.0, high.1) == 0.0 {
            return Node::Breakpoint(high.0, high.1);
        }
        if low.1 == high.1 { Node::AlongSpeed(low.0, low.1) } else { Node::AlongLoad(low.0, low.1) }
    }

    fn place(&self, node: Node) -> (f64, f64) {
        let (x, y) = (self.table.speed().breakpoints(), self.table.load().breakpoints());
        let share = |from: f64, to: f64| from / (from - to);
        match node {
            Node::Breakpoint(i, j) => (x[i], y[j]),
            Node::AlongSpeed(i, j) => {
                let t = share(self.height(i, j), self.height(i + 1, j));
                (x[i] + (x[i + 1] - x[i]) * t, y[j])
            }
            Node::AlongLoad(i, j) => {
                let t = share(self.height(i, j), self.height(i, j + 1));
                (x[i], y[j] + (y[j + 1] - y[j]) * t)
            }
        }
    }

    /// Joins the pieces: first into the lines that end somewhere, then into the closed ones.
    fn lines(&self) -> Vec<Vec<(f64, f64)>> {
        let mut at: BTreeMap<Node, Vec<usize>> = BTreeMap::new();
        for (index, piece) in self.pieces.iter().enumerate() {
            at.entry(piece.ends.0).or_default().push(index);
            at.entry(piece.ends.1).or_default().push(index);
        }
        let mut used = vec![false; self.pieces.len()];
        let ends = at.iter().filter(|(_, pieces)| pieces.len() != 2);
        let starts: Vec<Node> = ends.chain(at.iter()).flat_map(|(&node, pieces)| vec![node; pieces.len()]).collect();
        starts.into_iter().filter_map(|start| self.walk(start, &at, &mut used)).collect()
    }

    /// Follows unused pieces from `start` until the line ends, branches or closes.
    fn walk(&self, start: Node, at: &BTreeMap<Node, Vec<usize>>, used: &mut [bool]) -> Option<Vec<(f64, f64)>> {
        let mut points = vec![self.place(start)];
        let mut node = start;
        let unused = |node: &Node, used: &[bool]| {
            at.get(node).and_then(|pieces| pieces.iter().copied().find(|&index| !used[index]))
        };
        while let Some(index) = unused(&node, used) {
            used[index] = true;
            let piece = self.pieces[index];
            let next = if piece.ends.0 == node { piece.ends.1 } else { piece.ends.0 };
            self.bend(piece.cell, self.place(node), self.place(next), &mut points);
            points.push(self.place(next));
            node = next;
            if at.get(&node).is_none_or(|pieces| pieces.len() != 2) {
                break;
            }
        }
        points.dedup();
        (points.len() > 1).then_some(points)
    }

    /// Adds vertices on the hyperbola between two points of a line on the border of a cell.
    ///
    /// With u, v in 0..=1 across the cell: h = a + b·u + (c + d·u)·v = 0. One branch is monotone in u and v, so
    /// the one that changes more is used as the parameter.
    fn bend(&self, (i, j): (usize, usize), from: (f64, f64), to: (f64, f64), points: &mut Vec<(f64, f64)>) {
        let (x, y) = (self.table.speed().breakpoints(), self.table.load().breakpoints());
        let a = self.height(i, j);
        let (b, c) = (self.height(i + 1, j) - a, self.height(i, j + 1) - a);
        let d = self.height(i + 1, j + 1) - a - b - c;
        if d == 0.0 || from.0 == to.0 || from.1 == to.1 {
            return;
        }
        let (width, depth) = (x[i + 1] - x[i], y[j + 1] - y[j]);
        let unit = |(px, py): (f64, f64)| ((px - x[i]) / width, (py - y[j]) / depth);
        let ((u0, v0), (u1, v1)) = (unit(from), unit(to));
        for step in 1..=BETWEEN {
            let t = f64::from(step) / f64::from(BETWEEN + 1);
            let (u, v) = if (u1 - u0).abs() >= (v1 - v0).abs() {
                let u = u0 + (u1 - u0) * t;
                (u, -(a + b * u) / (c + d * u))
            } else {
                let v = v0 + (v1 - v0) * t;
                (-(a + c * v) / (b + d * v), v)
            };
            let inside = u >= u0.min(u1) && u <= u0.max(u1) && v >= v0.min(v1) && v <= v0.max(v1);
            // Close to a saddle the division loses precision; such a vertex is left out without breaking the
            // line.
            let point = (x[i] + width * u, y[j] + depth * v);
            let scale = a.abs().max(b.abs()).max(c.abs()).max(1.0);
            if inside && (self.table.lookup(point.0, point.1) - self.level).abs() <= 1e-11 * scale {
                points.push(point);
            }
        }
    }
}

#[cfg(test)]
mod tests;
