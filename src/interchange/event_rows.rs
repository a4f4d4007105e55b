//! Writes the events of a rig run as delimited text while they happen: memory use does not grow with the run.

use std::io::{self, Write};
use std::ops::ControlFlow;

use super::lines::push_text_field;
use super::points::push_shortest;
use crate::project::Parts;
use crate::rig::{Event, Sink, What};

/// The columns, in order. A field that does not apply to an event is empty.
///
/// `value` is the speed in rpm for an `edge`, the ratio for a `gap`, the reason for `sync_lost`, the dwell in
/// ms for `charge` and `skip`, the energy in mJ for a `spark`, the state that cuts for a `cut`, and the name
/// for a `state`.
pub const EVENT_COLUMNS: [&str; 8] =
    ["time_s", "crank_deg", "event", "channel", "commanded_deg", "actual_deg", "error_deg", "value"];

/// Bytes are collected up to this size before they are written.
const BLOCK_BYTES: usize = 64 * 1024;

/// Writes one row per event. If writing fails, the run is stopped, and [`EventRows::finish`] returns the error.
#[derive(Debug)]
pub struct EventRows<W> {
    writer: W,
    block: Vec<u8>,
    channels: Vec<String>,
    outputs: Vec<String>,
    failure: Option<io::Error>,
}

impl<W: Write> EventRows<W> {
    /// Starts with the row of column names; rows end with CR LF.
    pub fn new(writer: W, parts: &Parts) -> Self {
        let mut block = Vec::with_capacity(BLOCK_BYTES + 256);
        block.extend_from_slice(EVENT_COLUMNS.join(",").as_bytes());
        block.extend_from_slice(b"\r\n");
        let channels = parts.engine.channels.iter().map(|channel| channel.name.clone()).collect();
        let outputs = parts.outputs.iter().map(|output| output.name.clone()).collect();
        Self { writer, block, channels, outputs, failure: None }
    }

    /// Writes what is left and returns the writer.
    ///
    /// # Errors
    /// The first error of the writer.
    pub fn finish(mut self) -> io::Result<W> {
        if let Some(failure) = self.failure {
            return Err(failure);
        }
        self.writer.write_all(&self.block)?;
        self.writer.flush()?;
        Ok(self.writer)
    }

    fn push_row(&mut self, event: &Event) {
        let what = &event.what;
        push_shortest(&mut self.block, event.time_s);
        self.block.push(b',');
        push_shortest(&mut self.block, event.crank_deg);
        self.block.push(b',');
        self.block.extend_from_slice(what.name().as_bytes());
        self.block.push(b',');
        let channel = what.channel().and_then(|at| self.channels.get(at));
        if let Some(name) = channel.or_else(|| what.output().and_then(|at| self.outputs.get(at))) {
            push_text_field(&mut self.block, name);
        }
        for deg in [what.commanded_deg(), what.actual_deg(), what.error_deg()] {
            self.block.push(b',');
            if let Some(deg) = deg {
                push_shortest(&mut self.block, deg);
            }
        }
        self.block.push(b',');
        self.push_value(what);
        self.block.extend_from_slice(b"\r\n");
    }

    fn push_value(&mut self, what: &What) {
        let number = match *what {
            What::Edge { speed_rpm } => speed_rpm,
            What::Gap { ratio } => ratio,
            What::Charge { dwell_ms, .. } | What::Skip { dwell_ms, .. } => dwell_ms,
            What::Spark { energy_mj, .. } => energy_mj,
            What::SyncLost(loss) => return self.block.extend_from_slice(loss.name().as_bytes()),
            What::Cut { state, .. } | What::State(state) => {
                return self.block.extend_from_slice(state.name().as_bytes());
            }
            What::Sync | What::LetDown { .. } | What::OutputOn { .. } | What::OutputOff { .. } => return,
        };
        push_shortest(&mut self.block, number);
    }
}

