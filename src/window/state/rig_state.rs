//! The screen state of the rig: the run, the rows being typed, the faults, the cursor, whether it plays.

use std::path::PathBuf;
use std::sync::Arc;

use crate::checks::Tally;
use crate::document::Revision;
use crate::drawing::StripAxis;
use crate::image::FlashedUnit;
use crate::project::Project;
use crate::rig::{BuiltIn, Rig, Run, Settings};
use crate::table::Table;
use crate::window::state::file_jobs::file_name;
use crate::wording::Refusal;

/// Which run is on the rig.
#[derive(Clone, Debug, PartialEq)]
pub enum RunChoice {
    /// One that comes with the program, fitted to the project.
    BuiltIn(BuiltIn),
    /// One that was read from a file.
    File(PathBuf, Arc<Run>),
    /// One of the project's own, by its name.
    Kept(String),
}

/// How fast it plays.
pub const RATES: [f64; 8] = [0.001, 0.003, 0.01, 0.03, 0.1, 0.3, 1.0, 10.0];

/// A longer time between two frames counts as this, so that a window that was hidden does not jump ahead.
const LONGEST_FRAME_S: f64 = 0.1;

/// The closest look shows so many revolutions: one on each side of the point.
const CLOSEST_TURNS: f64 = 2.0;
/// An engine that turns slower than this, in rpm, is looked at as closely as one that turns so fast.
const SLOWEST_RPM: f64 = 60.0;
/// While it plays, what is shown goes on when the cursor comes to its end; the cursor is then at this share of it.
const PLAYED_ON: f64 = 0.1;

/// The state of the rig on the screen.
#[derive(Clone, Debug)]
pub struct RigScreen {
    /// Which run.
    pub choice: RunChoice,
    /// The run to show instead if the chosen run of the project no longer exists because it was undone.
    instead: RunChoice,
    /// Whether the rows are shown for editing.
    pub edits_rows: bool,
    /// Whether the form of the faults stands beside the lanes.
    pub shows_faults: bool,
    /// The stretch of the run that the lanes show, in s; all of it if `None`.
    brush_s: Option<(f64, f64)>,
    /// Variation, latency, faults.
    pub settings: Settings,
    /// Whether the unit is in sync after one gap instead of the project's number of gaps.
    pub one_gap: bool,
    /// Whether the unit has what it makes of the project's image.
    pub as_flashed: bool,
    /// The time of the cursor, in seconds.
    pub cursor_s: f64,
    /// Whether it plays; if so, the time of the last frame, once there was one.
    pub playing: Option<Option<f64>>,
    /// Index of the playing speed in [`RATES`].
    pub rate: usize,
    /// The quantity along the strip.
    pub axis: StripAxis,
    /// Whether the run was played or the cursor moved: then the running point is also shown on the advance
    /// table.
    pub is_followed: bool,
    /// Whether the user has hidden it there.
    pub hides_point: bool,
    /// The coil events before and after the cursor, or the ends of the shown revolution; reported by the sheet.
    pub beside_s: (f64, f64),
    /// How many aspects of the run are bad, and the state of the document that it was driven with; reported by
    /// the sheet.
    pub told: Option<(Revision, Tally)>,
    /// The run, or why there is none; updated between frames.
    pub run: Result<Arc<Run>, Refusal>,
    /// Whether `run` must be computed again, because another was chosen or its rows were changed.
    is_stale: bool,
    /// Whether the cursor goes to the middle of the run when it is made.
    centres: bool,
    /// The project for which it was made.
    made_for: Option<Project>,
}

impl Default for RigScreen {
    fn default() -> Self {
        Self {
            choice: RunChoice::BuiltIn(BuiltIn::SweepToTheLimit),
            instead: RunChoice::BuiltIn(BuiltIn::SweepToTheLimit),
            edits_rows: false,
            shows_faults: false,
            brush_s: None,
            settings: Settings::default(),
            one_gap: false,
            as_flashed: false,
            cursor_s: 0.0,
            playing: None,
            rate: RATES.len() - 2,
            axis: StripAxis::Crank,
            is_followed: false,
            hides_point: false,
            beside_s: (0.0, 0.0),
            told: None,
            run: Err(Refusal::new("")),
            is_stale: true,
            centres: true,
            made_for: None,
        }
    }
}

