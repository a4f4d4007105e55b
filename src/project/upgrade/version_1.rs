//! Writing projects as version 1 had them, for tests.

use super::super::{FindingPlace, Project, Tree, ron_text, steps};
use super::places_of_1::{IN_FIELDS, IN_THE_TABLE};
use super::version_2::tree_of_2;
use crate::wording::{rounded, written};

/// A project as a file of version 1. What version 1 did not know is left out: typed readings and runs.
pub(crate) fn as_version_1(project: &Project) -> String {
    let mut tree = tree_of_2(project);
    turn(&mut tree, &|place, id, unit| words(place, id, unit));
    ron_text::print(&tree)
}

fn turn(tree: &mut Tree, tell: &dyn Fn(&FindingPlace, &str, &str) -> String) {
    let places = accepted(tree);
    let unit = match tree.at(&steps("sensors.load").unwrap()) {
        Some(Tree::Name("throttle")) => "%",
        _ => "kPa",
    };
    *tree.at_mut(&steps("format").unwrap()).unwrap() = Tree::Number(1.0);
    for (index, (id, place)) in places.iter().enumerate() {
        let slot = steps(&format!("checks.accepted[{index}].place")).unwrap();
        *tree.at_mut(&slot).unwrap() = Tree::Text(tell(place, id, unit));
    }
    let Tree::Record(parts) = tree else { panic!("a project is a record") };
    parts.retain(|(name, _)| !matches!(*name, "typed_readings" | "runs"));
    for (name, part) in parts {
        match (*name, part) {
            ("snapshots", Tree::List(kept)) => kept.iter_mut().for_each(|kept| turn_state(kept, tell)),
            ("last_export", Tree::Present(kept)) => turn_state(kept, tell),
            _ => {}
        }
    }
}

fn turn_state(kept: &mut Tree, tell: &dyn Fn(&FindingPlace, &str, &str) -> String) {
    turn(kept.at_mut(&steps("state").unwrap()).unwrap(), tell);
}

/// Id and place of each accepted finding.
fn accepted(tree: &Tree) -> Vec<(String, FindingPlace)> {
    let Some(Tree::List(list)) = tree.at(&steps("checks.accepted").unwrap()) else { panic!("no accepted findings") };
    let entry = |entry: &Tree| {
        let at = |path: &str| entry.at(&steps(path).unwrap()).unwrap();
        let Tree::Text(id) = at("id") else { panic!("no id") };
        (id.clone(), ron::from_str(&ron_text::print_inline(at("place"))).unwrap())
    };
    list.iter().map(entry).collect()
}

/// The words that version 1 had for a place.
fn words(place: &FindingPlace, id: &str, unit: &str) -> String {
    let plain = |value: f64| written(rounded(value, 2));
    let range = |ends: [Option<f64>; 2]| match ends.map(|end| plain(end.unwrap())) {
        [low, high] if low == high => low,
        [low, high] => format!("{low}–{high}"),
    };
    let FindingPlace { field, of, at, from_rpm, to_rpm, from_load, to_load } = place;
    if IN_THE_TABLE.contains(&id) {
        return format!("{} rpm, {} {unit}", range([*from_rpm, *to_rpm]), range([*from_load, *to_load]));
    }
    if let Some((_, words, _)) = IN_FIELDS.iter().find(|(check, _, path)| *check == id && path == field) {
        return (*words).to_owned();
    }
    let inside = |before: &str, after: &str| {
        let rest = field.strip_prefix(before).unwrap_or_else(|| panic!("{id}: {field}"));
        rest.strip_suffix(after).map(str::to_owned)
    };
    let condition = |end: &str| inside("outputs[", end).map(|middle| middle.replacen("].conditions[", ", ", 1));
    match id {
        "gap" if of.contains(", ") => format!("gap, coils {of}"),
        "gap" => format!("gap, coil {of}"),
        "cranking_error" => format!("cranking, coil {of}"),
        "dwell_fit" => format!("dwell at {} V", plain(at.unwrap())),
        // The speed went with the voltage, which alone is the place.
        "coil_energy" if *at == Some(8.0) => "8 V, 200 rpm".into(),
        "coil_energy" => format!("{} V, 7000 rpm", plain(at.unwrap())),
        "chatter" => condition("].off").unwrap(),
        "output_sense" => {
            let blinking = inside("outputs[", "].blinks_from_rpm").map(|name| format!("{name}, blinking"));
            blinking.or_else(|| condition("].on")).or_else(|| inside("outputs[", "].conditions")).unwrap()
        }
        "image_holds" if field == "image.items" => "image item ?".into(),
        "image_holds" => format!("image item {}", inside("image.items[", "]").unwrap()),
        "image_loss" => {
            let rounding = inside("image.items[", "].scale").map(|item| format!("image item {item}, rounding"));
            let size = || inside("image.items[", "].speeds").map(|item| format!("image item {item}, size"));
            rounding.or_else(size).unwrap()
        }
        "locked_timing" => "last export".into(),
        "settings" => inside("checks.thresholds.", "").unwrap(),
        other => panic!("no check '{other}' in version 1"),
    }
}
