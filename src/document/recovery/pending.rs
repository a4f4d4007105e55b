//! Writing every copy that is waiting when the process is about to end.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{self, Sender};
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::Duration;

use super::keeper::{Message, THREAD};

/// The channels to the threads that write copies.
static KEEPERS: Mutex<Vec<(u64, Sender<Message>)>> = Mutex::new(Vec::new());

/// No copy is waited for longer than this: the process is about to end.
const LONGEST_WAIT: Duration = Duration::from_secs(3);

/// A thread is in the list until this is dropped.
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

/// Writes the recovery copies of all documents of this process that have not been written yet: for when the
/// process is about to end without closing them, because of a signal, a panic or a library that ends it. Safe
/// to call from any thread, and more than once.
pub fn write_pending_copies() {
    // A thread that is itself failing cannot wait for itself.
    if thread::current().name() == Some(THREAD) {
        return;
    }
    let keepers: Vec<Sender<Message>> = match KEEPERS.try_lock() {
        Ok(keepers) => keepers.iter().map(|(_, keeper)| keeper.clone()).collect(),
        Err(std::sync::TryLockError::Poisoned(keepers)) => {
            keepers.into_inner().iter().map(|(_, keeper)| keeper.clone()).collect()
        }
        // Held for a moment by a thread that starts or closes a document (a closing one writes its copy itself), or
        // by another call of this.
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
