//! `sheet`.

use super::bench::{Bench, SAMPLE};

#[test]
fn a_sheet_is_written_and_is_the_same_each_time() {
    let bench = Bench::new();
    let told = bench.done(&format!("sheet {SAMPLE} -o a.pdf"));
    assert!(told.starts_with("wrote a.pdf: ") && told.ends_with(" pages\n"), "{told}");
    bench.done(&format!("sheet {SAMPLE} -o b.pdf"));
    assert_eq!(bench.bytes("a.pdf"), bench.bytes("b.pdf"));
    assert!(bench.bytes("a.pdf").starts_with(b"%PDF-"));
    let answer = bench.json(&format!("sheet {SAMPLE} -o c.pdf --paper letter --json"));
    assert_eq!((answer["file"].as_str(), answer["pages"].as_u64().is_some()), (Some("c.pdf"), true));
    assert_ne!(bench.bytes("a.pdf"), bench.bytes("c.pdf"));
}

#[test]
fn other_endings_and_papers_are_refused() {
    let bench = Bench::new();
    assert!(bench.failed(&format!("sheet {SAMPLE} -o a.txt")).contains("must be .pdf"));
    assert!(bench.failed(&format!("sheet {SAMPLE} -o a.pdf --paper a5")).contains("possible values"));
    assert!(bench.failed("sheet none.ron -o a.pdf").contains("none.ron"));
}
