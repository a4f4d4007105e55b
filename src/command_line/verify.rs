//! `verify`: whether a file for a flashing tool holds the image of a project.

use std::path::PathBuf;

use serde::Serialize;

use super::held::{self, NotInImage, Spark};
use super::json::Where;
use super::output::{Format, broken_notes, read_image, shown};
use super::{Answer, Failure};
use crate::command_line::output::read_project;
use crate::image::{
    Comparison, DecodeError, Difference, Features, FlashedUnit, ReadFile, SparkComparison, compare_spark, verify,
};
use crate::project::Project;
use crate::wording::{Unit, count, one_line};

/// Compare an image file with a project, item by item
#[derive(Debug, clap::Args)]
#[command(after_help = "\
FILE is Intel HEX, Motorola S-record or raw binary; its content decides. Every number of P's
layout is decoded and compared with the one that P gives after rounding; then the bytes between
the items, and the stored checksum. Then the spark that a unit makes of the file is held against
that of P over all breakpoints, at every corner of the temperatures, through cranking, launch and
over-speed, with the speed rising and falling: the largest difference is told with its place, and
what is in P and not in the image is listed with how the unit has it.

With --json: file, format, same, numbers, differences [{item, address, expected, found,
expected_raw, found_raw, unit, place, speed_rpm, load, …}], stray {first, bytes} or null, checksum
{stored, computed} or null where it fits, spark {same, largest_difference {deg, project_deg,
unit_deg, speed_rpm, load, coolant_c, air_c, throttle_pct, launch, falling}, states {project, unit,
…} or null, places} or null where the file makes no project, spark_fault (why) or null,
not_in_image [{part, label, how (partly, by_hand, in_table or not_applied), acts, set, note, at_c,
words, missing [{content, field}]}].

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
    spark: Option<Spark>,
    spark_fault: Option<String>,
    not_in_image: Vec<NotInImage>,
}

/// What was read and how it compares.
struct Found {
    read: ReadFile,
    comparison: Comparison,
    numbers: usize,
    /// An error if the file does not make a project.
    spark: Result<SparkComparison, DecodeError>,
}

#[derive(Serialize)]
struct Differing<'a> {
    item: &'a str,
    address: u64,
    expected: f64,
    found: Option<f64>,
    expected_raw: f64,
    found_raw: Option<f64>,
    unit: Unit,
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
        let unit = FlashedUnit::with_image(&project, &read.bytes, Features::AsSaid);
        let spark = unit.map(|unit| compare_spark(&project, &unit));
        let found = Found { read, comparison, numbers, spark };
        let (not_in_image, list) = held::list(&project)?;
        let text = || self.text(&found, &project) + &list;
        let answer = self.format.answer(&self.verified(&found, not_in_image), text)?;
        Ok(Answer { notes, is_no, ..answer })
    }

    fn verified<'a>(&self, found: &'a Found, not_in_image: Vec<NotInImage>) -> Verified<'a> {
        let Found { read, comparison, numbers, spark } = found;
        Verified {
            file: shown(&self.file),
            format: read.format.name(),
            same: comparison.is_same(),
            numbers: *numbers,
            differences: comparison.differences.iter().map(Differing::of).collect(),
            stray: comparison.stray.map(|stray| Stray { first: stray.first, bytes: stray.bytes }),
            checksum: comparison
                .mismatch
                .as_ref()
                .map(|mismatch| Mismatch { stored: mismatch.stored, computed: mismatch.computed }),
            spark: spark.as_ref().ok().map(Spark::of),
            spark_fault: spark.as_ref().err().map(ToString::to_string),
            not_in_image,
        }
    }

    fn text(&self, found: &Found, project: &Project) -> String {
        let Found { read, comparison, numbers, spark } = found;
        let (file, format) = (shown(&self.file), read.format.name());
        let numbers = count(*numbers, "number");
        let spark = match spark {
            Ok(spark) => held::spark_text(spark, project),
            Err(why) => format!("what a unit would make of it cannot be told: {}\n", one_line(&why.to_string())),
        };
        if comparison.is_same() {
            return format!(
                "{file} ({format}) holds the project's image: {numbers}, fill and checksum are the same\n{spark}"
            );
        }
        let mut lines = vec![format!("{file} ({format}) differs: {} of {numbers}", comparison.differences.len())];
        lines
            .extend(comparison.differences.iter().map(|difference| format!("  {}", one_line(&difference.to_string()))));
        if let Some(stray) = comparison.stray {
            lines.push(format!("  {} of no item, the first at {:X}", count(stray.bytes, "byte"), stray.first));
        }
        lines.extend(comparison.mismatch.iter().map(|mismatch| format!("  {}", one_line(&mismatch.to_string()))));
        lines.join("\n") + "\n" + &spark
    }
}

impl<'a> Differing<'a> {
    fn of(difference: &'a Difference) -> Self {
        // An f32 may be infinite or NaN, for which JSON has no number.
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
