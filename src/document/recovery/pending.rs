//! Having every copy that waits written at once, when the process is about to end.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{self, Sender};
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::Duration;

use super::keeper::{Message, THREAD};

/// The ways to the threads that write copies.
static KEEPERS: Mutex<Vec<(u64, Sender<Message>)>> = Mutex::new(Vec::new());

/// Longer than that nobody waits for one copy: the process is to end.
const LONGEST_WAIT: Duration = Duration::from_secs(3);

/// A thread that is in the list until this is dropped.
#[derive(Debug)]
pub(super) struct Registered(u64);

pub(super) fn register(keeper: Sender<Message>) -> Registered {
    static NEXT: AtomicU64 = AtomicU64::new(0);
    let number = NEXT.fetch_add(1, Ordering::Relaxed);
    KEEPERS.lock().unwrap_or_else(PoisonError::into_inner).push((number, keeper));
    Registered(number)
}

impl Drop for Registered {
    fn drop(&mut self) {
        KEEPERS.lock().unwrap_or_else(PoisonError::into_inner).retain(|(number, _)| *number != self.0);
    }
}

/// Has the recovery copies of all documents of this process written that are not yet: for when it is about to end without
/// closing them, by a signal, a panic or a library that ends it. Safe to call from any thread, and more than once.
pub fn write_pending_copies() {
    // The one that fails just now cannot wait for itself.
    if thread::current().name() == Some(THREAD) {
        return;
    }
    let keepers: Vec<Sender<Message>> = match KEEPERS.try_lock() {
        Ok(keepers) => keepers.iter().map(|(_, keeper)| keeper.clone()).collect(),
        Err(std::sync::TryLockError::Poisoned(keepers)) => {
            keepers.into_inner().iter().map(|(_, keeper)| keeper.clone()).collect()
        }
        // Held by whoever is ending: a document that is just being closed writes its copy itself.
        Err(std::sync::TryLockError::WouldBlock) => return,
    };
    have_written(&keepers);
}

/// Asks each of these to write its copy at once, and waits for all of them.
pub(super) fn have_written(keepers: &[Sender<Message>]) {
    let asked: Vec<_> = keepers
        .iter()
        .map(|keeper| {
            let (done, written) = mpsc::channel();
            let _ = keeper.send(Message::WritePending(done));
            written
        })
        .collect();
    for written in asked {
        let _ = written.recv_timeout(LONGEST_WAIT);
    }
}
