use super::append_columns;
use crate::interchange::mutation::{LIKELY, LONGEST};
use crate::interchange::samples::any_table;
use crate::interchange::{CHUNK_BYTES, Chunks, Evaluator, Fields, Input, MAX_ROW_BYTES, Refusal, Rows, StreamError};
use crate::table::{Axis, Changes, Lookup, Table};
use crate::wording::shortest;
use proptest::prelude::*;

/// The value of the advance table alone: `table_deg` from `speed_rpm` and `load`.
#[derive(Clone, Debug)]
struct TableAdvance(Lookup);

impl TableAdvance {
    fn new(table: &Table) -> Self {
        Self(Lookup::new(table))
    }
}

impl Evaluator for TableAdvance {
    fn inputs(&self) -> &'static [Input] {
        &[Input { name: "speed_rpm", required: true }, Input { name: "load", required: true }]
    }

    fn outputs(&self) -> &'static [&'static str] {
        &["table_deg"]
    }

    fn evaluate(&self, values: &[Option<f64>], fields: &mut Fields<'_>) -> Result<(), Refusal> {
        if let [Some(speed_rpm), Some(load), ..] = *values {
            fields.number(self.0.at(speed_rpm, load));
        }
        Ok(())
    }
}

fn table() -> Table {
    let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
    let values = vec![10.0, 20.0, 30.0, 12.0, 18.0, 26.0];
    Table::new(axis(&[1000.0, 2000.0, 4000.0]), axis(&[0.0, 100.0]), values).unwrap()
}

fn run_sized(input: &[u8], size: usize) -> Result<(String, usize), StreamError> {
    let table = table();
    let mut out = Vec::new();
    let rows = append_columns(Chunks::with_size(input, size), &mut out, &TableAdvance::new(&table), None)?;
    Ok((String::from_utf8_lossy(&out).into_owned(), rows))
}

fn run(input: &str) -> String {
    run_sized(input.as_bytes(), CHUNK_BYTES).unwrap().0
}

fn error(input: &str) -> String {
    run_sized(input.as_bytes(), CHUNK_BYTES).unwrap_err().to_string()
}

#[test]
fn appends_and_leaves_the_rest_to_the_byte() {
    assert_eq!(
        run("speed_rpm,load\n1000,0\n1500,0\n9999,-5\n"),
        "speed_rpm,load,table_deg\n1000,0,10\n1500,0,15\n9999,-5,30\n"
    );
    assert_eq!(run("load;x;speed_rpm\r\n50; a ;1000\r\n"), "load;x;speed_rpm;table_deg\r\n50; a ;1000;11\r\n");
    assert_eq!(
        run("load\tspeed_rpm\r0\t 1\u{a0}500 \r1e2\t\u{2212}5"),
        "load\tspeed_rpm\ttable_deg\r0\t 1\u{a0}500 \t15\r1e2\t\u{2212}5\t12"
    );
    assert_eq!(run("\u{feff}speed_rpm,load\n\n1000,0\n\n"), "\u{feff}speed_rpm,load,table_deg\n\n1000,0,10\n\n");
    assert_eq!(run("speed_rpm,load"), "speed_rpm,load,table_deg");
}

/// An evaluator that panics.
#[derive(Clone, Debug)]
struct Broken;

impl Evaluator for Broken {
    fn inputs(&self) -> &'static [Input] {
        &[Input { name: "speed_rpm", required: true }]
    }

    fn outputs(&self) -> &'static [&'static str] {
        &["x"]
    }

    fn evaluate(&self, values: &[Option<f64>], fields: &mut Fields<'_>) -> Result<(), Refusal> {
        if values.first() == Some(&Some(7.0)) {
            std::panic::resume_unwind(Box::new("broken"));
        }
        fields.number(1.0);
        Ok(())
    }
}

#[test]
fn a_worker_that_panics_lets_the_others_go() {
    let rows: String =
        (0..200).map(|row| if row == 20 { "7\n".to_owned() } else { format!("{}\n", row + 100) }).collect();
    let input = format!("speed_rpm\n{rows}");
    let mut out = Vec::new();
    let done = append_columns(Chunks::with_size(input.as_bytes(), 16), &mut out, &Broken, None);
    assert!(matches!(done, Err(StreamError::BrokenOff)));
}

#[test]
fn quoted_fields_pass_through() {
    let input = "note,\"speed_rpm\",load\n\"a, \"\"b\"\"\nc\",\"1500\",0\n\"\",1000,\" 0 \"\n";
    let wanted = "note,\"speed_rpm\",load,table_deg\n\"a, \"\"b\"\"\nc\",\"1500\",0,15\n\"\",1000,\" 0 \",10\n";
    for size in 1..input.len() + 2 {
        assert_eq!(run_sized(input.as_bytes(), size).unwrap(), (wanted.to_owned(), 2));
    }
}

