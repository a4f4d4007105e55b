//! What a check noticed: how bad it is, where, why it matters, what to do. Adjacent faults of one kind become one
//! finding.

use std::collections::BTreeMap;

use super::margin::{Bound, found};
use super::{Cure, Threshold};
use crate::compare::Section;
use crate::drawing::MarkShape;
use crate::project::FindingPlace;
use crate::shaping::Along;
use crate::table::{Cell, connected};
use crate::wording::{Unit, count, quantity};

/// How bad a finding is; the worst comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// It will harm the engine or make the image useless.
    Error,
    /// It is probably wrong.
    Warning,
    /// It is worth knowing.
    Note,
}

impl Severity {
    /// Every severity, the worst first.
    pub const ALL: [Self; 3] = [Self::Error, Self::Warning, Self::Note];

    /// Its name in files and on the screen.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }

    /// The shape of its mark.
    pub const fn shape(self) -> MarkShape {
        match self {
            Self::Error => MarkShape::Octagon,
            Self::Warning => MarkShape::Triangle,
            Self::Note => MarkShape::Ring,
        }
    }
}

/// What a finding is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Spot {
    /// Cells of the advance table, row by row.
    Cells(Vec<Cell>),
    /// A field of the setup by its dotted path.
    Field(String),
}

/// Where a finding is.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// What it is about.
    pub spot: Spot,
    /// The axis whose breakpoints it is about rather than the values of the cells in their rows or columns.
    pub along: Option<Along>,
    /// The place in words: '3800 rpm, 18 %', 'fan'.
    pub words: String,
    /// The place as data: together with the check's id it identifies an accepted finding.
    pub known_by: FindingPlace,
}

impl Place {
    pub(super) fn field(path: impl Into<String>, words: impl Into<String>) -> Self {
        let path = path.into();
        Self { known_by: FindingPlace::field(&*path), spot: Spot::Field(path), along: None, words: words.into() }
    }

    /// What it belongs to, if the field does not say.
    pub(super) fn of(mut self, whose: impl Into<String>) -> Self {
        self.known_by.of = whose.into();
        self
    }

    /// About the breakpoints of its rows or columns.
    pub(super) fn of_axis(mut self, along: Along) -> Self {
        self.along = Some(along);
        self
    }

    /// Where on the curve of the field.
    pub(super) fn at(mut self, point: f64) -> Self {
        self.known_by.at = Some(point);
        self
    }

    /// The section of the project in which it is.
    pub fn section(&self) -> Section {
        let part = match &self.spot {
            Spot::Cells(_) => return Section::Advance,
            Spot::Field(path) => path.split(['.', '[']).next().unwrap_or_default(),
        };
        // The last export cannot be taken back as a section of its own; it belongs to the image.
        Section::of_part(part).unwrap_or(Section::Image)
    }

    /// The rows or columns whose breakpoints it is about, in order; none for anything else.
    pub fn breakpoints(&self) -> Vec<(Along, usize)> {
        let Some(along) = self.along else { return Vec::new() };
        let line = |cell: &Cell| match along {
            Along::Speed => cell.speed,
            Along::Load => cell.load,
        };
        let mut lines: Vec<usize> = self.cells().iter().map(line).collect();
        lines.sort_unstable();
        lines.dedup();
        lines.into_iter().map(|line| (along, line)).collect()
    }

    /// The cells that it is about; none for a field.
    pub fn cells(&self) -> &[Cell] {
        match &self.spot {
            Spot::Cells(cells) => cells,
            Spot::Field(_) => &[],
        }
    }
}

/// A finding before the check's name is added to it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Noticed {
    pub(super) severity: Severity,
    pub(super) place: Place,
    /// A sentence without a full stop.
    pub(super) message: String,
    pub(super) remedy: String,
    pub(super) value: f64,
    /// What the value was compared with; its unit is none if both only distinguish states and the message says it all.
    pub(super) bound: Bound,
    pub(super) cure: Option<Cure>,
}

/// Something that a check found.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The check's id.
    pub id: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// Where it is.
    pub place: Place,
    /// What was found: a sentence without a full stop.
    pub message: String,
    /// Why it matters: one sentence.
    pub why: &'static str,
    /// What to do: one sentence.
    pub remedy: String,
    /// The value found.
    pub value: f64,
    /// The threshold that it was compared with.
    pub threshold: f64,
    /// The unit of both; none if they only distinguish states and the message says it all.
    pub unit: Unit,
    /// The threshold of its check that it was held against; `None` if that was none, or computed from one.
    pub set_by: Option<&'static Threshold>,
    /// The remedy that the program can carry out, where there is one.
    pub cure: Option<Cure>,
    /// The reason with which it was accepted, if it was and its value has not changed since.
    pub accepted: Option<String>,
}

impl Finding {
    /// The value found and the threshold, each with its unit: '60.5°', '1 reading'. `None` if the message says
    /// it all.
    pub fn figures(&self) -> Option<[String; 2]> {
        let unit = self.unit;
        (!unit.is_none()).then(|| [found(self.value, self.threshold, unit), quantity(self.threshold, unit)])
    }

    /// Whether it is an error that nobody accepted.
    pub fn is_open_error(&self) -> bool {
        self.is_open() && self.severity == Severity::Error
    }

    /// Whether it still asks for something to be done.
    pub const fn is_open(&self) -> bool {
        self.accepted.is_none()
    }
}

