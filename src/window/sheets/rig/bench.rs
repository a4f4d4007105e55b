//! The rig on a thread of its own: drives the run once, then tells of any revolution that is looked at.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};

use eframe::egui;

use crate::drawing::DrivenRun;
use crate::project::Project;
use crate::rig::{Event, Layout, Motion, Record, Replay, Revolution, Run, Settings, Sink, Summary, Turn};
use crate::window::state::rig_state::ToPutOn;
use crate::window::tasks::newest::Wake;
use crate::window::views::view::View;

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

enum Answer {
    Driven(Arc<Driven>),
    Revolution(Arc<Revolution>),
    Fault(String),
}

/// The thread for one state of project, run and settings. Dropped, it ends.
struct Session {
    key: Key,
    wanted: Sender<Turn>,
    answers: Receiver<Answer>,
    is_over: Arc<AtomicBool>,
    reached: Arc<AtomicU64>,
    asked: Option<Turn>,
}

impl Drop for Session {
    fn drop(&mut self) {
        self.is_over.store(true, Ordering::Relaxed);
    }
}

/// What the sheet shows of the rig.
#[derive(Default)]
pub(super) struct Bench {
    session: Option<Session>,
    driven: Option<Arc<Driven>>,
    /// Whether `driven` is of the session.
    is_current: bool,
    revolution: Option<Arc<Revolution>>,
    fault: Option<String>,
    /// Counts what is shown, so that a picture knows when it is old.
    serial: u64,
}

impl Bench {
    /// Starts the rig anew where project, run or settings have changed; takes in what it has found; asks for the
    /// revolution at the cursor.
    pub(super) fn turn_to(&mut self, view: &View<'_>, ctx: &egui::Context) {
        let Some(key) = Key::of(view) else {
            *self = Self { serial: self.serial + 1, ..Self::default() };
            return;
        };
        if !self.session.as_ref().is_some_and(|session| session.key.is_same(&key)) {
            self.is_current = false;
            self.fault = None;
            self.session = Session::start(key, ctx);
            if self.session.is_none() {
                self.fault = Some("the system gives no thread; close other programs".to_owned());
            }
        }
        self.take_answers();
        self.ask(view.screen.rig.cursor_s);
    }

    /// The run driven last.
    pub(super) fn driven(&self) -> Option<&Arc<Driven>> {
        self.driven.as_ref()
    }

    /// Whether what is shown is of today's project, run and settings.
    pub(super) fn is_current(&self) -> bool {
        self.is_current
    }

    /// The revolution at the cursor, or the last one while that is being looked for.
    pub(super) fn revolution(&self) -> Option<&Arc<Revolution>> {
        self.revolution.as_ref()
    }

    /// Why there is nothing.
    pub(super) fn fault(&self) -> Option<&str> {
        self.fault.as_deref()
    }

    /// Changes whenever what is shown does.
    pub(super) fn serial(&self) -> u64 {
        self.serial
    }

    /// How much of the run has been driven, 0..=1.
    pub(super) fn share(&self) -> f64 {
        let Some(session) = &self.session else { return 0.0 };
        let reached_s = f64::from_bits(session.reached.load(Ordering::Relaxed));
        let run = &session.key.run;
        ((reached_s - run.start_s()) / (run.end_s() - run.start_s())).clamp(0.0, 1.0)
    }

    fn take_answers(&mut self) {
        let Some(session) = &self.session else { return };
        loop {
            match session.answers.try_recv() {
                Ok(Answer::Driven(driven)) => {
                    self.driven = Some(driven);
                    self.is_current = true;
                    self.revolution = None;
                }
                Ok(Answer::Revolution(revolution)) => self.revolution = Some(revolution),
                Ok(Answer::Fault(fault)) => self.fault = Some(fault),
                Err(TryRecvError::Empty) => return,
                Err(TryRecvError::Disconnected) => {
                    // Its thread lives for as long as it is asked.
                    if self.fault.is_none() {
                        self.fault = Some("the computation broke off; change the run or its settings".to_owned());
                        self.serial += 1;
                    }
                    return;
                }
            }
            self.serial += 1;
        }
    }

