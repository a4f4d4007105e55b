use super::*;
use crate::interchange::samples::any_table;
use crate::interchange::{DecimalMark, LoadOrder, NumberError, Place};
use crate::project::{Advance, Origin};
use crate::table::{Axis, Block, Cell, Selection, Table};
use proptest::prelude::*;

fn table() -> Table {
    let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
    let values = vec![10.0, 12.5, 14.0, 8.0, 9.25, 11.0, 4.0, 5.0, 6.0];
    Table::new(axis(&[800.0, 1500.0, 2500.0]), axis(&[20.0, 60.0, 100.0]), values).unwrap()
}

fn advance() -> Advance {
    Advance::uniform(table(), Origin::Typed).unwrap()
}

fn ready(text: &str, answers: Answers) -> Clip {
    match read_clip(text, &table(), &answers) {
        Ok(Clipping::Ready(clip)) => clip,
        other => panic!("{text:?}: {other:?}"),
    }
}

fn clip(text: &str) -> Clip {
    ready(text, Answers::default())
}

fn block(loads: std::ops::Range<usize>, speeds: std::ops::Range<usize>) -> Selection {
    Selection::block(&table(), &Block { loads, speeds })
}

fn pasted(selection: &Selection, text: &str) -> Paste {
    match paste(&advance(), selection, &clip(text)) {
        Ok(PasteOutcome::Pasted(paste)) => paste,
        other => panic!("{text:?}: {other:?}"),
    }
}

#[test]
fn copies_a_block_in_every_form() {
    let copy = |options| copy_block(&table(), &block(1..3, 0..2), &options).unwrap();
    assert_eq!(copy(CopyOptions::default()), "8\t9.25\n4\t5\n");
    let options = CopyOptions { breakpoints: true, loads: LoadOrder::Down, mark: DecimalMark::Comma };
    assert_eq!(copy(options), "load / speed_rpm\t800\t1500\n100\t4\t5\n60\t8\t9,25\n");
}

#[test]
fn refuses_to_copy_what_is_no_block() {
    let copy = |selection: &Selection| copy_block(&table(), selection, &CopyOptions::default()).unwrap_err();
    let mut scattered = block(0..1, 0..1);
    scattered.set(Cell::new(2, 2), true);
    assert_eq!(copy(&scattered), CopyError::NoBlock { cells: 2 });
    assert_eq!(copy(&Selection::none(3, 3)), CopyError::Nothing);
    assert_eq!(copy(&Selection::none(4, 4)), CopyError::OtherSize);
}

#[test]
fn detects_breakpoints_and_turns_rows() {
    let with = clip("\t800\t1500\r\n60\t8\t9\r\n20\t1\t2\r\n");
    assert_eq!(with.breakpoints().unwrap().load, [20.0, 60.0]);
    assert_eq!(with.to_string(), "2 loads × 2 speeds with breakpoints, rows turned: they came highest load first");
    assert!(clip("kPa\t800\t1500\n20\t8\t9\n").breakpoints().is_some());
    assert!(clip("0\t800\t1500\n20\t8\t9\n").breakpoints().is_some());
    let without = clip("1\t2\t3\n2\t4\t5\n\t\t\n\n");
    assert_eq!(without.to_string(), "2 loads × 3 speeds without breakpoints");
    let down = ready("1,5\t2\n3\t4", Answers { loads: LoadOrder::Down, ..Answers::default() });
    assert_eq!((down.rows.clone(), down.mark()), (vec![vec![3.0, 4.0], vec![1.5, 2.0]], Some(DecimalMark::Comma)));
    assert!(down.turned());
}

#[test]
fn asks_whether_small_breakpoints_are_cells() {
    let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
    let small = Table::from_fn(axis(&[10.0, 20.0]), axis(&[1.0, 2.0]), |_, _| 0.0).unwrap();
    let read = |breakpoints| {
        read_clip("0\t10\t20\n2\t5\t6\n1\t7\t8\n", &small, &Answers { breakpoints, ..Answers::default() }).unwrap()
    };
    assert_eq!(read(None), Clipping::AskBreakpoints);
    let Clipping::Ready(with) = read(Some(true)) else { panic!() };
    assert_eq!((with.loads(), with.turned()), (2, true));
    let Clipping::Ready(without) = read(Some(false)) else { panic!() };
    assert_eq!((without.loads(), without.speeds()), (3, 3));
}

#[test]
fn asks_about_a_mark_that_may_part_thousands() {
    let place = Place { line: 2, column: 2, text: "1,250".into() };
    let read = |text, mark| read_clip(text, &table(), &Answers { mark, ..Answers::default() }).unwrap();
    assert_eq!(read("1\t2\n3\t1,250\n", None), Clipping::AskMark { place, point: 1250.0, comma: 1.25 });
    assert!(
        matches!(read("1\t2\n3\t1,250\n", Some(DecimalMark::Comma)), Clipping::Ready(clip) if clip.rows[1][1] == 1.25)
    );
    assert!(matches!(read("1,5\t2\n3\t1,250\n", None), Clipping::Ready(clip) if clip.rows[1][1] == 1.25));
    let header = clip("\t1,000\t1,500\n20\t28.5\t29\n60\t1\t2\n");
    assert_eq!(header.breakpoints().unwrap().speed, [1000.0, 1500.0]);
}

