//! What holds of files of older versions.

use super::super::{FindingPlace, Project, ReadError, Tree, list_fields, read, read_upgrading, write};
use super::*;

/// Files as version 1 wrote them, and what it listed of them: path and value, parted by a tab.
const FROZEN: [(&str, &str); 4] = [
    (
        include_str!("../../../tests/frozen/v1/all-accepted-single-seater.ron"),
        include_str!("../../../tests/frozen/v1/all-accepted-single-seater.txt"),
    ),
    (
        include_str!("../../../tests/frozen/v1/all-accepted-boosted-six.ron"),
        include_str!("../../../tests/frozen/v1/all-accepted-boosted-six.txt"),
    ),
    (
        include_str!("../../../tests/frozen/v1/all-accepted-launch-eight.ron"),
        include_str!("../../../tests/frozen/v1/all-accepted-launch-eight.txt"),
    ),
    (
        include_str!("../../../tests/frozen/v1/all-accepted-neglected-four.ron"),
        include_str!("../../../tests/frozen/v1/all-accepted-neglected-four.txt"),
    ),
];

/// The samples as version 1 wrote them.
const SAMPLES_OF_1: [&str; 4] = [
    include_str!("../../../tests/frozen/v1/tarn-special.ron"),
    include_str!("../../../tests/frozen/v1/larch-six.ron"),
    include_str!("../../../tests/frozen/v1/copse-eight.ron"),
    include_str!("../../../tests/frozen/v1/wren-four.ron"),
];

fn sample_of_1(name: &str) -> Project {
    let text = SAMPLES_OF_1.iter().find(|text| text.contains(&format!("\n    name: \"{name}\",\n"))).unwrap();
    read(text.as_bytes()).unwrap()
}

#[test]
fn each_sample_of_version_1_opens_with_all_that_was_nested_in_it() {
    assert!(SAMPLES_OF_1.iter().all(|text| text.starts_with("(\n    format: 1,\n")));
    for (name, accepted, snapshots, readings) in [("wren-four", 8, 2, 2), ("larch-six", 4, 2, 7)] {
        let project = sample_of_1(name);
        let kept = project.snapshots.last().unwrap();
        let exported = project.last_export.as_ref().unwrap();
        for state in [&project, &kept.state, &exported.state] {
            assert!(state.checks.accepted.len() >= accepted, "{name}: {:?}", state.checks.accepted);
            assert_eq!(state.timing_light.readings.len(), readings, "{name}");
        }
        assert_eq!(project.snapshots.len(), snapshots, "{name}");
        assert!(kept.state.snapshots.is_empty() && exported.state.snapshots.is_empty());
    }
    assert_eq!(sample_of_1("tarn-special").snapshots.len(), 2);
    assert!(sample_of_1("tarn-special").last_export.is_some());
    assert_eq!(sample_of_1("copse-eight").checks.thresholds.len(), 1);
}

#[test]
fn the_samples_of_version_1_lose_nothing() {
    for text in SAMPLES_OF_1 {
        let (project, upgrade) = read_upgrading(text.as_bytes()).unwrap();
        assert_eq!(upgrade, Some(Upgrade { from: 1, remarks: Vec::new() }), "{}", project.name);
        // Written as version 1 again, it is the same to the byte.
        let again = as_version_1(&project);
        let differing = text.lines().zip(again.lines()).find(|(then, now)| then != now);
        assert_eq!((differing, text.len()), (None, again.len()), "{}", project.name);
    }
}

/// Files as version 2 wrote them: the samples, and files with everything in them.
const OF_2: [&str; 8] = [
    include_str!("../../../tests/frozen/v2/tarn-special.ron"),
    include_str!("../../../tests/frozen/v2/larch-six.ron"),
    include_str!("../../../tests/frozen/v2/copse-eight.ron"),
    include_str!("../../../tests/frozen/v2/wren-four.ron"),
    include_str!("../../../tests/frozen/v2/all-accepted-single-seater.ron"),
    include_str!("../../../tests/frozen/v2/all-accepted-boosted-six.ron"),
    include_str!("../../../tests/frozen/v2/all-accepted-launch-eight.ron"),
    include_str!("../../../tests/frozen/v2/all-accepted-neglected-four.ron"),
];

#[test]
fn files_of_version_2_lose_nothing() {
    for text in OF_2 {
        let (project, upgrade) = read_upgrading(text.as_bytes()).unwrap();
        assert_eq!(upgrade, Some(Upgrade { from: 2, remarks: Vec::new() }), "{}", project.name);
        assert!(project.timing_light.sensor == project.trigger.sensor, "{}", project.name);
        let kept = project.snapshots.iter().map(|kept| &kept.state);
        for state in kept.chain([&project]).chain(project.last_export.iter().map(|kept| &kept.state)) {
            assert_eq!(state.timing_light.latency_us, state.trigger.latency_us, "{}", project.name);
            assert_eq!(state.assumed, ["engine.chamber".to_owned()].into(), "{}", project.name);
        }
        let again = version_2::as_version_2(&project);
        let differing = text.lines().zip(again.lines()).find(|(then, now)| then != now);
        assert_eq!((differing, text.len()), (None, again.len()), "{}", project.name);
    }
}

