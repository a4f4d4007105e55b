//! The only kind of work outside the frame. It has a key, reports its progress, can be stopped, keeps the
//! previous answer, and a panic in it becomes an error that can be shown.

use std::fmt;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::time::Duration;

use eframe::egui;
use thiserror::Error;

use crate::project::Project;
use crate::wording::Refusal;

/// What an answer depends on: two keys that are the same give the same answer.
pub(in crate::window) trait Same {
    fn is_same(&self, other: &Self) -> bool;
}

impl Same for Project {
    fn is_same(&self, other: &Self) -> bool {
        Self::is_same(self, other)
    }
}

impl Same for PathBuf {
    fn is_same(&self, other: &Self) -> bool {
        self == other
    }
}

impl Same for u64 {
    fn is_same(&self, other: &Self) -> bool {
        self == other
    }
}

/// Why there is no answer for a key.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub(in crate::window) enum Fault {
    /// The work itself refuses.
    #[error("{0}")]
    Refused(Refusal),
    /// A mistake in this program broke off the work of this name.
    #[error("{0} broke off; any change tries again")]
    BrokenOff(&'static str),
    /// The system refused a thread, with its reason.
    #[error("{0} was not begun, for the system gives no thread ({1}); any change tries again")]
    NoThread(&'static str, String),
}

/// The newest answer with its key, why another key has none, and the single run in progress.
pub(in crate::window) struct Task<K, T> {
    done: Option<(K, Arc<T>)>,
    fault: Option<(K, Fault)>,
    run: Option<Run<K, T>>,
}

/// A running thread. When dropped, it is asked to stop, and its answer is no longer awaited.
struct Run<K, T> {
    key: K,
    /// The name of the work, for messages.
    name: &'static str,
    answers: Receiver<Answer<T>>,
    signals: Arc<Signals>,
}

impl<K, T> Drop for Run<K, T> {
    fn drop(&mut self) {
        self.signals.is_stopped.store(true, Ordering::Relaxed);
    }
}

#[derive(Default)]
struct Signals {
    is_stopped: AtomicBool,
    /// The bits of the share (an f64) that is done.
    reached: AtomicU64,
}

enum Answer<T> {
    /// A provisional answer; better ones may follow.
    Early(T),
    Last(Result<T, Refusal>),
}

/// The link from the work to the window that asked for it.
pub(in crate::window) struct Link<T> {
    signals: Arc<Signals>,
    answers: Sender<Answer<T>>,
    /// The last field, so that it is dropped after the channel for the answers.
    wake: Wake,
}

/// Requests a frame when it is dropped, for whatever reason.
struct Wake(egui::Context);

impl Drop for Wake {
    fn drop(&mut self) {
        self.0.request_repaint();
    }
}

/// The longest delay until progress is shown.
const PROGRESS_SHOWN_AFTER: Duration = Duration::from_millis(50);

impl<T> Link<T> {
    /// Whether the work should end: nobody waits for its answer any more.
    pub(in crate::window) fn is_stopped(&self) -> bool {
        self.signals.is_stopped.load(Ordering::Relaxed)
    }

    /// Reports how much of the work is done, 0..=1.
    pub(in crate::window) fn reached(&self, share: f64) {
        let before = f64::from_bits(self.signals.reached.swap(share.to_bits(), Ordering::Relaxed));
        // A frame is requested only when another whole percent is reached.
        if (100.0 * before).floor() < (100.0 * share).floor() {
            self.wake.0.request_repaint_after(PROGRESS_SHOWN_AFTER);
        }
    }

    /// Reports how much is done, if that is known, and returns whether to go on.
    pub(in crate::window) fn goes_on(&self, share: Option<f64>) -> bool {
        share.into_iter().for_each(|share| self.reached(share));
        !self.is_stopped()
    }

    /// Gives an answer before the work is done; returns whether anybody still listens.
    pub(in crate::window) fn tell(&self, answer: T) -> bool {
        // A run is told to stop a moment before its answers are no longer received.
        let is_heard = self.answers.send(Answer::Early(answer)).is_ok() && !self.is_stopped();
        self.wake.0.request_repaint();
        is_heard
    }
}

impl<K, T> Default for Task<K, T> {
    fn default() -> Self {
        Self { done: None, fault: None, run: None }
    }
}

impl<K, T> fmt::Debug for Task<K, T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let run = self.run.as_ref().map(|run| run.name);
        f.debug_struct("Task").field("is_done", &self.done.is_some()).field("run", &run).finish_non_exhaustive()
    }
}

