//! Proves that the spark from the bytes is the spark of the project, or that the difference is reported.

use proptest::prelude::*;

use super::{Features, FlashedUnit, compare_spark, decode, encode, not_held, verify};
use crate::image::samples::project as new_project;
use crate::project::{
    Covered, CoveredHow, CoveredPart, Item, LoadKind, Parts, Project, SAMPLES, StartingLayout, read, write,
};
use crate::spark::{Conditions, Evaluation};
use crate::table::Curve;
use crate::wording::Unit;

fn curve(points: &[(f64, f64)]) -> Curve {
    Curve::from_points(points).unwrap()
}

/// A boosted engine with an image of the first layouts: only the table, the degrees of the trims, the dwell, and a
/// few numbers.
fn first_edition() -> Project {
    let sample = SAMPLES.iter().find(|sample| sample.name == "larch-six").unwrap().project().unwrap();
    let layout = StartingLayout::Words.layout(sample.sensors.load);
    let change = |parts: &mut Parts| {
        parts.image = layout;
        parts.image.items.truncate(17);
        parts.outputs.clear();
        parts.limits.clamp.floor_deg = -10.0;
    };
    sample.edit(change).unwrap()
}

fn whole_edition() -> Project {
    let project = first_edition();
    let layout = StartingLayout::Words.layout(project.sensors.load);
    project.edit(|parts| parts.image = layout).unwrap()
}

/// What a tuner might change: 4° of margin, the ceiling at 30°, and no trim under boost.
fn changed(project: &Project) -> Project {
    let change = |parts: &mut Parts| {
        parts.safety_margin.enabled = true;
        parts.safety_margin.degrees = parts.safety_margin.degrees.level(4);
        parts.limits.clamp.ceiling_deg = 30.0;
        parts.trims.coolant.weight = curve(&[(40.0, 1.0), (100.0, 0.0)]);
    };
    project.edit(change).unwrap()
}

#[test]
fn what_never_reaches_the_bytes_is_not_called_exact() {
    let before = first_edition();
    let after = changed(&before);
    assert_eq!(encode(&before).unwrap().bytes, encode(&after).unwrap().bytes);
    let list = not_held(&after).unwrap();
    let of = |part| list.iter().find(|held| held.part == part).unwrap_or_else(|| panic!("{part:?} is not told"));
    for part in [CoveredPart::Margin, CoveredPart::Clamp, CoveredPart::CoolantWeight] {
        assert!(of(part).is_open() && of(part).acts, "{part:?}");
    }
    assert_eq!(of(CoveredPart::Clamp).values, "Floor: −10°; Ceiling: 30°");
    let coolant = of(CoveredPart::CoolantTrim);
    assert_eq!(coolant.how_words(), "partly in the image; by hand: Coolant trim on: yes");
    assert!(of(CoveredPart::Margin).values.contains("Safety margin: 4° at"), "{}", of(CoveredPart::Margin).values);
}

#[test]
fn the_whole_layout_holds_every_number() {
    for project in [whole_edition(), new_project().edit(|parts| parts.outputs.clear()).unwrap()] {
        assert_eq!(not_held(&project).unwrap(), [], "{}", project.name);
        let unit = FlashedUnit::of(&project).unwrap();
        let found = compare_spark(&project, &unit);
        assert!(found.largest.deg().abs() < 0.25 && found.states.is_none(), "{found:?}");
    }
    let (before, after) = (whole_edition(), changed(&whole_edition()));
    let bytes = encode(&before).unwrap().bytes;
    assert!(!verify(&after, &bytes).unwrap().is_same());
    let unit = FlashedUnit::with_image(&after, &bytes, Features::AsSaid).unwrap();
    let found = compare_spark(&after, &unit);
    // The old bytes have no margin, and trims at full boost.
    assert!(found.largest.deg() >= 4.0, "{found:?}");
}