#[test]
fn names_what_is_wrong_in_a_text() {
    let error = |text: &str| read_clip(text, &table(), &Answers::default()).unwrap_err();
    assert_eq!(error(""), ClipError::Empty);
    assert_eq!(error("\t\n\n"), ClipError::Empty);
    assert_eq!(error("1\t2\n3\tx\n").to_string().split(';').next(), Some("line 2, column 2 ('x'): not a number"));
    assert!(matches!(error("1\t2\n3\n"), ClipError::Number { place: Place { line: 2, column: 2, .. }, .. }));
    assert!(matches!(error("1\n\n3\n"), ClipError::Number { reason: NumberError::Missing, .. }));
    assert!(matches!(error("1.5\t2\n1,5\t3\n"), ClipError::MixedMarks { first_line: 1, .. }));
    assert!(matches!(error(&"1\n".repeat(66)), ClipError::TooLarge { rows: 66, columns: 1 }));
    assert!(matches!(error("load"), ClipError::Number { reason: NumberError::NotANumber, .. }));
    let forced = Answers { breakpoints: Some(true), ..Answers::default() };
    assert_eq!(read_clip("1\t2", &table(), &forced), Err(ClipError::NoCells));
}

#[test]
fn pastes_where_it_fits() {
    assert_eq!(pasted(&block(1..3, 1..3), "1\t2\n3\t4").advance.table().row(2), [4.0, 3.0, 4.0]);
    let corner = pasted(&block(1..2, 1..2), "1\t2\n3\t4");
    assert_eq!([0, 1].map(|row| corner.advance.table().row(row).to_vec()), [[10.0, 1.0, 2.0], [8.0, 3.0, 4.0]]);
    let mut scattered = block(0..1, 0..1);
    scattered.set(Cell::new(2, 2), true);
    let filled = pasted(&scattered, "7");
    assert_eq!((filled.changed, filled.advance.table().at(Cell::new(2, 2))), (2, 7.0));
    assert_eq!(filled.advance.origin(Cell::new(2, 2)), Origin::Imported);
    assert_eq!(filled.advance.origin(Cell::new(1, 1)), Origin::Typed);
}

#[test]
fn a_row_goes_onto_each_of_several_selected_rows_and_a_column_onto_columns() {
    let rows = pasted(&block(0..2, 0..3), "1\t2\t3");
    let row = |load| rows.advance.table().row(load).to_vec();
    assert_eq!([row(0), row(1), row(2)], [[1.0, 2.0, 3.0], [1.0, 2.0, 3.0], [4.0, 5.0, 6.0]]);
    let mut apart = block(0..1, 1..3);
    apart.extend(block(2..3, 1..3).cells());
    let apart = pasted(&apart, "7\t8");
    assert_eq!(
        (apart.advance.table().row(0), apart.advance.table().row(1)),
        (&[10.0, 7.0, 8.0][..], &[8.0, 9.25, 11.0][..])
    );
    assert_eq!((apart.advance.table().row(2), apart.cells.count()), (&[4.0, 7.0, 8.0][..], 4));
    // Without breakpoints the first of a column is the highest load's, as the grid shows it.
    let turned = Answers { loads: LoadOrder::Down, ..Answers::default() };
    let columns = paste(&advance(), &block(0..3, 1..3), &ready("1\n2\n3", turned)).unwrap();
    let PasteOutcome::Pasted(columns) = columns else { panic!("{columns:?}") };
    assert_eq!(columns.advance.table().values(), [10.0, 3.0, 3.0, 8.0, 2.0, 2.0, 4.0, 1.0, 1.0]);
    // Rows of which not every cell is selected are no rows of that length.
    let mut ragged = block(0..2, 0..3);
    ragged.set(Cell::new(1, 1), false);
    let error = paste(&advance(), &ragged, &clip("1\t2\t3")).unwrap_err();
    assert!(matches!(error, PasteError::NoBlock { .. }), "{error}");
    let error = paste(&advance(), &block(0..2, 0..3), &clip("1\t2")).unwrap_err();
    assert!(matches!(error, PasteError::Size { .. }), "{error}");
}

