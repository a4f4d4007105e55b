use proptest::prelude::*;

use super::intel_hex::read as read_hex;
use super::s_record::read as read_s;
use super::*;
use crate::image::samples::{any_project, item, reference_project, with_layout};
use crate::image::{Image, encode};
use crate::project::{ByteOrder, Checksum, ChecksumKind, Content, Coverage, ImageLayout, Project};

fn line(error: FileError) -> (usize, RecordFault) {
    match error {
        FileError::Line { line, fault } => (line, fault),
        other => panic!("{other}"),
    }
}

fn hex_of(image: &Image) -> String {
    intel_hex(image.start, &image.bytes, RecordWidth::Sixteen)
}

/// A layout without a checksum whose only item is the byte at its start.
fn bare(start: u32, size: u32) -> Project {
    let project = reference_project();
    let items =
        vec![crate::project::Item { field: "trigger.wheel.teeth".into(), ..item("teeth", Content::Field, start) }];
    let checksum = Checksum { kind: ChecksumKind::None, from: start, length: 0, stored_at: start };
    let byte_order = ByteOrder::BigEndian;
    with_layout(
        &project,
        ImageLayout { start, size, fill: 0xFF, byte_order, items, checksum, coverage: Coverage::default() },
    )
}

/// The end record is that of Intel's specification, named in `intel_hex.rs`. The data record is the example of the manual
/// page srec_intel(5): P. Miller, "SRecord", 2000s, from memory; its sum is 0. The others are computed by hand.
#[test]
fn intel_hex_records_of_others_are_read() {
    let end = ":00000001FF";
    let data = format!(":0D00000048656C6C6F2C20576F726C640AA1\n{end}\n");
    assert_eq!(read_file(data.as_bytes(), &bare(0, 13)).unwrap().bytes, b"Hello, World\n");
    for record in [":10010000214601360121470136007EFE09D2190140", ":02000004CAFE32", ":020000040800F2"] {
        assert!(read_hex(format!("{record}\n{end}\n").as_bytes()).is_ok(), "{record}");
    }
}

/// The example of Motorola, "M68000 Family Programmer's Reference Manual", Motorola, 1992, appendix on S-records, also in
/// the manual page srec(5), from memory: a header 'HDR' and 52 bytes from address 0, as bincopy reads it too.
#[test]
fn the_s_record_file_of_the_manual_is_read() {
    let text = "S00600004844521B\nS1130000285F245F2212226A000424290008237C2A\n\
                S11300100002000800082629001853812341001813\nS113002041E900084E42234300182342000824A952\n\
                S107003000144ED492\nS9030000FC\n";
    let file = read_file(text.as_bytes(), &bare(0, 52)).unwrap();
    assert_eq!((&file.bytes[..4], &file.bytes[48..]), (&[0x28, 0x5F, 0x24, 0x5F][..], &[0x00, 0x14, 0x4E, 0xD4][..]));
}

/// Computed by hand: each sums to FF.
#[test]
fn s_records_of_every_kind_are_read() {
    for (record, end) in [
        ("S1137AF00A0A0D0000000000000000000000000061", "S9030000FC"),
        ("S31508000000000102030405060708090A0B0C0D0E0F6A", "S70500000000FA"),
    ] {
        assert!(read_s(format!("{record}\n{end}\n").as_bytes()).is_ok(), "{record}");
    }
    let data = "S104000000FB\nS104000100FA\nS104000200F9\n";
    assert!(read_s(format!("{data}S5030003F9\nS9030000FC\n").as_bytes()).is_ok());
}