impl<K: Same + Clone, T: Send + 'static> Task<K, T> {
    /// Takes in what has been found, and whether the work broke off.
    pub(in crate::window) fn receive(&mut self) {
        while let Some(run) = &self.run {
            match run.answers.try_recv() {
                Ok(answer) => self.take_in(Some(answer)),
                Err(TryRecvError::Empty) => return,
                Err(TryRecvError::Disconnected) => self.take_in(None),
            }
        }
    }

    /// Waits until the work is done.
    pub(in crate::window) fn wait(&mut self) {
        while let Some(run) = &self.run {
            let answer = run.answers.recv().ok();
            self.take_in(answer);
        }
    }

    /// Takes in an answer, or that there will be none.
    fn take_in(&mut self, answer: Option<Answer<T>>) {
        let Some(run) = &self.run else {
            return;
        };
        let (key, name) = (run.key.clone(), run.name);
        if !matches!(answer, Some(Answer::Early(_))) {
            self.run = None;
        }
        match answer {
            Some(Answer::Early(found) | Answer::Last(Ok(found))) => self.put(key, Ok(found)),
            Some(Answer::Last(Err(why))) => self.put(key, Err(why)),
            None => self.fault = Some((key, Fault::BrokenOff(name))),
        }
    }

    /// Has an answer found on a thread, unless it (or the reason why there is none) is known. Only one run at a
    /// time: a request during another run does nothing, and the caller asks again in the next frame.
    pub(in crate::window) fn ask(
        &mut self,
        key: &K,
        ctx: &egui::Context,
        name: &'static str,
        work: impl FnOnce(&Link<T>) -> Result<T, Refusal> + Send + 'static,
    ) {
        if self.run.is_some() || self.is_known(key) {
            return;
        }
        let (answers, receiver) = channel();
        let signals = Arc::new(Signals::default());
        let link = Link { signals: Arc::clone(&signals), answers, wake: Wake(ctx.clone()) };
        #[cfg(test)]
        let is_broken = breaking::takes(name);
        let work = move || {
            // Also dropped if the work panics.
            let link = link;
            #[cfg(test)]
            if is_broken {
                std::panic::resume_unwind(Box::new("broken off for a test"));
            }
            let answer = work(&link);
            // Nobody listens any more if the window is gone.
            let _ = link.answers.send(Answer::Last(answer));
        };
        match std::thread::Builder::new().name(name.into()).spawn(work) {
            Ok(_) => self.run = Some(Run { key: key.clone(), name, answers: receiver, signals }),
            Err(error) => self.fault = Some((key.clone(), Fault::NoThread(name, error.to_string()))),
        }
    }

    /// Stops the run in progress if it is for another key, so that the next request can start at once.
    pub(in crate::window) fn give_up_others(&mut self, key: &K) {
        self.run.take_if(|run| !run.key.is_same(key));
    }

    /// Stops the run in progress, if any, without waiting for its answer. Earlier answers stay.
    pub(in crate::window) fn give_up(&mut self) {
        self.run = None;
    }

    /// Forgets everything, and stops the run in progress.
    pub(in crate::window) fn forget(&mut self) {
        *self = Self::default();
    }

    /// Stores an answer, or why there is none; the previous answer then remains for its own key.
    pub(in crate::window) fn put(&mut self, key: K, answer: Result<T, Refusal>) {
        match answer {
            Ok(found) => (self.done, self.fault) = (Some((key, Arc::new(found))), None),
            Err(why) => self.fault = Some((key, Fault::Refused(why))),
        }
    }

    /// The answer for a key.
    pub(in crate::window) fn shown(&self, key: &K) -> Option<&Arc<T>> {
        self.newest().filter(|(of, _)| of.is_same(key)).map(|(_, found)| found)
    }

    /// The newest answer, whatever its key.
    pub(in crate::window) fn newest(&self) -> Option<(&K, &Arc<T>)> {
        self.done.as_ref().map(|(key, found)| (key, found))
    }

    /// Why there is no answer for a key.
    pub(in crate::window) fn fault_of(&self, key: &K) -> Option<&Fault> {
        self.fault.as_ref().filter(|(of, _)| of.is_same(key)).map(|(_, why)| why)
    }

    /// Takes the answer out, whatever its key; `None` if there is none.
    pub(in crate::window) fn take_answer(&mut self) -> Option<Result<T, Fault>> {
        let found = self.done.take().and_then(|(_, found)| Arc::into_inner(found));
        found.map(Ok).or_else(|| self.take_fault().map(Err))
    }

    /// Takes out why there is no answer, so that it is reported once.
    pub(in crate::window) fn take_fault(&mut self) -> Option<Fault> {
        self.fault.take().map(|(_, why)| why)
    }

    /// Whether there is an answer for a key, or a reason why there is none.
    pub(in crate::window) fn is_known(&self, key: &K) -> bool {
        self.shown(key).is_some() || self.fault_of(key).is_some()
    }

    /// The key of the run in progress.
    pub(in crate::window) fn working(&self) -> Option<&K> {
        self.run.as_ref().map(|run| &run.key)
    }

    /// How much of the run is done, 0..=1; none if there is no run, or before it reports anything.
    pub(in crate::window) fn share(&self) -> Option<f64> {
        let share = f64::from_bits(self.run.as_ref()?.signals.reached.load(Ordering::Relaxed));
        (share > 0.0).then_some(share)
    }
}

