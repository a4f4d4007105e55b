//! Texts for people, kept whole so that a person can read them.
//!
//! `SPARKLOFT_UPDATE=1 cargo test --test all command_line` writes them anew; look at the difference before you keep it.

use std::path::PathBuf;

/// Holds a text against the file of that name.
pub(super) fn check(name: &str, text: &str) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/command_line/golden").join(name);
    if std::env::var_os("SPARKLOFT_UPDATE").is_some() {
        std::fs::write(&path, text).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(text, kept, "{}", path.display());
}
