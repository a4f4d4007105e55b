//! Sparkloft: a workbench for spark-advance tables.

pub mod drawing;
pub mod interchange;
pub mod project;
pub mod table;
