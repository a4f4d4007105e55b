//! The program itself, run in a folder of its own.

mod bench;
mod compare;
mod images;
mod lookup;
mod outputs;
mod projects;
mod set;
mod shape;
mod tables;
mod usage;
