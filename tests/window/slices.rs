//! Slices by pointer and by name.
