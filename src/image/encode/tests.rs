//! Encoding, decoding and comparing together.

use proptest::prelude::*;

use super::*;
use crate::image::samples::{any_project, item, project, reference_project, with_layout};
use crate::image::{DecodeError, OnMismatch, decode, verify};
use crate::image::{Place, Raw};
use crate::project::Item;
use crate::project::{CellType, Content, Direction, LoadKind, NewProject, Origin, SAMPLES, StartingLayout};
use crate::table::Cell;

/// Bytes of the same image as made with the Python libraries intelhex and bincopy: u8 × 50 rpm, u8 × 0.5 kPa,
/// u8 × 0.25° − 20°, speed varying fastest; CRC-32/ISO-HDLC of the map.
#[test]
fn the_byte_image_is_that_of_independent_programs() {
    let image = encode(&reference_project()).unwrap();
    assert_eq!(image.bytes[..7], [0x10, 0x1E, 0x32, 0x50, 0x3C, 0x78, 0xC8]);
    assert_eq!(image.bytes[7..16], [0xFF; 9]);
    let map = [0xA8, 0xC8, 0xE0, 0xF0, 0x98, 0xB4, 0xCC, 0xD8, 0x78, 0x90, 0xA8, 0xBC];
    assert_eq!(image.bytes[16..28], map);
    assert_eq!(image.checksum, Some(0xBF30_D032));
    assert_eq!(image.bytes[28..], [0xBF, 0x30, 0xD0, 0x32]);
    assert!(image.items.iter().all(|item| item.loss.is_none() && item.resampled.is_none()));
    assert_eq!(crate::image::checksum_of(crate::project::ChecksumKind::Crc16CcittFalse, &map), Some(0xAFA5));
}

/// The same with load varying fastest, from the same source.
#[test]
fn columns_first_is_the_other_way_about() {
    let project = reference_project();
    let columns = project.edit(|parts| parts.image.items[2].order = crate::project::CellOrder::ColumnsFirst).unwrap();
    let image = encode(&columns).unwrap();
    assert_eq!(image.bytes[16..28], [0xA8, 0x98, 0x78, 0xC8, 0xB4, 0x90, 0xE0, 0xCC, 0xA8, 0xF0, 0xD8, 0xBC]);
}

#[test]
fn every_sample_is_encoded_and_read_back() {
    for sample in SAMPLES {
        let project = sample.project().unwrap();
        let image = encode(&project).unwrap();
        assert_eq!(encode(&project).unwrap(), image, "{}", sample.name);
        assert!(verify(&project, &image.bytes).unwrap().is_same());
        let decoded = decode(&image.bytes, &project, OnMismatch::Refuse).unwrap();
        assert!(decoded.comparison.is_same(), "{}: {:?}", sample.name, decoded.comparison);
        assert_eq!(decoded.project.advance.table().values(), project.advance.table().values());
    }
}

#[test]
fn a_value_out_of_range_is_named_with_its_cell() {
    let project = reference_project();
    let values = project.advance.table().values().iter().map(|deg| if *deg == 40.0 { 44.0 } else { *deg }).collect();
    let advance = project.advance.with_values(values, Origin::Typed).unwrap();
    let error = encode(&project.with_advance(advance).unwrap()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "'map' at 4000 rpm, 30 kPa: 44 would be the raw value 256, but u8 holds −20..43.75 with this scale and offset; choose a larger type or another scale"
    );
}

#[test]
fn breakpoints_that_meet_are_both_named() {
    let coarse = reference_project().edit(|parts| parts.image.items[0].scale = 1010.0).unwrap();
    let error = encode(&coarse).unwrap_err();
    let expected =
        "'speeds': breakpoints 800 and 1500 both become the raw value 1; move them apart or choose a finer scale";
    assert_eq!(error.to_string(), expected);
}

#[test]
fn the_largest_loss_is_told_with_its_place() {
    let project = reference_project();
    let mut values = project.advance.table().values().to_vec();
    (values[5], values[6]) = (25.05, 30.9);
    let project = project.with_advance(project.advance.with_values(values, Origin::Typed).unwrap()).unwrap();
    let image = encode(&project).unwrap();
    let loss = image.items[2].loss.clone().unwrap();
    assert_eq!((loss.value, loss.stored, loss.changed), (30.9, 31.0, 2));
    assert!(matches!(loss.place, Place::Cell { cell: Cell { load: 1, speed: 2 }, .. }));
    assert_eq!(loss.place.to_string(), " at 2500 rpm, 60 kPa");
}