impl RigScreen {
    /// What the run is called.
    pub fn run_name(&self) -> String {
        match &self.choice {
            RunChoice::BuiltIn(built_in) => built_in.label().to_owned(),
            RunChoice::File(path, _) => file_name(path),
            RunChoice::Kept(name) => name.clone(),
        }
    }

    /// When the run begins and ends.
    pub fn span_s(&self) -> Option<(f64, f64)> {
        self.run.as_ref().ok().map(|run| (run.start_s(), run.end_s()))
    }

    /// The stretch of the run that the lanes show, in s.
    pub fn shown_s(&self) -> Option<(f64, f64)> {
        let (start_s, end_s) = self.span_s()?;
        Some(self.brush_s.map_or((start_s, end_s), |(from_s, to_s)| (from_s.max(start_s), to_s.min(end_s))))
    }

    /// How long the shortest stretch is that may be shown around a time, in s.
    pub fn closest_s(&self, time_s: f64) -> Option<f64> {
        let run = self.run.as_ref().ok()?;
        let turn_s = 60.0 / run.at(time_s).speed_rpm.max(SLOWEST_RPM);
        Some((CLOSEST_TURNS * turn_s).min(run.end_s() - run.start_s()))
    }

    /// Shows another stretch of the run: not shorter than two revolutions there, and within the run.
    pub fn show_stretch(&mut self, (from_s, to_s): (f64, f64)) {
        let Some((start_s, end_s)) = self.span_s() else { return };
        let middle_s = f64::midpoint(from_s, to_s).clamp(start_s, end_s);
        let whole_s = end_s - start_s;
        let Some(closest_s) = self.closest_s(middle_s).filter(|_| from_s.is_finite() && to_s.is_finite()) else {
            return;
        };
        let width_s = (to_s - from_s).max(closest_s);
        if width_s >= whole_s {
            self.brush_s = None;
            return;
        }
        // A stretch that was too short grows to both sides.
        let from_s = if to_s - from_s < width_s { middle_s - width_s / 2.0 } else { from_s };
        let from_s = from_s.clamp(start_s, end_s - width_s);
        self.brush_s = Some((from_s, (from_s + width_s).min(end_s)));
    }

    /// What is shown, with its width times `share`; the time `about_s` stays where it is.
    pub fn zoomed_s(&self, share: f64, about_s: f64) -> Option<(f64, f64)> {
        let (from_s, to_s) = self.shown_s()?;
        let about_s = about_s.clamp(from_s, to_s);
        let least = self.closest_s(about_s)? / (to_s - from_s);
        let share = share.max(least);
        Some((about_s - (about_s - from_s) * share, about_s + (to_s - about_s) * share))
    }

    /// One revolution on each side of the cursor.
    pub fn closest_stretch_s(&self) -> Option<(f64, f64)> {
        let half_s = self.closest_s(self.cursor_s)? / 2.0;
        Some((self.cursor_s - half_s, self.cursor_s + half_s))
    }

    /// Moves what is shown so that the cursor is in it, at a share of its width, if it is not.
    fn follow_cursor(&mut self, share: f64) {
        let Some((from_s, to_s)) = self.brush_s else { return };
        if !(from_s..=to_s).contains(&self.cursor_s) {
            let width_s = to_s - from_s;
            let from_s = self.cursor_s - share * width_s;
            self.show_stretch((from_s, from_s + width_s));
        }
    }

    /// Chooses another run. The cursor goes to its middle.
    pub fn choose(&mut self, choice: RunChoice) {
        if !matches!(choice, RunChoice::Kept(_)) {
            self.instead = choice.clone();
        }
        self.choice = choice;
        (self.playing, self.brush_s) = (None, None);
        (self.is_stale, self.centres) = (true, true);
        self.run = Err(Refusal::new(""));
    }

