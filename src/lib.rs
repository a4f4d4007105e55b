//! Sparkloft: a workbench for spark-advance tables.
pub mod project;
pub mod table;
