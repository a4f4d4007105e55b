//! The window opens, comes to rest and can be pictured.

use super::harness::{sample, window};

#[test]
fn opens_and_comes_to_rest() {
    let mut window = window(sample("tarn-special"));
    window.run();
    let picture = window.render().unwrap();
    assert_eq!((picture.width(), picture.height()), (1280, 800));
    if let Ok(folder) = std::env::var("SPARKLOFT_PICTURES") {
        picture.save(std::path::Path::new(&folder).join("smoke.png")).unwrap();
    }
}
