//! `verify`: whether a file for a flashing tool holds the image of a project.

use std::path::PathBuf;

use serde::Serialize;

use super::image_files::read_image;
use super::output::{Format, broken_notes, count, shown};
use super::places::Where;
use super::{Answer, Failure};
use crate::command_line::output::read_project;
use crate::image::{Comparison, Difference, ReadFile, verify};

/// Compare an image file with a project, item by item
#[derive(Debug, clap::Args)]
#[command(after_help = "\
FILE is Intel HEX, Motorola S-record or raw binary; its content decides. Every number of P's
layout is decoded and compared with the one that P gives after rounding; then the bytes between
the items, and the stored checksum.

With --json: file, format, same, numbers, differences [{item, address, expected, found,
expected_raw, found_raw, unit, place, speed_rpm, load, …}], stray {first, bytes} or null, checksum
{stored, computed} or null where it fits.

Exit codes: 0 the file holds P's image; 1 it differs, with the list; 2 a record is damaged, or the
file is for another layout.

Examples:
  sparkloft verify P.ron unit.hex
  sparkloft verify P.ron unit.s19 --json")]
pub(super) struct Verify {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// The image file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct Verified<'a> {
    file: String,
    format: &'static str,
    same: bool,
    numbers: usize,
    differences: Vec<Differing<'a>>,
    stray: Option<Stray>,
    checksum: Option<Mismatch>,
}

#[derive(Serialize)]
struct Differing<'a> {
    item: &'a str,
    address: u64,
    expected: f64,
    found: Option<f64>,
    expected_raw: f64,
    found_raw: Option<f64>,
    unit: &'static str,
    #[serde(flatten)]
    place: Where,
}

#[derive(Serialize)]
struct Stray {
    first: u64,
    bytes: usize,
}

#[derive(Serialize)]
struct Mismatch {
    stored: u32,
    computed: u32,
}

impl Verify {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let project = read_project(&self.project)?;
        let read = read_image(&self.file, &project)?;
        let comparison = verify(&project, &read.bytes).map_err(|source| Failure::Decode {
            path: self.file.clone(),
            source,
            can_accept: false,
        })?;
        let size = |item| project.content_size(item);
        let numbers = project.image.items.iter().map(|item| size(item).speeds * size(item).loads).sum();
        let warnings = read.warnings.iter().map(ToString::to_string);
        let notes = warnings.chain(broken_notes(&self.file)).collect();
        let is_no = !comparison.is_same();
        let answer = self
            .format
            .answer(&self.verified(&read, &comparison, numbers), || self.text(&read, &comparison, numbers))?;
        Ok(Answer { notes, is_no, ..answer })
    }

    fn verified<'a>(&self, read: &ReadFile, comparison: &'a Comparison, numbers: usize) -> Verified<'a> {
        Verified {
            file: shown(&self.file),
            format: read.format.name(),
            same: comparison.is_same(),
            numbers,
            differences: comparison.differences.iter().map(Differing::of).collect(),
            stray: comparison.stray.map(|stray| Stray { first: stray.first, bytes: stray.bytes }),
            checksum: comparison
                .mismatch
                .as_ref()
                .map(|mismatch| Mismatch { stored: mismatch.stored, computed: mismatch.computed }),
        }
    }

    fn text(&self, read: &ReadFile, comparison: &Comparison, numbers: usize) -> String {
        let (file, format) = (shown(&self.file), read.format.name());
        let numbers = count(numbers, "number");
        if comparison.is_same() {
            return format!("{file} ({format}) holds the project's image: {numbers}, fill and checksum are the same\n");
        }
        let mut lines = vec![format!("{file} ({format}) differs: {} of {numbers}", comparison.differences.len())];
        lines.extend(comparison.differences.iter().map(|difference| format!("  {difference}")));
        if let Some(stray) = comparison.stray {
            lines.push(format!("  {} of no item, the first at {:X}", count(stray.bytes, "byte"), stray.first));
        }
        lines.extend(comparison.mismatch.iter().map(|mismatch| format!("  {mismatch}")));
        lines.join("\n") + "\n"
    }
}

impl<'a> Differing<'a> {
    fn of(difference: &'a Difference) -> Self {
        // JSON has no number for what an f32 may hold besides numbers.
        let finite = |value: f64| value.is_finite().then_some(value);
        Self {
            item: &difference.item,
            address: difference.address,
            expected: difference.expected_value,
            found: finite(difference.found_value),
            expected_raw: difference.expected.number(),
            found_raw: finite(difference.found.number()),
            unit: difference.unit,
            place: Where::of(&difference.place),
        }
    }
}
