//! The state of a document's recovery copy, shared by its thread and the document.

use std::fmt;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use jiff::Timestamp;

/// Notifies somebody; called from any thread.
pub(in super::super) type Bell = Box<dyn Fn() + Send + Sync>;

/// Shared by the thread that writes the copy and the document.
#[derive(Clone, Default)]
pub(super) struct Standing(Arc<Mutex<State>>);

#[derive(Default)]
struct State {
    /// Why the last copy could not be written.
    fault: Option<String>,
    /// The time of the copy on the disk.
    copied_at: Option<Timestamp>,
    bell: Option<Bell>,
}

impl fmt::Debug for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let state = self.state();
        f.debug_struct("Standing")
            .field("fault", &state.fault)
            .field("copied_at", &state.copied_at)
            .finish_non_exhaustive()
    }
}

impl Standing {
    pub(super) fn fault(&self) -> Option<String> {
        self.state().fault.clone()
    }

    pub(super) fn copied_at(&self) -> Option<Timestamp> {
        self.state().copied_at
    }

    pub(super) fn ring_with(&self, bell: Bell) {
        self.state().bell = Some(bell);
    }

    pub(super) fn rings(&self) -> bool {
        self.state().bell.is_some()
    }

    pub(super) fn tell_fault(&self, fault: Option<String>) {
        let copied_at = self.copied_at();
        self.tell(fault, copied_at);
    }

    /// Records the present state; a change rings the bell.
    pub(super) fn tell(&self, fault: Option<String>, copied_at: Option<Timestamp>) {
        let mut state = self.state();
        if state.fault == fault && state.copied_at == copied_at {
            return;
        }
        if let Some(fault) = fault.as_ref().filter(|_| state.fault != fault) {
            log::warn!("{fault}");
        }
        (state.fault, state.copied_at) = (fault, copied_at);
        if let Some(bell) = &state.bell {
            bell();
        }
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