/// Work that waits until a test lets it go on.
#[cfg(test)]
pub(in crate::window) struct Held {
    go: Sender<()>,
    ends: Receiver<Option<Refusal>>,
}

#[cfg(test)]
impl Held {
    /// Begins the work; returns why it gave no answer.
    pub(in crate::window) fn let_go(self) -> Option<Refusal> {
        self.go.send(()).unwrap();
        self.ends.recv().unwrap()
    }
}

#[cfg(test)]
impl<K: Same + Clone, T: Send + 'static> Task<K, T> {
    /// As [`Task::ask`]; the work waits until the test lets it go.
    pub(in crate::window) fn ask_held(
        &mut self,
        key: &K,
        ctx: &egui::Context,
        work: impl FnOnce(&Link<T>) -> Result<T, Refusal> + Send + 'static,
    ) -> Held {
        let ((go, gate), (ended, ends)) = (channel(), channel());
        self.ask(key, ctx, "the trial", move |link| {
            let _ = gate.recv();
            let answer = work(link);
            let _ = ended.send(answer.as_ref().err().cloned());
            answer
        });
        Held { go, ends }
    }
}

/// Work that panics, for tests of how that is shown.
#[cfg(test)]
pub(in crate::window) mod breaking {
    use std::cell::Cell;

    thread_local! {
        static NEXT: Cell<Option<&'static str>> = const { Cell::new(None) };
    }

    /// Makes the next work of this name that this thread starts panic.
    pub(in crate::window) fn break_next(name: &'static str) {
        NEXT.set(Some(name));
    }

    /// Whether it has panicked, or has been started at least.
    pub(in crate::window) fn was_taken() -> bool {
        NEXT.get().is_none()
    }

