//! The readers under many small changes to valid files: a whole image or an error with its place, never a panic.

use super::*;
use crate::image::samples::reference_project;
use crate::image::{OnMismatch, decode, encode, verify};
use crate::project::Project;

/// A small generator of the xorshift kind (Marsaglia, "Xorshift RNGs", 2003): the same changes in every run.
struct Changes(u64);

impl Changes {
    fn below(&mut self, limit: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 16).unwrap() % limit.max(1)
    }

    /// One to four bytes replaced, removed, repeated or put in.
    fn apply(&mut self, valid: &[u8]) -> Vec<u8> {
        const LIKELY: &[u8] = b":S0123456789ABCDEFabcdef\r\n \t\0\xff-x";
        let mut bytes = valid.to_vec();
        for _ in 0..=self.below(4) {
            let at = self.below(bytes.len());
            let byte = LIKELY[self.below(LIKELY.len())];
            match self.below(6) {
                0 => bytes.truncate(at),
                1 if at < bytes.len() => drop(bytes.remove(at)),
                2 if at < bytes.len() => bytes[at] = byte,
                3 => {
                    let end = (at + self.below(60)).min(bytes.len());
                    let piece = bytes[at..end].to_vec();
                    let to = self.below(bytes.len());
                    bytes.splice(to..to, piece);
                }
                _ => bytes.insert(at, byte),
            }
        }
        bytes
    }
}

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

/// Whether the file is read; then it is as large as the image, and decoding ends as well.
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
    let mut changes = Changes(0x1d1e_5eed_0bad_cafe);
    let project = reference_project();
    let files = files(&project);
    let mut read = 0;
    for round in 0..times {
        read += usize::from(try_file(&changes.apply(&files[round % files.len()]), &project));
    }
    // Some changes are harmless, such as another case of a digit or the end of an S-record file cut off.
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
