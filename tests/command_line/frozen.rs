//! Files of older formats command the same sparks and give the same bytes as on the day they were frozen.

use super::bench::Bench;

/// A file of an older version, the sparks that the program of its day looked up in it, and the CRC-32/ISO-HDLC of the Intel
/// HEX file that it exported.
const FROZEN: [(&str, &str, &str, u32); 12] = [
    (
        "tarn-special",
        include_str!("../frozen/v1/tarn-special.ron"),
        include_str!("../frozen/v1/tarn-special-spark.csv"),
        0xE868_58DA,
    ),
    (
        "larch-six",
        include_str!("../frozen/v1/larch-six.ron"),
        include_str!("../frozen/v1/larch-six-spark.csv"),
        0x3412_87C2,
    ),
    (
        "copse-eight",
        include_str!("../frozen/v1/copse-eight.ron"),
        include_str!("../frozen/v1/copse-eight-spark.csv"),
        0xC1C1_BEB9,
    ),
    (
        "wren-four",
        include_str!("../frozen/v1/wren-four.ron"),
        include_str!("../frozen/v1/wren-four-spark.csv"),
        0x5204_858F,
    ),
    (
        "tarn-special",
        include_str!("../frozen/v2/tarn-special.ron"),
        include_str!("../frozen/v2/tarn-special-spark.csv"),
        0xE868_58DA,
    ),
    (
        "larch-six",
        include_str!("../frozen/v2/larch-six.ron"),
        include_str!("../frozen/v2/larch-six-spark.csv"),
        0xA26C_8118,
    ),
    (
        "copse-eight",
        include_str!("../frozen/v2/copse-eight.ron"),
        include_str!("../frozen/v2/copse-eight-spark.csv"),
        0xC1C1_BEB9,
    ),
    (
        "wren-four",
        include_str!("../frozen/v2/wren-four.ron"),
        include_str!("../frozen/v2/wren-four-spark.csv"),
        0x5204_858F,
    ),
    (
        "tarn-special",
        include_str!("../frozen/v3/tarn-special.ron"),
        include_str!("../frozen/v3/tarn-special-spark.csv"),
        0xE868_58DA,
    ),
    (
        "larch-six",
        include_str!("../frozen/v3/larch-six.ron"),
        include_str!("../frozen/v3/larch-six-spark.csv"),
        0xA26C_8118,
    ),
    (
        "copse-eight",
        include_str!("../frozen/v3/copse-eight.ron"),
        include_str!("../frozen/v3/copse-eight-spark.csv"),
        0xC1C1_BEB9,
    ),
    (
        "wren-four",
        include_str!("../frozen/v3/wren-four.ron"),
        include_str!("../frozen/v3/wren-four-spark.csv"),
        0x5204_858F,
    ),
];

/// The columns that `lookup --points` appends.
const APPENDED: usize = 3;

/// The points alone, as they were asked for.
fn asked(answered: &str) -> String {
    let point = |line: &str| line.rsplitn(APPENDED + 1, ',').last().unwrap().to_owned() + "\r\n";
    answered.lines().map(point).collect()
}

#[test]
fn an_upgraded_file_commands_the_same_sparks() {
    let bench = Bench::new();
    for (name, project, answered, _) in FROZEN {
        bench.put("old.ron", project);
        bench.put("points.csv", &asked(answered));
        _ = bench.done("lookup old.ron --points points.csv -o now.csv");
        let now = bench.text("now.csv");
        let differs = answered.lines().zip(now.lines()).find(|(then, now)| then != now);
        assert_eq!((differs, answered.lines().count()), (None, now.lines().count()), "{name}");
    }
}

#[test]
fn an_upgraded_file_gives_the_same_bytes_also_once_it_was_saved() {
    let bench = Bench::new();
    let crc = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC);
    for (name, project, _, wanted) in FROZEN {
        bench.put("old.ron", project);
        // Any change and back writes the file in today's form.
        _ = bench.done("set old.ron -o new.ron notes=something");
        for file in ["old.ron", "new.ron"] {
            _ = bench.done(&format!("export {file} -o image.hex --despite-errors=frozen"));
            assert_eq!(crc.checksum(bench.text("image.hex").as_bytes()), wanted, "{name}, {file}");
        }
    }
}