#[test]
fn the_units_own_size_is_resampled_with_the_largest_change() {
    let project = reference_project().edit(|parts| {
        parts.image.items[0].speeds = Some(2);
        parts.image.items[2].speeds = Some(2);
    });
    let image = encode(&project.unwrap()).unwrap();
    assert_eq!(image.bytes[..2], [0x10, 0x50]);
    assert_eq!((image.items[2].size.speeds, image.items[2].size.loads), (2, 3));
    let resampled = image.items[2].resampled.clone().unwrap();
    // Straight from 18 at 800 to 34 at 4000 rpm: 26.5 at 2500 instead of 31; elsewhere the difference is
    // smaller.
    assert!((resampled.largest_change + 4.5).abs() < 1e-9, "{resampled:?}");
    assert_eq!(resampled.place.to_string(), " at 2500 rpm, 60 kPa");
    let longer = reference_project().edit(|parts| {
        parts.image.items[2].address = 0x1010;
        parts.image.items[2].speeds = Some(2);
    });
    let error = encode(&longer.unwrap()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "'map' has 2 speeds, but no axis item has as many ('speeds' has 4); give both the same size"
    );
}

#[test]
fn cells_are_looked_up_at_the_breakpoints_that_the_unit_will_read() {
    let project = reference_project().edit(|parts| {
        parts.image.items[0].speeds = Some(3);
        parts.image.items[2].speeds = Some(3);
        parts.image.items[2].scale = 0.1;
        parts.image.items[2].cell = CellType::I16;
        parts.image.items[2].offset = 0.0;
        parts.image.checksum.kind = crate::project::ChecksumKind::None;
        parts.image.size = 0x40;
    });
    let image = encode(&project.unwrap()).unwrap();
    // The middle by index is 2000 rpm: between 30 at 1500 and 36 at 2500.
    assert_eq!(image.items[0].raws, [Raw::Count(16), Raw::Count(40), Raw::Count(80)]);
    assert_eq!(image.items[2].raws[1], Raw::Count(330));
}

#[test]
fn a_curve_of_another_size_is_resampled() {
    let project = project().edit(|parts| {
        for item in &mut parts.image.items {
            if matches!(item.content, Content::AirTrimTemperatures | Content::AirTrimDegrees) {
                item.speeds = Some(3);
            }
        }
    });
    let project = project.unwrap();
    let image = encode(&project).unwrap();
    let air = image.items.iter().find(|item| item.item.name == "air_trim").unwrap();
    // 30, 40, 50, 60, 70 °C: 0, −1, −2, −4, −6° becomes 30, 50, 70 °C: 0, −2, −6°, which is the same curve.
    assert_eq!(air.raws, [Raw::Count(0), Raw::Count(-20), Raw::Count(-60)]);
    assert_eq!(air.resampled.as_ref().unwrap().largest_change, 0.0);
    let coarse = project.edit(|parts| {
        for item in &mut parts.image.items {
            item.speeds = item.speeds.map(|_| 2);
        }
    });
    let image = encode(&coarse.unwrap()).unwrap();
    let resampled = image.items.iter().find_map(|item| item.resampled.clone()).unwrap();
    // Straight from 0 at 30 to −6 at 70 °C: −3° at 50 instead of −2°.
    assert_eq!((resampled.largest_change, resampled.place.to_string()), (-1.0, " at 50 °C".into()));
}

#[test]
fn of_two_tables_the_one_of_the_projects_size_is_read() {
    let project = reference_project().edit(|parts| {
        let small = |name, content, address| Item { speeds: Some(2), ..item(name, content, address) };
        let degrees = Item { scale: 0.25, offset: -20.0, ..small("small map", Content::AdvanceCells, 0x1020) };
        let speeds = Item { scale: 50.0, ..small("small speeds", Content::AdvanceSpeeds, 0x1028) };
        parts.image.items.splice(0..0, [degrees, speeds]);
        parts.image.size = 0x40;
    });
    let project = project.unwrap();
    let image = encode(&project).unwrap();
    assert_eq!((image.items[0].size.speeds, image.items[4].size.speeds), (2, 4));
    let decoded = decode(&image.bytes, &project, OnMismatch::Refuse).unwrap();
    assert!(decoded.comparison.is_same());
    assert_eq!(decoded.project.advance.table(), project.advance.table());
    assert_eq!(crate::image::as_flashed(&project).unwrap().unwrap().table(), project.advance.table());
}

#[test]
fn descending_axes_turn_cells_and_breakpoints_alike() {
    let project = reference_project().edit(|parts| {
        for item in &mut parts.image.items {
            item.speed_direction = Direction::Descending;
        }
    });
    let image = encode(&project.unwrap()).unwrap();
    assert_eq!(image.bytes[..7], [0x50, 0x32, 0x1E, 0x10, 0x3C, 0x78, 0xC8]);
    assert_eq!(image.bytes[16..20], [0xF0, 0xE0, 0xC8, 0xA8]);
}

