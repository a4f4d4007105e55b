//! How numbers are stored, one RECORD_LAYOUT for each way that occurs, and what they mean: COMPU_METHODs and
//! limits.

use std::collections::BTreeMap;

use a2lfile::{
    AddrType, AxisPtsDim, Coeffs, CompuMethod, ConversionType, DataType, FncValues, IndexMode, IndexOrder, RecordLayout,
};

use super::names::{conversion_name, plain};
use crate::image::number::physical_range;
use crate::image::{Quantity, cell_name};
use crate::project::{CellType, Item};
use crate::wording::shortest;

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