#[test]
fn a_tick_goes_with_the_numbers_for_which_it_was_given() {
    let ticked = first_edition()
        .edit(|parts| {
            parts.image.coverage.clamp.set = true;
            parts.image.coverage.clamp.note = "dial 3".into();
            parts.image.coverage.launch.set = true;
        })
        .unwrap();
    assert!(ticked.image.coverage.clamp.set);
    let lowered = ticked.edit(|parts| parts.limits.clamp.ceiling_deg = 30.0).unwrap();
    assert!(!lowered.image.coverage.clamp.set && lowered.image.coverage.launch.set);
    assert_eq!(lowered.image.coverage.clamp.note, "dial 3");
    let by_path = crate::project::set_fields(&ticked, &[("limits.clamp.floor_deg", "-5")]).unwrap();
    assert!(!by_path.image.coverage.clamp.set);
    let again = crate::project::set_fields(&by_path, &[("image.coverage.clamp.set", "yes")]).unwrap();
    assert!(again.image.coverage.clamp.set);
    assert_eq!(read(write(&again).unwrap().as_bytes()).unwrap(), again);
}

#[test]
fn what_the_unit_does_not_apply_is_left_out() {
    let project = changed(&first_edition()).edit(|parts| {
        parts.image.coverage.safety_margin.how = CoveredHow::NotApplied;
        parts.image.coverage.coolant_weight.how = CoveredHow::NotApplied;
    });
    let project = project.unwrap();
    let unit = FlashedUnit::of(&project).unwrap();
    let at = Conditions { speed_rpm: 3000.0, load: 150.0, coolant_c: Some(-20.0), ..Conditions::default() };
    let found = unit.evaluation().lookup(&at);
    let wanted = Evaluation::new(&project).lookup(&at);
    assert_eq!((wanted.contributions.margin, found.contributions.margin), (-4.0, 0.0));
    // A unit without weights applies the trim of a cold engine at full boost.
    assert_eq!((wanted.contributions.coolant_trim, found.contributions.coolant_trim), (Some(0.0), Some(4.0)));
    let told = compare_spark(&project, &unit);
    assert!(told.largest.deg() >= 8.0, "{told:?}");
}

#[test]
fn what_is_folded_is_in_the_cells_and_out_of_them_again() {
    let folded = changed(&whole_edition()).edit(|parts| {
        parts.image.coverage.safety_margin.how = CoveredHow::InTable;
        parts.image.coverage.clamp.how = CoveredHow::InTable;
        parts.image.coverage.air_trim.how = CoveredHow::InTable;
        parts.image.coverage.air_trim.at_c = Some(50.0);
    });
    let folded = folded.unwrap();
    let image = encode(&folded).unwrap();
    let cells = &image.items.iter().find(|item| item.item.name == "advance").unwrap();
    let table = folded.advance.table();
    for (index, cell) in table.cells().enumerate() {
        let load = table.load().breakpoints()[cell.load];
        let air = folded.trims.air.degrees.lookup(50.0) * folded.trims.air.weight.lookup(load);
        let wanted = (table.at(cell) + air - 4.0).clamp(-10.0, 30.0);
        assert!((cells.value(index) - wanted).abs() <= 0.051, "{index}: {} for {wanted}", cells.value(index));
    }
    let margin = image.items.iter().find(|item| item.item.name == "margin").unwrap();
    assert!((0..margin.raws.len()).all(|index| margin.value(index) == 0.0));
    let unit = FlashedUnit::of(&folded).unwrap();
    let told = compare_spark(&folded, &unit);
    // At 50 °C there is almost no difference, but folding cannot reproduce the air trim at other temperatures.
    assert!(told.largest.deg().abs() > 1.0 && told.largest.place.conditions.air_c != Some(50.0), "{told:?}");
    let decoded = decode(&image.bytes, &folded, crate::image::OnMismatch::Refuse).unwrap();
    assert!(decoded.comparison.is_same(), "{:?}", decoded.remarks());
    let back = decoded.project.advance.table();
    assert!(table.values().iter().zip(back.values()).all(|(own, read)| (own - read).abs() <= 0.051));
    assert_eq!(decoded.project.safety_margin, folded.safety_margin);
}

