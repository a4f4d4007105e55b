//! The description of the image's addresses for calibration tools: ASAM MCD-2 MC 1.7, called A2L after its files.
//!
//! The advance table is a MAP with speed along X and load along Y; curves are CURVEs, single numbers VALUEs.
//! Axes that the image holds are AXIS_PTS to which the MAP and CURVEs refer; other axes are fixed and listed. A
//! row of constant Y is one load row: tables stored row by row are ROW_DIR (speed varies fastest), column by
//! column COLUMN_DIR. Source of that reading: "Specification of Interpolation Routines", AUTOSAR, 2010s (from
//! memory), whose maps have the index x · (points along Y) + y and are called COLUMN_DIR. The text next to the
//! MAP also says in words which index varies fastest. All alignments are 1, so that no tool moves an address.
//! Numbers, identifiers and texts are plain ASCII, as every A2L reader accepts them.

mod axes;
#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet};

use a2lfile::{
    A2lFile, A2lObject, AddrType, AlignmentByte, AlignmentFloat32Ieee, AlignmentLong, AlignmentWord, Asap2Version,
    AxisPts, ByteOrder, ByteOrderEnum, Characteristic, CharacteristicType, IndexMode, MemoryAttribute, MemorySegment,
    MemoryType, ModCommon, ModPar, Module, Monotony, PrgType, Project as A2lProject,
};

use self::axes::{AxisUse, Uses};
use super::checksum::{digits, name};
use super::{ImageError, Quantity};
use crate::project;
use crate::project::{AddressRange, CellOrder, ChecksumKind, Content, ImageLayout, Item, Project};
use axes::RecordLayouts;

/// The reference to say that there is no such object.
const NO_INPUT: &str = "NO_INPUT_QUANTITY";

/// Describes the image of a project. The advance table comes first among the CHARACTERISTICs; the other items follow in
/// the order of the layout.
///
/// # Errors
/// [`ImageError::SizesDiffer`] if values have an axis in the image, but none of their size;
/// [`ImageError::UnitAxis`] if the fixed breakpoints cannot be determined.
pub fn a2l(project: &Project) -> Result<String, ImageError> {
    let names = Names::new(&project.image.items);
    let uses = Uses::of(project)?;
    let mut layouts = RecordLayouts::default();
    let title = identifier(&project.name);
    let mut module = Module::new(title.clone(), plain(&super::title(project)));
    module.mod_par = Some(mod_par(&project.image));
    module.mod_common = Some(mod_common(&project.image));
    let values = project.image.items.iter().filter(|item| !item.content.is_axis());
    let (maps, others): (Vec<&Item>, Vec<&Item>) = values.partition(|item| item.content == Content::AdvanceCells);
    for item in maps.into_iter().chain(others) {
        module.characteristic.push(characteristic(project, item, &names, &uses, &mut layouts)?);
    }
    for axis in uses.all() {
        module.axis_pts.push(axis_points(project, axis, &names, &mut layouts));
    }
    for item in &project.image.items {
        module.compu_method.push(axes::method(item, &Quantity::of(item, project), names.of(item)));
    }
    for layout in layouts.into_list() {
        module.record_layout.push(layout);
    }
    Ok(file(title, module))
}

fn file(title: String, mut module: Module) -> String {
    number_in_order(&mut module);
    let mut project = A2lProject::new(title, String::new());
    project.module.push(module);
    let mut file = A2lFile::new(project);
    file.asap2_version = Some(Asap2Version::new(1, 70));
    let mut text = file.write_to_string();
    text.push('\n');
    text
}

/// Numbers every object: the library sorts objects without a number alphabetically by their kind.
fn number_in_order(module: &mut Module) {
    let mut next = 0;
    let mut number = |slot: &mut u32| {
        next += 1;
        *slot = next;
    };
    module.mod_par.iter_mut().for_each(|part| number(&mut part.get_layout_mut().uid));
    module.mod_common.iter_mut().for_each(|part| number(&mut part.get_layout_mut().uid));
    module.characteristic.iter_mut().for_each(|part| number(&mut part.get_layout_mut().uid));
    module.axis_pts.iter_mut().for_each(|part| number(&mut part.get_layout_mut().uid));
    module.compu_method.iter_mut().for_each(|part| number(&mut part.get_layout_mut().uid));
    module.record_layout.iter_mut().for_each(|part| number(&mut part.get_layout_mut().uid));
}

fn mod_par(layout: &ImageLayout) -> ModPar {
    let checksum = &layout.checksum;
    let told = match checksum.kind {
        ChecksumKind::None => "no checksum".to_owned(),
        kind => format!(
            "{} over {}, {} hexadecimal digits stored at {:X}",
            name(kind),
            AddressRange::new(checksum.from.into(), u64::from(checksum.from) + u64::from(checksum.length)),
            digits(kind),
            checksum.stored_at
        ),
    };
    let (data, flash, inside) = (PrgType::Data, MemoryType::Flash, MemoryAttribute::Intern);
    let mut segment = MemorySegment::new("image".into(), told, data, flash, inside, layout.start, layout.size, [-1; 5]);
    segment.get_layout_mut().item_location.5.1 = true;
    segment.get_layout_mut().item_location.6.1 = true;
    let mut part = ModPar::new(String::new());
    part.memory_segment.push(segment);
    part
}

