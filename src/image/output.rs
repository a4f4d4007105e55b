//! The files that leave the program, and checking that a file that was read back is what was meant.

use thiserror::Error;

use super::{
    Comparison, DecodeError, FileError, Image, ImageError, RecordWidth, SRecordType, a2l, intel_hex, read_file,
    s_record, verify,
};
use crate::project::{Parts, Project};
use crate::wording::shortest;

/// A kind of file that is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OutputFormat {
    /// Intel HEX.
    IntelHex,
    /// Motorola S-record of at least this type.
    SRecord(SRecordType),
    /// The bytes themselves.
    Binary,
    /// The description of the addresses, A2L.
    Description,
}

impl OutputFormat {
    /// Every one.
    pub const ALL: [Self; 6] = [
        Self::IntelHex,
        Self::SRecord(SRecordType::S19),
        Self::SRecord(SRecordType::S28),
        Self::SRecord(SRecordType::S37),
        Self::Binary,
        Self::Description,
    ];

    /// The ending of its files, without the point.
    pub const fn ending(self) -> &'static str {
        match self {
            Self::IntelHex => "hex",
            Self::SRecord(SRecordType::S19) => "s19",
            Self::SRecord(SRecordType::S28) => "s28",
            Self::SRecord(SRecordType::S37) => "s37",
            Self::Binary => "bin",
            Self::Description => "a2l",
        }
    }

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::IntelHex => "Intel HEX",
            Self::SRecord(_) => "Motorola S-record",
            Self::Binary => "raw binary",
            Self::Description => "A2L description",
        }
    }

    /// The format whose files have this ending, in lower or upper case.
    pub fn of_ending(ending: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|format| format.ending().eq_ignore_ascii_case(ending))
    }

    /// Whether it has records of 16 or 32 bytes.
    pub const fn has_records(self) -> bool {
        matches!(self, Self::IntelHex | Self::SRecord(_))
    }
}

/// The bytes of a file to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Output {
    /// Every byte.
    pub bytes: Vec<u8>,
    /// The type of S-record that the addresses need, if that is larger than the one asked for.
    pub grown_to: Option<SRecordType>,
}

