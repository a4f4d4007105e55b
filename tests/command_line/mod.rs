//! The program itself, run in a folder of its own.

mod bench;
mod check;
mod compare;
mod golden;
mod locked_timing;
mod lookup;
mod lookup_one;
mod merge;
mod outputs;
mod projects;
mod rig;
mod set;
mod shape;
mod tables;
mod usage;
mod worksheet;
