//! Projects as format version 1 wrote them. They must open for ever: these files are never written anew.

use crate::project::{Project, read};

const FROZEN: [(&str, &str); 4] = [
    ("tarn-special", include_str!("../../../tests/frozen/v1/tarn-special.ron")),
    ("larch-six", include_str!("../../../tests/frozen/v1/larch-six.ron")),
    ("copse-eight", include_str!("../../../tests/frozen/v1/copse-eight.ron")),
    ("wren-four", include_str!("../../../tests/frozen/v1/wren-four.ron")),
];

fn frozen(name: &str) -> Project {
    let (_, text) = FROZEN.iter().find(|(known, _)| *known == name).unwrap();
    read(text.as_bytes()).unwrap()
}

#[test]
fn each_opens_with_all_that_was_nested_in_it() {
    for (name, text) in FROZEN {
        assert!(text.starts_with("(\n    format: 1,\n"), "{name}");
        assert_eq!(frozen(name).name, name);
    }
    for (name, accepted, snapshots, readings) in [("wren-four", 8, 2, 2), ("larch-six", 4, 2, 7)] {
        let project = frozen(name);
        let kept = project.snapshots.last().unwrap();
        let exported = project.last_export.as_ref().unwrap();
        for state in [&project, &kept.state, &exported.state] {
            assert!(state.checks.accepted.len() >= accepted, "{name}: {:?}", state.checks.accepted);
            assert_eq!(state.timing_light.readings.len(), readings, "{name}");
        }
        assert_eq!(project.snapshots.len(), snapshots, "{name}");
        assert!(kept.state.snapshots.is_empty() && exported.state.snapshots.is_empty());
    }
    assert_eq!(frozen("tarn-special").snapshots.len(), 2);
    assert!(frozen("tarn-special").last_export.is_some());
    assert_eq!(frozen("copse-eight").checks.thresholds.len(), 1);
}