/// Records of the byte image as the Python libraries intelhex and bincopy write them.
#[test]
fn the_byte_image_is_written_as_independent_programs_do() {
    let image = encode(&reference_project()).unwrap();
    assert_eq!(intel_hex(0x1000, &image.bytes[..7], RecordWidth::Sixteen), ":07100000101E32503C78C8BD\n:00000001FF\n");
    let map = &image.bytes[16..28];
    assert!(intel_hex(0x1010, map, RecordWidth::ThirtyTwo).starts_with(":0C101000A8C8E0F098B4CCD87890A8BC38\n"));
    let file = s_record(0x1010, map, SRecordType::S19, RecordWidth::Sixteen, "");
    assert_eq!(file.text, "S0030000FC\nS10F1010A8C8E0F098B4CCD87890A8BC34\nS5030001FB\nS9030000FC\n");
    assert!(!file.grown);
}

#[test]
fn addresses_beyond_64_kib_and_records_at_its_border() {
    assert_eq!(
        intel_hex(0x0800_FFF8, &[0; 12], RecordWidth::Sixteen),
        ":020000040800F2\n:08FFF800000000000000000001\n:020000040801F1\n:0400000000000000FC\n:00000001FF\n"
    );
    let top = intel_hex(0xFFFF_FFFC, &[1, 2, 3, 4], RecordWidth::Sixteen);
    assert_eq!(read_file(top.as_bytes(), &bare(0xFFFF_FFFC, 4)).unwrap().bytes, [1, 2, 3, 4]);
}

#[test]
fn the_s_record_type_grows_with_the_addresses() {
    let kind = |start, least| {
        let file = s_record(start, &[0; 2], least, RecordWidth::Sixteen, "x");
        (file.kind, file.grown, file.text.lines().last().unwrap()[..2].to_owned())
    };
    assert_eq!(kind(0xFFFE, SRecordType::S19), (SRecordType::S19, false, "S9".into()));
    assert_eq!(kind(0xFFFF, SRecordType::S19), (SRecordType::S28, true, "S8".into()));
    assert_eq!(kind(0, SRecordType::S28), (SRecordType::S28, false, "S8".into()));
    assert_eq!(kind(0xFF_FFFF, SRecordType::S28), (SRecordType::S37, true, "S7".into()));
    assert_eq!(kind(0, SRecordType::S37), (SRecordType::S37, false, "S7".into()));
    let many = s_record(0, &vec![0; 16 * 0x1_0000], SRecordType::S28, RecordWidth::Sixteen, "");
    assert!(many.text.contains("\nS604010000FA\nS8"));
}

#[test]
fn segment_addresses_are_read() {
    // Segment 1000 × 16 + 0002.
    let text = b":020000021000EC\r\n:02000200AABB97\r\n:0400000300001000E9\r\n:00000001FF\r\n";
    let file = read_file(text, &bare(0x1_0002, 2)).unwrap();
    assert_eq!(file.bytes, [0xAA, 0xBB]);
    let wraps = b":020000021000EC\n:02FFFF00AABB9B\n:00000001FF\n";
    assert_eq!(line(read_hex(wraps).unwrap_err()).0, 2);
}