fn mod_common(layout: &ImageLayout) -> ModCommon {
    let order = match layout.byte_order {
        project::ByteOrder::LittleEndian => ByteOrderEnum::MsbLast,
        project::ByteOrder::BigEndian => ByteOrderEnum::MsbFirst,
    };
    let mut part = ModCommon::new(String::new());
    part.byte_order = Some(ByteOrder::new(order));
    part.alignment_byte = Some(AlignmentByte::new(1));
    part.alignment_word = Some(AlignmentWord::new(1));
    part.alignment_long = Some(AlignmentLong::new(1));
    part.alignment_float32_ieee = Some(AlignmentFloat32Ieee::new(1));
    part
}

fn characteristic(
    project: &Project,
    item: &Item,
    names: &Names,
    uses: &Uses<'_>,
    layouts: &mut RecordLayouts,
) -> Result<Characteristic, ImageError> {
    let quantity = Quantity::of(item, project);
    let mode = match item.order {
        CellOrder::RowsFirst => IndexMode::RowDir,
        CellOrder::ColumnsFirst => IndexMode::ColumnDir,
    };
    let axes = item.content.axes();
    let kind = match axes.len() {
        0 => CharacteristicType::Value,
        1 => CharacteristicType::Curve,
        _ => CharacteristicType::Map,
    };
    let layout = layouts.values(item.cell, mode, AddrType::Direct);
    let (low, high) = axes::limits(item, &quantity);
    let (name, conversion, told) = (names.of(item), names.conversion_of(item), told(item, &quantity));
    let mut part = Characteristic::new(name, told, kind, item.address, layout, 0.0, conversion, low, high);
    part.get_layout_mut().item_location.3.1 = true;
    for content in axes {
        part.axis_descr.push(uses.describe(project, item, content, names)?);
    }
    Ok(part)
}

fn axis_points(project: &Project, axis: &AxisUse<'_>, names: &Names, layouts: &mut RecordLayouts) -> AxisPts {
    let item = axis.item;
    let quantity = Quantity::of(item, project);
    let layout = layouts.axis(item.cell, axis.reversed);
    let (low, high) = axes::limits(item, &quantity);
    let (name, conversion, told) = (axis.name(names), names.conversion_of(item), told(item, &quantity));
    let points = axis.points(project);
    let mut part = AxisPts::new(name, told, item.address, NO_INPUT.into(), layout, 0.0, conversion, points, low, high);
    part.get_layout_mut().item_location.2.1 = true;
    part.monotony = Some(Monotony::new(axis.monotony()));
    part
}

/// The long identifier: what it is, the name in the project, and for a table which index varies fastest.
fn told(item: &Item, quantity: &Quantity) -> String {
    let order = match (item.content, item.order) {
        (Content::AdvanceCells, CellOrder::RowsFirst) => "; one load row after the other, speed runs fastest",
        (Content::AdvanceCells, CellOrder::ColumnsFirst) => "; one speed column after the other, load runs fastest",
        _ => "",
    };
    plain(&format!("{} ({}){order}", quantity.label, item.name))
}

/// The identifier of every item by its name in the project.
struct Names(BTreeMap<String, String>);

impl Names {
    /// Identifiers for items whose names differ; identifiers that would coincide are numbered.
    fn new(items: &[Item]) -> Self {
        let mut taken = BTreeSet::new();
        let mut names = BTreeMap::new();
        for item in items {
            let plain = identifier(&item.name);
            let numbered = (2..).map(|number| format!("{plain}_{number}"));
            let free = std::iter::once(plain.clone()).chain(numbered).find(|name| !taken.contains(name));
            let name = free.unwrap_or(plain);
            taken.insert(name.clone());
            names.insert(item.name.clone(), name);
        }
        Self(names)
    }

    fn of(&self, item: &Item) -> String {
        self.0.get(&item.name).cloned().unwrap_or_else(|| identifier(&item.name))
    }

    fn conversion_of(&self, item: &Item) -> String {
        conversion_name(&self.of(item))
    }

    /// A name for the reversed axis of an item, different from every item's.
    fn reversed(&self, item: &Item) -> String {
        let mut name = format!("{}_reversed", self.of(item));
        while self.0.values().any(|other| *other == name) {
            name.push('_');
        }
        name
    }
}

fn conversion_name(identifier: &str) -> String {
    format!("{identifier}_conversion")
}

/// A text as an identifier: letters, digits and `_`, not beginning with a digit.
fn identifier(text: &str) -> String {
    let allowed = |c: char| if c.is_ascii_alphanumeric() { c } else { '_' };
    let name: String = text.chars().map(allowed).collect();
    match name.chars().next() {
        None => "unnamed".into(),
        Some(first) if first.is_ascii_digit() => format!("_{name}"),
        Some(_) => name,
    }
}

/// A text without characters that only some readers accept: units are spelt out, everything else outside
/// printable ASCII, quotes and backslashes becomes `_`.
fn plain(text: &str) -> String {
    let text = text.replace("°C", "degC").replace('°', "deg").replace('Ω', "Ohm").replace('µ', "u");
    let allowed = |c: char| if (' '..='~').contains(&c) && !matches!(c, '"' | '\'' | '\\') { c } else { '_' };
    text.chars().map(allowed).collect()
}
