//! Floor 2: a physical second opinion on spark advance. From a description of the engine it estimates, for any speed and
//! manifold pressure, the advance of best torque, the knock limit, what an advance costs in torque, and how far each of
//! these may be off.
//!
//! One zone burns by a Wiebe function, loses heat to the walls by Woschni's correlation, and is followed from −180° to
//! +140° of crank; the end gas is compressed without loss, and knocks when the Livengood–Wu integral of an ignition delay
//! reaches one. Angles θ are crank degrees after top dead centre of firing, advances degrees before it. Pressures are
//! absolute.
//!
//! It knows the shape of things better than their size: an estimate that no measurement has tested is an order of
//! magnitude ([`UNTESTED`]). [`LIMITS_OF_THE_MODEL`] says where it is known to be off.
//!
//! Publications are named beside each formula. 'From memory' there means that title and constants were not looked up;
//! 'assumed' that the value is a judgement of this program without a source.

mod belief;
mod burn;
mod calibration;
mod cell;
mod charge;
mod cycle;
mod description;
mod gas;
mod geometry;
mod heat_loss;
mod knock;
mod motored;
mod of_project;
mod opinion;
mod place;
#[cfg(test)]
mod proofs;
mod refusal;
mod small_matrix;
mod throttle;

pub use belief::{Belief, Corrections, LearntOf, UNKNOWNS, Unknown};
pub use calibration::{Calibrated, CalibrationError, Heard, Measured, MeasuredAs, TorqueReading};
pub use description::{Description, OVERLAPS_DEG};
pub use opinion::{CellOpinion, LimitedBy, SecondOpinion, SparkGives};
pub use place::{KnockLimit, Load, Place};
pub use refusal::NoOpinion;

/// Said of an opinion that no measured point has tested.
pub const UNTESTED: &str = "Untested: order of magnitude and shape only.";

/// Where the model is known to be off, a sentence each.
pub const LIMITS_OF_THE_MODEL: [&str; 6] = [
    "This is no permission to advance without listening for knock.",
    "It knows the knock of a mean cycle in a warm, clean engine: fast cycles, hot spots, deposits and the worst cylinder \
     are not in it, so 3° below its limit is the least margin.",
    "Best torque comes out some 2–4° low near 1000 rpm and as much high above 5000 rpm, and it falls by 3° for each \
     compression ratio where engines show 1–2°.",
    "At part load best torque rests mostly on the estimate of residual gas: the next word for the valve overlap moves it \
     by 3–11°.",
    "Filling knows neither ram nor tuned pipes: near peak torque the knock limit may come out 1–4° too high.",
    "How fast a kind of chamber burns is its weakest input: it was set so that best torque comes out where it usually is.",
];