/// The degrees of a folded trim are zero in the image, its weights are not.
#[test]
fn weights_of_a_folded_trim_are_read_back() {
    let folded = changed(&whole_edition()).edit(|parts| {
        parts.image.coverage.coolant_trim.how = CoveredHow::InTable;
        parts.image.coverage.coolant_trim.at_c = Some(0.0);
        parts.image.checksum.kind = crate::project::ChecksumKind::None;
    });
    let folded = folded.unwrap();
    let image = encode(&folded).unwrap();
    let read = |bytes: &[u8]| decode(bytes, &folded, crate::image::OnMismatch::Refuse).unwrap();
    assert_eq!(read(&image.bytes).project.trims.coolant, folded.trims.coolant);
    let weights = image.items.iter().find(|item| item.item.content == crate::project::Content::CoolantWeights).unwrap();
    let (at, size) = (weights.item.address - folded.image.start, weights.item.cell.size());
    let (at, size) = (usize::try_from(at).unwrap(), usize::try_from(size).unwrap());
    let mut bytes = image.bytes.clone();
    bytes.copy_within(at..at + size, at + size);
    let decoded = read(&bytes);
    assert_eq!(decoded.project.trims.coolant.weight.values(), [1.0, 1.0]);
    assert_eq!(decoded.project.trims.coolant.degrees, folded.trims.coolant.degrees);
    // The cells are those of the image with the weights of the image.
    assert!(decoded.comparison.is_same(), "{:?}", decoded.remarks());
}

/// What is off, and of which the image holds nothing, only has to be left off.
#[test]
fn a_part_without_effect_is_not_open() {
    let project = first_edition();
    let list = not_held(&project).unwrap();
    let idle: Vec<_> = list.iter().filter(|held| matches!(held.covered, Covered::ByHand(_)) && !held.acts).collect();
    assert!(idle.iter().any(|held| !held.part.is_weight()), "{list:?}");
    for held in idle {
        assert_eq!(held.is_open(), held.how_words().starts_with("by hand"), "{held:?}");
    }
    let partly = project.edit(|parts| parts.trims.air.enabled = false).unwrap();
    let list = not_held(&partly).unwrap();
    let air = list.iter().find(|held| held.part == CoveredPart::AirTrim).unwrap();
    assert!(!air.acts && air.is_open() && air.how_words().ends_with("switch it off in the unit"), "{air:?}");
}

#[test]
fn a_folded_line_holds_for_table_and_trims() {
    let folded = whole_edition().edit(|parts| {
        parts.full_load_line.enabled = true;
        parts.full_load_line.from_load = 100.0;
        parts.full_load_line.most_deg = curve(&[(500.0, 15.0), (7000.0, 15.0)]);
        parts.full_load_line.less_deg = curve(&[(90.0, 0.0), (200.0, 0.0)]);
        parts.image.coverage.full_load_line.how = CoveredHow::InTable;
    });
    let folded = folded.unwrap();
    let unit = FlashedUnit::of(&folded).unwrap();
    for load in [100.0, 130.0, 180.0] {
        for coolant_c in [-20.0, 20.0, 80.0] {
            let at = Conditions {
                speed_rpm: 3000.0,
                load,
                coolant_c: Some(coolant_c),
                air_c: Some(20.0),
                ..Conditions::default()
            };
            assert!(unit.evaluation().lookup(&at).commanded_deg <= 15.0 + 0.11, "{load} kPa, {coolant_c} °C");
        }
    }
}

#[test]
fn what_cannot_be_is_refused_with_its_reason() {
    let project = first_edition();
    let told = |change: fn(&mut Parts)| project.edit(change).unwrap_err().to_string();
    assert_eq!(
        told(|parts| parts.image.coverage.launch.how = CoveredHow::InTable),
        "image.coverage.launch.how: the launch cannot be folded into the table; what can: coolant_trim, air_trim, \
         safety_margin, clamp, full_load_line"
    );
    assert!(told(|parts| parts.image.coverage.air_trim.how = CoveredHow::InTable).contains("at one temperature"));
    assert!(told(|parts| parts.image.coverage.trigger.how = CoveredHow::NotApplied).contains("no unit does without"));
    assert!(told(|parts| parts.image.coverage.clamp.at_c = Some(20.0)).contains("does not go by a temperature"));
}