/// The cells whose values open findings are about, in order, each with the worst severity. Findings about breakpoints are
/// not among them.
pub fn worst_by_cell(findings: &[Finding]) -> Vec<(Cell, Severity)> {
    let open = findings.iter().filter(|finding| finding.is_open() && finding.place.along.is_none());
    let of = |finding: &Finding| -> Vec<(Cell, Severity)> {
        finding.place.cells().iter().map(|&cell| (cell, finding.severity)).collect()
    };
    let mut marks: Vec<(Cell, Severity)> = open.flat_map(of).collect();
    // For each cell the worst is first, and is kept.
    marks.sort_unstable();
    marks.dedup_by_key(|(cell, _)| *cell);
    marks
}

/// How many findings are open, by severity.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Open errors.
    pub errors: usize,
    /// Open warnings.
    pub warnings: usize,
    /// Open notes.
    pub notes: usize,
}

impl Tally {
    /// Counts the open ones.
    pub fn of(findings: &[Finding]) -> Self {
        let count =
            |severity| findings.iter().filter(|finding| finding.is_open() && finding.severity == severity).count();
        Self { errors: count(Severity::Error), warnings: count(Severity::Warning), notes: count(Severity::Note) }
    }

    /// Counts by severity.
    pub fn of_severities(all: impl Iterator<Item = Severity>) -> Self {
        let mut tally = Self::default();
        for severity in all {
            match severity {
                Severity::Error => tally.errors += 1,
                Severity::Warning => tally.warnings += 1,
                Severity::Note => tally.notes += 1,
            }
        }
        tally
    }

    /// The worst severity that occurs.
    pub fn worst(self) -> Option<Severity> {
        Severity::ALL.into_iter().find(|&severity| self.count(severity) > 0)
    }

    /// How many there are of one severity.
    pub const fn count(self, severity: Severity) -> usize {
        match severity {
            Severity::Error => self.errors,
            Severity::Warning => self.warnings,
            Severity::Note => self.notes,
        }
    }

    /// How many there are in all.
    pub const fn total(self) -> usize {
        self.errors + self.warnings + self.notes
    }

    /// '2 warnings, 1 note'; 'no findings'.
    pub fn words(self) -> String {
        let part = |severity: Severity| match self.count(severity) {
            0 => None,
            number => Some(count(number, severity.name())),
        };
        let parts: Vec<String> = Severity::ALL.into_iter().filter_map(part).collect();
        if parts.is_empty() { "no findings".into() } else { parts.join(", ") }
    }
}

/// A group of adjacent faults.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Region {
    /// The cell of each, in order, and how bad it is.
    pub(super) faults: Vec<(Cell, f64)>,
}

impl Region {
    /// The largest by magnitude; of equal ones the first.
    pub(super) fn worst(&self) -> (Cell, f64) {
        let mut faults = self.faults.iter().copied();
        let first = faults.next().unwrap_or((Cell::new(0, 0), 0.0));
        faults.fold(first, |worst, next| if next.1.abs() > worst.1.abs() { next } else { worst })
    }

    pub(super) fn cells(&self) -> impl Iterator<Item = Cell> + '_ {
        self.faults.iter().map(|(cell, _)| *cell)
    }
}

/// Groups faults that share a side. The regions are in the order of their first cells.
pub(super) fn regions(faults: impl IntoIterator<Item = (Cell, f64)>) -> Vec<Region> {
    let faults: BTreeMap<Cell, f64> = faults.into_iter().collect();
    let groups = connected(faults.keys().copied(), |_, _| true).into_iter();
    groups
        .map(|group| Region {
            faults: group.into_iter().filter_map(|cell| Some((cell, *faults.get(&cell)?))).collect(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{only, sound};

    #[test]
    fn figures_read_well() {
        let never = sound().edit(|parts| parts.timing_light.readings.clear()).unwrap();
        let found = only(&never, "zero_proof");
        assert_eq!(found.figures().unwrap(), ["0 readings", "1 reading"]);
        let steep = Finding { value: 15.25, threshold: 15.0, unit: Unit::DegreePer1000Rpm, ..found.clone() };
        assert_eq!(steep.figures().unwrap(), ["15.25°/1000 rpm", "15.0°/1000 rpm"]);
        let crowded = Finding { value: 6.451_612_9, threshold: 5.0, unit: Unit::Percent, ..found.clone() };
        assert_eq!(crowded.figures().unwrap(), ["6.5 %", "5 %"]);
        assert_eq!(Finding { unit: Unit::None, ..found }.figures(), None);
    }

    #[test]
    fn the_count_reads_well() {
        assert_eq!(Tally::default().words(), "no findings");
        assert_eq!(Tally { errors: 1, warnings: 0, notes: 3 }.words(), "1 error, 3 notes");
        assert_eq!(Tally { errors: 0, warnings: 2, notes: 1 }.words(), "2 warnings, 1 note");
        assert!(Severity::Error < Severity::Warning && Severity::Warning < Severity::Note);
    }

    #[test]
    fn sides_join_and_corners_do_not() {
        let faults = [(0, 0, 1.0), (0, 1, -3.0), (1, 2, 2.0), (2, 2, 2.5)];
        let found = regions(faults.map(|(load, speed, deg)| (Cell::new(load, speed), deg)));
        assert_eq!(found.iter().map(|region| region.faults.len()).collect::<Vec<_>>(), [2, 2]);
        assert_eq!(found[0].worst(), (Cell::new(0, 1), -3.0));
        assert_eq!(found[1].cells().collect::<Vec<_>>(), [Cell::new(1, 2), Cell::new(2, 2)]);
    }
}