/// Files as version 3 wrote them: the samples, and files with everything in them.
const OF_3: [&str; 8] = [
    include_str!("../../../tests/frozen/v3/tarn-special.ron"),
    include_str!("../../../tests/frozen/v3/larch-six.ron"),
    include_str!("../../../tests/frozen/v3/copse-eight.ron"),
    include_str!("../../../tests/frozen/v3/wren-four.ron"),
    include_str!("../../../tests/frozen/v3/all-accepted-single-seater.ron"),
    include_str!("../../../tests/frozen/v3/all-accepted-boosted-six.ron"),
    include_str!("../../../tests/frozen/v3/all-accepted-launch-eight.ron"),
    include_str!("../../../tests/frozen/v3/all-accepted-neglected-four.ron"),
];

#[test]
fn files_of_version_3_lose_nothing_and_nothing_was_measured() {
    for text in OF_3 {
        assert!(text.starts_with("(\n    format: 3,\n"));
        let (project, upgrade) = read_upgrading(text.as_bytes()).unwrap();
        assert_eq!(upgrade, Some(Upgrade { from: 3, remarks: Vec::new() }), "{}", project.name);
        let kept = project.snapshots.iter().map(|kept| &kept.state);
        let states = kept.chain([&project]).chain(project.last_export.iter().map(|kept| &kept.state));
        assert!(
            states.clone().count() > 1 && states.clone().all(|state| state.evidence.is_empty()),
            "{}",
            project.name
        );
        let again = version_3::as_version_3(&project);
        let differing = text.lines().zip(again.lines()).find(|(then, now)| then != now);
        assert_eq!((differing, text.len()), (None, again.len()), "{}", project.name);
    }
}

/// Whether a value is what a JSON document says.
fn is_same(value: &Tree, json: &serde_json::Value) -> bool {
    use serde_json::Value;
    match (value, json) {
        (Tree::Present(inner), _) => is_same(inner, json),
        // This reader of JSON may be off by the last bit.
        (Tree::Number(x), Value::Number(_)) => json.as_f64().is_some_and(|json| (json - x).abs() <= 1e-15 * x.abs()),
        (Tree::Flag(flag), _) => json.as_bool() == Some(*flag),
        (Tree::Text(text), _) => json.as_str() == Some(text),
        (Tree::Name(name), _) => json.as_str() == Some(name),
        (Tree::Absent, _) => json.is_null(),
        (Tree::List(items) | Tree::Tuple(items), Value::Array(other)) => {
            items.len() == other.len() && items.iter().zip(other).all(|(item, json)| is_same(item, json))
        }
        _ => false,
    }
}

#[test]
fn every_value_of_a_frozen_file_is_what_it_was() {
    for (text, listed) in FROZEN {
        let (project, upgrade) = read_upgrading(text.as_bytes()).unwrap();
        assert_eq!(upgrade, Some(Upgrade { from: 1, remarks: Vec::new() }));
        let fields = list_fields(&project).unwrap();
        let mut compared = 0;
        for line in listed.lines() {
            let (path, value) = line.split_once('\t').unwrap();
            if path.starts_with("checks.accepted[") && path.ends_with("].place") {
                continue;
            }
            // No check uses it any more; where a project sets it, it is kept.
            if path == "checks.thresholds.zero_proof_readings"
                && !project.checks.thresholds.contains_key("zero_proof_readings")
            {
                continue;
            }
            let now = fields.iter().find(|field| field.path == path).unwrap_or_else(|| panic!("{path} is gone"));
            // The same origin has another name today.
            let then = serde_json::from_str(&value.replace("\"smoothed\"", "\"faired\"")).unwrap();
            assert!(is_same(&now.value, &then), "{path}: {:?} was {then}", now.value);
            compared += 1;
        }
        assert!(compared > 400, "{compared}");
        assert!(project.typed_readings.is_empty() && project.runs.is_empty());
        assert_eq!((project.snapshots.len(), project.last_export.is_some()), (2, true));
        assert_eq!(read(write(&project).unwrap().as_bytes()).unwrap(), project);
    }
}