/// Decoded and evaluated at all corners with every feature on, a locked copy commands one advance, except while
/// cranking.
#[test]
fn a_locked_copy_is_locked_in_its_bytes() {
    for sample in SAMPLES {
        for layout in [None, Some(StartingLayout::Compact), Some(StartingLayout::Words), Some(StartingLayout::Float)] {
            let real = sample.project().unwrap();
            let load = real.sensors.load;
            let real = match layout {
                Some(layout) => real.edit(|parts| parts.image = layout.layout(load)).unwrap(),
                None => real,
            };
            let real = real.edit(|parts| {
                parts.safety_margin.enabled = true;
                parts.safety_margin.degrees = parts.safety_margin.degrees.level(3);
                parts.limits.launch.enabled = true;
            });
            let real = real.unwrap();
            // The same items without the switches, as in a layout that has none.
            for switches in [true, false] {
                let real = real.edit(|parts| {
                    parts.image.items.retain(|item| switches || !item.field.ends_with("enabled"));
                });
                let copy = real.unwrap().locked_timing(10.0).unwrap();
                let bytes = encode(&copy).unwrap().bytes;
                let unit = FlashedUnit::with_image(&copy, &bytes, Features::All).unwrap();
                let found = compare_spark(&copy, &unit);
                assert!(found.largest.deg().abs() < 1e-6, "{}, {layout:?}: {found:?}", sample.name);
                let left_rpm = copy.limits.cranking.leave_at_rpm + copy.limits.cranking.blend_rpm;
                for speed_rpm in [left_rpm, 3000.0, copy.limits.over_speed.cuts_at_rpm - 1.0] {
                    for (coolant_c, air_c) in [(-20.0, -20.0), (80.0, 20.0), (115.0, 70.0)] {
                        let (coolant_c, air_c) = (Some(coolant_c), Some(air_c));
                        let load = if load == LoadKind::Throttle { 80.0 } else { 100.0 };
                        let launch_switch = speed_rpm == 3000.0;
                        let at =
                            Conditions { speed_rpm, load, coolant_c, air_c, launch_switch, ..Conditions::default() };
                        let deg = unit.evaluation().lookup(&at).commanded_deg;
                        assert!((deg - 10.0).abs() < 1e-9, "{}: {deg} at {at:?}", sample.name);
                    }
                }
            }
        }
    }
}

/// A random project in everything that the evaluation depends on, with a layout that holds part of it.
fn any_setup() -> impl Strategy<Value = Project> {
    let degrees = || prop::collection::vec(-8.0..8.0_f64, 4);
    let weights = || prop::collection::vec(0.0..1.0_f64, 3);
    let layout = prop::sample::select(StartingLayout::ALL.to_vec());
    let hows = prop::collection::vec(0..6_u8, CoveredPart::ALL.len());
    let curves = (degrees(), degrees(), weights(), weights(), prop::collection::vec(0.0..6.0_f64, 3));
    let numbers = (0.0..4.0_f64, 20.0..45.0_f64, 0.0..15.0_f64, -5.0..12.0_f64, 100.0..400.0_f64);
    let switches = prop::collection::vec(any::<bool>(), 5);
    let dropped = prop::collection::vec(any::<bool>(), 64);
    let cells = prop::collection::vec(-3.0..3.0_f64, 64);
    (layout, hows, curves, numbers, switches, dropped, cells).prop_map(
        |(layout, hows, (coolant, air, of_coolant, of_air, margin), numbers, switches, dropped, cells)| {
            let project = new_project();
            let wavy = project.advance.table().values().iter().zip(cells).map(|(own, wave)| own + wave).collect();
            let advance = project.advance.with_values(wavy, crate::project::Origin::Typed).unwrap();
            let points = |at: &[f64], values: &[f64]| Curve::new(at.to_vec(), values.to_vec()).unwrap();
            let change = |parts: &mut Parts| {
                parts.advance = advance;
                parts.image = layout.layout(parts.sensors.load);
                let mut keep = dropped.iter().cycle();
                // Axes are kept or dropped together with their values.
                parts.image.items.retain(|item: &Item| {
                    let single = item.content == crate::project::Content::Field;
                    !single || *keep.next().unwrap_or(&true)
                });
                let temperatures = [-20.0, 20.0, 60.0, 100.0];
                parts.trims.coolant.degrees = points(&temperatures, &coolant);
                parts.trims.air.degrees = points(&temperatures, &air);
                parts.trims.coolant.weight = points(&[3.0, 50.0, 100.0], &of_coolant);
                parts.trims.air.weight = points(&[5.0, 40.0, 90.0], &of_air);
                parts.safety_margin.degrees = points(&[10.0, 60.0, 100.0], &margin);
                let (floor, ceiling, eases, launch, blend) = numbers;
                (parts.limits.clamp.floor_deg, parts.limits.clamp.ceiling_deg) = (-floor, ceiling);
                parts.limits.over_speed.eases_by_deg = eases;
                parts.limits.launch.advance_deg = launch;
                parts.limits.cranking.blend_rpm = blend.round();
                for (flag, on) in [
                    (&mut parts.trims.coolant.enabled, switches[0]),
                    (&mut parts.trims.air.enabled, switches[1]),
                    (&mut parts.safety_margin.enabled, switches[2]),
                    (&mut parts.limits.launch.enabled, switches[3]),
                    (&mut parts.limits.over_speed.enabled, switches[4]),
                ] {
                    *flag = on;
                }
                for (part, how) in CoveredPart::ALL.into_iter().zip(hows) {
                    let coverage = parts.image.coverage.of_mut(part);
                    match how {
                        0 if part.folds() => {
                            coverage.how = CoveredHow::InTable;
                            coverage.at_c = part.folds_at_a_temperature().then_some(40.0);
                        }
                        1 if part.can_be_left_out() => coverage.how = CoveredHow::NotApplied,
                        _ => {}
                    }
                }
            };
            project.edit(change).unwrap()
        },
    )
}