impl<W: Write> Sink for EventRows<W> {
    fn take(&mut self, event: &Event) -> ControlFlow<()> {
        self.push_row(event);
        if self.block.len() < BLOCK_BYTES {
            return ControlFlow::Continue(());
        }
        let written = self.writer.write_all(&self.block);
        self.block.clear();
        match written {
            Ok(()) => ControlFlow::Continue(()),
            Err(failure) => {
                self.failure = Some(failure);
                ControlFlow::Break(())
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{Project, SAMPLES};
    use crate::rig::{BuiltIn, Rig, Settings};

    fn sample() -> Project {
        SAMPLES[0].project().unwrap()
    }

    fn written(project: &Project, built_in: BuiltIn) -> String {
        let mut rows = EventRows::new(Vec::new(), project);
        Rig::new(project, Settings::default()).unwrap().run(&built_in.run(project).unwrap(), &mut rows);
        String::from_utf8(rows.finish().unwrap()).unwrap()
    }

    #[test]
    fn rows_have_their_columns_and_repeat_to_the_byte() {
        let project = sample();
        let text = written(&project, BuiltIn::CrankAndStart);
        let mut lines = text.split("\r\n");
        assert_eq!(lines.next(), Some("time_s,crank_deg,event,channel,commanded_deg,actual_deg,error_deg,value"));
        assert_eq!(lines.next(), Some("0,0,edge,,,,,0"));
        assert_eq!(lines.next(), Some("0,0,state,,,,,stopped"));
        assert!(lines.clone().filter(|line| !line.is_empty()).all(|line| line.matches(',').count() == 7));
        let spark = lines.find(|line| line.contains(",spark,")).unwrap();
        let fields: Vec<&str> = spark.split(',').collect();
        let number = |at: usize| fields[at].parse::<f64>().unwrap();
        assert_eq!((fields[3], number(4)), (project.engine.channels[0].name.as_str(), 8.0));
        assert_eq!(number(4) - number(5), number(6));
        assert_eq!(written(&project, BuiltIn::CrankAndStart), text);
    }

    #[test]
    fn a_name_with_a_comma_is_quoted() {
        let project = sample().edit(|parts| parts.outputs[0].name = "shift, bright".into()).unwrap();
        assert!(written(&project, BuiltIn::SweepToTheLimit).contains(",output_on,\"shift, bright\",,,,\r\n"));
    }

    /// Remembers the length of the longest piece that it was given, and the number of pieces.
    #[derive(Debug, Default)]
    struct Longest(usize, usize);

    impl Write for Longest {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            (self.0, self.1) = (self.0.max(bytes.len()), self.1 + 1);
            Ok(bytes.len())
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn what_is_held_does_not_grow_with_the_run() {
        let project = sample();
        let mut rows = EventRows::new(Longest::default(), &project);
        let before = rows.block.capacity();
        let run = BuiltIn::ColdStart.run(&project).unwrap();
        Rig::new(&project, Settings::default()).unwrap().run(&run, &mut rows);
        assert_eq!(rows.block.capacity(), before);
        let Longest(longest, pieces) = rows.finish().unwrap();
        assert!(longest < BLOCK_BYTES + 256 && pieces > 10, "{longest} bytes, {pieces} pieces");
    }

    /// Accepts the first block only.
    #[derive(Debug)]
    struct Full(bool);

    impl Write for Full {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            if std::mem::replace(&mut self.0, true) { Err(io::ErrorKind::StorageFull.into()) } else { Ok(bytes.len()) }
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn a_full_disk_ends_the_run_and_is_told() {
        let project = sample();
        let mut rows = EventRows::new(Full(false), &project);
        let run = BuiltIn::SweepToTheLimit.run(&project).unwrap();
        let summary = Rig::new(&project, Settings::default()).unwrap().run(&run, &mut rows);
        assert!(summary.duration_s < run.end_s() - run.start_s());
        assert_eq!(rows.finish().unwrap_err().kind(), io::ErrorKind::StorageFull);
    }
}