/// A file of version 1, and where a part of it stands.
fn with(part: &str, instead: &str) -> (String, usize) {
    let text = FROZEN[0].0;
    let at = text.find(part).unwrap_or_else(|| panic!("{part}"));
    let line = text[..at].lines().count() + usize::from(text[..at].ends_with('\n'));
    (text.replacen(part, instead, 1), line.max(1))
}

#[test]
fn errors_name_the_line_of_the_file_that_the_user_has() {
    for (part, instead, path) in [
        ("latency_us: 20", "latency_us: 5000", "trigger.latency_us"),
        ("latency_us: 20", "latency_us: x", "trigger.latency_us"),
        ("gaps_to_sync", "gaps_to_sink", "trigger.gaps_to_sink"),
        ("            value: [", "            valeu: [", "coil.dwell_ms.valeu"),
        ("(id: \"zero_proof\"", "(ident: 1, id: \"zero_proof\"", "checks.accepted"),
        ("name: \"other setup\"", "name: \"lists\"", "snapshots[1].name"),
    ] {
        if !FROZEN[0].0.contains(part) {
            panic!("{part}");
        }
        let (text, line) = with(part, instead);
        match read(text.as_bytes()).unwrap_err() {
            ReadError::Invalid { line: told, path: found, message, .. } => {
                assert!(found.starts_with(path.split('[').next().unwrap()), "{found}: {message}");
                let wanted = if path == "snapshots[1].name" { told } else { line };
                assert_eq!(told, wanted, "{instead}: {message}");
            }
            other => panic!("{other}"),
        }
    }
}

#[test]
fn a_place_on_a_line_that_the_upgrade_changes_is_told_as_it_stands_in_the_file() {
    let text = "(format: 1, name: \"°\", notes: 3)";
    let told = |text: &str| read(text.as_bytes()).unwrap_err().to_string();
    assert!(told(text).starts_with("line 1:30, field notes: "), "{}", told(text));
    for later in ["format: 2", "format: 3", "format: 4"] {
        assert_eq!(told(text), told(&text.replacen("format: 1", later, 1)));
    }
    let cut = &FROZEN[0].0[..9000];
    let told = told(cut);
    assert!(told.contains(&format!("line {}:", cut.lines().count())) && told.contains("cut short"), "{told}");
}

#[test]
fn words_that_no_check_had_are_kept_and_told() {
    let (text, _) = with("place: \"zero", "place: \"nowhere");
    let (project, upgrade) = read_upgrading(text.as_bytes()).unwrap();
    let [remark] = &upgrade.unwrap().remarks[..] else { panic!("one remark") };
    assert!(remark.starts_with("The finding 'zero_") && remark.contains("accepted at 'nowhere"), "{remark}");
    let kept = project.checks.accepted.iter().find(|accepted| accepted.place.field.starts_with("nowhere")).unwrap();
    assert!(kept.reason.starts_with("so it is"));
    let before = read(FROZEN[0].0.as_bytes()).unwrap();
    assert_eq!(project.checks.accepted.len(), before.checks.accepted.len());
}

#[test]
fn words_become_places() {
    let names = places_of_1::Names {
        speeds_rpm: vec![500.0, 800.123_4, 3000.0],
        loads: vec![0.0, 33.333_33, 100.0],
        outputs: vec!["fan, coolant".into()],
        thresholds: [("dwell_fit_running_v".to_owned(), 13.756)].into(),
    };
    let told = |id: &str, words: &str| places_of_1::place_of(id, words, &names).map(|place| place.to_string());
    for (id, words, place) in [
        ("stands_out", "800.12–3000 rpm, 33.33 %", "advance, 800.1234..3000 rpm, load 33.33333..33.33333"),
        ("crowded", "700 rpm, 0–100 kPa", "advance, 700..700 rpm, load 0..100"),
        ("dwell_fit", "dwell at 13.76 V", "coil.dwell_ms at 13.756"),
        ("coil_energy", "8 V, 200 rpm", "coil.dwell_ms at 8"),
        ("gap", "gap, coils A, B", "trigger.reference_deg of A, B"),
        ("cranking_error", "cranking, coil C", "trigger.reference_deg of C"),
        ("chatter", "lamp, red, speed", "outputs[lamp, red].conditions[speed].off"),
        ("output_sense", "fan, coolant", "outputs[fan, coolant].conditions"),
        ("output_sense", "fan, air", "outputs[fan].conditions[air].on"),
        ("output_sense", "lamp, blinking", "outputs[lamp].blinks_from_rpm"),
        ("image_loss", "image item a, b, rounding", "image.items[a, b].scale"),
        ("image_holds", "image item advance", "image.items[advance]"),
        ("clamp_order", "floor and launch", "limits.launch.advance_deg"),
        ("locked_timing", "last export", "last_export"),
        ("settings", "ghost, old", "checks.thresholds.ghost, old"),
    ] {
        assert_eq!(told(id, words).as_deref(), Some(place), "{id}");
    }
    for (id, words) in
        [("stands_out", "here"), ("stands_out", "x rpm, 1 %"), ("gone", "zero"), ("chatter", "fan"), ("gap", "gap")]
    {
        assert_eq!(told(id, words), None, "{id}");
    }
    assert_eq!(FindingPlace::field("a").to_string(), "a");
}

