//! The program itself, run in a folder of its own.

mod bench;
mod check;
mod compare;
mod images;
mod golden;
mod lookup;
mod lookup_one;
mod outputs;
mod projects;
mod rig;
mod set;
mod shape;
mod tables;
mod usage;
mod worksheet;
