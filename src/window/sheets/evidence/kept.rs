//! Judged sweeps in the form that the parts of the sheet show.

use std::collections::HashMap;
use std::sync::Arc;

use crate::drawing::{ReadingMark, SweepLines};
use crate::project::{KeptSweep, MeasuredPoint, Project, TorqueKind};
use crate::window::state::evidence_state::SweptPoint;
use crate::window::views::view::View;
use crate::wording::{Unit, free_name, point as place_words, quantity, rounded};
use crate::worksheet::{
    Counts, Gravity, PointReading, ReadingUse, SweepAnswer, SweepChoice, SweepPoint, SweepState, Verdict,
};

/// The scales reach at least over these degrees, and down to this % of the top.
const LEAST_ALONG_DEG: f64 = 20.0;
const USUAL_LOW_PCT: f64 = 90.0;
const LEAST_LOW_PCT: f64 = 70.0;
const TOP_PCT: f64 = 101.0;
/// The scales end at multiples of so many degrees or %.
const STEP: f64 = 5.0;
/// A curve is drawn so far beyond its readings, in steps of this.
const BEYOND_DEG: f64 = 6.0;
const CURVE_STEP_DEG: f64 = 0.25;

/// Every sweep of the project, judged.
#[derive(Clone, Default)]
pub(super) struct Kept {
    /// Which of the answers so far this is.
    pub(super) serial: u64,
    /// In the order in which they were read.
    pub(super) frames: Vec<Frame>,
    /// The degrees that all frames show.
    pub(super) along_deg: (f64, f64),
    /// The % of the top that all frames show.
    pub(super) up_pct: (f64, f64),
    /// Readings that belong to no operating point, and sweeps that cannot be judged, in words.
    pub(super) remarks: Vec<String>,
}

/// What a reading is used for.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Use {
    Counts,
    Doubtful,
    /// Why it does not count.
    LeftOut(String),
}

/// A reading of a sweep.
#[derive(Clone, Debug)]
pub(super) struct ReadingRow {
    /// The name of the kept sweep that it is of: a later one where it completes a point.
    pub(super) sweep: String,
    /// Its place among the readings of that sweep, from 0; several for what was read off a pull.
    pub(super) indices: Vec<usize>,
    /// Its number among them, from 1; with the sweep's name where that is a later one.
    pub(super) order: String,
    pub(super) advance_deg: f64,
    pub(super) torque: f64,
    /// Torque in % of the top, and how far off the curve it lies.
    pub(super) share_pct: Option<f64>,
    pub(super) off_pct: Option<f64>,
    pub(super) knock: Option<f64>,
    pub(super) used: Use,
    /// Whether somebody left it out.
    pub(super) is_by_hand: bool,
}

impl ReadingRow {
    pub(super) fn knocked(&self) -> bool {
        self.knock.is_some_and(|times| times > 0.0)
    }
}

/// One operating point with everything that is shown of it.
#[derive(Clone)]
pub(super) struct Frame {
    pub(super) key: SweptPoint,
    pub(super) speed_rpm: f64,
    pub(super) load: f64,
    pub(super) lines: SweepLines,
    pub(super) rows: Vec<ReadingRow>,
    pub(super) verdicts: Vec<(Gravity, String)>,
    pub(super) best_deg: Option<f64>,
    pub(super) next_deg: Vec<f64>,
    /// What the table has there; `None` beyond its axes.
    pub(super) table_deg: Option<f64>,
    /// The point of the project that was taken from it.
    own: Option<Arc<MeasuredPoint>>,
    kind: TorqueKind,
    point: SweepPoint,
    /// What would be put into the points, for each choice.
    measured: [Vec<MeasuredPoint>; 3],
}

impl Kept {
    /// A point is called by its place, and where that name is another's, by its sweep as well: points of two days stay two.
    pub(super) fn take(
        &mut self,
        (sweep, all): (&KeptSweep, &[Arc<KeptSweep>]),
        answer: &SweepAnswer,
        others: &[String],
    ) {
        self.remarks.extend(answer.notes.iter().map(|note| format!("{}: {}", sweep.name, note.words())));
        for point in &answer.points {
            let name = answer.name_of(point);
            let measured = SweepChoice::ALL.map(|choice| answer.measured_of(point, choice, all));
            let is_taken = |name: &str| {
                others.iter().any(|other| other == name) || self.frames.iter().any(|frame| frame.key.point == name)
            };
            let of_day = format!("{name}, {}", sweep.name);
            let own = if is_taken(&name) { free_name(&of_day, is_taken) } else { name.clone() };
            let measured = measured.map(|points| {
                let renamed =
                    |point: MeasuredPoint| MeasuredPoint { name: point.name.replacen(&name, &own, 1), ..point };
                points.into_iter().map(renamed).collect()
            });
            self.frames.push(Frame::of((sweep, all), own, point.clone(), measured));
        }
    }