#[test]
fn what_is_said_names_both_versions() {
    let upgrade = Upgrade { from: 1, remarks: vec!["This is gone.".into()] };
    let words = format!("The file has format version 1; when it is saved, it gets version {FORMAT}. This is gone.");
    assert_eq!(upgrade.to_string(), words);
}

/// Version 1 let the lowest battery voltage stand above the highest; today no project may have that.
#[test]
fn battery_voltages_the_wrong_way_about_are_exchanged() {
    let text = SAMPLES_OF_1[0];
    let volts = |name: &str| {
        let line = text.lines().find(|line| line.contains(name)).unwrap();
        (line, line.split_once(": ").unwrap().1.trim_end_matches(','))
    };
    let ((lowest, lowest_v), (highest, highest_v)) = (volts("lowest_battery_v"), volts("highest_battery_v"));
    let turned = text
        .replace(lowest, &lowest.replace(lowest_v, highest_v))
        .replace(highest, &highest.replace(highest_v, lowest_v));
    let (project, upgrade) = read_upgrading(turned.as_bytes()).unwrap();
    assert_eq!(project, read(text.as_bytes()).unwrap());
    let remarks = upgrade.unwrap().remarks;
    assert!(remarks[0].contains("The lowest battery voltage was") && remarks[0].contains("exchanged"), "{remarks:?}");
}

/// Version 2 let a zero offset be 40° either way whatever the wheel; today it is three pitches at most.
#[test]
fn a_zero_offset_beyond_three_pitches_is_moved_into_the_reference_with_every_dead_centre_kept() {
    let start = read(OF_2[0].as_bytes()).unwrap();
    let own = start.trigger.zero_offset_deg;
    assert_eq!((start.trigger.wheel.pitch_deg(), own, start.trigger.reference_deg), (6.0, -1.2, 90.0));
    for (was, teeth, now, reference) in
        [("-35.5", "−6 teeth", 0.5, 54.0), ("19", "3 teeth", 1.0, 108.0), ("-40", "−7 teeth", 2.0, 48.0)]
    {
        for text in [OF_2[0].to_owned(), SAMPLES_OF_1[0].to_owned()] {
            let text = text.replace("zero_offset_deg: -1.2,", &format!("zero_offset_deg: {was},"));
            let (project, upgrade) = read_upgrading(text.as_bytes()).unwrap();
            let kept = project.snapshots.iter().map(|kept| &kept.state);
            let states: Vec<&Project> =
                kept.chain([&project]).chain(project.last_export.iter().map(|kept| &kept.state)).collect();
            for state in &states {
                let trigger = &state.trigger;
                assert_eq!((trigger.zero_offset_deg, trigger.reference_deg), (now, reference), "{was}");
                let light = &state.timing_light;
                assert_eq!((light.zero_offset_deg, light.reference_deg), (now, reference), "{was}");
                // Top dead centre of the first pair comes so long after the reference edge, that of the others with it.
                let before_deg = start.trigger.reference_deg + was.parse::<f64>().unwrap();
                let apart = (trigger.reference_deg + trigger.zero_offset_deg - before_deg).rem_euclid(360.0);
                assert!(apart.min(360.0 - apart) < 1e-9, "{was}: {apart}");
            }
            let remarks = upgrade.unwrap().remarks;
            // Of each state, one for the trigger and one for the readings.
            assert_eq!(remarks.len(), 2 * states.len(), "{remarks:#?}");
            assert!(remarks[0].starts_with("The zero offset was ") && remarks[0].contains(teeth), "{}", remarks[0]);
            assert!(remarks[0].ends_with("top dead centre stays where it is."), "{}", remarks[0]);
            assert!(remarks[1].starts_with("The zero offset of the timing-light readings was "), "{}", remarks[1]);
            assert!(remarks.iter().any(|remark| remark.starts_with("Snapshot '")), "{remarks:#?}");
            assert_eq!(read(write(&project).unwrap().as_bytes()).unwrap(), project);
        }
    }
    // Within three pitches nothing moves and nothing is said.
    let within = OF_2[0].replace("zero_offset_deg: -1.2,", "zero_offset_deg: 18,");
    let (project, upgrade) = read_upgrading(within.as_bytes()).unwrap();
    assert_eq!((project.trigger.zero_offset_deg, upgrade.unwrap().remarks.len()), (18.0, 0));
}