/// Half a count of every item that is in degrees.
fn half_counts(project: &Project) -> f64 {
    let in_degrees = |item: &&Item| super::Quantity::of(item, project).unit == Unit::Degree;
    project.image.items.iter().filter(in_degrees).map(|item| item.scale.abs() / 2.0).sum::<f64>() + 1e-3
}

fn any_conditions() -> impl Strategy<Value = Conditions> {
    (60.0..8000.0_f64, 0.0..100.0_f64, -30.0..120.0_f64, -30.0..110.0_f64, any::<bool>()).prop_map(
        |(speed_rpm, load, coolant_c, air_c, launch_switch)| Conditions {
            speed_rpm,
            load,
            coolant_c: Some(coolant_c),
            air_c: Some(air_c),
            launch_switch,
            ..Conditions::default()
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Wherever the engine runs, the spark from the bytes differs from that of the project by no more than is
    /// reported, plus or minus half a count of each contribution; and a part that is reported as in the image
    /// or folded exactly really is.
    #[test]
    fn no_spark_differs_by_more_than_is_told(
        project in any_setup(),
        conditions in prop::collection::vec(any_conditions(), 64),
    ) {
        let Ok(unit) = FlashedUnit::of(&project) else { return Ok(()) };
        let told = compare_spark(&project, &unit);
        let (own, of_unit) = (Evaluation::new(&project), unit.evaluation());
        let within = told.largest.deg().abs() + half_counts(&project);
        for at in conditions {
            let (wanted, found) = (own.lookup(&at), of_unit.lookup(&at));
            if (wanted.state, wanted.cut) != (found.state, found.cut) {
                prop_assert!(told.states.is_some(), "{:?}: {:?} for {:?}", at, found.state, wanted.state);
            }
            let difference = (found.commanded_deg - wanted.commanded_deg).abs();
            if wanted.fires || found.fires {
                prop_assert!(difference <= within, "{difference} beyond {within} at {at:?}: {found:?} for {wanted:?}");
            }
        }
        let kept = CoveredPart::ALL.iter().all(|part| {
            !matches!(project.covered(*part), Covered::InTable | Covered::NotApplied) || !part.acts(&project)
        });
        if kept {
            // Nothing is left out, so only rounding remains, including that of speeds and loads.
            prop_assert!(told.largest.deg().abs() <= half_counts(&project) + 2.0, "{told:?}");
        }
    }

    #[test]
    fn reading_back_is_the_identity_on_counts_with_folding_too(project in any_setup()) {
        let Ok(image) = encode(&project) else { return Ok(()) };
        let decoded = decode(&image.bytes, &project, super::OnMismatch::Refuse).unwrap();
        prop_assert!(decoded.comparison.is_same(), "{:?}", decoded.remarks());
    }
}
