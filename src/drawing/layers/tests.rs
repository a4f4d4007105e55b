use super::*;
use crate::drawing::{Ground, Look};
use crate::shaping::{RestsOn, Sure};
use crate::table::Axis;

fn axis(list: &[f64]) -> Axis {
    Axis::new(list.to_vec()).unwrap()
}

fn table(speeds: &[f64], loads: &[f64], z: impl Fn(f64, f64) -> f64) -> Table {
    Table::from_fn(axis(speeds), axis(loads), z).unwrap()
}

const SPEEDS: [f64; 4] = [500.0, 1000.0, 3000.0, 6000.0];
const LOADS: [f64; 3] = [0.0, 40.0, 100.0];

fn advance(z: impl Fn(f64, f64) -> f64) -> Advance {
    Advance::uniform(table(&SPEEDS, &LOADS, z), Origin::Typed).unwrap()
}

#[test]
fn a_difference_beyond_the_base_or_without_one_is_unknown() {
    let now = advance(|x, y| x / 500.0 + y / 10.0 + 1.5);
    let base = table(&[800.0, 7000.0], &[0.0, 50.0], |x, y| x / 500.0 + y / 10.0);
    let values = Layer::Difference.values(&now, Against::base(Some(&base)));
    let known = now.table().cells().map(|cell| cell.speed > 0 && cell.load < 2).collect::<Vec<_>>();
    for (value, known) in values.iter().zip(known) {
        if known { assert_eq!(*value, 1.5) } else { assert!(value.is_nan()) }
    }
    assert!(Layer::Difference.values(&now, Against::default()).iter().all(|value| value.is_nan()));
    let scale = LayerScale::over(Layer::Difference, now.table(), Against::base(Some(&base)), None);
    assert!(scale.has_unknown && scale.range == (-1.5, 1.5));
    assert!(scale.words(&[]).ends_with(", hatched: not in the base"), "{}", scale.words(&[]));
}

#[test]
fn corners_alone_have_no_curvature() {
    let values = Layer::Curvature.values(&advance(|x, y| 30.0 - x / 500.0 + y / 20.0), Against::default());
    for (cell, value) in table(&SPEEDS, &LOADS, |_, _| 0.0).cells().zip(values) {
        let is_corner = [0, 3].contains(&cell.speed) && [0, 2].contains(&cell.load);
        assert_eq!(value.is_nan(), is_corner);
        assert!(is_corner || value.abs() < 1e-9);
    }
}

#[test]
fn an_origin_comes_back_from_its_value() {
    for origin in Origin::ALL {
        let of = Advance::uniform(table(&SPEEDS, &LOADS, |_, _| 20.0), origin).unwrap();
        assert!(Layer::Origin.values(&of, Against::default()).iter().all(|&value| origin_of(value) == Some(origin)));
    }
    assert_eq!((origin_of(f64::NAN), origin_of(99.0)), (None, None));
}

#[test]
fn ranges_are_round_and_the_users_own_stand() {
    let rising = table(&SPEEDS, &LOADS, |x, _| 9.0 + x / 250.0);
    let advance = LayerScale::over(Layer::Advance, &rising, Against::default(), None);
    assert_eq!((advance.range, advance.ends()), ((10.0, 34.0), ["10°", "34°"].map(String::from)));
    let fixed = LayerScale::over(Layer::Advance, &rising, Against::default(), Some((12.0, 40.0)));
    assert_eq!((fixed.range, fixed.heights().range()), ((12.0, 40.0), (12.0, 40.0)));
    assert_eq!(fixed.ends(), ["≤ 12°", "40°"]);
    assert_eq!(fixed.words(&[]), "Scale of advance: ≤ 12° to 40°, contour lines every 2°, fixed range");
    assert!(fixed.marks().iter().all(|mark| (mark.value / 2.0).fract() == 0.0));
    let flat = table(&SPEEDS, &LOADS, |_, _| 20.0);
    assert_eq!(LayerScale::over(Layer::Difference, &flat, Against::base(Some(&flat)), None).range, (-1.0, 1.0));
    assert_eq!(LayerScale::over(Layer::Curvature, &flat, Against::default(), None).range, (-0.5, 0.5));
    assert_eq!([0.5, 1.2, 2.1, 4.6, 7.0, 9.1, 12.0].map(rounded_up), [0.5, 1.5, 2.5, 5.0, 8.0, 10.0, 15.0]);
}

/// One sharp bend does not pale all others, and the scale says that it is beyond.
#[test]
fn most_cells_decide_the_range_of_curvature() {
    let steps: Vec<f64> = (0..=20).map(|k| f64::from(k) * 5.0).collect();
    let bump = |x: f64, y: f64| if (x, y) == (50.0, 50.0) { 9.0 } else { x * x / 100.0 };
    let scale = LayerScale::over(Layer::Curvature, &table(&steps, &steps, bump), Against::default(), None);
    assert_eq!((scale.range, scale.beyond), ((-0.5, 0.5), (true, true)));
    assert_eq!(scale.ends(), ["≤ −0.5", "≥ +0.5"]);
    let zero = scale.marks().into_iter().find(|mark| mark.value == 0.0).unwrap();
    assert_eq!(zero.share, 0.5);
}

