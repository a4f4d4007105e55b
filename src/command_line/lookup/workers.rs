//! From a reader to a writer with several workers: chunks are read and written in order, but computed in
//! parallel.

use std::io::{Read, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

use crate::interchange::{Chunks, DecimalMark, Evaluator, Processed, Rows, StreamError, count_breaks};

/// One worker at a time can read and one can write, so that more workers would just wait for each other.
const MOST_WORKERS: usize = 4;

/// Copies rows from `chunks` to `writer` with the evaluator's columns appended; returns how many rows were
/// computed. Numbers are read with the decimal mark that is named, or else with the one that they reveal.
/// Memory is bounded: every worker has one chunk and its output, and at most 16 MB are read ahead to find the
/// mark.
///
/// # Errors
/// [`StreamError`] naming the line of the first bad row; what was written by then is no result.
pub(super) fn append_columns<R: Read + Send, W: Write + Send>(
    mut chunks: Chunks<R>,
    mut writer: W,
    evaluator: &(impl Evaluator + Clone + Sync + Send),
    mark: Option<DecimalMark>,
) -> Result<usize, StreamError> {
    let rows = chunks.rows(evaluator.clone(), mark)?;
    writer.write_all(rows.header()).map_err(StreamError::Write)?;
    let source = Mutex::new(Source { chunks, next: 0, ended: false });
    let lines = count_breaks(rows.header());
    let sink =
        Sink { state: Mutex::new(State { writer, turn: 0, lines, rows: 0, failure: None }), turned: Condvar::new() };
    let workers = thread::available_parallelism().map_or(2, |count| count.get().clamp(2, MOST_WORKERS));
    thread::scope(|scope| {
        for _ in 1..workers {
            // If the system refuses a thread, the other workers do its work.
            let worker = thread::Builder::new().name("lookup".into());
            if worker.spawn_scoped(scope, || work(&source, &rows, &sink)).is_err() {
                break;
            }
        }
        work(&source, &rows, &sink);
    });
    sink.result()
}

/// The chunks that have not been taken yet.
struct Source<R> {
    chunks: Chunks<R>,
    next: usize,
    ended: bool,
}

impl<R: Read> Source<R> {
    /// Reads the next chunk into `chunk` and returns its number; `None` if there are no more, or after an
    /// error.
    fn take(&mut self, chunk: &mut Vec<u8>) -> Option<(usize, Result<(), StreamError>)> {
        if self.ended {
            return None;
        }
        let read = self.chunks.next_into(chunk);
        self.ended = !matches!(read, Ok(true));
        let number = self.next;
        self.next += 1;
        match read {
            Ok(false) => None,
            Ok(true) => Some((number, Ok(()))),
            Err(error) => Some((number, Err(error))),
        }
    }
}

/// Accepts the outputs of chunks in their order.
struct Sink<W> {
    state: Mutex<State<W>>,
    turned: Condvar,
}

struct State<W> {
    writer: W,
    turn: usize,
    lines: usize,
    rows: usize,
    failure: Option<StreamError>,
}

impl<W: Write> Sink<W> {
    /// Waits until all earlier chunks are written, and writes this one. Returns whether to go on.
    fn put(&self, number: usize, out: &[u8], done: Result<Processed, StreamError>) -> bool {
        let mut state = lock(&self.state);
        while state.turn != number && state.failure.is_none() {
            state = self.turned.wait(state).unwrap_or_else(PoisonError::into_inner);
        }
        if state.failure.is_none() {
            state.failure = state.write(out, done).err();
        }
        state.turn += 1;
        self.turned.notify_all();
        state.failure.is_none()
    }

    fn result(self) -> Result<usize, StreamError> {
        let state = self.state.into_inner().unwrap_or_else(PoisonError::into_inner);
        state.failure.map_or(Ok(state.rows), Err)
    }
}

impl<W: Write> State<W> {
    fn write(&mut self, out: &[u8], done: Result<Processed, StreamError>) -> Result<(), StreamError> {
        let done = done.map_err(|error| match error {
            StreamError::Points(error) => error.after_lines(self.lines).into(),
            other => other,
        })?;
        self.writer.write_all(out).map_err(StreamError::Write)?;
        self.lines += done.lines;
        self.rows += done.rows;
        Ok(())
    }
}

fn work<R: Read, W: Write>(source: &Mutex<Source<R>>, rows: &Rows<impl Evaluator>, sink: &Sink<W>) {
    let (mut chunk, mut out) = (Vec::new(), Vec::new());
    loop {
        let taken = lock(source).take(&mut chunk);
        let Some((number, read)) = taken else {
            return;
        };
        out.clear();
        // The others wait for this chunk's turn, so they must hear of it even if processing panics.
        let process = || rows.process(&chunk, &mut out).map_err(StreamError::from);
        let done = read.and_then(|()| catch_unwind(AssertUnwindSafe(process)).unwrap_or(Err(StreamError::BrokenOff)));
        if !sink.put(number, &out, done) {
            return;
        }
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
#[path = "workers_tests.rs"]
mod tests;