#[test]
fn each_fault_of_a_text_is_told_with_its_line() {
    let project = bare(0x10, 4);
    let fault = |text: &str| match read_file(text.as_bytes(), &project) {
        Err(FileError::Line { line, fault }) => (line, fault),
        other => panic!("{text}: {other:?}"),
    };
    let (data, end) = (":0400100001020304E2", ":00000001FF");
    assert_eq!(fault(data), (2, RecordFault::NoEnd));
    assert_eq!(fault(&format!("{data}\n{end}\n{data}")), (3, RecordFault::AfterEnd));
    assert_eq!(fault(&format!("{data}\n\n{data}\n{end}")), (3, RecordFault::Overlap { address: 0x10, other: 1 }));
    assert_eq!(fault(&format!("{end}x")).1, RecordFault::Digit { column: 12, found: "'x'".into() });
    assert_eq!(fault(&format!("{data}\n:00000001F\n")), (2, RecordFault::Short { expected: 5, found: 4 }));
    assert_eq!(fault(&format!("{data}0\n")), (1, RecordFault::Long { expected: 18, found: 19 }));
    assert_eq!(fault(":0400100001020304E3\n"), (1, RecordFault::Checksum { found: 0xE3, expected: 0xE2 }));
    assert_eq!(fault(":00000006FA\n"), (1, RecordFault::Type("06".into())));
    assert_eq!(fault(":0100000101FD\n").1, RecordFault::Length { kind: "01".into(), expected: "0", found: 1 });
    assert_eq!(fault(&format!("; text\n{end}\n")), (1, RecordFault::Start { expected: "':'", found: "';'".into() }));
    let outside = RecordFault::Outside { address: 0x14, start: 0x10, end: 0x14 };
    assert_eq!(fault(&format!(":0400110001020304E1\n{end}\n")), (1, outside));
    let outside = RecordFault::Outside { address: 0xF, start: 0x10, end: 0x14 };
    assert_eq!(fault(&format!(":01000F0000F0\n{end}\n")), (1, outside));
    assert_eq!(
        FileError::Line { line: 118, fault: RecordFault::Checksum { found: 0x3C, expected: 0x3D } }.to_string(),
        "line 118: the record's checksum is 3C, its bytes give 3D; a digit of this line is wrong"
    );
}

#[test]
fn each_fault_of_s_records_is_told_with_its_line() {
    let project = bare(0x10, 4);
    let fault = |text: &str| line(read_file(text.as_bytes(), &project).unwrap_err());
    let (data, end) = ("S107001001020304DE", "S9030000FC");
    assert_eq!(fault(&format!("{data}\nS5030002FA\n{end}\n")), (2, RecordFault::Count { stated: 2, found: 1 }));
    assert_eq!(fault(&format!("{data}\nS0030000FC\n")), (2, RecordFault::LateHeader));
    assert_eq!(fault(&format!("{data}\n{end}\n\n{end}\n")), (2, RecordFault::EarlyEnd { next: 4 }));
    assert_eq!(fault("S107001001020304DF\n").1, RecordFault::Checksum { found: 0xDF, expected: 0xDE });
    assert_eq!(fault("S4030000FC\n").1, RecordFault::Type("S4".into()));
    assert_eq!(fault("S1020000\n").1, RecordFault::Short { expected: 4, found: 3 });
    assert_eq!(fault("S904000000FB\n").1, RecordFault::Length { kind: "S9".into(), expected: "0", found: 1 });
    assert_eq!(fault("S105FFFF0102F9\n").1, RecordFault::Wraps("the last address of its type"));
    assert_eq!(fault(&format!("{data}\n{data}\n{end}")), (2, RecordFault::Overlap { address: 0x10, other: 1 }));
}

/// The type digit is the one digit that the record's checksum leaves out.
#[test]
fn s_records_that_do_not_go_together_are_told_with_the_line_that_is_odd() {
    let project = bare(0, 4);
    let fault = |lines: &[&str]| line(read_file(lines.join("\n").as_bytes(), &project).unwrap_err());
    let (first, second, count, end) = ("S1050000AABB95", "S1050002CCDD4F", "S5030002FA", "S9030000FC");
    let file = read_file([first, second, count, end].join("\n").as_bytes(), &project).unwrap();
    assert_eq!((file.bytes.as_slice(), file.warnings), ([0xAA, 0xBB, 0xCC, 0xDD].as_slice(), vec![]));
    let mixed = |kind: &str, other: &str, line| RecordFault::Mixed { kind: kind.into(), other: other.into(), line };
    let wide = ["S206000000AABB94", "S206000002CCDD4E"];
    assert_eq!(fault(&[wide[0], second, count, end]), (1, mixed("S2", "S9", 4)));
    assert_eq!(fault(&[first, wide[1], count, end]), (2, mixed("S2", "S9", 4)));
    assert_eq!(fault(&[wide[0], wide[1], count, end]), (4, mixed("S9", "S2", 1)));
    assert_eq!(fault(&[first, wide[1], count]), (2, mixed("S2", "S1", 1)));
    // A header 'x' whose type has become that of data at address 0.
    assert_eq!(fault(&["S10400007883", first, second, count, end]).0, 1);
    assert_eq!(fault(&["S1030000FC", first, second, count, end]), (1, RecordFault::NoData("S1".into())));
    assert_eq!(fault(&[first, second, count, "S1030000FC"]), (4, RecordFault::NoData("S1".into())));
    assert_eq!(fault(&[first, "S5030001FB", second, end]), (3, RecordFault::AfterCount { other: 2 }));
    assert_eq!(fault(&["S5030000FC", first, second, count, end]), (1, RecordFault::Count { stated: 0, found: 0 }));
    assert_eq!(fault(&[first, second, "S9030002FA", end]), (3, RecordFault::EarlyEnd { next: 4 }));
    assert_eq!(fault(&[first, second, "S5030003F9", end]), (3, RecordFault::Count { stated: 3, found: 2 }));
}