    /// The common scales: over all readings that count, ending at round numbers.
    pub(super) fn settle_scales(&mut self) {
        let shown = |frame: &Frame| frame.lines.readings.clone();
        let readings: Vec<(f64, f64, ReadingMark)> = self.frames.iter().flat_map(shown).collect();
        let span = |of: fn(&(f64, f64, ReadingMark)) -> f64| {
            let used = readings.iter().filter(|reading| reading.2 != ReadingMark::LeftOut).map(of);
            used.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
        };
        let (low, high) = span(|reading| reading.0);
        let (low, high) = if low <= high { (low - 2.0, high + 2.0) } else { (10.0, 45.0) };
        let short = (LEAST_ALONG_DEG - (high - low)).max(0.0) / 2.0;
        self.along_deg = (((low - short) / STEP).floor() * STEP, ((high + short) / STEP).ceil() * STEP);
        let lowest = (span(|reading| reading.1).0 / STEP).floor() * STEP;
        self.up_pct = (lowest.clamp(LEAST_LOW_PCT, USUAL_LOW_PCT), TOP_PCT);
    }

    /// Looks up what a project has of every point: table and points may change without the readings.
    pub(super) fn stand_to(&mut self, project: &Project) {
        let table = project.advance.table();
        let points: HashMap<&str, &Arc<MeasuredPoint>> =
            project.evidence.points.iter().map(|point| (point.name.as_str(), point)).collect();
        for frame in &mut self.frames {
            let is_inside = (table.speed().first()..=table.speed().last()).contains(&frame.speed_rpm)
                && (table.load().first()..=table.load().last()).contains(&frame.load);
            frame.table_deg = is_inside.then(|| table.lookup(frame.speed_rpm, frame.load));
            let own = points.get(frame.key.point.as_str()).filter(|point| point.source == frame.key.sweep);
            frame.own = own.map(|point| Arc::clone(point));
        }
    }

    pub(super) fn frame(&self, key: &SweptPoint) -> Option<&Frame> {
        self.frames.iter().find(|frame| frame.key == *key)
    }

    /// '14 points: 11 known, 2 limited by knock, 1 open'.
    pub(super) fn words(&self) -> String {
        let count = |state: SweepState| self.frames.iter().filter(|frame| frame.point.state() == state).count();
        let parts = [
            (SweepState::Known, "known"),
            (SweepState::LimitedByKnock, "limited by knock"),
            (SweepState::Open, "open"),
        ];
        let parts = parts.map(|(state, word)| (count(state), word)).into_iter().filter(|(count, _)| *count > 0);
        let parts: Vec<String> = parts.map(|(count, word)| format!("{count} {word}")).collect();
        format!("{}: {}", crate::wording::count(self.frames.len(), "point"), parts.join(", "))
    }

    /// What the scale of the large plot is.
    pub(super) fn torque_words(&self, frame: &Frame) -> &'static str {
        let _ = self;
        if frame.point.curve.is_some() {
            "torque in % of its top · 95 % band"
        } else {
            "torque in % of the greatest reading"
        }
    }
}

impl Frame {
    fn of(
        (sweep, all): (&KeptSweep, &[Arc<KeptSweep>]),
        name: String,
        point: SweepPoint,
        measured: [Vec<MeasuredPoint>; 3],
    ) -> Self {
        let greatest = point.readings.iter().map(|reading| reading.torque).fold(0.0, f64::max);
        let top = point.curve.as_ref().map_or(greatest, |curve| curve.top);
        let verdicts = point.verdicts.iter().map(|verdict| (verdict.gravity(), verdict.words())).collect();
        Self {
            key: SweptPoint { sweep: sweep.name.clone(), point: name },
            speed_rpm: point.speed_rpm,
            load: point.load,
            lines: lines(&point, top),
            rows: point.readings.iter().map(|reading| row(reading, (&point, top), all)).collect(),
            verdicts,
            best_deg: point.curve.as_ref().map(|curve| curve.best_deg),
            next_deg: point.next_deg.clone(),
            table_deg: None,
            own: None,
            kind: sweep.torque_kind,
            measured,
            point,
        }
    }