#[test]
fn says_what_does_not_fit() {
    let error = |selection: &Selection, text| paste(&advance(), selection, &clip(text)).unwrap_err();
    assert!(matches!(error(&block(0..2, 0..3), "1\t2\n3\t4"), PasteError::Size { selected_speeds: 3, .. }));
    let words = "2 loads × 2 speeds do not fit: from the selected cell down and to the right there is room for 1 load × 3 speeds";
    assert_eq!(PasteError::Room { loads: 2, speeds: 2, room_loads: 1, room_speeds: 3 }.to_string(), words);
    let room = PasteError::Room { loads: 2, speeds: 2, room_loads: 1, room_speeds: 3 };
    assert_eq!(error(&block(0..1, 0..1), "1\t2\n3\t4"), room);
    let room = PasteError::Room { loads: 2, speeds: 2, room_loads: 3, room_speeds: 1 };
    assert_eq!(error(&block(2..3, 2..3), "1\t2\n3\t4"), room);
    assert_eq!(error(&Selection::none(3, 3), "1"), PasteError::Nothing);
    assert_eq!(error(&Selection::none(3, 3), "1\t2"), PasteError::Nothing);
    assert_eq!(error(&Selection::none(2, 3), "1"), PasteError::OtherSize);
    assert!(matches!(error(&block(0..1, 0..1), "91"), PasteError::Range(_)));
    let mut scattered = block(0..1, 0..1);
    scattered.set(Cell::new(2, 2), true);
    assert!(matches!(error(&scattered, "1\t2"), PasteError::NoBlock { cells: 2, .. }));
}

#[test]
fn held_cells_stay_and_are_counted() {
    let held = advance().with_held(&block(1..2, 1..2), true);
    let outcome = paste(&held, &block(1..2, 0..3), &clip("1\t2\t3")).unwrap();
    let PasteOutcome::Pasted(paste) = outcome else { panic!() };
    assert_eq!((paste.held, paste.changed), (1, 2));
    assert_eq!(paste.advance.table().row(1), [1.0, 9.25, 3.0]);
    assert_eq!(paste.advance.held(), held.held());
}

#[test]
fn breakpoints_name_the_place_or_offer_an_import() {
    let anywhere = Selection::none(3, 3);
    let outcome = |text| paste(&advance(), &anywhere, &clip(text));
    let Ok(PasteOutcome::Pasted(paste)) = outcome("\t1500\t2500\n60\t1\t2\n20\t3\t4\n") else { panic!() };
    assert_eq!(paste.advance.table().values(), [10.0, 3.0, 4.0, 8.0, 1.0, 2.0, 4.0, 5.0, 6.0]);
    let Ok(PasteOutcome::AxesDiffer(import)) = outcome("\t1500\t2600\n60\t1\t2\n20\t3\t4\n") else { panic!() };
    assert_eq!(import.table().speed().breakpoints(), [1500.0, 2600.0]);
    assert_eq!(import.origins(), [Origin::Imported; 4]);
    assert!(matches!(outcome("\t1500\n61\t1\n"), Err(PasteError::Axis { axis: "speed", .. })));
    assert!(matches!(
        outcome("\t1500\t1600\n61\t1\t2\n50\t1\t2\n70\t1\t2\n"),
        Err(PasteError::Axis { axis: "load", .. })
    ));
}

fn tables_and_blocks() -> impl Strategy<Value = (Table, Block)> {
    any_table().prop_flat_map(|table| {
        let (loads, speeds) = (table.load().len(), table.speed().len());
        (Just(table), 0..loads, 0..loads, 0..speeds, 0..speeds)
            .prop_map(|(table, a, b, c, d)| (table, Block::between(Cell::new(a, c), Cell::new(b, d))))
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn paste_after_copy_is_the_identity(
        (table, block) in tables_and_blocks(), breakpoints: bool, down: bool, comma: bool, from_one_cell: bool,
    ) {
        let advance = Advance::uniform(table.clone(), Origin::Measured).unwrap();
        let loads = if down { LoadOrder::Down } else { LoadOrder::Up };
        let mark = if comma { DecimalMark::Comma } else { DecimalMark::Point };
        let selection = Selection::block(&table, &block);
        let text = copy_block(&table, &selection, &CopyOptions { breakpoints, loads, mark }).unwrap();
        let answers = Answers { mark: Some(mark), breakpoints: Some(breakpoints), loads };
        let Clipping::Ready(clip) = read_clip(&text, &table, &answers).unwrap() else { panic!() };
        // With the highest load at the top, as it is shown, this is the block's upper left corner.
        let start = Selection::cell(&table, Cell::new(block.loads.end - 1, block.speeds.start));
        let target = if from_one_cell { &start } else { &selection };
        let PasteOutcome::Pasted(paste) = paste(&advance, target, &clip).unwrap() else { panic!() };
        prop_assert_eq!(&paste.advance, &advance);
        prop_assert_eq!((paste.changed, paste.held), (0, 0));
        prop_assert_eq!(paste.cells, selection);
    }

    /// Without answers, the result is what was copied, or a question; never anything else.
    #[test]
    fn what_is_understood_unasked_is_right((table, block) in tables_and_blocks(), breakpoints: bool, comma: bool) {
        let mark = if comma { DecimalMark::Comma } else { DecimalMark::Point };
        let options = CopyOptions { breakpoints, loads: LoadOrder::Up, mark };
        let text = copy_block(&table, &Selection::block(&table, &block), &options).unwrap();
        if let Clipping::Ready(clip) = read_clip(&text, &table, &Answers::default()).unwrap() {
            prop_assert_eq!(clip.breakpoints().is_some(), breakpoints);
            let cells: Vec<f64> = block.cells().map(|cell| table.at(cell)).collect();
            prop_assert_eq!(clip.rows.concat(), cells);
        }
    }
}
