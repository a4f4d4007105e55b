//! Which axis belongs to which values and in which direction it is stored, and how all numbers are stored and what
//! they mean: RECORD_LAYOUTs, one for each way that occurs, COMPU_METHODs and limits.
//!
//! Values and breakpoints are matched by index. If an axis is stored in the same direction as the values over
//! it, its indices grow with the addresses, and a falling axis simply falls. If it is stored the other way
//! round, its indices run against the addresses: the same breakpoints are then described a second time under
//! another name.

use std::collections::BTreeMap;

use a2lfile::{
    AddrType, AxisDescr, AxisDescrAttribute, AxisPtsDim, AxisPtsRef, Coeffs, CompuMethod, ConversionType, DataType,
    FixAxisParList, FncValues, IndexMode, IndexOrder, MonotonyType, RecordLayout,
};

use super::{NO_INPUT, Names, conversion_name, plain};
use crate::image::number::physical_range;
use crate::image::unit_axis::{axis_item, points_along, unit_axis};
use crate::image::{ImageError, Quantity, cell_name};
use crate::project::{CellType, Content, Direction, Item, Parts};
use crate::wording::shortest;

/// An axis in the image as used by some values.
#[derive(Clone, Copy, PartialEq)]
pub(super) struct AxisUse<'a> {
    pub(super) item: &'a Item,
    /// Whether it is stored in the opposite direction from the values over it.
    pub(super) reversed: bool,
}

impl AxisUse<'_> {
    pub(super) fn name(&self, names: &Names) -> String {
        if self.reversed { names.reversed(self.item) } else { names.of(self.item) }
    }

    pub(super) fn points(&self, project: &Parts) -> u16 {
        u16::try_from(points_along(project, self.item, self.item.content)).unwrap_or(u16::MAX)
    }

    /// Whether the breakpoints rise or fall with the index.
    pub(super) fn monotony(&self) -> MonotonyType {
        let rises = (direction(self.item, self.item.content) == Direction::Ascending) != self.reversed;
        if rises { MonotonyType::StrictIncrease } else { MonotonyType::StrictDecrease }
    }
}

/// The direction of an item along an axis.
fn direction(item: &Item, axis: Content) -> Direction {
    if axis == Content::AdvanceLoads { item.load_direction } else { item.speed_direction }
}

/// Every axis of the image, once for each way in which it is used.
pub(super) struct Uses<'a>(Vec<AxisUse<'a>>);

impl<'a> Uses<'a> {
    pub(super) fn of(project: &'a Parts) -> Result<Self, ImageError> {
        let mut uses: Vec<AxisUse<'a>> = Vec::new();
        for item in &project.image.items {
            for content in item.content.axes() {
                uses.extend(used(project, item, content)?);
            }
        }
        let axes = project.image.items.iter().filter(|item| item.content.is_axis());
        uses.extend(axes.map(|item| AxisUse { item, reversed: false }));
        let mut all: Vec<AxisUse<'a>> = Vec::new();
        for item in &project.image.items {
            for reversed in [false, true] {
                let found = uses.iter().find(|axis| axis.item.name == item.name && axis.reversed == reversed);
                all.extend(found.copied());
            }
        }
        Ok(Self(all))
    }

    pub(super) fn all(&self) -> &[AxisUse<'a>] {
        &self.0
    }

    /// The description of the axis under the values of an item.
    pub(super) fn describe(
        &self,
        project: &Parts,
        item: &Item,
        content: Content,
        names: &Names,
    ) -> Result<AxisDescr, ImageError> {
        if let Some(axis) = used(project, item, content)? {
            let (low, high) = limits(axis.item, &Quantity::of(axis.item, project));
            let method = names.conversion_of(axis.item);
            let points = axis.points(project);
            let mut descr = AxisDescr::new(AxisDescrAttribute::ComAxis, NO_INPUT.into(), method, points, low, high);
            descr.axis_pts_ref = Some(AxisPtsRef::new(axis.name(names)));
            return Ok(descr);
        }
        fixed(project, item, content)
    }
}

fn used<'a>(project: &'a Parts, item: &Item, content: Content) -> Result<Option<AxisUse<'a>>, ImageError> {
    let held = axis_item(project, item, content)?;
    let reversed = |axis: &Item| direction(axis, content) != direction(item, content);
    Ok(held.map(|axis| AxisUse { item: axis, reversed: reversed(axis) }))
}

