//! What is known of an engine when a project is made for it, and what is assumed for the rest. Figures: common
//! practice, no source.

use std::collections::BTreeSet;

use super::fields::field;
use super::new_project_error::NewProjectError;
use super::{Chamber, Engine, Induction, LoadKind, Mixture, Tree};
use crate::wording::settle;

/// What is known of an engine when a project is made for it. What is `None` gets a usual value and is assumed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct KnownEngine {
    /// Swept volume of all cylinders, in litres.
    pub displacement_l: Option<f64>,
    /// Compression ratio (to one).
    pub compression_ratio: Option<f64>,
    /// Research octane number of the fuel.
    pub fuel_octane_ron: Option<f64>,
    /// The combustion chamber.
    pub chamber: Option<Chamber>,
    /// How the charge reaches the cylinders.
    pub induction: Option<Induction>,
    /// The highest manifold pressure to expect, absolute.
    pub highest_pressure_kpa: Option<f64>,
    /// Warm idle speed.
    pub idle_speed_rpm: Option<f64>,
    /// The highest speed that the engine itself withstands.
    pub highest_safe_speed_rpm: Option<f64>,
}

// Numbers out of their range, NaN included, are refused before anything is made of them, so equality is total.
impl Eq for KnownEngine {}

/// Idle and the highest safe speed must be this far apart, so that the limits fit in between.
const LEAST_ROOM_RPM: f64 = 1000.0;

impl KnownEngine {
    /// Everything that a project knows about its engine.
    pub fn of(engine: &Engine) -> Self {
        Self {
            displacement_l: Some(engine.displacement_l),
            compression_ratio: Some(engine.compression_ratio),
            fuel_octane_ron: Some(engine.fuel_octane_ron),
            chamber: Some(engine.chamber),
            induction: Some(engine.induction),
            highest_pressure_kpa: Some(engine.highest_pressure_kpa),
            idle_speed_rpm: Some(engine.idle_speed_rpm),
            highest_safe_speed_rpm: engine.highest_safe_speed_rpm,
        }
    }

