//! The program itself, run in a folder of its own.

mod bench;
mod compare;
mod lookup;
mod outputs;
mod picture;
mod projects;
mod set;
mod shape;
mod sheet;
mod tables;
mod usage;