/// An axis that the image does not hold: its breakpoints are listed in the description.
fn fixed(project: &Parts, item: &Item, content: Content) -> Result<AxisDescr, ImageError> {
    let own = match content {
        Content::AdvanceSpeeds => project.advance.table().speed(),
        Content::AdvanceLoads => project.advance.table().load(),
        of_curve => of_curve.curve().map_or_else(|| project.advance.table().load(), |curve| curve.of(project).axis()),
    };
    let axis = unit_axis(project, item, content, own)?;
    let mut list = axis.breakpoints().to_vec();
    if direction(item, content) == Direction::Descending {
        list.reverse();
    }
    let points = u16::try_from(list.len()).unwrap_or(u16::MAX);
    let method = "NO_COMPU_METHOD".into();
    let (low, high) = (axis.first(), axis.last());
    let mut descr = AxisDescr::new(AxisDescrAttribute::FixAxis, NO_INPUT.into(), method, points, low, high);
    let mut fixed = FixAxisParList::new();
    fixed.axis_pts_value_list = list;
    descr.fix_axis_par_list = Some(fixed);
    Ok(descr)
}

/// The layouts asked for, by name.
#[derive(Default)]
pub(super) struct RecordLayouts(BTreeMap<String, RecordLayout>);

impl RecordLayouts {
    /// The name of the layout for such values.
    pub(super) fn values(&mut self, cell: CellType, mode: IndexMode, addressing: AddrType) -> String {
        let name = format!("values_{}_{}", cell_name(cell), if mode == IndexMode::RowDir { "rows" } else { "columns" });
        let mut layout = RecordLayout::new(name.clone());
        layout.fnc_values = Some(FncValues::new(1, data_type(cell), mode, addressing));
        self.0.insert(name.clone(), layout);
        name
    }

    /// The name of the layout for breakpoints whose indices grow with the addresses, or fall if `reversed`.
    pub(super) fn axis(&mut self, cell: CellType, reversed: bool) -> String {
        let (order, word) =
            if reversed { (IndexOrder::IndexDecr, "falling") } else { (IndexOrder::IndexIncr, "growing") };
        let name = format!("axis_{}_{word}", cell_name(cell));
        let mut layout = RecordLayout::new(name.clone());
        layout.axis_pts_x = Some(AxisPtsDim::new(1, data_type(cell), order, AddrType::Direct));
        self.0.insert(name.clone(), layout);
        name
    }

    pub(super) fn into_list(self) -> impl Iterator<Item = RecordLayout> {
        self.0.into_values()
    }
}

const fn data_type(cell: CellType) -> DataType {
    match cell {
        CellType::U8 => DataType::Ubyte,
        CellType::I8 => DataType::Sbyte,
        CellType::U16 => DataType::Uword,
        CellType::I16 => DataType::Sword,
        CellType::U32 => DataType::Ulong,
        CellType::I32 => DataType::Slong,
        CellType::F32 => DataType::Float32Ieee,
    }
}

/// More decimals than this are not shown.
const MOST_DECIMALS: usize = 6;

/// The conversion of an item. RAT_FUNC gives the raw number of a physical x as (a·x² + b·x + c) / (d·x² + e·x + f); with
/// physical = raw · scale + offset that is (x − offset) / scale: exact decimals, no reciprocal.
pub(super) fn method(item: &Item, quantity: &Quantity, identifier: String) -> CompuMethod {
    let format = format!("%12.{}", decimals(item));
    let (name, unit) = (conversion_name(&identifier), plain(quantity.unit.text()));
    let mut method = CompuMethod::new(name, String::new(), ConversionType::RatFunc, format, unit);
    method.coeffs = Some(Coeffs::new(0.0, 1.0, 0.0 - item.offset, 0.0, 0.0, item.scale));
    method
}

/// As many decimals as show every count.
fn decimals(item: &Item) -> usize {
    if item.cell == CellType::F32 {
        return MOST_DECIMALS;
    }
    let places = |number: f64| shortest(number).split_once('.').map_or(0, |(_, decimals)| decimals.len());
    places(item.scale).max(places(item.offset)).min(MOST_DECIMALS)
}

/// The physical values that the item can hold and a project may have.
pub(super) fn limits(item: &Item, quantity: &Quantity) -> (f64, f64) {
    let (low, high) = physical_range(item);
    (low.max(quantity.low), high.min(quantity.high))
}
