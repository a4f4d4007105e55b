//! Sparkloft: a workbench for spark-advance tables.

pub mod drawing;
pub mod interchange;
pub mod document;
pub mod compare;
pub mod project;
pub mod shaping;
pub mod table;
