//! The program itself, run in a folder of its own.

mod bench;
mod check;
mod compare;
mod coverage;
mod fair;
mod frozen;
mod golden;
mod images;
mod locked_timing;
mod lookup;
mod lookup_one;
mod merge;
mod names;
mod outputs;
mod picture;
mod projects;
mod readme;
mod rewriting;
mod rig;
mod set;
mod shape;
mod sheet;
mod tables;
mod usage;
mod worksheet;