    /// '4200 rpm, 75 %'.
    pub(super) fn title(&self, view: &View<'_>) -> String {
        place_words(rounded(self.speed_rpm, 0), rounded(self.load, 1), view.project.sensors.load.unit())
    }

    /// The heading of the column of torques.
    pub(super) fn torque_name(&self) -> &'static str {
        match self.kind {
            TorqueKind::TorqueNm | TorqueKind::PowerKw => "torque Nm",
            TorqueKind::Brake => "brake",
        }
    }

    /// The word in the corner of a frame.
    pub(super) fn word(&self) -> &'static str {
        match self.point.state() {
            SweepState::Known => "known",
            SweepState::LimitedByKnock => "knock",
            SweepState::Open => "open",
        }
    }

    pub(super) fn is_open(&self) -> bool {
        self.point.state() == SweepState::Open
    }

    pub(super) fn is_limited_by_knock(&self) -> bool {
        self.point.state() == SweepState::LimitedByKnock
    }

    /// The advance that would be used.
    pub(super) fn choice_deg(&self, choice: SweepChoice) -> Option<f64> {
        self.point.chosen(choice).deg
    }

    /// The word for the advance that would be used: knock may be what decides.
    pub(super) fn choice_word(&self, choice: SweepChoice) -> &'static str {
        match self.point.chosen(choice).counts {
            Counts::Knock(_) => "below knock",
            _ if choice == SweepChoice::Least => "least",
            _ => choice.words(),
        }
    }

    /// The interval of that advance; `None` at an end that nobody knows.
    pub(super) fn choice_interval(&self, choice: SweepChoice) -> (Option<f64>, Option<f64>) {
        match self.point.chosen(choice).counts {
            Counts::About { low_deg, high_deg, .. } => (Some(low_deg), Some(high_deg)),
            Counts::AtLeast(deg) => (Some(deg), None),
            Counts::AtMost(deg) | Counts::Knock(deg) => (None, Some(deg)),
            Counts::Nothing => (None, None),
        }
    }

    /// Torque at an advance, in % of the top.
    pub(super) fn share_at(&self, deg: f64) -> Option<f64> {
        let curve = self.point.curve.as_ref()?;
        Some(100.0 * curve.torque_at(deg) / curve.top)
    }

    /// What would be put into the points.
    pub(super) fn measured(&self, choice: SweepChoice) -> &[MeasuredPoint] {
        let [least, best, knock] = &self.measured;
        match choice {
            SweepChoice::Least => least,
            SweepChoice::Best => best,
            SweepChoice::Knock => knock,
        }
    }

    /// Whether its point is among the project's and in use.
    pub(super) fn is_taken(&self) -> bool {
        self.own.as_ref().is_some_and(|point| point.in_use)
    }

    /// Why it was rejected, if it was.
    pub(super) fn rejected(&self) -> Option<&str> {
        self.own.as_ref().filter(|point| !point.in_use).map(|point| point.note.as_str())
    }

    /// 'Sweep at 4200 rpm, 75 %: known, 25°'.
    pub(super) fn name_words(&self, view: &View<'_>, choice: SweepChoice) -> String {
        let deg = self
            .choice_deg(choice)
            .map_or_else(String::new, |deg| format!(", {}", quantity(rounded(deg, 2), Unit::Degree)));
        let taken = if self.is_taken() { ", taken" } else { "" };
        format!("Sweep at {}: {}{deg}{taken}", self.title(view), self.word())
    }

    /// '4200 rpm, 75 %: best torque 30.7°, least 25.0°, table 25.1°', for the status line.
    pub(super) fn status_words(&self, view: &View<'_>) -> String {
        let choice = view.screen.evidence.choice;
        let degrees = |deg: f64| quantity(rounded(deg, 1), Unit::Degree);
        let best = self.best_deg.map(|deg| format!("best torque {}", degrees(deg)));
        let chosen = self.choice_deg(choice).map(|deg| format!("{} {}", self.choice_word(choice), degrees(deg)));
        let table = self.table_deg.map(|deg| format!("table {}", degrees(deg)));
        let pointed = view.screen.evidence.pointed_deg.and_then(|deg| Some((deg, self.share_at(deg)?)));
        let there = pointed.map(|(deg, pct)| {
            format!("{} gives {} of the top", degrees(deg), quantity(rounded(pct, 1), Unit::Percent))
        });
        let parts: Vec<String> = [best, chosen, table, there].into_iter().flatten().collect();
        format!("{}: {}", self.title(view), parts.join(" · "))
    }

    /// The same with the table and the first verdict.
    pub(super) fn told(&self, view: &View<'_>, choice: SweepChoice) -> String {
        let table = self
            .table_deg
            .map_or_else(String::new, |deg| format!(", table {}", quantity(rounded(deg, 1), Unit::Degree)));
        let rejected = self.rejected().map_or_else(String::new, |why| format!("\nRejected: {why}."));
        let first = self.verdicts.first().map_or("", |(_, words)| words.as_str());
        let held = self.point.held_words(view.project.sensors.load.unit());
        format!("{}{table}, held within {held}.\n{first}{rejected}", self.name_words(view, choice))
    }
}

