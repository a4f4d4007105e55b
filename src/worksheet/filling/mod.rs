//! How throttle opening fills the manifold: fitted to a log, and what a project's loads are in the other unit.

mod conversion;
mod fit;
mod model;
mod settled;
mod verdict;

pub use conversion::{ConvertedCell, LoadConversion};
pub use fit::{FillingPair, FillingRefusal, FittedFilling};
pub use model::{Filling, STANDARD_ATMOSPHERE_KPA, Unreachable};
pub use settled::{LoggedFilling, settled};
pub use verdict::FillingVerdict;
