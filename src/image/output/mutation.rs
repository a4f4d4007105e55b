//! Feeds many slightly changed descriptions to the check: each is reported as a different file, without a panic
//! or a hang.

use super::*;
use crate::image::encode;
use crate::image::samples::reference_project;
use crate::table::Changes;

/// Bytes and endings that tend to upset a reader of blocks and quoted text.
const LIKELY: &[u8] = b"/\"\\ \r\n\t\0\xff0123456789-+.xXeE_";
/// The longest piece repeated, in bytes.
const LONGEST: usize = 80;

fn mutate(times: usize) {
    let project = reference_project();
    let image = encode(&project).unwrap();
    let text = output(&project, &image, OutputFormat::Description, RecordWidth::Sixteen).unwrap().bytes;
    assert!(check_description(&text).is_ok());
    let mut changes = Changes::new(0x0a21_5eed_0bad_cafe);
    let mut refused = 0;
    for _ in 0..times {
        let changed = changes.apply(&text, LIKELY, LONGEST);
        let is_other = changed != text;
        assert_eq!(check_read_back(&project, OutputFormat::Description, &text, &changed).is_err(), is_other);
        // Also calls the library's reader itself, which is otherwise protected only by the comparison above.
        refused += usize::from(check_description(&changed).is_err());
    }
    assert!(refused > times / 4, "{refused} of {times} were refused");
}

#[test]
fn descriptions_bear_twenty_thousand_changes() {
    mutate(20_000);
}

#[test]
#[ignore = "a million changes take minutes without optimisation"]
fn descriptions_bear_a_million_changes() {
    mutate(1_000_000);
}
