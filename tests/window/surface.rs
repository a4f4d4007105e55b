//! The surface by pointer and by name.

use egui_kittest::kittest::Queryable;

use super::harness::{sample, window};

#[test]
fn it_says_what_it_shows() {
    let mut window = window(sample("tarn-special"));
    window.run();
    window.get_by_label_contains("surface of advance, three-quarter, cursor");
}
