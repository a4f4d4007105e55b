//! Tables for tests.

use proptest::prelude::*;

use crate::table::{Axis, Table};

/// An axis of `count` breakpoints with uneven gaps and full digits.
fn axis(count: usize) -> impl Strategy<Value = Axis> {
    (0.0..500.0, proptest::collection::vec(3.0..40.0, count - 1)).prop_map(|(first, gaps)| {
        let mut x: f64 = first;
        let rest = gaps.into_iter().map(|gap: f64| {
            x += gap;
            x
        });
        Axis::new(std::iter::once(first).chain(rest).collect::<Vec<_>>()).unwrap()
    })
}

/// A table of any size from 2 × 2 to 64 × 64 within the ranges of an advance table.
pub(crate) fn any_table() -> impl Strategy<Value = Table> {
    let size = prop_oneof![2..=9_usize, 2..=64_usize];
    (size.clone(), size).prop_flat_map(|(speeds, loads)| {
        let cell = prop_oneof![-60.0..90.0, (-600..900_i32).prop_map(|tenths| f64::from(tenths) / 10.0)];
        (axis(speeds), axis(loads), proptest::collection::vec(cell, speeds * loads))
            .prop_map(|(speed, load, values)| Table::new(speed, load, values).unwrap())
    })
}