#[test]
fn a_damaged_image_is_refused_unless_accepted_and_the_difference_is_told() {
    let project = reference_project();
    let mut bytes = encode(&project).unwrap().bytes;
    bytes[17] = 0xC9;
    let error = decode(&bytes, &project, OnMismatch::Refuse).unwrap_err();
    assert!(
        error
            .to_string()
            .starts_with("the checksum (CRC-32/ISO-HDLC) stored at 101C is BF30D032, but bytes 1010 to 101B give")
    );
    let decoded = decode(&bytes, &project, OnMismatch::Accept).unwrap();
    assert!(decoded.comparison.mismatch.is_some());
    assert_eq!(decoded.project.advance.table().at(Cell::new(0, 1)), 30.25);
    assert_eq!(decoded.project.advance.origin(Cell::new(0, 1)), Origin::Imported);
    assert_eq!(decoded.project.advance.origin(Cell::new(0, 0)), Origin::Typed);
    let comparison = verify(&project, &bytes).unwrap();
    let difference = &comparison.differences[0];
    assert_eq!((comparison.differences.len(), difference.address), (1, 0x1011));
    assert_eq!((difference.expected_value, difference.found_value), (30.0, 30.25));
    assert_eq!(difference.place.to_string(), " at 1500 rpm, 30 kPa");
    assert!(comparison.mismatch.is_some() && comparison.stray.is_none());
}

#[test]
fn stray_bytes_and_wrong_sizes_are_told() {
    let project = reference_project();
    let mut bytes = encode(&project).unwrap().bytes;
    bytes[9] = 0;
    let comparison = verify(&project, &bytes).unwrap();
    assert_eq!(comparison.stray.map(|stray| (stray.first, stray.bytes)), Some((0x1009, 1)));
    assert!(!comparison.is_same());
    let error = decode(&bytes[1..], &project, OnMismatch::Refuse).unwrap_err();
    assert_eq!(error, DecodeError::Size { given: 31, expected: 32 });
    let mut flat = encode(&project).unwrap().bytes;
    flat[1] = flat[0];
    let error = decode(&flat, &project, OnMismatch::Accept).unwrap_err();
    assert!(error.to_string().starts_with("'speeds' holds no axis: breakpoint 2 (800) is not above"), "{error}");
}

#[test]
fn numbers_that_are_none_are_refused() {
    let float = |layout: &mut crate::project::ImageLayout| {
        layout.checksum.kind = crate::project::ChecksumKind::None;
        layout.items[2].cell = CellType::F32;
        layout.size = 0x40;
    };
    let project = reference_project().edit(|parts| float(&mut parts.image)).unwrap();
    let mut bytes = encode(&project).unwrap().bytes;
    bytes[20..24].copy_from_slice(&f32::NAN.to_be_bytes());
    let error = decode(&bytes, &project, OnMismatch::Refuse).unwrap_err();
    assert_eq!(error.to_string(), "'map' at address 1014 holds NaN, which is no finite number");
}

#[test]
fn an_image_without_axes_keeps_the_projects() {
    let project = reference_project();
    let mut layout = project.image.clone();
    layout.items = vec![Item { scale: 0.5, ..item("map", Content::AdvanceCells, 0x1010) }];
    let project = with_layout(&project, layout);
    let decoded = decode(&encode(&project).unwrap().bytes, &project, OnMismatch::Refuse).unwrap();
    assert_eq!(decoded.project, project);
}

#[test]
fn a_new_project_is_unchanged_by_its_own_image() {
    let project = project();
    let image = encode(&project).unwrap();
    let decoded = decode(&image.bytes, &project, OnMismatch::Refuse).unwrap();
    assert_eq!(encode(&decoded.project).unwrap().bytes, image.bytes);
}

#[test]
fn every_starting_layout_holds_a_new_project() {
    for load in [LoadKind::Throttle, LoadKind::Pressure] {
        let new = NewProject { name: "new".into(), cylinders: 6, load, speeds: 16, loads: 12 }.create().unwrap();
        for layout in StartingLayout::ALL {
            let project = with_layout(&new, layout.layout(load));
            let image = encode(&project).unwrap();
            let decoded = decode(&image.bytes, &project, OnMismatch::Refuse).unwrap();
            assert!(decoded.comparison.is_same(), "{}", layout.name());
            let cells = image.items.iter().find(|item| item.item.name == "advance").unwrap();
            let most = cells.loss.as_ref().map_or(0.0, |loss| loss.amount().abs());
            assert!(most <= 0.25, "{}: {most}", layout.name());
        }
    }
}

