//! The window opens, comes to rest and can be pictured.

use super::harness::{pictured, sample, window};

#[test]
fn opens_and_comes_to_rest() {
    let mut window = window(sample("tarn-special"));
    window.run();
    let picture = pictured(&mut window, "smoke");
    assert_eq!((picture.width(), picture.height()), (1280, 800));
}
