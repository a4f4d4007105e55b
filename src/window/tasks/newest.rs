//! The newest result of work that is done off the frame, and what it was made of.

use std::fmt;
use std::ops::Deref;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use eframe::egui;

use crate::project::Project;

/// What a result is made of: two of them that are the same give the same result.
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

/// Keeps the newest result with its key, why another key has none, and the one worker.
pub(in crate::window) struct Newest<K, T> {
    done: Option<(K, Arc<T>)>,
    fault: Option<(K, String)>,
    worker: Option<Worker<K, T>>,
}

struct Worker<K, T> {
    key: K,
    /// What it is at, for messages.
    name: &'static str,
    answer: Receiver<Result<T, String>>,
}

impl<K, T> Default for Newest<K, T> {
    fn default() -> Self {
        Self { done: None, fault: None, worker: None }
    }
}

impl<K, T> fmt::Debug for Newest<K, T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let worker = self.worker.as_ref().map(|worker| worker.name);
        f.debug_struct("Newest").field("is_done", &self.done.is_some()).field("worker", &worker).finish_non_exhaustive()
    }
}

impl<K: Same + Clone, T: Send + 'static> Newest<K, T> {
    /// Takes what the worker has found, if it is done.
    pub(in crate::window) fn receive(&mut self) {
        let Some(worker) = &self.worker else {
            return;
        };
        let answer = match worker.answer.try_recv() {
            Ok(answer) => answer,
            Err(TryRecvError::Empty) => return,
            Err(TryRecvError::Disconnected) => Err(format!("{} broke off; any change tries again", worker.name)),
        };
        if let Some(worker) = self.worker.take() {
            self.put(worker.key, answer);
        }
    }

    /// Has a result found on a thread, unless it or the reason why there is none is known. One worker at a time: what is
    /// asked for while it is at something else is asked for again in the frame after.
    pub(in crate::window) fn ask(
        &mut self,
        key: &K,
        ctx: &egui::Context,
        name: &'static str,
        work: impl FnOnce() -> Result<T, String> + Send + 'static,
    ) {
        if self.worker.is_some() || self.is_known(key) {
            return;
        }
        let (sender, answer) = channel();
        let wake = Wake(ctx.clone());
        let work = move || {
            let _wake = wake;
            // Dropped before, also when the work breaks off. Nobody listens any more when the window is gone.
            let sender = sender;
            let _ = sender.send(work());
        };
        match std::thread::Builder::new().name(name.into()).spawn(work) {
            Ok(_) => self.worker = Some(Worker { key: key.clone(), name, answer }),
            Err(error) => {
                let why =
                    format!("{name} was not begun, for the system gives no thread ({error}); any change tries again");
                self.put(key.clone(), Err(why));
            }
        }
    }

    /// Keeps a result, or why there is none; the result before it then stays for its own key.
    pub(in crate::window) fn put(&mut self, key: K, answer: Result<T, String>) {
        match answer {
            Ok(found) => (self.done, self.fault) = (Some((key, Arc::new(found))), None),
            Err(why) => self.fault = Some((key, why)),
        }
    }

    /// The result of a key.
    pub(in crate::window) fn shown(&self, key: &K) -> Option<&Arc<T>> {
        self.newest().filter(|(of, _)| of.is_same(key)).map(|(_, found)| found)
    }

    /// The newest result, whatever it was made of.
    pub(in crate::window) fn newest(&self) -> Option<(&K, &Arc<T>)> {
        self.done.as_ref().map(|(key, found)| (key, found))
    }

    /// Why a key has no result.
    pub(in crate::window) fn fault_of(&self, key: &K) -> Option<&str> {
        self.fault.as_ref().filter(|(of, _)| of.is_same(key)).map(|(_, why)| why.as_str())
    }

    /// Whether there is a result of a key, or the reason why there is none.
    pub(in crate::window) fn is_known(&self, key: &K) -> bool {
        self.shown(key).is_some() || self.fault_of(key).is_some()
    }

    /// What the worker is at.
    pub(in crate::window) fn working(&self) -> Option<&K> {
        self.worker.as_ref().map(|worker| &worker.key)
    }

    /// Forgets everything; a worker's answer is not waited for.
    pub(in crate::window) fn forget(&mut self) {
        *self = Self::default();
    }
}

/// The window's context on another thread: asks for a frame when it is dropped, however that comes about. It is to be dropped
/// after the way on which the thread answers, so that the window finds that closed.
#[derive(Debug)]
pub(in crate::window) struct Wake(pub(in crate::window) egui::Context);

impl Drop for Wake {
    fn drop(&mut self) {
        self.0.request_repaint();
    }
}

impl Deref for Wake {
    type Target = egui::Context;

    fn deref(&self) -> &egui::Context {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc;

    use super::*;

    impl Same for u32 {
        fn is_same(&self, other: &Self) -> bool {
            self == other
        }
    }

    fn wait(newest: &mut Newest<u32, u32>) {
        while newest.working().is_some() {
            newest.receive();
            std::thread::yield_now();
        }
    }

    #[test]
    fn one_worker_at_a_time_and_what_was_before_stays() {
        let (mut newest, ctx) = (Newest::default(), egui::Context::default());
        newest.ask(&1, &ctx, "the trial", || Ok(10));
        wait(&mut newest);
        assert_eq!(newest.shown(&1).map(|found| **found), Some(10));
        let (go, gate) = mpsc::channel::<()>();
        newest.ask(&2, &ctx, "the trial", move || gate.recv().map(|()| 20).map_err(|error| error.to_string()));
        newest.ask(&3, &ctx, "the trial", || Ok(30));
        newest.receive();
        assert_eq!((newest.working(), newest.shown(&2).is_some()), (Some(&2), false));
        assert_eq!(newest.newest().map(|(key, found)| (*key, **found)), Some((1, 10)));
        go.send(()).unwrap();
        wait(&mut newest);
        assert_eq!(newest.newest().map(|(key, found)| (*key, **found)), Some((2, 20)));
    }

    #[test]
    fn a_fault_is_that_of_its_key_alone_and_is_not_asked_for_again() {
        let (mut newest, ctx) = (Newest::<u32, u32>::default(), egui::Context::default());
        newest.put(1, Ok(10));
        newest.ask(&2, &ctx, "the trial", || Err("no such number".into()));
        wait(&mut newest);
        assert_eq!((newest.fault_of(&2), newest.fault_of(&1)), (Some("no such number"), None));
        assert_eq!(newest.shown(&1).map(|found| **found), Some(10));
        newest.ask(&2, &ctx, "the trial", || Ok(20));
        assert!(newest.working().is_none());
        newest.put(3, Ok(30));
        assert!(newest.fault_of(&2).is_none());
    }

    #[test]
    fn work_that_breaks_off_is_told() {
        let (mut newest, ctx) = (Newest::<u32, u32>::default(), egui::Context::default());
        let (woken, wakings) = mpsc::channel();
        ctx.set_request_repaint_callback(move |_| _ = woken.send(()));
        newest.ask(&1, &ctx, "the trial", || std::panic::resume_unwind(Box::new("broken")));
        wakings.recv().unwrap();
        newest.receive();
        assert!(newest.working().is_none(), "it is known by the frame that it asked for");
        assert_eq!(newest.fault_of(&1), Some("the trial broke off; any change tries again"));
    }
}
