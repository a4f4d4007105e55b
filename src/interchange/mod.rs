//! Floor 3: delimited text, from files and on the clipboard. Bytes and text in, values out, and back; no files here.
//!
//! A text table has its load rows one below the other and its speed columns side by side. The first row has a
//! corner text, which may be anything, and then the speeds; every further row has a load and then its cells.

mod clipboard;
mod curve_clip;
mod decode;
mod event_rows;
mod lines;
mod marks;
#[cfg(test)]
pub(crate) mod mutation;
mod named_columns;
mod number;
mod points;
mod readings_file;
mod records;
mod run_file;
#[cfg(test)]
pub(crate) mod samples;
mod sheet;
mod table_file;

pub use clipboard::{
    Answers, Breakpoints, Clip, ClipError, Clipping, CopyError, CopyOptions, Paste, PasteAs, PasteError, PasteOutcome,
    copy_block, paste, paste_as, read_clip,
};
pub use curve_clip::{CurveClip, CurveClipError, read_curve, write_curve};
pub use decode::{DecodeError, decode};
pub use event_rows::{EVENT_COLUMNS, EventRows};
pub use lines::{Separator, count_breaks};
pub use marks::{AskMark, FieldFault};
pub use named_columns::ColumnsError;
pub use number::{DecimalMark, NumberError, Reading, Thousands, parse_number, read_number, typed_number};
pub use points::{
    CHUNK_BYTES, Chunks, CommandedAdvance, Evaluator, Fields, Input, MAX_ROW_BYTES, PointsError, PointsFault,
    Processed, Refusal, Rows, StreamError,
};
pub use readings_file::{MAX_READINGS_BYTES, READING_COLUMNS, ReadingsFileError, read_readings, read_readings_as};
pub use records::RecordError;
pub use run_file::{MAX_RUN_BYTES, RUN_COLUMNS, RunFileError, read_run, read_run_as, write_run};
pub use sheet::LoadOrder;
pub use table_file::{
    MAX_FILE_BYTES, Place, TableFile, TableFileError, WriteError, WriteOptions, read_table, read_table_as, write_table,
};
