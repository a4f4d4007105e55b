//! Floor 2: the arithmetic of fitting the ignition beside the car. Readings in; figures, verdicts in words, and the
//! project with the result applied out.
//!
//! Every worksheet works the same way: a question checks its values and gives an answer or a [`WorksheetError`]; the
//! answer carries numbers, and verdicts that say what they mean; where a result belongs into the project, `apply` gives
//! the changed project and `label` the name of that one step.

mod coil;
mod error;
mod first_start;
mod least_squares;
mod light;
mod sender;
mod throttle;
mod timing_light;
mod true_tdc;
mod verdict;

pub use coil::{CoilAnswer, CoilQuestion, CoilRow, CoilVerdict};
pub use error::WorksheetError;
pub use first_start::{FirstStart, FirstStartAnswer, FirstStartCoil, FirstStartVerdict, Steps};
pub use light::LightShown;
pub use sender::{Divider, SenderAnswer, SenderLaw, SenderPlace, SenderRow, SenderVerdict};
pub use throttle::{GOOD_CLOSED_V, GOOD_OPEN_V, ThrottleAnswer, ThrottleVerdict};
pub use timing_light::{
    CRANKING_READINGS_BELOW_RPM, FAST_RPM, LightKind, MOST_EACH_DEG, MOST_MEAN_DEG, PRESCRIBED_READINGS, SAME_DEG,
    SAME_US, TimingAnswer, TimingSetting, TimingVerdict, Unproved, proof_words,
};
pub use true_tdc::{PistonStop, STRIP_DEG, Strip, StripMark, TdcVerdict, TrueTdc, pulley_deg, pulley_mm};
pub use verdict::{Gravity, Verdict};