/// What was read back is not what was meant.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ReadBackError {
    /// The bytes are not those that were to be written.
    #[error("byte {at} of the file is not the one that was written")]
    Bytes {
        /// The index of the first one, from 0.
        at: usize,
    },
    /// It is not a file of this image.
    #[error("it cannot be read: {0}")]
    File(#[from] FileError),
    /// It holds no image of this project.
    #[error("it cannot be decoded: {0}")]
    Decode(#[from] DecodeError),
    /// Values, fill or checksum differ.
    #[error("{}", differs(.0))]
    Differs(Box<Comparison>),
    /// A description that a strict reader does not accept.
    #[error("the description is not read without a message: {0}")]
    Description(String),
}

fn differs(comparison: &Comparison) -> String {
    match (comparison.differences.first(), &comparison.mismatch) {
        (Some(first), _) => format!("{} of its numbers differ, the first {first}", comparison.differences.len()),
        (None, Some(mismatch)) => mismatch.to_string(),
        (None, None) => "bytes between its items differ".to_owned(),
    }
}

/// What a project is called inside its files. A locked-timing copy says so first.
pub fn title(project: &Parts) -> String {
    match project.locked_timing_deg {
        Some(deg) => format!("LOCKED TIMING {} deg: {}", shortest(deg), project.name),
        None => project.name.clone(),
    }
}

/// A file with an image, which must be that of `project`.
///
/// # Errors
/// [`ImageError`] if the image cannot be described.
pub fn output(
    project: &Project,
    image: &Image,
    format: OutputFormat,
    width: RecordWidth,
) -> Result<Output, ImageError> {
    let plain = |bytes| Ok(Output { bytes, grown_to: None });
    match format {
        OutputFormat::IntelHex => plain(intel_hex(image.start, &image.bytes, width).into_bytes()),
        OutputFormat::SRecord(least) => {
            let file = s_record(image.start, &image.bytes, least, width, &title(project));
            Ok(Output { bytes: file.text.into_bytes(), grown_to: file.grown.then_some(file.kind) })
        }
        OutputFormat::Binary => plain(image.bytes.clone()),
        OutputFormat::Description => plain(a2l(project)?.into_bytes()),
    }
}

/// Compares a file that was read back with what was to be written: it must have the same bytes and, decoded,
/// every number, the fill and the checksum of the project's image. A strict reader must read a description
/// without any message.
///
/// # Errors
/// [`ReadBackError`] with the first difference.
pub fn check_read_back(
    project: &Project,
    format: OutputFormat,
    written: &[u8],
    found: &[u8],
) -> Result<(), ReadBackError> {
    if written != found {
        let at = written.iter().zip(found).position(|(a, b)| a != b);
        return Err(ReadBackError::Bytes { at: at.unwrap_or(written.len().min(found.len())) });
    }
    if format == OutputFormat::Description {
        return check_description(found);
    }
    let comparison = verify(project, &read_file(found, project)?.bytes)?;
    if comparison.is_same() { Ok(()) } else { Err(ReadBackError::Differs(Box::new(comparison))) }
}

fn check_description(found: &[u8]) -> Result<(), ReadBackError> {
    let told = |error: &dyn std::fmt::Display| ReadBackError::Description(error.to_string());
    let text = std::str::from_utf8(found).map_err(|error| told(&error))?;
    let (_, messages) = a2lfile::load_from_string(text, None, true).map_err(|error| told(&error))?;
    messages.first().map_or(Ok(()), |message| Err(told(message)))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::image::encode;
    use crate::image::samples::{any_project, reference_project};

    #[test]
    fn endings_decide() {
        for format in OutputFormat::ALL {
            assert_eq!(OutputFormat::of_ending(&format.ending().to_uppercase()), Some(format));
        }
        assert_eq!(OutputFormat::of_ending("ron"), None);
    }

    #[test]
    fn growth_is_told() {
        let project = reference_project();
        let image = encode(&project).unwrap();
        let grown = |least| {
            let far = Image { start: 0x00FF_FFF0, ..image.clone() };
            output(&project, &far, OutputFormat::SRecord(least), RecordWidth::Sixteen).unwrap().grown_to
        };
        assert_eq!(grown(SRecordType::S19), Some(SRecordType::S37));
        assert_eq!(grown(SRecordType::S37), None);
    }

    #[test]
    fn a_locked_copy_says_so_in_its_files() {
        let project = reference_project().locked_timing(10.0).unwrap();
        let image = encode(&project).unwrap();
        let file = |format| output(&project, &image, format, RecordWidth::Sixteen).unwrap().bytes;
        let description = String::from_utf8(file(OutputFormat::Description)).unwrap();
        assert!(description.contains("\"LOCKED TIMING 10 deg: reference"), "{description}");
        let records = String::from_utf8(file(OutputFormat::SRecord(SRecordType::S19))).unwrap();
        // 'LOCKED' in ASCII after length and address of the header.
        assert!(records.starts_with("S0") && records[8..].starts_with("4C4F434B4544"), "{records}");
    }

    /// The image. Random axes whose breakpoints coincide after rounding are rightly refused: such test cases
    /// are skipped.
    fn encoded(project: &Project) -> Result<Image, TestCaseError> {
        encode(project).map_err(|error| match error {
            ImageError::BreakpointsMeet { .. } => TestCaseError::reject("breakpoints meet"),
            error => TestCaseError::fail(error.to_string()),
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        #[test]
        fn what_is_written_reads_back_and_any_other_byte_does_not(project in any_project(), at: usize, bit in 0..8_u8) {
            let image = encoded(&project)?;
            for format in OutputFormat::ALL {
                let written = output(&project, &image, format, RecordWidth::ThirtyTwo).unwrap().bytes;
                prop_assert_eq!(output(&project, &image, format, RecordWidth::ThirtyTwo).unwrap().bytes, written.clone());
                prop_assert_eq!(check_read_back(&project, format, &written, &written), Ok(()));
                let at = at % written.len();
                let mut found = written.clone();
                found[at] ^= 1 << bit;
                prop_assert_eq!(check_read_back(&project, format, &written, &found), Err(ReadBackError::Bytes { at }));
                found.truncate(at);
                prop_assert_eq!(check_read_back(&project, format, &written, &found), Err(ReadBackError::Bytes { at }));
            }
        }

        #[test]
        fn a_file_of_another_project_is_told_apart(project in any_project()) {
            let other = project.edit(|parts| parts.trigger.zero_offset_deg = 12.0).unwrap();
            let image = encoded(&other)?;
            prop_assume!(image.bytes != encoded(&project)?.bytes);
            for format in OutputFormat::ALL.into_iter().filter(|format| *format != OutputFormat::Description) {
                let bytes = output(&other, &image, format, RecordWidth::Sixteen).unwrap().bytes;
                let found = check_read_back(&project, format, &bytes, &bytes);
                prop_assert!(matches!(found, Err(ReadBackError::Differs(_))), "{:?}", found);
            }
        }
    }
}

/// Feeds many slightly changed descriptions to the check: each is reported as a different file, without a panic
/// or a hang.
#[cfg(test)]
mod mutation {
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
}
