//! Ends of the program without a question: a signal, a panic, a library that ends the process because the
//! display is gone. In each case, unsaved work is written to its recovery copy first.

use std::panic;

use crate::document::write_pending_copies;

/// Makes sure that no end of the process loses unsaved work. Must be called on the window's own thread before
/// any other is started: they all leave the signals to the one that waits for them.
pub fn watch_for_it() {
    wait_for_signals();
    let before = panic::take_hook();
    panic::set_hook(Box::new(move |what| {
        write_pending_copies();
        before(what);
    }));
    AT_EXIT.with(|_| ());
}

/// Dropped when its thread ends, and also when something calls the system's `exit` on it, as the X library does
/// when the display goes away.
struct AtExit;

impl Drop for AtExit {
    fn drop(&mut self) {
        write_pending_copies();
    }
}

thread_local! {
    static AT_EXIT: AtExit = const { AtExit };
}

#[cfg(unix)]
fn wait_for_signals() {
    use nix::sys::signal::{SigSet, Signal, raise};
    let mut awaited = SigSet::empty();
    [Signal::SIGTERM, Signal::SIGHUP, Signal::SIGINT].into_iter().for_each(|signal| awaited.add(signal));
    if let Err(error) = awaited.thread_block() {
        log::warn!("a signal would end the program without a last recovery copy: {error}");
        return;
    }
    let wait = move || {
        let signal = awaited.wait();
        write_pending_copies();
        // Ended as if nobody had waited, so that the sender of the signal sees its effect.
        let _ = awaited.thread_unblock();
        if let Ok(signal) = signal {
            let _ = raise(signal);
        }
        std::process::exit(1);
    };
    if std::thread::Builder::new().name("signals".into()).spawn(wait).is_err() {
        // Better to end without a last copy than not to end.
        let _ = awaited.thread_unblock();
    }
}

#[cfg(not(unix))]
const fn wait_for_signals() {}
