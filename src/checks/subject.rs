//! The project being checked, with the questions that several checks ask.

use std::cell::{Cell as Mutable, OnceCell};
use std::ops::Deref;

use super::Spot;
use super::finding::Place;
use super::margin::{Bound, Margin};
use crate::image::{Image, ImageError, encode_or_all_faults};
use crate::project::{Combustion, FindingPlace, LoadKind, Looser, Origin, Project, Threshold};
use crate::shaping::Along;
use crate::table::{Cell, Table};
use crate::watch::Watch;
use crate::wording::{Unit, point, quantity, range};
use crate::worksheet::{ProjectOpinion, WhatIf};

/// The project being checked.
#[derive(Debug)]
pub(super) struct Subject<'a> {
    pub(super) project: &'a Project,
    /// Made once for all checks that look at it: it is the dearest thing that they ask for.
    image: OnceCell<Result<Image, Vec<ImageError>>>,
    /// The second opinion, made once too; `None` until somebody has described the engine for it.
    opinion: OnceCell<Option<ProjectOpinion>>,
    /// What came nearest to its bound, or farthest beyond it, since a check began.
    nearest: Mutable<Option<Margin>>,
}

impl Deref for Subject<'_> {
    type Target = Project;

    fn deref(&self) -> &Project {
        self.project
    }
}

impl<'a> Subject<'a> {
    pub(super) const fn new(project: &'a Project) -> Self {
        Self { project, image: OnceCell::new(), opinion: OnceCell::new(), nearest: Mutable::new(None) }
    }

    /// The project's image, or why it makes none.
    pub(super) fn image(&self) -> Result<&Image, &[ImageError]> {
        self.image.get_or_init(|| encode_or_all_faults(self.project)).as_ref().map_err(Vec::as_slice)
    }

    /// The second opinion on the project. Nobody is told an opinion that they have not asked for: it takes a value of
    /// `combustion` that somebody gave.
    pub(super) fn opinion(&self) -> Option<&ProjectOpinion> {
        let make = || {
            let is_asked_for = self.project.combustion != Combustion::default();
            is_asked_for.then(|| ProjectOpinion::of(self.project, WhatIf::default(), Watch::NOBODY).ok()).flatten()
        };
        self.opinion.get_or_init(make).as_ref()
    }

    /// Whether a value is beyond the most that is allowed by more than rounding error. Checks compare what their margin
    /// tells with this and [`Self::is_under`], so that margin and findings are of one computation.
    pub(super) fn is_over(&self, value: f64, most: Bound) -> bool {
        self.compare(most.margin(value, Looser::Above))
    }

    /// Whether a value is below the least that is wanted by more than rounding error.
    pub(super) fn is_under(&self, value: f64, least: Bound) -> bool {
        self.compare(least.margin(value, Looser::Below))
    }

    fn compare(&self, margin: Margin) -> bool {
        if self.nearest.get().is_none_or(|nearest| margin.is_nearer_than(&nearest)) {
            self.nearest.set(Some(margin));
        }
        !margin.is_kept()
    }

    /// What came nearest to its bound since this was asked last.
    pub(super) fn take_nearest(&self) -> Option<Margin> {
        self.nearest.take()
    }

    /// The value of a threshold in this project.
    pub(super) fn threshold(&self, threshold: &Threshold) -> f64 {
        threshold.of(self.project)
    }

    /// The bound that a threshold of the check is in this project.
    pub(super) fn bound(&self, threshold: &'static Threshold) -> Bound {
        let unit = threshold.unit_in(self.project);
        Bound { allowed: threshold.of(self.project), unit, set_by: Some(threshold) }
    }

    pub(super) fn table(&self) -> &Table {
        self.project.advance.table()
    }

    pub(super) fn speed_rpm(&self, column: usize) -> f64 {
        self.table().speed().breakpoints().get(column).copied().unwrap_or_default()
    }

    pub(super) fn load(&self, row: usize) -> f64 {
        self.table().load().breakpoints().get(row).copied().unwrap_or_default()
    }

    /// A load with its unit.
    pub(super) fn load_words(&self, load: f64) -> String {
        quantity(load, self.sensors.load.unit())
    }

    /// '3800 rpm, 18 %'.
    pub(super) fn point_words(&self, speed_rpm: f64, load: f64) -> String {
        point(speed_rpm, load, self.sensors.load.unit())
    }

    /// A place in the advance table. The cells are sorted and made unique; the words are their bounds.
    pub(super) fn cells(&self, mut cells: Vec<Cell>) -> Place {
        cells.sort_unstable();
        cells.dedup();
        let bounds = |of: fn(&Cell) -> usize| {
            let places = cells.iter().map(of);
            (places.clone().min().unwrap_or_default(), places.max().unwrap_or_default())
        };
        let (low, high) = bounds(|cell| cell.speed);
        let speeds_rpm = (self.speed_rpm(low), self.speed_rpm(high));
        let (low, high) = bounds(|cell| cell.load);
        let loads = (self.load(low), self.load(high));
        let words = format!("{}, {}", range(speeds_rpm, Unit::Rpm), range(loads, self.sensors.load.unit()));
        let known_by = FindingPlace::cells(speeds_rpm, loads);
        Place { spot: Spot::Cells(cells), along: None, words, known_by }
    }

    /// The middle of the load axis: from there up the engine works hard.
    pub(super) fn high_load(&self) -> f64 {
        let loads = self.table().load();
        f64::midpoint(loads.first(), loads.last())
    }

    /// Whether a load is above atmospheric pressure.
    pub(super) fn is_boost(&self, load: f64) -> bool {
        self.sensors.load == LoadKind::Pressure && load > 100.0
    }

    /// The most that both trims add at a load, at any temperature; 0 or more, since a trim may also be left out.
    pub(super) fn most_trim_deg(&self, load: f64) -> f64 {
        self.trims.most_deg(load)
    }

    /// The last row, or column, without extended cells, and the extended cells beyond it; `None` if there is no
    /// such row or column. Lines in the other direction that are extended from end to end are ignored.
    pub(super) fn tried_up_to(&self, along: Along) -> Option<(usize, Vec<Cell>)> {
        let (count, across) = (along.axis(self.table()).len(), along.across().axis(self.table()).len());
        let cell = |place: usize, line: usize| match along {
            Along::Speed => Cell::new(line, place),
            Along::Load => Cell::new(place, line),
        };
        let is_extended = |&cell: &Cell| self.advance.origin(cell) == Origin::Extended;
        let lines: Vec<usize> =
            (0..across).filter(|&line| (0..count).any(|place| !is_extended(&cell(place, line)))).collect();
        let is_untried = |place: usize| lines.iter().any(|&line| is_extended(&cell(place, line)));
        let tried = (0..count).rev().find(|&place| !is_untried(place))?;
        let beyond = (tried + 1..count).flat_map(|place| lines.iter().map(move |&line| cell(place, line)));
        Some((tried, beyond.filter(is_extended).collect()))
    }

    /// Breakpoints of the trims' weights: together with those of the table, all loads at which the sum of both
    /// may bend.
    pub(super) fn loads_of_sum(&self) -> Vec<f64> {
        self.trims.loads_of_sum(self.table().load())
    }
}

/// Sorts, and removes duplicates.
pub(super) fn sort(values: &mut Vec<f64>) {
    values.sort_by(f64::total_cmp);
    values.dedup();
}

/// '28.5°'.
pub(super) fn degrees(deg: f64) -> String {
    quantity(deg, Unit::Degree)
}

/// '3800 rpm'.
pub(super) fn rpm(speed_rpm: f64) -> String {
    quantity(speed_rpm, Unit::Rpm)
}
