//! Feeds many slightly changed valid inputs to every reader: each gives a complete result or an error, and
//! never panics.

use super::*;
use crate::project::{Advance, LoadKind, MeasuredPoint, Origin};
use crate::table::{Axis, Changes, Selection, Table};

/// Bytes that tend to upset these readers.
pub(crate) const LIKELY: &[u8] = b"\"\"\r\n,;\t.-+e09 \xa0\xc2\xff\xfe\xef\xbb\xbf\0nx";
/// The longest piece repeated, in bytes.
pub(crate) const LONGEST: usize = 24;

fn table() -> Table {
    let axis = |step: f64| Axis::new((1..=4).map(|place| step * f64::from(place)).collect()).unwrap();
    Table::from_fn(axis(1234.5), axis(20.0), |speed, load| speed / 200.0 - load / 10.0).unwrap()
}

fn table_files() -> Vec<Vec<u8>> {
    let write = |separator, mark| {
        write_table(&table(), &WriteOptions { separator, mark, ..WriteOptions::default() }).unwrap().into_bytes()
    };
    let comma = write(Separator::Comma, DecimalMark::Point);
    let wide = String::from_utf8(comma.clone()).unwrap();
    let utf16 = std::iter::once(0xfeff).chain(wide.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    let quoted = wide.replace("load /", "\"load\r\n").replace("speed_rpm", "speed\"").into_bytes();
    vec![
        comma,
        write(Separator::Semicolon, DecimalMark::Comma),
        write(Separator::Tab, DecimalMark::Point),
        utf16,
        quoted,
    ]
}

/// A table that was read is consistent: its axes and cells are in the file just as they are in what it writes.
fn try_table_file(bytes: &[u8]) -> bool {
    let file = match read_table(bytes) {
        Ok(file) => file,
        Err(error) => {
            assert!(
                matches!(error, TableFileError::Text(DelimitedError::TooLarge { .. }))
                    || error.to_string().contains("line "),
                "{error}"
            );
            return false;
        }
    };
    let again = read_table(write_table(file.table(), &WriteOptions::default()).unwrap().as_bytes()).unwrap();
    assert_eq!(again.table(), file.table());
    if let Ok(advance) = file.import() {
        assert_eq!(advance.table(), file.table());
    }
    true
}

fn try_clipboard(text: &str, advance: &Advance, answers: Answers) -> bool {
    let table = advance.table();
    let Ok(Clipping::Ready(clip)) = read_clip(text, table, &answers) else {
        return false;
    };
    match paste(advance, &Selection::all(table), &clip) {
        Ok(PasteOutcome::Pasted(paste)) => {
            let differ = |cell: &crate::table::Cell| paste.advance.table().at(*cell) != table.at(*cell);
            assert_eq!(table.cells().filter(differ).count(), paste.changed);
            assert!(table.cells().filter(differ).all(|cell| paste.cells.contains(cell)));
            true
        }
        Ok(PasteOutcome::AxesDiffer(import)) => {
            assert_eq!(import.table().values().len(), clip.loads() * clip.speeds());
            true
        }
        Err(_) => false,
    }
}

fn runs() -> Vec<Vec<u8>> {
    let rows: String = (0..8).map(|row| format!("{row}.5,{},{row}0,\"8{row}\",0\r\n", row * 700)).collect();
    let header = "time_s,speed_rpm,load,coolant_c,launch\r\n";
    let semicolons = format!("{header}{rows}").replace(',', ";").replace('.', ",");
    vec![format!("{header}{rows}").into_bytes(), semicolons.into_bytes()]
}

fn readings() -> Vec<Vec<u8>> {
    let rows: String = (0..8).map(|row| format!("1{row},1{row}.5,{row}00\n")).collect();
    vec![rows.clone().into_bytes(), format!("commanded_deg,observed_deg,speed_rpm\n{rows}").into_bytes()]
}

fn points() -> Vec<Vec<u8>> {
    let rows: String = (0..8)
        .map(|row| format!("P{row},{row}000,6{row}.5,2{row}.5,1{row},,,at_least,typed,,,\"a, b\",yes\r\n"))
        .collect();
    let text = format!("{}\r\n{rows}", POINT_COLUMNS.join(","));
    vec![text.clone().into_bytes(), text.replace("\"a, b\"", "").replace(',', ";").replace('.', ",").into_bytes()]
}

fn sweeps() -> Vec<Vec<u8>> {
    let rows: String = (0..8).map(|row| format!("3000,6{row}.5,1{row},9{row}.25,0,P{row},1\n")).collect();
    let text = format!("speed_rpm,load,advance_deg,torque_nm,knock,point,pull\n{rows}");
    vec![text.clone().into_bytes(), text.replace(',', ";").replace('.', ",").into_bytes()]
}

/// Points that were read can stand in a project, and are written as they were read.
fn try_points(bytes: &[u8]) -> bool {
    match read_measured(bytes, LoadKind::Pressure) {
        Ok(points) => {
            let boxed: Vec<Box<MeasuredPoint>> = points.iter().cloned().map(Box::new).collect();
            let written = write_measured(&boxed, LoadKind::Pressure);
            assert_eq!(read_measured(written.as_bytes(), LoadKind::Pressure).as_ref(), Ok(&points), "{written}");
            true
        }
        Err(error) => {
            let of_the_whole = matches!(error, MeasuredFileError::Text(DelimitedError::Decode(_)));
            assert!(of_the_whole || error.to_string().contains("line "), "{error}");
            false
        }
    }
}

fn try_sweep(bytes: &[u8]) -> bool {
    match read_sweep(bytes, LoadKind::Pressure) {
        Ok(sweep) => {
            assert_eq!(sweep.lines.len(), sweep.readings.len());
            assert!(sweep.readings.iter().all(|reading| reading.torque > 0.0 && reading.load >= 1.0));
            true
        }
        Err(error) => {
            let of_the_whole = matches!(error, SweepFileError::Empty | SweepFileError::Text(DelimitedError::Decode(_)));
            assert!(of_the_whole || error.to_string().contains("line "), "{error}");
            false
        }
    }
}

/// A run that was read is in order of time; an error names the line, unless it is about the file as a whole.
fn try_run(bytes: &[u8]) -> bool {
    match read_run(bytes) {
        Ok(run) => {
            assert!(run.rows().windows(2).all(|pair| pair[0].time_s < pair[1].time_s));
            true
        }
        Err(error) => {
            let of_the_whole = matches!(error, RunFileError::Run(_) | RunFileError::Text(DelimitedError::Decode(_)));
            assert!(of_the_whole || error.to_string().contains("line "), "{error}");
            false
        }
    }
}

fn try_readings(bytes: &[u8]) -> bool {
    match read_readings(bytes) {
        Ok(readings) => {
            assert!(readings.iter().all(|reading| reading.observed_deg.is_finite() && reading.speed_rpm.is_finite()));
            true
        }
        Err(error) => {
            let of_the_whole = matches!(error, ReadingsFileError::Text(DelimitedError::Decode(_)));
            assert!(of_the_whole || error.to_string().contains("line "), "{error}");
            false
        }
    }
}

fn mutate(times: usize) {
    let mut changes = Changes::new(0x5eed_1e55_0b57_ac1e);
    let advance = Advance::uniform(table(), Origin::Typed).unwrap();
    let files = table_files();
    let options = [false, true].map(|breakpoints| CopyOptions { breakpoints, ..CopyOptions::default() });
    let texts = options.map(|options| copy_block(&table(), &Selection::all(&table()), &options).unwrap());
    let (runs, readings, points, sweeps) = (runs(), readings(), points(), sweeps());
    let mut read = [0; 6];
    for round in 0..times {
        read[0] += usize::from(try_table_file(&changes.apply(&files[round % files.len()], LIKELY, LONGEST)));
        let text = changes.apply(texts[round % 2].as_bytes(), LIKELY, LONGEST);
        let mark = [None, Some(DecimalMark::Point), Some(DecimalMark::Comma)][changes.below(3)];
        let breakpoints = [None, Some(false), Some(true)][changes.below(3)];
        let answers = Answers { mark, breakpoints, ..Answers::default() };
        read[1] += usize::from(try_clipboard(&String::from_utf8_lossy(&text), &advance, answers));
        read[2] += usize::from(try_run(&changes.apply(&runs[round % runs.len()], LIKELY, LONGEST)));
        read[3] += usize::from(try_readings(&changes.apply(&readings[round % readings.len()], LIKELY, LONGEST)));
        read[4] += usize::from(try_points(&changes.apply(&points[round % points.len()], LIKELY, LONGEST)));
        read[5] += usize::from(try_sweep(&changes.apply(&sweeps[round % sweeps.len()], LIKELY, LONGEST)));
    }
    // The changes are small enough for some to be harmless, and large enough for some to be refused.
    assert!(read.iter().all(|&count| (times / 100..times).contains(&count)), "{read:?} of {times} were read");
}

#[test]
fn valid_files_is_what_the_changes_start_from() {
    assert!(table_files().iter().all(|file| try_table_file(file)));
    assert!(runs().iter().all(|file| try_run(file)) && readings().iter().all(|file| try_readings(file)));
    assert!(points().iter().all(|file| try_points(file)) && sweeps().iter().all(|file| try_sweep(file)));
}

#[test]
fn readers_bear_twenty_thousand_changes() {
    mutate(20_000);
}

#[test]
#[ignore = "a million changes take minutes without optimisation"]
fn readers_bear_a_million_changes() {
    mutate(1_000_000);
}