    /// Moves the cursor to another time of the run.
    pub fn look_at(&mut self, time_s: f64) {
        if let Some((start_s, end_s)) = self.span_s() {
            self.cursor_s = time_s.clamp(start_s, end_s);
            self.is_followed = true;
            self.follow_cursor(0.5);
            // Unknown until the sheet reports it again.
            self.beside_s = (self.cursor_s, self.cursor_s);
        }
    }

    /// Plays on from the cursor (from the start if it is at the end), or pauses.
    pub fn toggle_play(&mut self) {
        let Some((start_s, end_s)) = self.span_s() else { return };
        self.is_followed = true;
        if self.playing.take().is_none() {
            self.playing = Some(None);
            if self.cursor_s >= end_s {
                self.cursor_s = start_s;
            }
        }
    }

    /// Opens the rows for editing, or closes them.
    pub fn toggle_rows(&mut self) {
        self.edits_rows = !self.edits_rows;
    }

    /// Chooses a run of the project, keeping the cursor, and has it made again: for when its rows are typed.
    pub fn choose_kept(&mut self, name: String) {
        self.choice = RunChoice::Kept(name);
        (self.is_stale, self.centres) = (true, false);
    }

    /// The speed and load of the run at the cursor.
    pub fn point(&self) -> Option<(f64, f64)> {
        let row = self.run.as_ref().ok()?.at(self.cursor_s);
        Some((row.speed_rpm, row.load))
    }

    /// The point to show on the advance table, clamped to its axes as in a lookup; none until the run was
    /// looked through, or if it is hidden.
    pub fn point_on(&self, table: &Table) -> Option<(f64, f64)> {
        let shown = self.is_followed && !self.hides_point;
        let (speed_rpm, load) = self.point().filter(|_| shown)?;
        let (speeds, loads) = (table.speed(), table.load());
        Some((speed_rpm.clamp(speeds.first(), speeds.last()), load.clamp(loads.first(), loads.last())))
    }

    /// The project and what else is needed to put it on the rig.
    pub(in crate::window) fn to_put_on(&self, project: &Project) -> ToPutOn {
        ToPutOn { project: project.clone(), one_gap: self.one_gap, as_flashed: self.as_flashed }
    }

    /// Updates the run to the project, and plays on. Returns whether the window must be drawn again at once.
    pub fn settle(&mut self, project: &Project, now_s: f64) -> bool {
        self.settle_run(project);
        let (Some(playing), Ok(run)) = (&mut self.playing, &self.run) else {
            self.playing = None;
            return false;
        };
        let since_s = playing.replace(now_s).map_or(0.0, |last_s| (now_s - last_s).clamp(0.0, LONGEST_FRAME_S));
        self.cursor_s += since_s * RATES.get(self.rate).copied().unwrap_or(1.0);
        if self.cursor_s >= run.end_s() {
            self.cursor_s = run.end_s();
            self.playing = None;
        }
        self.follow_cursor(PLAYED_ON);
        self.playing.is_some()
    }

    fn settle_run(&mut self, project: &Project) {
        if let RunChoice::Kept(name) = &self.choice
            && !project.runs.iter().any(|run| run.name == *name)
        {
            self.choose(self.instead.clone());
        }
        let is_made = match &self.choice {
            RunChoice::BuiltIn(_) | RunChoice::Kept(_) => self.made_for.as_ref().is_some_and(|of| of.is_same(project)),
            RunChoice::File(_, run) => self.run.as_ref().is_ok_and(|made| Arc::ptr_eq(made, run)),
        };
        let is_new = self.is_stale || !is_made;
        if is_new {
            self.make_run(project);
        }
        if let Some((start_s, end_s)) = self.span_s() {
            self.cursor_s = self.cursor_s.clamp(start_s, end_s);
            // The run may have become shorter or slower.
            if let Some(brush_s) = self.brush_s.filter(|_| is_new) {
                self.show_stretch(brush_s);
            }
        }
    }

