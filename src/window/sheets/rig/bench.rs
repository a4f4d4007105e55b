//! The rig on a thread of its own: drives the run once, then answers requests for any revolution that is looked
//! at.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use eframe::egui;

use crate::drawing::DrivenRun;
use crate::project::Project;
use crate::rig::{Event, Layout, Motion, Record, Replay, Revolution, Run, Settings, Sink, Summary, Turn};
use crate::window::state::rig_state::ToPutOn;
use crate::window::tasks::task::{Link, Task};
use crate::window::views::view::View;
use crate::wording::Refusal;

/// The run is recorded in so many columns: more than a wide screen has pixels.
const COLUMNS: usize = 4096;
/// So many events pass between two looks at whether to go on.
const EVENTS_BETWEEN: u32 = 4096;

/// What the rig was started with.
#[derive(Clone, Debug)]
struct Key {
    to_put_on: ToPutOn,
    run: Arc<Run>,
    settings: Settings,
}

impl Key {
    fn of(view: &View<'_>) -> Option<Self> {
        let rig = &view.screen.rig;
        let run = rig.run.as_ref().ok()?;
        Some(Self { to_put_on: rig.to_put_on(view.project), run: Arc::clone(run), settings: rig.settings.clone() })
    }

    fn is_same(&self, other: &Self) -> bool {
        self.to_put_on.is_same(&other.to_put_on)
            && Arc::ptr_eq(&self.run, &other.run)
            && self.settings == other.settings
    }
}

/// A run driven through.
#[derive(Debug)]
pub(super) struct Driven {
    pub(super) project: Project,
    pub(super) run: Arc<Run>,
    pub(super) settings: Settings,
    pub(super) motion: Motion,
    pub(super) layout: Layout,
    pub(super) record: Record,
    pub(super) summary: Summary,
}

impl Driven {
    /// As drawings need it.
    pub(super) fn to_draw(&self) -> DrivenRun<'_> {
        let Self { project, run, settings, motion, record, .. } = self;
        DrivenRun { parts: project, run, motion, record, settings }
    }
}

/// What the rig has found: the run, and the revolution that was looked at last.
#[derive(Clone)]
struct Found {
    driven: Arc<Driven>,
    revolution: Option<Arc<Revolution>>,
}

/// What the sheet shows of the rig.
#[derive(Default)]
pub(super) struct Bench {
    /// What the rig is driven with.
    key: Option<Key>,
    /// How often it was started anew.
    number: u64,
    task: Task<u64, Found>,
    /// The channel to the thread, which answers for as long as this exists.
    wanted: Option<Sender<Turn>>,
    asked: Option<Turn>,
    /// Counts changes of what is shown, so that a picture knows when it is outdated.
    serial: u64,
}

impl Bench {
    /// Starts the rig anew if project, run or settings have changed; takes in its results; requests the
    /// revolution at the cursor.
    pub(super) fn turn_to(&mut self, view: &View<'_>, ctx: &egui::Context) {
        let Some(key) = Key::of(view) else {
            *self = Self { serial: self.serial + 1, number: self.number, ..Self::default() };
            return;
        };
        if !self.key.as_ref().is_some_and(|of| of.is_same(&key)) {
            self.start(key, ctx);
        }
        let before = self.found().cloned();
        let was_at_fault = self.fault().is_some();
        self.task.receive();
        let is_same = match (&before, self.found()) {
            (Some(before), Some(now)) => Arc::ptr_eq(before, now),
            (before, now) => before.is_none() && now.is_none(),
        };
        self.serial += u64::from(!is_same || was_at_fault != self.fault().is_some());
        self.ask(view.screen.rig.cursor_s);
    }

    fn start(&mut self, key: Key, ctx: &egui::Context) {
        self.number += 1;
        self.task.give_up();
        let (wanted, turns) = channel();
        let work = Work { key: key.clone(), turns };
        self.task.ask(&self.number, ctx, "driving the run", move |link| work.do_it(link));
        (self.key, self.wanted, self.asked) = (Some(key), Some(wanted), None);
    }

