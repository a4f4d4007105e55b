//! The whole way from a reader to a writer in one thread: what tests hold chunks and workers against.

use std::io::{Read, Write};

use super::{Chunks, Evaluator, Rows, StreamError};

/// Copies rows from `chunks` to `writer` with the evaluator's columns appended; gives how many rows were computed.
///
/// # Errors
/// [`StreamError`] naming the line of the first bad row; what was written by then is no result.
pub(in crate::interchange) fn append_columns<R: Read, W: Write>(
    mut chunks: Chunks<R>,
    mut writer: W,
    evaluator: impl Evaluator,
) -> Result<usize, StreamError> {
    let header = chunks.header()?;
    let rows = Rows::new(&header, evaluator)?;
    writer.write_all(rows.header()).map_err(StreamError::Write)?;
    let (mut chunk, mut out) = (Vec::new(), Vec::new());
    let mut lines = crate::interchange::lines::count_breaks(&header);
    let mut count = 0;
    while next(&mut chunks, &mut chunk, lines)? {
        out.clear();
        let done = rows.process(&chunk, &mut out).map_err(|error| error.after_lines(lines))?;
        writer.write_all(&out).map_err(StreamError::Write)?;
        lines += done.lines;
        count += done.rows;
    }
    writer.flush().map_err(StreamError::Write)?;
    Ok(count)
}

fn next<R: Read>(chunks: &mut Chunks<R>, chunk: &mut Vec<u8>, lines: usize) -> Result<bool, StreamError> {
    chunks.next_into(chunk).map_err(|error| match error {
        StreamError::Points(error) => error.after_lines(lines).into(),
        other => other,
    })
}
