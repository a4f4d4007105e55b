use proptest::prelude::*;

use super::*;
use crate::image::encode;
use crate::image::samples::{any_project, reference_project};
use crate::project::{CellType, SAMPLES};

fn flashed(project: &Project) -> AsFlashed {
    as_flashed(project).unwrap().unwrap()
}

#[test]
fn an_exact_table_is_flashed_as_it_is() {
    let project = reference_project();
    let flashed = flashed(&project);
    assert_eq!(flashed.table(), project.advance.table());
    assert_eq!(flashed.raw(Cell::new(0, 0)), Raw::Count(0xA8));
}

/// Worked by hand in counts: 2000 rpm is count 40 between 30 and 50, t = ⌊10·256/20⌋ = 128; 80 kPa is 160
/// between 120 and 200, t = 128. Rows C8, E0 → C8 + (24·128 >> 8) = 212 at 30 kPa; B4, CC → 192; 90, A8 → 156;
/// 192 + (−36·128 >> 8) = 174, which is 23.5°, the same as the bilinear value there.
#[test]
fn the_units_arithmetic_meets_a_case_worked_by_hand() {
    let flashed = flashed(&reference_project());
    assert_eq!(flashed.integer().unwrap().at(40, 160), 174);
    assert_eq!(flashed.advance_deg(2000.0, 80.0), 23.5);
    assert_eq!(flashed.advance_deg(9000.0, 10.0), 40.0);
}

#[test]
fn the_largest_difference_is_over_every_pair_of_counts() {
    let flashed = flashed(&reference_project());
    let integer = flashed.integer().unwrap();
    let mut largest = 0.0_f64;
    for speed in 16..=80 {
        for load in 60..=200 {
            let unit = integer.at(speed, load) as f64 * 0.25 - 20.0;
            let ideal = flashed.ideal.lookup(speed as f64 * 50.0, load as f64 * 0.5);
            largest = largest.max((unit - ideal).abs());
        }
    }
    let difference = flashed.largest_difference();
    assert_eq!(difference.deg().abs(), largest);
    assert!(difference.deg() < 0.0, "every step rounds down: {difference:?}");
    assert!((0.25..0.75).contains(&largest), "{largest}");
    assert_eq!(flashed.arithmetic_difference(), difference);
}

#[test]
fn large_counts_are_looked_at_sixteen_times_an_interval() {
    for sample in SAMPLES {
        let project = sample.project().unwrap();
        let flashed = flashed(&project);
        let points = flashed.points(&flashed.ideal);
        let intervals = |axis: &Axis| (axis.len() - 1) * 16 + 1;
        let most = (intervals(flashed.table().speed()), intervals(flashed.table().load()));
        assert!(points.0.len() <= most.0 && points.1.len() <= most.1);
        assert!(flashed.largest_difference().deg().abs() < 0.5, "{}: {:?}", sample.name, flashed.largest_difference());
    }
}

#[test]
fn floating_point_units_do_not_count() {
    let float = reference_project().edit(|parts| {
        parts.image.checksum.kind = crate::project::ChecksumKind::None;
        parts.image.size = 0x40;
        parts.image.items[2].cell = CellType::F32;
        parts.image.items[2].scale = 1.0;
        parts.image.items[2].offset = 0.0;
    });
    let flashed = flashed(&float.unwrap());
    assert!(flashed.integer().is_none());
    assert_eq!(flashed.largest_difference().deg(), 0.0);
    assert_eq!(flashed.advance_deg(2000.0, 80.0), 23.5);
}

#[test]
fn there_is_nothing_where_the_image_holds_no_table() {
    let without = reference_project().edit(|parts| drop(parts.image.items.remove(2))).unwrap();
    assert!(as_flashed(&without).unwrap().is_none());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn breakpoints_give_the_cells_of_the_image(project in any_project()) {
        let (Ok(image), Ok(Some(flashed))) = (encode(&project), as_flashed(&project)) else { return Ok(()) };
        let place = project.image.items.iter().position(|item| item.name == "map").unwrap();
        prop_assert_eq!(&flashed.raws, &image.items[place].raws);
        for cell in flashed.table().cells() {
            let speed = flashed.table().speed().breakpoints()[cell.speed];
            let load = flashed.table().load().breakpoints()[cell.load];
            prop_assert_eq!(flashed.advance_deg(speed, load), flashed.table().at(cell));
        }
    }
}
