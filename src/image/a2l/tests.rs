//! The description is read back by the same library in strict mode, and the image is read using nothing but the
//! description.

use a2lfile::{
    A2lObjectName, AxisDescr, AxisDescrAttribute, ByteOrderEnum, CharacteristicType, DataType, IndexMode, IndexOrder,
    ItemList, Module,
};
use proptest::prelude::*;

use super::{Names, plain};
use crate::image::samples::{any_project, item, reference_project};
use crate::image::{Image, ImageError, RecordWidth, a2l, encode, intel_hex, read_file};
use crate::project::{Content, Item, Project, SAMPLES};

fn load(text: &str) -> Module {
    let (mut file, messages) = a2lfile::load_from_string(text, None, true).unwrap();
    assert!(messages.is_empty(), "{messages:?}");
    let checked = file.check();
    assert!(checked.is_empty(), "{checked:?}");
    file.project.module.pop().unwrap()
}

/// Reads numbers of the image from nothing but the description: address, type, byte order, conversion.
struct Reader<'a> {
    module: &'a Module,
    bytes: &'a [u8],
}

impl Reader<'_> {
    fn segment_start(&self) -> u32 {
        self.module.mod_par.as_ref().unwrap().memory_segment.first().unwrap().address
    }

    fn little_endian(&self) -> bool {
        match self.module.mod_common.as_ref().unwrap().byte_order.as_ref().unwrap().byte_order {
            ByteOrderEnum::MsbLast => true,
            ByteOrderEnum::MsbFirst => false,
            other => panic!("{other:?}"),
        }
    }

    /// The `index`-th number from an address.
    fn raw(&self, address: u32, index: usize, kind: DataType) -> f64 {
        let width = match kind {
            DataType::Ubyte | DataType::Sbyte => 1,
            DataType::Uword | DataType::Sword => 2,
            _ => 4,
        };
        let at = (address - self.segment_start()) as usize + index * width;
        let mut bytes = self.bytes[at..at + width].to_vec();
        if self.little_endian() {
            bytes.reverse();
        }
        let unsigned = bytes.iter().fold(0_i64, |number, byte| number * 256 + i64::from(*byte));
        let signed = if bytes[0] >= 0x80 { unsigned - (1 << (8 * width)) } else { unsigned };
        match kind {
            DataType::Ubyte | DataType::Uword | DataType::Ulong => unsigned as f64,
            DataType::Sbyte | DataType::Sword | DataType::Slong => signed as f64,
            DataType::Float32Ieee => f32::from_bits(u32::try_from(unsigned).unwrap()).into(),
            other => panic!("{other:?}"),
        }
    }

    /// INT = (b·x + c) / f, solved for x.
    fn physical(&self, conversion: &str, raw: f64) -> f64 {
        let coeffs = self.module.compu_method.get(conversion).unwrap().coeffs.as_ref().unwrap();
        assert_eq!((coeffs.a, coeffs.d, coeffs.e), (0.0, 0.0, 0.0));
        (raw * coeffs.f - coeffs.c) / coeffs.b
    }

    /// Breakpoints by index.
    fn axis(&self, descr: &AxisDescr) -> Vec<f64> {
        let points = usize::from(descr.max_axis_points);
        if descr.attribute == AxisDescrAttribute::FixAxis {
            return descr.fix_axis_par_list.as_ref().unwrap().axis_pts_value_list.clone();
        }
        let axis = self.module.axis_pts.get(&descr.axis_pts_ref.as_ref().unwrap().axis_points).unwrap();
        assert_eq!(axis.max_axis_points, descr.max_axis_points);
        assert_eq!(axis.conversion, descr.conversion);
        let layout = self.module.record_layout.get(&axis.deposit_record).unwrap().axis_pts_x.as_ref().unwrap();
        let mut values: Vec<f64> = (0..points)
            .map(|index| self.physical(&axis.conversion, self.raw(axis.address, index, layout.datatype)))
            .collect();
        if layout.index_incr == IndexOrder::IndexDecr {
            values.reverse();
        }
        values
    }

    /// Values of a MAP, CURVE or VALUE as (x, y, value).
    fn values(&self, name: &str) -> Vec<(f64, f64, f64)> {
        let part = self.module.characteristic.get(name).unwrap();
        let axes: Vec<Vec<f64>> = part.axis_descr.iter().map(|descr| self.axis(descr)).collect();
        let layout = self.module.record_layout.get(&part.deposit).unwrap().fnc_values.as_ref().unwrap();
        let single = vec![f64::NAN];
        let x = axes.first().unwrap_or(&single);
        let y = axes.get(1).unwrap_or(&single);
        let mut values = Vec::new();
        for (row, &load) in y.iter().enumerate() {
            for (column, &speed) in x.iter().enumerate() {
                let index = match layout.index_mode {
                    IndexMode::RowDir => row * x.len() + column,
                    IndexMode::ColumnDir => column * y.len() + row,
                    other => panic!("{other:?}"),
                };
                let value = self.physical(&part.conversion, self.raw(part.address, index, layout.datatype));
                assert!((part.lower_limit..=part.upper_limit).contains(&value) || part.axis_descr.is_empty());
                values.push((speed, load, value));
            }
        }
        values
    }
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