    fn found(&self) -> Option<&Arc<Found>> {
        self.task.newest().map(|(_, found)| found)
    }

    /// The run driven last.
    pub(super) fn driven(&self) -> Option<&Arc<Driven>> {
        self.found().map(|found| &found.driven)
    }

    /// Whether what is shown is of today's project, run and settings.
    pub(super) fn is_current(&self) -> bool {
        self.task.shown(&self.number).is_some()
    }

    /// The revolution at the cursor, or the previous one while that is being computed.
    pub(super) fn revolution(&self) -> Option<&Arc<Revolution>> {
        self.found().and_then(|found| found.revolution.as_ref())
    }

    /// Why there is nothing.
    pub(super) fn fault(&self) -> Option<String> {
        self.task.fault_of(&self.number).map(ToString::to_string)
    }

    /// Changes whenever what is shown does.
    pub(super) fn serial(&self) -> u64 {
        self.serial
    }

    /// How much of the run has been driven, 0..=1.
    pub(super) fn share(&self) -> f64 {
        self.task.share().unwrap_or(0.0)
    }

    fn ask(&mut self, cursor_s: f64) {
        let (Some(wanted), Some(found)) = (&self.wanted, self.task.shown(&self.number)) else { return };
        let turn = Turn::at(cursor_s, &found.driven.run, &found.driven.motion, &found.driven.layout);
        if self.asked != Some(turn) && wanted.send(turn).is_ok() {
            self.asked = Some(turn);
        }
    }
}

/// What the thread has.
struct Work {
    key: Key,
    turns: Receiver<Turn>,
}

/// Records a run, unless it is given up.
struct Watched<'a> {
    record: &'a mut Record,
    run: &'a Run,
    link: &'a Link<Found>,
    events: u32,
}

impl Sink for Watched<'_> {
    fn take(&mut self, event: &Event) -> ControlFlow<()> {
        self.events = (self.events + 1) % EVENTS_BETWEEN;
        if self.events == 0 {
            let (start_s, end_s) = (self.run.start_s(), self.run.end_s());
            let share = ((event.time_s - start_s) / (end_s - start_s)).clamp(0.0, 1.0);
            if !self.link.goes_on(Some(share)) {
                return ControlFlow::Break(());
            }
        }
        self.record.take(event)
    }
}

impl Work {
    fn do_it(self, link: &Link<Found>) -> Result<Found, Refusal> {
        let put_on = self.key.to_put_on.put()?;
        let rig = put_on.rig(self.key.settings.clone())?;
        let project = put_on.project.clone();
        let run = &self.key.run;
        let (motion, layout) = (rig.motion(run), Layout::new(&project));
        let mut record = Record::new(run, COLUMNS).in_detail();
        let mut watched = Watched { record: &mut record, run, link, events: 0 };
        let replay =
            Replay::new(rig.drive(run, &motion), run, &mut watched).ok_or_else(|| Refusal::new("it was given up"))?;
        let driven = Driven {
            project,
            run: Arc::clone(run),
            settings: self.key.settings.clone(),
            motion: motion.clone(),
            layout,
            record,
            summary: replay.summary().clone(),
        };
        let mut found = Found { driven: Arc::new(driven), revolution: None };
        let mut is_heard = link.tell(found.clone());
        // One revolution after the other, the latest request first, until nobody asks any more.
        while let (true, Ok(oldest)) = (is_heard, self.turns.recv()) {
            let turn = self.turns.try_iter().last().unwrap_or(oldest);
            let (from_s, to_s) = turn.wanted_s();
            let mut events: Vec<Event> = Vec::new();
            replay.events(from_s, to_s, &mut events);
            found.revolution = Some(Arc::new(Revolution::new(turn, &events, &motion, &found.driven.layout)));
            is_heard = link.tell(found.clone());
        }
        Ok(found)
    }
}
