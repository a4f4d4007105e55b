//! Floor 3: delimited text, from files and on the clipboard. Bytes and text in, values out, and back; no files here.
//!
//! A text table has its load rows one below the other and its speed columns side by side. The first row has a
//! corner text, which may be anything, and then the speeds; every further row has a load and then its cells.

mod clipboard;
mod curve_clip;
mod event_rows;
mod filling_file;
mod lines;
mod marks;
mod measured_file;
#[cfg(test)]
pub(crate) mod mutation;
mod named_columns;
mod number;
mod points;
mod readings_file;
mod records;
mod row_checks;
mod run_file;
mod sheet;
mod sweep_file;
mod sweep_points;
mod table_file;

pub use clipboard::{
    Answers, Breakpoints, Clip, ClipError, Clipping, CopyError, CopyOptions, Paste, PasteAs, PasteError, PasteOutcome,
    copy_block, paste, paste_as, read_clip,
};
pub use curve_clip::{CurveClip, CurveClipError, read_curve, write_curve};
pub use event_rows::{EVENT_COLUMNS, EventRows};
pub use filling_file::{FILLING_COLUMNS, FillingFileError, MAX_FILLING_BYTES, read_filling};
pub use lines::{Separator, count_breaks};
pub use marks::{AskMark, FieldFault};
pub use measured_file::{
    MAX_POINTS_BYTES, MeasuredFileError, POINT_COLUMNS, read_measured, read_measured_as, write_measured,
};
pub use named_columns::ColumnsError;
pub use number::{DecimalMark, NumberError, Reading, Thousands, parse_number, read_number, typed_number};
pub use points::{
    CHUNK_BYTES, Chunks, CommandedAdvance, Evaluator, Fields, Input, MAX_ROW_BYTES, PointsError, PointsFault,
    Processed, Refusal, Rows, StreamError,
};
pub use readings_file::{MAX_READINGS_BYTES, READING_COLUMNS, ReadingsFileError, read_readings, read_readings_as};
pub use records::{DecodeError, DelimitedError, RecordError, decode};
pub use row_checks::{OtherLoadUnit, RowFault};
pub use run_file::{MAX_RUN_BYTES, RUN_COLUMNS, RunFileError, read_run, read_run_as, write_run};
pub use sheet::LoadOrder;
pub use sweep_file::{
    MAX_SWEEP_BYTES, MOST_SWEEP_ROWS, ReadSweep, SWEEP_COLUMNS, SweepFileError, read_sweep, read_sweep_as,
};
pub use sweep_points::{SWEEP_POINT_COLUMNS, write_sweep_points};
pub use table_file::{
    MAX_FILE_BYTES, Place, TableFile, TableFileError, WriteError, WriteOptions, read_table, read_table_as, write_table,
};

/// Tables for tests.
#[cfg(test)]
pub(crate) mod samples {
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
}