/// On a coarse axis two breakpoints may coincide: that refusal is expected, any other error is not.
fn encoded(project: &Project) -> Option<Image> {
    match encode(project) {
        Ok(image) => Some(image),
        Err(ImageError::BreakpointsMeet { .. }) => None,
        Err(error) => panic!("{error}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn reading_back_is_the_identity_on_counts(project in any_project()) {
        let Some(image) = encoded(&project) else { return Ok(()) };
        prop_assert!(verify(&project, &image.bytes).unwrap().is_same());
        let decoded = decode(&image.bytes, &project, OnMismatch::Refuse).unwrap();
        prop_assert!(decoded.comparison.is_same(), "{:?}", decoded.comparison);
        let again = encode(&decoded.project).unwrap();
        prop_assert_eq!(&again.bytes, &image.bytes);
        for (item, again) in image.items.iter().zip(&again.items) {
            prop_assert_eq!(&item.raws, &again.raws);
        }
    }

    #[test]
    fn any_changed_byte_under_the_checksum_is_detected(project in any_project(), at: prop::sample::Index, change in 1..=255_u8) {
        let Some(mut image) = encoded(&project) else { return Ok(()) };
        let at = at.index(image.bytes.len());
        image.bytes[at] ^= change;
        let address = u64::from(image.start) + at as u64;
        let comparison = verify(&project, &image.bytes).unwrap();
        prop_assert!(!comparison.is_same());
        let told = comparison.differences.iter().any(|d| (d.address..d.address + 4).contains(&address));
        let stray = comparison.stray.is_some_and(|stray| stray.first == address);
        prop_assert!(told || stray, "{address:X}: {comparison:?}");
        if project.image.checksum.kind != crate::project::ChecksumKind::None {
            let refused = matches!(decode(&image.bytes, &project, OnMismatch::Refuse), Err(DecodeError::Checksum(_)));
            prop_assert!(refused);
        }
    }

    #[test]
    fn every_byte_knows_whose_it_is(project in any_project()) {
        let Some(image) = encoded(&project) else { return Ok(()) };
        let owned = (0..image.bytes.len() as u64)
            .filter(|at| image.owner(u64::from(image.start) + at).is_some())
            .count();
        let bytes = |item: &Item| {
            let size = project.content_size(item);
            size.speeds * size.loads * item.cell.size() as usize
        };
        prop_assert_eq!(owned, project.image.items.iter().map(bytes).sum::<usize>());
    }
}

/// One byte for 0 to 100 %: 255 counts of 0.392157 are 100.000035 %, which no project has.
#[test]
fn rounding_past_a_range_is_refused_for_the_image_could_not_be_read_back() {
    let loads = |scale: f64| {
        let edited = project().edit(|parts| {
            let item = parts.image.items.iter_mut().find(|item| item.content == Content::AdvanceLoads).unwrap();
            (item.cell, item.scale, item.offset) = (CellType::U8, scale, 0.0);
        });
        edited.unwrap()
    };
    let past = loads(0.392_157);
    let error = encode(&past).unwrap_err();
    assert!(
        matches!(&error, crate::image::ImageError::PastRange { past, .. } if past.range == (0.0, 100.0)),
        "{error}"
    );
    let told = error.to_string();
    assert!(told.contains("100 % becomes 100.000035 %") && told.contains("outside 0..100 %"), "{told}");
    assert_eq!(crate::image::encode_or_all_faults(&past), Err(vec![error]));
    for scale in [0.392_156, 0.4, 100.0 / 255.0] {
        let within = loads(scale);
        let image = encode(&within).unwrap();
        decode(&image.bytes, &within, OnMismatch::Refuse).unwrap();
    }
}

/// The lowest battery voltage rounds up to 15 V, the highest down to 14 V.
#[test]
fn values_that_fit_together_only_before_rounding_are_refused() {
    let lowest = |scale: f64| {
        let field = |path: &str, address: u32| Item {
            address,
            cell: CellType::U8,
            scale,
            ..Item::plain(path, Content::Field, path)
        };
        let edited = project().edit(|parts| {
            (parts.sensors.lowest_battery_v, parts.sensors.highest_battery_v) = (14.6, 15.0);
            parts.image.items = vec![
                Item { scale: 5.0, ..field("sensors.lowest_battery_v", parts.image.start) },
                field("sensors.highest_battery_v", parts.image.start + 1),
            ];
        });
        edited.unwrap()
    };
    assert!(encode(&lowest(5.0)).is_ok(), "15 and 15 V");
    let error = encode(&lowest(7.0)).unwrap_err();
    assert!(matches!(error, crate::image::ImageError::Unreadable { .. }), "{error}");
    assert!(error.to_string().contains("15 V is above the highest battery voltage, 14 V"), "{error}");
}