fn sure(sd_deg: f64, rests_on: RestsOn) -> Option<Sure> {
    Some(Sure { sd_deg, share: 0.5, rests_on })
}

#[test]
fn how_sure_a_cell_is_is_twice_its_deviation_and_a_held_one_has_none() {
    let now = advance(|_, _| 20.0);
    let mut cells = vec![sure(4.3, RestsOn::Today); 12];
    (cells[0], cells[5]) = (sure(0.45, RestsOn::Measured), None);
    let against = Against { base: None, sure: HowSure::Of(&cells) };
    let values = Layer::Sure.values(&now, against);
    assert_eq!((values[0], values[1], values.len()), (0.9, 8.6, 12));
    assert!(values[5].is_nan());
    let scale = LayerScale::over(Layer::Sure, now.table(), against, None);
    assert_eq!((scale.range, scale.has_unknown, scale.beyond), ((0.0, 10.0), true, (false, false)));
    assert_eq!(scale.ends(), ["0\u{b0}", "\u{b1}10\u{b0}"]);
    assert_eq!(scale.value_words(values[0], 2), "\u{b1}0.9\u{b0}");
    assert_eq!(scale.value_words(values[5], 2), "held");
    let marks: Vec<f64> = scale.marks().iter().map(|mark| mark.value).collect();
    assert!(marks.len() >= 4 && marks.iter().all(|mark| mark.fract() == 0.0 && *mark > 0.0), "{marks:?}");
    assert_eq!(
        scale.words(&[]),
        "Scale of how sure: 0\u{b0} to \u{b1}10\u{b0}, \u{b1} about nine times in ten, hatched: held"
    );
    let map = ColorMap::new(Look::Light, Ground::Grid);
    let strong = |deg: f64| scale.color(&map, deg).contrast(Look::Light.palette().paper);
    assert!(strong(0.9) > strong(4.0) && strong(4.0) > strong(9.0));
}

#[test]
fn without_points_or_before_it_is_known_no_cell_is_sure_and_the_scale_says_why() {
    let now = advance(|_, _| 20.0);
    for (sure, words, briefly) in
        [(HowSure::NoPoints, "no measured points", "no points"), (HowSure::NotKnown, "not known yet", "not yet")]
    {
        let against = Against { base: None, sure };
        assert!(Layer::Sure.values(&now, against).iter().all(|value| value.is_nan()));
        let scale = LayerScale::over(Layer::Sure, now.table(), against, None);
        assert_eq!((scale.range, scale.unknown(), scale.unknown_briefly()), ((0.0, 1.0), words, briefly));
        assert!(scale.words(&[]).ends_with(&format!(", hatched: {words}")));
        assert_eq!(scale.value_words(f64::NAN, 1), words);
    }
    // The answer comes, and the same scale is kept through a drag.
    let cells = vec![None; 12];
    let of = |sure| Against { base: None, sure };
    let before = LayerScale::over(Layer::Sure, now.table(), of(HowSure::NotKnown), None);
    assert_eq!(before.kept_for(now.table(), of(HowSure::Of(&cells))).unknown(), "held");
}

#[test]
fn ranges_that_make_no_scale_are_refused() {
    let refused = |layer: Layer, range| layer.check_range(range).unwrap_err().to_string();
    assert!(refused(Layer::Advance, (20.0, 20.0)).contains("no range"));
    assert!(refused(Layer::Difference, (1.0, 3.0)).contains("leaves out zero"));
    assert!(refused(Layer::Advance, (f64::NAN, 3.0)).contains("not finite"));
    assert!(refused(Layer::Advance, (0.0, 400.0)).contains("outside"));
    assert!(Layer::Advance.check_range((5.0, 45.0)).is_ok() && Layer::Curvature.check_range((-2.0, 3.0)).is_ok());
    assert!(refused(Layer::Sure, (-1.0, 4.0)).contains("outside") && Layer::Sure.check_range((0.0, 4.0)).is_ok());
}

#[test]
fn every_layer_is_known_by_its_name_and_tints_a_value() {
    let advance = advance(|x, y| x / 500.0 + (y / 30.0).sin());
    let flat = table(&SPEEDS, &LOADS, |_, _| 8.0);
    let cells = vec![sure(0.4, RestsOn::Measured); 12];
    let against = Against { base: Some(&flat), sure: HowSure::Of(&cells) };
    for layer in Layer::ALL {
        assert_eq!(Layer::of_key(layer.key()), Some(layer));
        let scale = LayerScale::over(layer, advance.table(), against, None);
        for look in Look::ALL {
            let map = ColorMap::new(look, Ground::Grid);
            assert_eq!(scale.color(&map, f64::NAN), look.palette().paper);
            let tints: Vec<Color> =
                layer.values(&advance, against).iter().map(|&value| scale.color(&map, value)).collect();
            let is_plain = look == Look::Sunlight && layer == Layer::Advance;
            assert_eq!(tints.iter().all(|tint| *tint == look.palette().paper), is_plain, "{look:?} {layer:?}");
        }
    }
    assert_eq!(Layer::of_key("nothing"), None);
}