#[test]
fn a_missing_end_of_s_records_is_a_warning() {
    let text = "S1050010AABB85\r\nS105001200FFE9\r\n";
    let file = read_file(text.as_bytes(), &bare(0x10, 4)).unwrap();
    assert_eq!((file.bytes.as_slice(), file.format), ([0xAA, 0xBB, 0, 0xFF].as_slice(), FileFormat::SRecord));
    assert_eq!(file.warnings, [FileWarning::NoEnd]);
}

#[test]
fn the_content_decides_not_the_name() {
    let project = reference_project();
    let image = encode(&project).unwrap();
    let s = s_record(image.start, &image.bytes, SRecordType::S19, RecordWidth::Sixteen, "reference");
    for (bytes, format) in [
        (hex_of(&image).into_bytes(), FileFormat::IntelHex),
        (s.text.into_bytes(), FileFormat::SRecord),
        (image.bytes.clone(), FileFormat::Binary),
    ] {
        let file = read_file(&bytes, &project).unwrap();
        assert_eq!((file.format, file.warnings.len()), (format, 0));
        assert_eq!(file.bytes, image.bytes);
    }
    let error = read_file(b"neither\n", &project).unwrap_err();
    assert_eq!(error, FileError::Unknown { given: 8, expected: 32 });
    // A binary file whose first byte happens to be a colon is still binary.
    let mut colon = image.bytes;
    colon[0] = b':';
    assert_eq!(read_file(&colon, &project).unwrap().format, FileFormat::Binary);
    let lower = hex_of(&encode(&project).unwrap()).to_lowercase();
    assert!(read_file(lower.as_bytes(), &project).is_ok());
}

#[test]
fn bytes_left_out_are_fill_between_items_and_an_error_within_them() {
    let project = reference_project();
    let image = encode(&project).unwrap();
    let part = |from: usize, to: usize| {
        let text = intel_hex(0x1000 + u32::try_from(from).unwrap(), &image.bytes[from..to], RecordWidth::Sixteen);
        text.replace(":00000001FF\n", "")
    };
    let text = format!("{}{}:00000001FF\n", part(0, 7), part(16, 32));
    let file = read_file(text.as_bytes(), &project).unwrap();
    assert_eq!(
        (file.bytes, file.warnings),
        (image.bytes.clone(), vec![FileWarning::Filled { first: 0x1007, bytes: 9 }])
    );
    let text = format!("{}{}:00000001FF\n", part(0, 6), part(16, 32));
    let error = read_file(text.as_bytes(), &project).unwrap_err();
    assert_eq!(error, FileError::Missing { address: 0x1006, what: "'loads'".into() });
    let text = format!("{}:00000001FF\n", part(0, 30));
    let error = read_file(text.as_bytes(), &project).unwrap_err();
    assert_eq!(error, FileError::Missing { address: 0x101E, what: "the checksum".into() });
}

fn width() -> impl Strategy<Value = RecordWidth> {
    prop_oneof![Just(RecordWidth::Sixteen), Just(RecordWidth::ThirtyTwo)]
}