fn lines(point: &SweepPoint, top: f64) -> SweepLines {
    let pct = |torque: f64| 100.0 * torque / top;
    let mark = |reading: &PointReading| match reading.usage {
        ReadingUse::LeftOut | ReadingUse::LeftOutByHand(_) => ReadingMark::LeftOut,
        _ if reading.knock.is_some_and(|times| times > 0.0) => ReadingMark::Knock,
        ReadingUse::Used | ReadingUse::Doubtful | ReadingUse::FarFromTop => ReadingMark::Used,
    };
    let readings = point.readings.iter().map(|reading| (reading.advance_deg, pct(reading.torque), mark(reading)));
    let mut lines =
        SweepLines { readings: readings.collect(), knock_from: point.knock.from_deg, ..SweepLines::default() };
    let Some((curve, read)) = point.curve.as_ref().zip(point.read_deg()) else { return lines };
    let degs = || degrees(read.0 - BEYOND_DEG, read.1 + BEYOND_DEG, &[read.0, read.1]);
    lines.curve = degs().map(|deg| (deg, pct(curve.torque_at(deg)))).collect();
    let band = |deg: f64| {
        let (middle, half) = (curve.torque_at(deg), curve.band_at(deg));
        (deg, pct(middle - half), pct(middle + half))
    };
    lines.band = degs().map(band).filter(|(_, low, high)| low.is_finite() && high.is_finite()).collect();
    if let Some(parabola) = &point.parabola {
        lines.parabola = degs().map(|deg| (deg, pct(parabola.torque_at(deg)))).collect();
    }
    lines.read = Some(read);
    lines.best = Some((curve.best.low_deg, curve.best.high_deg));
    lines.flat = curve.flat_low_deg.zip(curve.flat_high_deg);
    lines
}

/// Degrees in small steps between two ends, with some that must be among them.
fn degrees(low: f64, high: f64, among: &[f64]) -> impl Iterator<Item = f64> + use<> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few hundred steps")]
    let steps = ((high - low) / CURVE_STEP_DEG).ceil().max(1.0) as u32;
    let mut all: Vec<f64> = (0..=steps).map(|at| low + (high - low) * f64::from(at) / f64::from(steps)).collect();
    all.extend_from_slice(among);
    all.sort_by(f64::total_cmp);
    all.into_iter()
}

fn row(reading: &PointReading, (point, top): (&SweepPoint, f64), all: &[Arc<KeptSweep>]) -> ReadingRow {
    let curve = point.curve.as_ref();
    let used = match &reading.usage {
        ReadingUse::Used => Use::Counts,
        ReadingUse::Doubtful => Use::Doubtful,
        ReadingUse::FarFromTop => Use::LeftOut("too far down the side for this shape of curve".into()),
        ReadingUse::LeftOut => Use::LeftOut("it lies too far off the curve of the others".into()),
        ReadingUse::LeftOutByHand(why) => Use::LeftOut(why.clone()),
    };
    ReadingRow {
        sweep: all.get(reading.sweep).map_or_else(String::new, |sweep| sweep.name.clone()),
        indices: reading.rows.iter().map(|row| row.saturating_sub(1)).collect(),
        order: match &reading.of {
            Some(of) => format!("{} of {of}", reading.row),
            None => reading.row.to_string(),
        },
        advance_deg: reading.advance_deg,
        torque: reading.torque,
        share_pct: (top > 0.0).then(|| 100.0 * reading.torque / top),
        off_pct: curve.map(|curve| 100.0 * (reading.torque - curve.torque_at(reading.advance_deg)) / curve.top),
        knock: reading.knock,
        used,
        is_by_hand: matches!(reading.usage, ReadingUse::LeftOutByHand(_)),
    }
}