#[test]
fn bad_input_is_named_by_line() {
    let cases = [
        ("", "line 1: the file is empty"),
        ("\n1,2\n", "line 1: the file is empty"),
        ("speed,load\n1,2\n", "line 1: there is no column 'speed_rpm'; the columns are: speed, load"),
        ("speed_rpm,load,load\n", "line 1: the column 'load' is there more than once"),
        ("speed_rpm,load,table_deg\n", "line 1: there is a column 'table_deg' already"),
        ("speed_rpm,load\n1,2\n1\n", "line 3: the row has 1 fields, but the first row names 2"),
        ("speed_rpm,load\n1,2\n1,2,3\n", "line 3: the row has 3 fields"),
        ("speed_rpm,load\n1,2\n\n,2\n", "line 4: column 'speed_rpm' (''): a number is missing"),
        ("speed_rpm,load\r1,2\r1,x", "line 3: column 'load' ('x'): not a number"),
        ("speed_rpm,load\n1,inf\n", "line 2: column 'load' ('inf'): not a number"),
        ("speed_rpm,load\n1,NaN\n", "line 2: column 'load' ('NaN'): not a number"),
        ("speed_rpm;load\n1;2,5x\n", "line 2: column 'load' ('2,5x'): not a number; digits"),
        ("speed_rpm;load\n1,5;2\n1;2.5\n", "line 3: column 'load' ('2.5'): its decimal mark differs from line 2"),
        ("speed_rpm;load\n1;2\n1;2,500\n", "line 3: column 'load' ('2,500'): the mark may part thousands or decimals"),
        ("speed_rpm,load\n1,1e999\n", "line 2: column 'load' ('1e999'): not a finite number"),
        ("speed_rpm,load,\"a\n\nb\"\n1,2,\"\n\"\n1,y,3\n", "line 6: column 'load' ('y')"),
        ("speed_rpm,load,n\n1,2,3\n1,2,\"3\n4,5,6\n", "line 3: a quote is opened here"),
        ("speed_rpm,load,n\n1,2,\"3\"4\n", "line 2: text stands after a closing quote"),
        ("speed_rpm,load,n\n1,2,\"3\"\n1,2\n", "line 3: the row has 2 fields"),
    ];
    for (input, message) in cases {
        assert!(error(input).starts_with(message), "{input:?}: {}", error(input));
        for size in 1..input.len() + 2 {
            assert_eq!(run_sized(input.as_bytes(), size).unwrap_err().to_string(), error(input));
        }
    }
}

#[test]
fn rows_without_end_are_refused() {
    let mut input = b"speed_rpm,load,n\n1,2,3\n1,2,\"".to_vec();
    input.resize(MAX_ROW_BYTES + 4 * CHUNK_BYTES, b'\n');
    assert!(run_sized(&input, CHUNK_BYTES).unwrap_err().to_string().starts_with("line 3: the row has more than"));
}

#[test]
fn a_failed_chunk_leaves_no_output() {
    let table = table();
    let rows = Rows::new(b"speed_rpm,load\n", TableAdvance::new(&table)).unwrap();
    for chunk in ["1,2\n3,x\n", "1,\"2\"\n3,x\n"] {
        let mut out = b"before".to_vec();
        assert_eq!(rows.process(chunk.as_bytes(), &mut out).unwrap_err().line, 2);
        assert_eq!(out, b"before");
    }
}

/// Another evaluator: it has an optional column, refuses values, and appends text and a number.
#[derive(Clone)]
struct Switch;

impl Evaluator for Switch {
    fn inputs(&self) -> &'static [Input] {
        &[Input { name: "load", required: true }, Input { name: "launch", required: false }]
    }

    fn outputs(&self) -> &'static [&'static str] {
        &["state", "commanded_deg"]
    }

    fn evaluate(&self, values: &[Option<f64>], fields: &mut Fields<'_>) -> Result<(), Refusal> {
        let closed = values[1].unwrap_or(0.0);
        if closed != 0.0 && closed != 1.0 {
            return Err(Refusal { input: 1, allowed: "0 or 1".into() });
        }
        fields.text(if closed == 1.0 { "launch, armed" } else { "running" });
        fields.number(closed);
        Ok(())
    }
}