    fn make_run(&mut self, project: &Project) {
        let load = project.sensors.load;
        let made = match &self.choice {
            RunChoice::BuiltIn(built_in) => built_in.run(project).map(Arc::new).map_err(Refusal::from),
            RunChoice::File(_, run) => {
                // The kind of load may have changed since it was read.
                run.check_loads(load).map(|()| Arc::clone(run)).map_err(Refusal::from)
            }
            RunChoice::Kept(name) => match project.runs.iter().find(|run| run.name == *name) {
                Some(run) => Run::of_kept(run, load).map(Arc::new).map_err(Refusal::from),
                None => Err(Refusal::new(format!("the project has no run '{name}'"))),
            },
        };
        (self.is_stale, self.made_for) = (false, Some(project.clone()));
        // Equal runs keep their allocation, by which the bench recognises them.
        if made != self.run {
            self.run = made;
        }
        if let (Some((start_s, end_s)), true) = (self.span_s(), self.centres) {
            (self.cursor_s, self.centres) = (f64::midpoint(start_s, end_s), false);
        }
    }
}

/// What a view may ask of the rig's state.
#[derive(Clone, Debug, PartialEq)]
pub enum RigMessage {
    /// Put another run on the rig.
    Choose(RunChoice),
    /// Choose a run of the project, keeping the cursor.
    ChooseKept(String),
    /// Whether the unit has what it makes of the project's image.
    AsFlashed(bool),
    /// Whether the unit is in sync after one gap.
    OneGap(bool),
    /// Variation, latency, faults.
    Set(Settings),
    /// How fast it plays, by the index in [`RATES`].
    Rate(usize),
    /// Move the cursor to another time of the run, in s, whether it plays or not.
    LookAt(f64),
    /// Stop there, in s.
    StopAt(f64),
    /// Show this stretch of the run in the lanes, in s.
    ShowStretch((f64, f64)),
    /// Put the form of the faults beside the lanes, or away.
    ShowFaults(bool),
    /// The quantity along the strip.
    Axis(StripAxis),
    /// The sheet reports the coil events before and after the cursor, in s.
    Beside((f64, f64)),
    /// The sheet reports how many aspects of the run are bad, and for which state of the document.
    Told(Option<(Revision, Tally)>),
}

impl RigScreen {
    /// Carries out the message.
    pub fn apply(&mut self, message: RigMessage) {
        match message {
            RigMessage::Choose(choice) => self.choose(choice),
            RigMessage::ChooseKept(name) => self.choose_kept(name),
            RigMessage::AsFlashed(is_on) => self.as_flashed = is_on,
            RigMessage::OneGap(is_on) => self.one_gap = is_on,
            RigMessage::Set(settings) => self.settings = settings,
            RigMessage::Rate(place) => self.rate = place,
            RigMessage::LookAt(time_s) => self.look_at(time_s),
            RigMessage::StopAt(time_s) => {
                self.playing = None;
                self.look_at(time_s);
            }
            RigMessage::ShowStretch(shown_s) => self.show_stretch(shown_s),
            RigMessage::ShowFaults(is_on) => self.shows_faults = is_on,
            RigMessage::Axis(axis) => self.axis = axis,
            RigMessage::Beside(beside_s) => self.beside_s = beside_s,
            RigMessage::Told(told) => self.told = told,
        }
    }
}

/// A project that is to be put on the rig, and how.
#[derive(Clone, Debug)]
pub(in crate::window) struct ToPutOn {
    pub(in crate::window) project: Project,
    pub(in crate::window) one_gap: bool,
    pub(in crate::window) as_flashed: bool,
}

/// A project on the rig, and, if that is to be run as flashed, the unit with what it makes of the image.
#[derive(Clone, Debug)]
pub(in crate::window) struct PutOn {
    pub(in crate::window) project: Project,
    unit: Option<FlashedUnit>,
}

