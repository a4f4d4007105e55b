//! Which job, nothing else.
fn main() {}
