use super::*;
use crate::interchange::{AskMark, DelimitedError, FieldFault, NumberError};
use crate::project::Advance;
use crate::table::Selection;

const PLAIN: &str = "load,800,1500\n20,10,12.5\n60,8,-9.25\n";

fn values(text: &str) -> Vec<f64> {
    let file = read_table(text.as_bytes()).unwrap();
    let table = file.table();
    [table.speed().breakpoints(), table.load().breakpoints(), table.values()].concat()
}

fn error(text: &str) -> String {
    read_table(text.as_bytes()).unwrap_err().to_string()
}

#[test]
fn reads_every_spelling_to_the_same_table() {
    let wanted = values(PLAIN);
    assert_eq!(wanted, [800.0, 1500.0, 20.0, 60.0, 10.0, 12.5, 8.0, -9.25]);
    let spellings = [
        "load\t800\t1500\r\n20\t10\t12.5\r\n60\t8\t-9.25",
        "load;800;1500\r20;10;12,5\r60;8;\u{2212}9,25\r",
        "\"corner; \"\"text\"\"\nof, two lines\",800,1500\n20,\"10\",\" 12.5 \"\n60,+8,-9.25",
        "\u{feff},800,1\u{a0}500,,\n20,10,12.5,,\n60,8,-9.25,,\n,,,,\n\n,\n",
        "a\t800\t1\u{202f}500\t\t\n20\t10\t12,50\t\n60\t8,0\t-9,25",
    ];
    for text in spellings {
        assert_eq!(values(text), wanted, "{text:?}");
    }
}

#[test]
fn reads_utf16_of_either_order() {
    for order in [u16::to_le_bytes, u16::to_be_bytes] {
        let bytes: Vec<u8> = std::iter::once(0xfeff).chain(PLAIN.encode_utf16()).flat_map(order).collect();
        assert_eq!(read_table(&bytes).unwrap().table(), read_table(PLAIN.as_bytes()).unwrap().table());
    }
}

#[test]
fn names_line_column_and_text_of_what_is_wrong() {
    let cases = [
        ("", "line 1: the row is empty"),
        ("\n\nload,800,1500", "line 1: the row is empty"),
        ("load,800,1500\n\n20,1,2\n60,1,2", "line 2: the row is empty"),
        ("load,800,1500\n20,1,2\n,,\n60,1,2", "line 3: the row is empty"),
        ("load,800,1500\n20,1,2\n60,1", "line 3: the row has 2 fields, but the first row has 3"),
        ("load,800,1500\n20,1,2,3\n60,1,2", "line 2: the row has 4 fields"),
        ("load,800,1500\n20,1,x\n60,1,2", "line 2, column 3 ('x'): not a number"),
        ("load,800,1500\n20,1,\n60,1,2", "line 2, column 3: a number is missing"),
        ("load,800,1500\n20,,1\n60,1,2", "line 2, column 2: a number is missing"),
        ("load,800,1500\n20,nan,1\n60,1,2", "line 2, column 2 ('nan'): not a number"),
        ("load,800,1500\n20,1,1e999\n60,1,2", "line 2, column 3 ('1e999'): not a finite"),
        ("load,800,800\n20,1,1\n60,1,2", "line 1, column 3 ('800'): speed breakpoint 2 (800) is not above"),
        ("load,800,1500\n60,1,1\n20,1,2", "line 3, column 1 ('20'): load breakpoint 2 (20) is not above"),
        ("load,800\n20,1\n60,2", "line 1, column 2 ('800'): speed 1 breakpoints; an axis has 2 to 64"),
        ("load,800,1500\n20,\"1,5\",1\n60,1,2", "line 2, column 2 ('1,5'): a decimal comma needs a tab"),
        ("load;800;1500\n20;1,5;1\n60;1.5;2", "line 3, column 2 ('1.5'): its decimal mark differs from line 2"),
        ("load;800;1500\n20;1.00,5;1\n60;1;2", "line 2, column 2 ('1.00,5'): not a number"),
        ("load,800,1500\r20,1,2\r60,y,2", "line 3, column 2 ('y')"),
        ("\"a\n\nb\",800,z\n20,1,2", "line 3, column 3 ('z')"),
        ("\"a\r\nb\",800,1500\r\n20,1,2\r\n60,\"\n\n1\",w", "line 6, column 3 ('w')"),
        ("load,800,1500\n20,\"1,2\n60,1,2", "line 2: a quote is opened here"),
    ];
    for (text, message) in cases {
        assert!(error(text).starts_with(message), "{text:?}: {}", error(text));
    }
}

#[test]
fn more_than_sixty_four_breakpoints_are_refused_at_the_first_too_many() {
    let speeds: String = (1..=65).map(|speed| format!(",{speed}")).collect();
    let text = format!("load{speeds}\n1{}\n2{}", ",0".repeat(65), ",0".repeat(65));
    assert!(error(&text).starts_with("line 1, column 66 ('65'): speed 65 breakpoints"), "{}", error(&text));
}

