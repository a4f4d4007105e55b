//! Writing every copy that is waiting when the process is about to end.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{self, Sender};
use std::sync::{Mutex, PoisonError, TryLockError};
use std::thread;
use std::time::{Duration, Instant};

use super::keeper::{Message, THREAD};

type Keepers = Mutex<Vec<(u64, Sender<Message>)>>;

/// The channels to the threads that write copies.
static KEEPERS: Keepers = Mutex::new(Vec::new());

/// Neither a copy nor the list of threads is waited for longer than this: the process is about to end.
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
    have_written(&senders(&KEEPERS, LONGEST_WAIT));
}

/// The channels in the list. It is held for moments, by threads that start or close a document; but the thread that
/// holds it may be the one that asks, if it fails just then, so it is not waited for without end.
fn senders(keepers: &Keepers, longest_wait: Duration) -> Vec<Sender<Message>> {
    let until = Instant::now() + longest_wait;
    let of = |list: &[(u64, Sender<Message>)]| list.iter().map(|(_, keeper)| keeper.clone()).collect();
    loop {
        match keepers.try_lock() {
            Ok(list) => return of(&list),
            Err(TryLockError::Poisoned(list)) => return of(&list.into_inner()),
            Err(TryLockError::WouldBlock) if Instant::now() < until => thread::sleep(Duration::from_millis(1)),
            Err(TryLockError::WouldBlock) => return Vec::new(),
        }
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    /// A list of its own: other tests wait for their own copies at the same time.
    #[test]
    fn a_list_that_is_held_for_a_moment_is_waited_for() {
        let (keeper, inbox) = mpsc::channel();
        let keepers: Keepers = Mutex::new(vec![(0, keeper)]);
        thread::scope(|scope| {
            let (held, is_held) = mpsc::channel();
            let keepers = &keepers;
            scope.spawn(move || {
                let list = keepers.lock().unwrap();
                held.send(()).unwrap();
                thread::sleep(Duration::from_millis(50));
                drop(list);
            });
            is_held.recv().unwrap();
            let found = senders(keepers, Duration::from_secs(60));
            assert_eq!(found.len(), 1);
            found[0].send(Message::Delete).unwrap();
        });
        assert!(matches!(inbox.try_recv(), Ok(Message::Delete)));
    }

    #[test]
    fn a_list_that_the_asking_thread_holds_itself_is_given_up() {
        let (keeper, _inbox) = mpsc::channel();
        let keepers: Keepers = Mutex::new(vec![(0, keeper)]);
        let list = keepers.lock().unwrap();
        assert!(senders(&keepers, Duration::from_millis(5)).is_empty());
        drop(list);
        assert_eq!(senders(&keepers, Duration::ZERO).len(), 1);
    }
}
