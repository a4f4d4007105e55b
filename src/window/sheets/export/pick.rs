//! Selecting what stands at an address, the same from map, bytes, numbers and comparison.

use super::kept::Kept;
use crate::window::state::export_state::ExportMessage;
use crate::window::state::outbox::Outbox;

/// Selects the byte at an address with what it belongs to.
pub(super) fn pick(kept: &Kept, address: u64, outbox: &mut Outbox) {
    outbox.send(ExportMessage::Select(kept.part_at(address), Some(address)));
}
