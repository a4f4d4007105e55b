//! Sparkloft: a workbench for spark-advance tables.

pub mod checks;
pub mod combustion;
pub mod command_line;
pub mod compare;
pub mod document;
pub mod drawing;
pub mod image;
pub mod interchange;
pub mod lettering;
pub mod picture;
pub mod project;
pub mod rig;
pub mod setup_sheet;
pub mod shaping;
pub mod spark;
pub mod table;
pub mod watch;
#[cfg(feature = "window")]
pub mod window;
pub mod wording;
pub mod worksheet;
