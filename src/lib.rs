//! Sparkloft: a workbench for spark-advance tables.
pub mod project;
pub mod shaping;
pub mod table;
