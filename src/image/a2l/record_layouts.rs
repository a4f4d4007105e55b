//! How numbers are deposited: one RECORD_LAYOUT for each way that occurs.

use std::collections::BTreeMap;

use a2lfile::{AddrType, AxisPtsDim, DataType, FncValues, IndexMode, IndexOrder, RecordLayout};

use crate::image::cell_name;
use crate::project::CellType;

/// The layouts asked for, by name.
#[derive(Default)]
pub(super) struct RecordLayouts(BTreeMap<String, RecordLayout>);

impl RecordLayouts {
    /// The name of the layout for values.
    pub(super) fn values(&mut self, cell: CellType, mode: IndexMode, addressing: AddrType) -> String {
        let name = format!("values_{}_{}", cell_name(cell), if mode == IndexMode::RowDir { "rows" } else { "columns" });
        let mut layout = RecordLayout::new(name.clone());
        layout.fnc_values = Some(FncValues::new(1, data_type(cell), mode, addressing));
        self.0.insert(name.clone(), layout);
        name
    }

    /// The name of the layout for breakpoints, whose indices grow with the addresses or fall.
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
