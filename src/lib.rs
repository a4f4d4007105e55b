//! Sparkloft: a workbench for spark-advance tables.
pub mod compare;
pub mod project;
pub mod table;
