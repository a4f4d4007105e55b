//! True top dead centre: where it really is, against the marks and in millimetres on a pulley.

mod piston_stop;
mod strip;

pub use piston_stop::{PistonStop, TdcVerdict, TrueTdc};
pub use strip::{STRIP_DEG, Strip, StripMark, pulley_deg, pulley_mm};
