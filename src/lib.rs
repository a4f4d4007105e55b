//! Sparkloft: a workbench for spark-advance tables.
pub mod document;
pub mod project;
pub mod table;