#[test]
fn refuses_files_over_16_mb() {
    let bytes = vec![b'0'; MAX_FILE_BYTES + 1];
    let told = read_table(&bytes).unwrap_err();
    assert!(matches!(told, TableFileError::Text(DelimitedError::TooLarge { bytes: 16_777_217, .. })), "{told}");
    assert_eq!(told.to_string(), "the file has 16777217 bytes; a table file has at most 16777216 (16 MB)");
    let told = read_table(&bytes[1..]).unwrap_err();
    assert!(!matches!(told, TableFileError::Text(DelimitedError::TooLarge { .. })), "{told}");
}

#[test]
fn knows_separator_and_mark() {
    let file = read_table(b"x;800;1500\n20;1,5;1\n60;1;2").unwrap();
    assert_eq!((file.separator(), file.decimal_mark()), (Separator::Semicolon, Some(DecimalMark::Comma)));
    let file = read_table(b"x,800,1500\n20,1,1\n60,1,2").unwrap();
    assert_eq!((file.separator(), file.decimal_mark()), (Separator::Comma, Some(DecimalMark::Point)));
    let file = read_table(b"x\t800\t1500\n20\t1\t1\n60\t1\t2").unwrap();
    assert_eq!((file.separator(), file.decimal_mark()), (Separator::Tab, None));
    assert_eq!(file.line_of_load(1), Some(3));
    assert_eq!(file.line_of_load(2), None);
}

#[test]
fn imports_everything_as_imported_and_nothing_held() {
    let advance: Advance = read_table(PLAIN.as_bytes()).unwrap().import().unwrap();
    assert!(advance.origins().iter().all(|&origin| origin == Origin::Imported));
    assert_eq!(advance.held(), &Selection::none(2, 2));
}

#[test]
fn values_out_of_range_are_named_by_line() {
    let range = |text: &str| read_table(text.as_bytes()).unwrap().import().unwrap_err().to_string();
    assert!(range("load,800,1500\n20,1,2\n60,1,90.5").starts_with("line 3, column 3 ('90.5'): 90.5°"));
    assert!(range("load,800,31000\n20,1,2\n60,1,2").starts_with("line 1, column 3 ('31000'): speed"));
    let reason = read_table(b"load,800,1500\n20,1,2\n60,1,x").unwrap_err();
    assert!(matches!(reason, TableFileError::Number { reason: FieldFault::Number(NumberError::NotANumber), .. }));
}

#[test]
fn thousands_are_never_taken_for_decimals() {
    let cells = "0\t10\t20\t30\t40\n50\t12\t22\t32\t42\n";
    let tabs = format!("load\t1,000\t2,000\t3,000\t4,000\n{cells}");
    let points = format!("load\t1.000\t2.000\t3.000\t4.000\n{cells}").replace('\t', ";");
    // The question is asked even if the speeds would not ascend as decimals.
    let falling = format!("load\t250\t500\t1,000\t2,000\n{cells}");
    let speeds =
        |text: &str, mark| read_table_as(text.as_bytes(), Some(mark)).unwrap().table().speed().breakpoints().to_vec();
    for (text, thousands) in [(&tabs, DecimalMark::Point), (&points, DecimalMark::Comma)] {
        let Err(TableFileError::AskMark(asked)) = read_table(text.as_bytes()) else { panic!("{text}") };
        assert_eq!(
            (asked.place.line, asked.place.column, asked.as_thousands(), asked.as_decimal()),
            (1, 2, 1000.0, 1.0)
        );
        assert_eq!(speeds(text, thousands), [1000.0, 2000.0, 3000.0, 4000.0]);
        assert_eq!(speeds(text, thousands.other()), [1.0, 2.0, 3.0, 4.0]);
    }
    assert!(matches!(read_table(falling.as_bytes()), Err(TableFileError::AskMark(AskMark { .. }))));
    assert_eq!(speeds(&falling, DecimalMark::Point), [250.0, 500.0, 1000.0, 2000.0]);
    // One number that can only have decimals decides for all.
    let proven = tabs.replace("\t42", "\t42,5");
    assert_eq!(read_table(proven.as_bytes()).unwrap().table().speed().breakpoints(), [1.0, 2.0, 3.0, 4.0]);
    // And so does one that can only have thousands, or has decimals after the other mark.
    for told in ["42.5", "1,042.5", "1,000,042"] {
        let told = tabs.replace("\t42", &format!("\t{told}"));
        assert_eq!(read_table(told.as_bytes()).unwrap().table().speed().breakpoints(), [1e3, 2e3, 3e3, 4e3]);
    }
    let mixed = tabs.replace("\t42", "\t42.5").replace("\t32", "\t32,5");
    assert!(
        error(&mixed).starts_with("line 3, column 5 ('42.5'): its decimal mark differs from line 3"),
        "{}",
        error(&mixed)
    );
    // A spreadsheet's file with quoted thousands can be read once the mark is named or another number reveals
    // it.
    let quoted = format!("load,\"1,000\",\"2,000\",\"3,000\",\"4,000\"\n{}", cells.replace('\t', ","));
    assert!(error(&quoted).contains("the mark may part thousands or decimals"), "{}", error(&quoted));
    assert_eq!(speeds(&quoted, DecimalMark::Point), [1000.0, 2000.0, 3000.0, 4000.0]);
    let told = quoted.replace(",42", ",42.5");
    assert_eq!(read_table(told.as_bytes()).unwrap().table().speed().breakpoints(), [1e3, 2e3, 3e3, 4e3]);
}