#[test]
fn other_columns_can_be_computed_and_refused() {
    let run = |input: &str| {
        let mut out = Vec::new();
        append_columns(Chunks::new(input.as_bytes()), &mut out, &Switch, None).map(|_| String::from_utf8(out).unwrap())
    };
    let wanted = "launch,load,state,commanded_deg\n1,5,\"launch, armed\",1\n0,5,running,0\n";
    assert_eq!(run("launch,load\n1,5\n0,5\n").unwrap(), wanted);
    assert_eq!(run("load\n5\n").unwrap(), "load,state,commanded_deg\n5,running,0\n");
    let message = "line 2: column 'launch' ('2'): out of range; allowed is 0 or 1";
    assert_eq!(run("launch,load\n2,5\n").unwrap_err().to_string(), message);
}

/// A straightforward implementation: the whole file through a CSV reader and the standard number parser.
fn naive(input: &str, table: &Table) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(input.as_bytes());
    let mut rows = reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect::<Vec<_>>());
    let mut header = rows.next().unwrap();
    let place = |name: &str| header.iter().position(|column| column == name).unwrap();
    let (speed, load) = (place("speed_rpm"), place("load"));
    header.push("table_deg".into());
    let tail = rows.map(|mut row| {
        let deg = table.lookup(row[speed].trim().parse().unwrap(), row[load].trim().parse().unwrap());
        row.push(shortest(deg));
        row
    });
    let tail = tail.collect::<Vec<_>>();
    std::iter::once(header).chain(tail).collect()
}

fn any_number() -> impl Strategy<Value = String> {
    prop_oneof![
        (-1000.0..9000.0).prop_map(shortest),
        (-1000..90_000_i32).prop_map(|tenths| format!("{}", f64::from(tenths) / 10.0)),
        (0.0..1e-3).prop_map(|value: f64| format!("{value:e}")),
        (0.0..900.0).prop_map(|value: f64| format!("\" {value} \"")),
    ]
}

fn any_file() -> impl Strategy<Value = String> {
    let note = prop_oneof!["[a-z .'-]{0,6}", Just("\"q, \"\"x\"\"\nz\"".to_owned()), Just("\"\r\n\"".to_owned())];
    let row = (any_number(), note, any_number());
    let end = prop_oneof![Just("\n"), Just("\r\n"), Just("\r")];
    (proptest::collection::vec(row, 0..40), end, any::<bool>()).prop_map(|(rows, end, ended)| {
        let mut text = format!("load,note,speed_rpm{end}");
        text += &rows.iter().map(|(a, b, c)| format!("{a},{b},{c}")).collect::<Vec<_>>().join(end);
        if ended { text + end } else { text }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn equals_the_plain_way_whatever_the_chunk_size(input in any_file(), table in any_table(), size in 1..400_usize) {
        let stream = |size| {
            let mut out = Vec::new();
            append_columns(Chunks::with_size(input.as_bytes(), size), &mut out, &TableAdvance::new(&table), None).unwrap();
            String::from_utf8(out).unwrap()
        };
        let out = stream(CHUNK_BYTES);
        prop_assert_eq!(&stream(size), &out);
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(out.as_bytes());
        let read: Vec<Vec<String>> = reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect();
        prop_assert_eq!(read, naive(&input, &table));
    }
}

/// Points that can be read at all are read the same whatever the chunk size, and a failed chunk adds nothing.
fn try_points(bytes: &[u8]) -> bool {
    match (run_sized(bytes, CHUNK_BYTES), run_sized(bytes, 7)) {
        (Ok(whole), Ok(parts)) => {
            assert_eq!(whole, parts);
            true
        }
        (Err(whole), Err(parts)) => {
            assert_eq!(whole.to_string(), parts.to_string());
            false
        }
        (whole, parts) => panic!("{:?}: {whole:?} and {parts:?}", String::from_utf8_lossy(bytes)),
    }
}

fn points() -> [Vec<u8>; 2] {
    let plain: String =
        (0..12).map(|row| format!("{},x{row},{}\n", row * 9, shortest(f64::from(row) * 712.3))).collect();
    let quoted = plain.replace('x', "\"x\"\"\r\n\",").replace("\n9", "\r\n9");
    [format!("load,note,speed_rpm\n{plain}").into_bytes(), format!("load,note,more,speed_rpm\n{quoted}").into_bytes()]
}

fn mutate(times: usize) {
    let mut changes = Changes::new(0x0b57_ac1e_5eed_1e55);
    let files = points();
    assert!(files.iter().all(|file| try_points(file)));
    let read = (0..times).filter(|round| try_points(&changes.apply(&files[round % files.len()], LIKELY, LONGEST)));
    let read = read.count();
    assert!((times / 100..times).contains(&read), "{read} of {times} were read");
}

#[test]
fn workers_bear_four_thousand_changes() {
    mutate(4_000);
}

#[test]
#[ignore = "two hundred thousand changes take minutes without optimisation"]
fn workers_bear_two_hundred_thousand_changes() {
    mutate(200_000);
}
