//! Feeds many slightly changed valid files to the readers: each gives a complete image or an error with its
//! place, never a panic.

use super::*;
use crate::image::samples::reference_project;
use crate::image::{OnMismatch, decode, encode, verify};
use crate::project::Project;
use crate::table::Changes;

/// Bytes that tend to upset these readers.
const LIKELY: &[u8] = b":S0123456789ABCDEFabcdef\r\n \t\0\xff-x";
/// The longest piece repeated, in bytes.
const LONGEST: usize = 60;

fn files(project: &Project) -> Vec<Vec<u8>> {
    let image = encode(project).unwrap();
    let s = |least| s_record(image.start, &image.bytes, least, RecordWidth::Sixteen, "trial").text.into_bytes();
    let hex = |width| intel_hex(image.start, &image.bytes, width).into_bytes();
    let segment = String::from_utf8(hex(RecordWidth::Sixteen)).unwrap();
    vec![
        hex(RecordWidth::Sixteen),
        hex(RecordWidth::ThirtyTwo),
        format!(":020000040000FA\r\n:020000020000FC\r\n:0400000500000000F7\r\n{}", segment.replace('\n', "\r\n"))
            .into_bytes(),
        s(SRecordType::S19),
        s(SRecordType::S28),
        s(SRecordType::S37),
        image.bytes,
    ]
}

/// Whether the file can be read; if so, checks that it is as large as the image and that decoding terminates as
/// well.
fn try_file(bytes: &[u8], project: &Project) -> bool {
    match read_file(bytes, project) {
        Ok(file) => {
            assert_eq!(file.bytes.len(), project.image.size as usize);
            let same = verify(project, &file.bytes).unwrap().is_same();
            let decoded = decode(&file.bytes, project, OnMismatch::Accept);
            assert!(!same || decoded.is_ok_and(|decoded| decoded.comparison.is_same()));
            true
        }
        Err(error) => {
            assert!(!error.to_string().is_empty());
            false
        }
    }
}

fn mutate(times: usize) {
    let mut changes = Changes::new(0x1d1e_5eed_0bad_cafe);
    let project = reference_project();
    let files = files(&project);
    let mut read = 0;
    for round in 0..times {
        read += usize::from(try_file(&changes.apply(&files[round % files.len()], LIKELY, LONGEST), &project));
    }
    // Some changes are harmless, such as lower-case digits or a missing end of an S-record file.
    assert!((times / 200..times / 2).contains(&read), "{read} of {times} were read");
}

#[test]
fn valid_files_are_what_the_changes_start_from() {
    let project = reference_project();
    assert!(files(&project).iter().all(|file| try_file(file, &project)));
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