fn least() -> impl Strategy<Value = SRecordType> {
    prop_oneof![Just(SRecordType::S19), Just(SRecordType::S28), Just(SRecordType::S37)]
}

/// A different hexadecimal digit for the same place.
fn other_digit(digit: u8, change: u32) -> u8 {
    let value = char::from(digit).to_digit(16).unwrap();
    u8::try_from(char::from_digit((value + change) % 16, 16).unwrap().to_ascii_uppercase()).unwrap()
}

proptest! {
    #[test]
    fn what_is_written_is_read(bytes in proptest::collection::vec(any::<u8>(), 1..400), start: u32, width in width(), least in least()) {
        let start = start.min(u32::MAX - 400);
        let project = bare(start, u32::try_from(bytes.len()).unwrap());
        let hex = read_file(intel_hex(start, &bytes, width).as_bytes(), &project).unwrap();
        prop_assert_eq!(&hex.bytes, &bytes);
        prop_assert!(hex.warnings.is_empty());
        let s = read_file(s_record(start, &bytes, least, width, "name").text.as_bytes(), &project).unwrap();
        prop_assert_eq!(&s.bytes, &bytes);
        prop_assert!(s.warnings.is_empty());
    }

    #[test]
    fn any_changed_digit_is_detected_in_its_line(
        project in any_project(), intel: bool, at: prop::sample::Index, change in 1..16_u32,
        least in least(), width in width(), name in header_name(),
    ) {
        let Ok(image) = encode(&project) else { return Ok(()) };
        let s = || s_record(image.start, &image.bytes, least, width, &name).text;
        let text = if intel { hex_of(&image) } else { s() }.into_bytes();
        let digits: Vec<usize> = (0..text.len()).filter(|&at| text[at].is_ascii_hexdigit()).collect();
        prop_assert_eq!(line_of_change(&text, *at.get(&digits), change, &project)?, None);
    }

    /// A record's checksum does not cover its type.
    #[test]
    fn any_changed_type_digit_is_detected_in_its_line(
        bytes in proptest::collection::vec(prop_oneof![Just(0_u8), any::<u8>()], 1..90),
        start in prop_oneof![Just(0_u32), 1..0x90_u32, 0xFF00..0x1_0100_u32, any::<u32>()],
        least in least(), width in width(), name in header_name(),
    ) {
        let start = start.min(u32::MAX - 100);
        let project = bare(start, u32::try_from(bytes.len()).unwrap());
        let text = s_record(start, &bytes, least, width, &name).text.into_bytes();
        let types: Vec<usize> = (1..text.len()).filter(|&at| text[at - 1] == b'S').collect();
        for (at, change) in types.iter().flat_map(|&at| (1..16).map(move |change| (at, change))) {
            prop_assert_eq!(line_of_change(&text, at, change, &project)?, None);
        }
    }
}

/// The names of headers of every length that could be read as the address or the count of another type.
fn header_name() -> impl Strategy<Value = String> {
    prop_oneof!["[ -~]{0,5}", "[ -~]{6,40}"]
}

/// `None` if a digit changed is told with its line, otherwise both lines and the text.
fn line_of_change(
    text: &[u8],
    at: usize,
    change: u32,
    project: &Project,
) -> Result<Option<(usize, usize, String)>, TestCaseError> {
    let mut text = text.to_vec();
    text[at] = other_digit(text[at], change);
    let expected = text[..at].iter().filter(|&&byte| byte == b'\n').count() + 1;
    match read_file(&text, project) {
        Err(FileError::Line { line, .. }) if line == expected => Ok(None),
        Err(FileError::Line { line, fault }) => {
            Ok(Some((line, expected, format!("{fault}\n{}", String::from_utf8_lossy(&text)))))
        }
        other => Err(TestCaseError::fail(format!("{other:?}\n{}", String::from_utf8_lossy(&text)))),
    }
}