impl ToPutOn {
    pub(in crate::window) fn is_same(&self, other: &Self) -> bool {
        self.project.is_same(&other.project) && (self.one_gap, self.as_flashed) == (other.one_gap, other.as_flashed)
    }

    /// Prepares it; takes as long as computing its image.
    ///
    /// # Errors
    /// A sentence if the project does not make an image.
    pub(in crate::window) fn put(&self) -> Result<PutOn, Refusal> {
        let project = match self.one_gap {
            true => self.project.edit(|parts| parts.trigger.gaps_to_sync = 1)?,
            false => self.project.clone(),
        };
        let unit = self.as_flashed.then(|| FlashedUnit::of(&project)).transpose();
        let unit = unit.map_err(|why| Refusal::from(why).at("as flashed"))?;
        Ok(PutOn { project, unit })
    }
}

impl PutOn {
    /// The rig.
    ///
    /// # Errors
    /// A sentence for a setting out of range.
    pub(in crate::window) fn rig(&self, settings: Settings) -> Result<Rig<'_>, Refusal> {
        let rig = match &self.unit {
            Some(unit) => Rig::with_unit(&self.project, unit.on_the_rig(), settings),
            None => Rig::new(&self.project, settings),
        };
        rig.map_err(Refusal::from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;

    fn settled() -> (RigScreen, Project) {
        let project = SAMPLES[0].project().unwrap();
        let mut rig = RigScreen::default();
        rig.settle(&project, 0.0);
        (rig, project)
    }

    #[test]
    fn plays_at_its_rate_to_the_end_and_from_the_start_again() {
        let (mut rig, project) = settled();
        let (start_s, end_s) = rig.span_s().unwrap();
        assert_eq!(rig.cursor_s, f64::midpoint(start_s, end_s));
        rig.rate = RATES.iter().position(|&rate| rate == 0.1).unwrap();
        rig.toggle_play();
        assert!(rig.settle(&project, 10.0));
        let before_s = rig.cursor_s;
        assert!(rig.settle(&project, 10.05) && (rig.cursor_s - before_s - 0.005).abs() < 1e-9);
        // After an hour away, it continues where it was.
        assert!(rig.settle(&project, 3600.0) && (rig.cursor_s - before_s - 0.015).abs() < 1e-9);
        rig.cursor_s = end_s - 1e-6;
        assert!(!rig.settle(&project, 3600.1) && rig.cursor_s == end_s && rig.playing.is_none());
        rig.toggle_play();
        assert_eq!(rig.cursor_s, start_s);
    }

    #[test]
    fn the_lanes_show_from_two_revolutions_to_the_whole_run() {
        let (mut rig, project) = settled();
        let (start_s, end_s) = rig.span_s().unwrap();
        assert_eq!(rig.shown_s(), Some((start_s, end_s)));
        rig.show_stretch((5.0, 7.0));
        assert_eq!(rig.shown_s(), Some((5.0, 7.0)));
        // Nothing is shown beyond the ends; the width stays.
        rig.show_stretch((start_s - 1.0, start_s + 1.0));
        assert_eq!(rig.shown_s(), Some((start_s, start_s + 2.0)));
        rig.show_stretch((6.0, 6.0));
        let (from_s, to_s) = rig.shown_s().unwrap();
        let turn_s = 60.0 / rig.run.as_ref().unwrap().at(6.0).speed_rpm;
        assert!((to_s - from_s - 2.0 * turn_s).abs() < 1e-9 && (f64::midpoint(from_s, to_s) - 6.0).abs() < 1e-9);
        assert_eq!(
            rig.zoomed_s(0.5, 6.0).map(|shown_s| (shown_s.1 - shown_s.0 - 2.0 * turn_s).abs() < 1e-9),
            Some(true)
        );
        // What is looked at comes into view, and playing goes on with it.
        rig.look_at(9.0);
        let (from_s, to_s) = rig.shown_s().unwrap();
        assert!((f64::midpoint(from_s, to_s) - 9.0).abs() < 1e-9 && to_s - from_s < 0.1);
        rig.toggle_play();
        (0..20).for_each(|frame| _ = rig.settle(&project, f64::from(frame) * 0.05));
        let (from_s, to_s) = rig.shown_s().unwrap();
        assert!(rig.cursor_s > 9.5 && (from_s..=to_s).contains(&rig.cursor_s));
        rig.show_stretch(rig.zoomed_s(1e6, 9.0).unwrap());
        assert_eq!(rig.shown_s(), rig.span_s());
    }

    #[test]
    fn a_run_of_the_project_drives_the_rig_until_it_is_undone() {
        let (mut rig, project) = settled();
        let before = rig.run.clone().unwrap();
        let with = |speed_rpm| {
            let mut kept = before.to_be_kept("hill".into());
            kept.rows[1].speed_rpm = speed_rpm;
            project.edit(|parts| parts.runs.push(kept.into())).unwrap()
        };
        rig.choose_kept("hill".into());
        rig.settle(&with(Some(1234.5)), 0.0);
        assert_eq!((rig.run.clone().unwrap().rows()[1].speed_rpm, rig.run_name().as_str()), (1234.5, "hill"));
        rig.settle(&with(None), 0.0);
        assert_eq!(rig.run.clone().unwrap_err().to_string(), "row 2: speed: a number is missing");
        rig.toggle_play();
        assert!(rig.playing.is_none() && rig.point().is_none());
        rig.settle(&project, 0.0);
        assert_eq!((rig.run.clone().unwrap(), rig.run_name().as_str()), (before, "sweep to the limit"));
    }

    #[test]
    fn the_cursor_goes_to_the_middle_of_a_run_that_is_chosen_and_stays_while_its_rows_are_typed() {
        let (mut rig, project) = settled();
        let mut kept = rig.run.clone().unwrap().to_be_kept("hill".into());
        let end_s = kept.rows.iter().filter_map(|row| row.time_s).fold(0.0, f64::max) + 7.0;
        kept.rows.last_mut().unwrap().time_s = Some(end_s);
        let project = project.edit(|parts| parts.runs.push(kept.into())).unwrap();
        rig.look_at(0.1);
        rig.apply(RigMessage::Choose(RunChoice::Kept("hill".into())));
        rig.settle(&project, 0.0);
        let (start_s, end_s) = rig.span_s().unwrap();
        assert_eq!(rig.cursor_s, f64::midpoint(start_s, end_s));
        rig.look_at(0.1);
        rig.apply(RigMessage::ChooseKept("hill".into()));
        rig.settle(&project.edit(|parts| parts.notes = "x".into()).unwrap(), 0.0);
        assert_eq!(rig.cursor_s, 0.1);
        rig.apply(RigMessage::Choose(RunChoice::BuiltIn(BuiltIn::Idle)));
        rig.settle(&project, 0.0);
        let (start_s, end_s) = rig.span_s().unwrap();
        assert_eq!(rig.cursor_s, f64::midpoint(start_s, end_s));
    }

    #[test]
    fn a_run_is_made_anew_only_for_another_project_or_choice() {
        let (mut rig, project) = settled();
        let made = |rig: &RigScreen| Arc::clone(rig.run.as_ref().unwrap());
        let first = made(&rig);
        rig.settle(&project, 0.1);
        assert!(Arc::ptr_eq(&first, &made(&rig)));
        let other = project.edit(|parts| parts.limits.over_speed.cuts_at_rpm -= 50.0).unwrap();
        rig.settle(&other, 0.2);
        assert_ne!(*first, *made(&rig), "the sweep goes to the limit");
        let file = Arc::new((*first).clone());
        rig.choose(RunChoice::File("run.csv".into(), Arc::clone(&file)));
        rig.settle(&other, 0.3);
        assert!(Arc::ptr_eq(&file, &made(&rig)));
        rig.choose(RunChoice::BuiltIn(BuiltIn::SweepToTheLimit));
        rig.settle(&project, 0.4);
        assert_eq!(*first, *made(&rig));
    }
}
