//! Temperature senders: the law of resistance over temperature, and what the unit makes of it.

mod answer;
mod law;

pub use answer::{Divider, SenderAnswer, SenderPlace, SenderRow, SenderVerdict};
pub use law::SenderLaw;