    /// The numbers, each with the path of its field.
    fn numbers(&self) -> [(&'static str, Option<f64>); 6] {
        [
            ("engine.displacement_l", self.displacement_l),
            ("engine.compression_ratio", self.compression_ratio),
            ("engine.fuel_octane_ron", self.fuel_octane_ron),
            ("engine.highest_pressure_kpa", self.highest_pressure_kpa),
            ("engine.idle_speed_rpm", self.idle_speed_rpm),
            ("engine.highest_safe_speed_rpm", self.highest_safe_speed_rpm),
        ]
    }

    /// Why there can be no such engine, if so: the first number that is out of its field's range, or speeds that do
    /// not fit together.
    fn refusal(&self) -> Option<NewProjectError> {
        for (path, number) in self.numbers() {
            let (Some(number), Some(field)) = (number, field(path)) else { continue };
            if let Some(what) = field.kind.refusal(&Tree::Number(number)) {
                return Some(NewProjectError::Engine { label: field.label, what });
            }
        }
        let (idle_rpm, safe_rpm) = (self.idle_speed_rpm.unwrap_or(IDLE_RPM), self.highest_safe_speed_rpm?);
        (safe_rpm < idle_rpm + LEAST_ROOM_RPM).then_some(NewProjectError::Speeds { idle_rpm, safe_rpm })
    }

    /// The induction, known or assumed.
    pub fn induction(&self) -> Induction {
        self.induction.unwrap_or(Induction::NaturallyAspirated)
    }

    /// The highest pressure in kPa, known or assumed: half a bar of boost for a boosted engine.
    pub fn highest_pressure_kpa(&self) -> f64 {
        let usual_kpa = if self.induction().is_boosted() { 150.0 } else { 100.0 };
        self.highest_pressure_kpa.unwrap_or(usual_kpa)
    }

    /// The displacement in litres, known or assumed: half a litre per cylinder.
    pub fn displacement_l(&self, cylinders: u8) -> f64 {
        self.displacement_l.unwrap_or(f64::from(cylinders) / 2.0)
    }

    /// The octane number, known or assumed.
    pub fn fuel_octane_ron(&self) -> f64 {
        self.fuel_octane_ron.unwrap_or(95.0)
    }

    /// The compression ratio r, known or assumed: 9, or with boost what the fuel bears,
    /// RON ≥ 91 + 4·(r·√(pressure/100 kPa) − 9.5).
    pub fn compression_ratio(&self) -> f64 {
        let effective = 9.5 + (self.fuel_octane_ron() - 91.0) / 4.0;
        let borne = effective / (self.highest_pressure_kpa().max(100.0) / 100.0).sqrt();
        let usual = ((borne * 10.0).floor() / 10.0).clamp(6.0, 9.0);
        self.compression_ratio.unwrap_or(settle(usual))
    }

    /// The idle speed in rpm, known or assumed.
    pub fn idle_speed_rpm(&self) -> f64 {
        self.idle_speed_rpm.unwrap_or(IDLE_RPM)
    }

    /// The chamber, known or assumed.
    pub fn chamber(&self) -> Chamber {
        self.chamber.unwrap_or(Chamber::TwoValveSidePlug)
    }

    /// The engine, with what is known of it and usual values for the rest.
    ///
    /// # Errors
    /// [`NewProjectError`] for a number out of its range, or speeds that do not fit together.
    pub(super) fn engine(&self, firing_order: Vec<u8>, load: LoadKind) -> Result<Engine, NewProjectError> {
        if let Some(refusal) = self.refusal() {
            return Err(refusal);
        }
        let cylinders = u8::try_from(firing_order.len()).unwrap_or(u8::MAX);
        let highest_pressure_kpa = self.highest_pressure_kpa();
        Ok(Engine {
            cylinders,
            channels: Engine::proposed_channels(&firing_order),
            firing_order,
            displacement_l: self.displacement_l(cylinders),
            compression_ratio: self.compression_ratio(),
            induction: self.induction(),
            mixture: Mixture::Carburettors,
            fuel_octane_ron: self.fuel_octane_ron(),
            idle_speed_rpm: self.idle_speed_rpm(),
            idle_load: idle_load(load),
            highest_pressure_kpa,
            plugs: String::new(),
            plug_gap_mm: plug_gap_mm(self.induction(), highest_pressure_kpa),
            chamber: self.chamber(),
            highest_safe_speed_rpm: self.highest_safe_speed_rpm,
        })
    }

    /// The fields of the engine that are not known.
    pub(super) fn assumed(&self) -> BTreeSet<String> {
        let numbers = self.numbers().into_iter().map(|(path, number)| (path, number.is_none()));
        let others =
            [("engine.chamber", self.chamber.is_none()), ("engine.induction", self.induction.is_none())].into_iter();
        let unknown = numbers.chain(others).filter(|(_, is_unknown)| *is_unknown).map(|(path, _)| path.to_owned());
        // An unknown safe speed is left empty, so nothing about it is assumed.
        unknown.filter(|path| path != "engine.highest_safe_speed_rpm").collect()
    }
}

/// Warm idle, unless it is known.
const IDLE_RPM: f64 = 900.0;

/// Load at warm idle.
pub(super) const fn idle_load(load: LoadKind) -> f64 {
    match load {
        LoadKind::Throttle => 3.0,
        LoadKind::Pressure => 40.0,
    }
}

/// A plug gap that boost does not blow out: at most 0.9 − 0.002·(pressure − 100 kPa) mm, in steps of 0.05.
fn plug_gap_mm(induction: Induction, highest_pressure_kpa: f64) -> f64 {
    if !induction.is_boosted() {
        return 0.8;
    }
    let most_mm = 0.9 - 0.002 * (highest_pressure_kpa - 100.0).max(0.0);
    settle(((most_mm * 20.0 + 1e-9).floor() / 20.0).clamp(0.3, 0.8))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rest_fits_what_is_known() {
        let boosted = KnownEngine { induction: Some(Induction::Boosted), ..KnownEngine::default() };
        let engine = boosted.engine(vec![1, 3, 4, 2], LoadKind::Pressure).unwrap();
        assert_eq!((engine.highest_pressure_kpa, engine.compression_ratio, engine.plug_gap_mm), (150.0, 8.5, 0.8));
        let more = KnownEngine { highest_pressure_kpa: Some(200.0), fuel_octane_ron: Some(99.0), ..boosted };
        let engine = more.engine(vec![1, 3, 4, 2], LoadKind::Pressure).unwrap();
        assert_eq!((engine.compression_ratio, engine.plug_gap_mm, engine.displacement_l), (8.1, 0.7, 2.0));
        let natural = KnownEngine::default().engine(vec![1, 5, 3, 6, 2, 4], LoadKind::Throttle).unwrap();
        assert_eq!((natural.compression_ratio, natural.plug_gap_mm, natural.displacement_l), (9.0, 0.8, 3.0));
    }

    #[test]
    fn what_was_told_is_not_assumed() {
        let told = KnownEngine { compression_ratio: Some(9.0), idle_speed_rpm: Some(900.0), ..KnownEngine::default() };
        let assumed = told.assumed();
        assert!(!assumed.contains("engine.compression_ratio") && !assumed.contains("engine.idle_speed_rpm"));
        assert_eq!(assumed.len(), 5);
        assert!(assumed.iter().all(|path| field(path).is_some()));
        assert!(KnownEngine::of(&told.engine(vec![1, 3, 4, 2], LoadKind::Throttle).unwrap()).assumed().is_empty());
    }

    #[test]
    fn numbers_out_of_range_and_speeds_too_close_are_refused() {
        let refused = |known: KnownEngine| known.engine(vec![1, 3, 4, 2], LoadKind::Throttle).unwrap_err().to_string();
        let ratio = |ratio| KnownEngine { compression_ratio: Some(ratio), ..KnownEngine::default() };
        assert_eq!(refused(ratio(30.0)), "compression ratio: 30 is outside 4..20:1");
        assert!(refused(ratio(f64::NAN)).starts_with("compression ratio: "));
        let close = KnownEngine { highest_safe_speed_rpm: Some(1800.0), ..KnownEngine::default() };
        assert_eq!(
            refused(close),
            "idle at 900 rpm and a highest safe speed of 1800 rpm: 1000 rpm at least must lie between them"
        );
    }
}