/// The cells of the image, read through the description, are those that the project gives.
fn agrees(project: &Project, image: &Image, module: &Module) {
    let hex = intel_hex(image.start, &image.bytes, RecordWidth::Sixteen);
    let bytes = read_file(hex.as_bytes(), project).unwrap().bytes;
    let reader = Reader { module, bytes: &bytes };
    for (item, encoded) in project.image.items.iter().zip(&image.items) {
        let name = super::Names::new(&project.image.items).of(item);
        if module.characteristic.get(&name).is_none() {
            continue;
        }
        let mut found = reader.values(&name);
        found.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.total_cmp(&b.0)));
        let expected = encoded.raws.iter().map(|raw| raw.number() * item.scale + item.offset);
        for ((_, _, value), expected) in found.iter().zip(expected) {
            assert!(close(*value, expected), "{name}: {value} and {expected}");
        }
        assert_eq!(found.len(), encoded.raws.len());
        if item.content == Content::AdvanceCells {
            on_breakpoints(project, item, &found);
        }
    }
}

/// Breakpoints read through the description are within a count of the table's, in the same order.
fn on_breakpoints(project: &Project, item: &Item, found: &[(f64, f64, f64)]) {
    let flashed = crate::image::as_flashed(project).unwrap().unwrap();
    let size = project.content_size(item);
    for (index, (speed, load, _)) in found.iter().enumerate() {
        let expected_speed = flashed.table().speed().breakpoints()[index % size.speeds];
        let expected_load = flashed.table().load().breakpoints()[index / size.speeds];
        assert!(close(*speed, expected_speed) && close(*load, expected_load), "{speed}, {load}");
    }
}

#[test]
fn every_sample_agrees_with_its_description() {
    for sample in SAMPLES {
        let project = sample.project().unwrap();
        let text = a2l(&project).unwrap();
        assert_eq!(text, a2l(&project).unwrap());
        assert!(text.is_ascii());
        agrees(&project, &encode(&project).unwrap(), &load(&text));
    }
}

#[test]
fn the_advance_table_is_the_first_object_and_has_speed_along_x() {
    let text = a2l(&SAMPLES[0].project().unwrap()).unwrap();
    let module = load(&text);
    let first = text.find("/begin CHARACTERISTIC").unwrap();
    assert!(text.find("/begin AXIS_PTS").unwrap() > first);
    let map = module.characteristic.first().unwrap();
    assert_eq!((map.get_name(), map.characteristic_type), ("advance", CharacteristicType::Map));
    let axes: Vec<&str> =
        map.axis_descr.iter().map(|a| a.axis_pts_ref.as_ref().unwrap().axis_points.as_str()).collect();
    assert_eq!(axes, ["advance_speeds", "advance_loads"]);
    let unit = |name: &str| module.compu_method.get(name).unwrap().unit.clone();
    assert_eq!(unit("advance_conversion"), "deg");
    assert_eq!(unit("advance_speeds_conversion"), "rpm");
    assert_eq!(unit("coolant_trim_temperatures_conversion"), "degC");
    assert_eq!(count(&module.characteristic, CharacteristicType::Curve), 3);
    assert_eq!(count(&module.characteristic, CharacteristicType::Value), 8);
}

fn count(list: &ItemList<a2lfile::Characteristic>, kind: CharacteristicType) -> usize {
    list.iter().filter(|part| part.characteristic_type == kind).count()
}

/// u8 × 0.25° − 20°: the raw number of a physical x is 4x + 80.
#[test]
fn the_rational_function_gives_raw_numbers() {
    let module = load(&a2l(&reference_project()).unwrap());
    let coeffs = module.compu_method.get("map_conversion").unwrap().coeffs.clone().unwrap();
    for x in [-20.0, 0.0, 22.0, 43.75] {
        assert_eq!((coeffs.b * x + coeffs.c) / coeffs.f, 4.0 * x + 80.0);
    }
    let map = module.characteristic.get("map").unwrap();
    assert_eq!((map.lower_limit, map.upper_limit), (-20.0, 43.75));
}

#[test]
fn axes_outside_the_image_are_listed() {
    let project = reference_project().edit(|parts| {
        parts.image.items.remove(0);
        parts.image.items[1].speed_direction = crate::project::Direction::Descending;
    });
    let project = project.unwrap();
    let module = load(&a2l(&project).unwrap());
    let map = module.characteristic.get("map").unwrap();
    let listed = map.axis_descr[0].fix_axis_par_list.as_ref().unwrap();
    assert_eq!(listed.axis_pts_value_list, [4000.0, 2500.0, 1500.0, 800.0]);
    agrees(&project, &encode(&project).unwrap(), &module);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn every_layout_agrees_with_its_description(project in any_project()) {
        let image = match encode(&project) {
            Ok(image) => image,
            Err(ImageError::BreakpointsMeet { .. }) => return Ok(()),
            Err(error) => panic!("{error}"),
        };
        agrees(&project, &image, &load(&a2l(&project).unwrap()));
    }
}

#[test]
fn names_are_identifiers_and_differ() {
    let items = ["oil temp", "oil-temp", "2nd", "Öl", ""].map(|name| item(name, Content::Field, 0));
    let names = Names::new(&items);
    let given: Vec<String> = items.iter().map(|item| names.of(item)).collect();
    assert_eq!(given, ["oil_temp", "oil_temp_2", "_2nd", "_l", "unnamed"]);
    assert_eq!(plain("20 °C, 3 Ω \"x\"\n"), "20 degC, 3 Ohm _x__");
}