    pub(super) fn takes(name: &str) -> bool {
        let is_it = NEXT.get() == Some(name);
        if is_it {
            NEXT.set(None);
        }
        is_it
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc;

    use super::*;

    fn wait(task: &mut Task<u64, u32>) {
        while task.working().is_some() {
            task.receive();
            std::thread::yield_now();
        }
    }

    #[test]
    fn one_run_at_a_time_and_what_was_before_stays() {
        let (mut task, ctx) = (Task::default(), egui::Context::default());
        task.ask(&1, &ctx, "the trial", |_| Ok(10));
        wait(&mut task);
        assert_eq!(task.shown(&1).map(|found| **found), Some(10));
        let (go, gate) = mpsc::channel::<()>();
        task.ask(&2, &ctx, "the trial", move |_| gate.recv().map(|()| 20).map_err(Refusal::from));
        task.ask(&3, &ctx, "the trial", |_| Ok(30));
        task.receive();
        assert_eq!((task.working(), task.shown(&2).is_some()), (Some(&2), false));
        assert_eq!(task.newest().map(|(key, found)| (*key, **found)), Some((1, 10)));
        go.send(()).unwrap();
        wait(&mut task);
        assert_eq!(task.newest().map(|(key, found)| (*key, **found)), Some((2, 20)));
    }

    #[test]
    fn a_fault_is_that_of_its_key_alone_and_is_not_asked_for_again() {
        let (mut task, ctx) = (Task::<u64, u32>::default(), egui::Context::default());
        task.put(1, Ok(10));
        task.ask(&2, &ctx, "the trial", |_| Err(Refusal::new("no such number")));
        wait(&mut task);
        assert_eq!(
            (task.fault_of(&2), task.fault_of(&1)),
            (Some(&Fault::Refused(Refusal::new("no such number"))), None)
        );
        assert_eq!(task.shown(&1).map(|found| **found), Some(10));
        task.ask(&2, &ctx, "the trial", |_| Ok(20));
        assert!(task.working().is_none());
        task.put(3, Ok(30));
        assert!(task.fault_of(&2).is_none());
    }

    #[test]
    fn work_that_breaks_off_is_told_to_a_window_that_is_woken() {
        let (mut task, ctx) = (Task::<u64, u32>::default(), egui::Context::default());
        let (woken, wakings) = mpsc::channel();
        ctx.set_request_repaint_callback(move |_| _ = woken.send(()));
        task.ask(&1, &ctx, "the trial", |_| std::panic::resume_unwind(Box::new("broken")));
        wakings.recv().unwrap();
        task.receive();
        assert!(task.working().is_none(), "it is known by the frame that it asked for");
        let told = task.fault_of(&1).map(ToString::to_string);
        assert_eq!(told.as_deref(), Some("the trial broke off; any change tries again"));
        task.ask(&2, &ctx, "the trial", |_| Ok(20));
        task.wait();
        assert_eq!(task.shown(&2).map(|found| **found), Some(20), "it is usable again");
    }

    #[test]
    fn answers_before_the_last_are_shown_and_what_is_given_up_is_stopped() {
        let (mut task, ctx) = (Task::<u64, u32>::default(), egui::Context::default());
        let (ended, ends) = mpsc::channel();
        let work = move |link: &Link<u32>| {
            link.reached(0.25);
            link.tell(10);
            while !link.is_stopped() {
                std::thread::yield_now();
            }
            let _ = ended.send(link.tell(11));
            Ok(12)
        };
        task.ask(&1, &ctx, "the trial", work);
        while task.shown(&1).is_none() {
            task.receive();
        }
        assert_eq!((task.working(), task.share()), (Some(&1), Some(0.25)));
        task.give_up_others(&1);
        assert!(task.working().is_some());
        task.give_up_others(&2);
        assert_eq!(ends.recv(), Ok(false), "it has stopped, and nobody listens");
        assert_eq!((task.working(), task.share(), task.shown(&1).map(|found| **found)), (None, None, Some(10)));
    }
}