    fn ask(&mut self, cursor_s: f64) {
        let (Some(session), Some(driven), true) = (&mut self.session, &self.driven, self.is_current) else { return };
        let turn = Turn::at(cursor_s, &driven.run, &driven.motion, &driven.layout);
        if session.asked != Some(turn) && session.wanted.send(turn).is_ok() {
            session.asked = Some(turn);
        }
    }
}

impl Session {
    fn start(key: Key, ctx: &egui::Context) -> Option<Self> {
        let (wanted, turns) = channel();
        let (found, answers) = channel();
        let is_over = Arc::new(AtomicBool::new(false));
        let reached = Arc::new(AtomicU64::new(key.run.start_s().to_bits()));
        let work = Work {
            key: key.clone(),
            turns,
            found,
            is_over: Arc::clone(&is_over),
            reached: Arc::clone(&reached),
            wake: Wake(ctx.clone()),
        };
        std::thread::Builder::new().name("rig".into()).spawn(move || work.do_it()).ok()?;
        Some(Self { key, wanted, answers, is_over, reached, asked: None })
    }
}

/// What the thread has.
struct Work {
    key: Key,
    turns: Receiver<Turn>,
    found: Sender<Answer>,
    is_over: Arc<AtomicBool>,
    reached: Arc<AtomicU64>,
    /// The last, so that it is dropped after the way on which the answers go.
    wake: Wake,
}

/// Records a run, unless it is given up.
struct Watched<'a> {
    record: &'a mut Record,
    work: &'a Work,
    events: u32,
}

impl Sink for Watched<'_> {
    fn take(&mut self, event: &Event) -> ControlFlow<()> {
        self.events = (self.events + 1) % EVENTS_BETWEEN;
        if self.events == 0 {
            self.work.reached.store(event.time_s.to_bits(), Ordering::Relaxed);
            if self.work.is_over.load(Ordering::Relaxed) {
                return ControlFlow::Break(());
            }
        }
        self.record.take(event)
    }
}

impl Work {
    fn tell(&self, answer: Answer) -> bool {
        let is_heard = self.found.send(answer).is_ok();
        self.wake.request_repaint();
        is_heard
    }

    fn do_it(self) {
        let put_on = match self.key.to_put_on.put() {
            Ok(put_on) => put_on,
            Err(fault) => {
                self.tell(Answer::Fault(fault));
                return;
            }
        };
        let rig = match put_on.rig(self.key.settings.clone()) {
            Ok(rig) => rig,
            Err(fault) => {
                self.tell(Answer::Fault(fault));
                return;
            }
        };
        let project = put_on.project.clone();
        let run = &self.key.run;
        let (motion, layout) = (rig.motion(run), Layout::new(&project));
        let mut record = Record::new(run, COLUMNS);
        let mut watched = Watched { record: &mut record, work: &self, events: 0 };
        let Some(replay) = Replay::new(rig.drive(run, &motion), run, &mut watched) else { return };
        let driven = Driven {
            project,
            run: Arc::clone(run),
            settings: self.key.settings.clone(),
            motion: motion.clone(),
            layout,
            record,
            summary: replay.summary().clone(),
        };
        if self.tell(Answer::Driven(Arc::new(driven))) {
            self.answer(&replay, &motion, &layout);
        }
    }

    /// Tells of one revolution after the other, the last asked for first, until nobody asks any more.
    fn answer(&self, replay: &Replay<'_>, motion: &Motion, layout: &Layout) {
        while let Ok(oldest) = self.turns.recv() {
            let turn = self.turns.try_iter().last().unwrap_or(oldest);
            let (from_s, to_s) = turn.wanted_s();
            let mut events: Vec<Event> = Vec::new();
            replay.events(from_s, to_s, &mut events);
            let revolution = Revolution::new(turn, &events, motion, layout);
            if !self.tell(Answer::Revolution(Arc::new(revolution))) {
                return;
            }
        }
    }
}
