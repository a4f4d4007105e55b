//! What is known of an engine's burning beyond the figures of [`super::Engine`]: what the physical second opinion goes by.
//! All of it may stay open; what is used then is assumed, and told.

use serde::{Deserialize, Serialize};

use crate::table::Curve;

/// What kind of engine it is, as far as burning differs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Burning {
    /// A four-stroke on petrol, its mixture made before it is lit.
    #[default]
    FourStrokePetrol,
    /// More than a tenth of the fuel is alcohol.
    Alcohol,
    /// The fuel is a gas.
    Gas,
    /// Petrol is injected into the cylinder in layers.
    Stratified,
    /// A two-stroke.
    TwoStroke,
    /// A rotary engine.
    Rotary,
}

impl Burning {
    /// All kinds.
    pub const ALL: [Self; 6] =
        [Self::FourStrokePetrol, Self::Alcohol, Self::Gas, Self::Stratified, Self::TwoStroke, Self::Rotary];

    /// What each is called in files, in the same order.
    pub const NAMES: [&'static str; 6] = ["four_stroke_petrol", "alcohol", "gas", "stratified", "two_stroke", "rotary"];
}

/// What the second opinion goes by. `None` is what nobody has said.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Combustion {
    /// What kind of engine it is.
    pub burning: Burning,
    /// Bore over stroke.
    pub bore_to_stroke: Option<f64>,
    /// Length of the connecting rod over the radius of the crank.
    pub rod_to_crank: Option<f64>,
    /// The speed of most power.
    pub rated_speed_rpm: Option<f64>,
    /// Valve overlap at 0.15 mm of lift, in degrees of crank.
    pub overlap_deg: Option<f64>,
    /// Motor octane number of the fuel.
    pub fuel_octane_mon: Option<f64>,
    /// Temperature of the intake air, after the cooler where there is one.
    pub intake_air_c: Option<f64>,
    /// Temperature of the coolant.
    pub coolant_c: Option<f64>,
    /// Pressure of the air around.
    pub ambient_kpa: Option<f64>,
    /// Air-fuel ratio over the stoichiometric one, over manifold pressure in kPa.
    pub lambda: Curve,
}

/// λ over manifold pressure in kPa, where nobody says: stoichiometric up to three quarters of an atmosphere, rich at full
/// load. Common practice, no source.
const USUAL_LAMBDA: ([f64; 5], [f64; 5]) = ([0.0, 75.0, 95.0, 130.0, 200.0], [1.0, 1.0, 0.88, 0.86, 0.82]);

impl Default for Combustion {
    fn default() -> Self {
        let (pressures_kpa, lambdas) = USUAL_LAMBDA;
        let lambda = Curve::new(pressures_kpa.into(), lambdas.into());
        Self {
            burning: Burning::default(),
            bore_to_stroke: None,
            rod_to_crank: None,
            rated_speed_rpm: None,
            overlap_deg: None,
            fuel_octane_mon: None,
            intake_air_c: None,
            coolant_c: None,
            ambient_kpa: None,
            lambda: lambda.unwrap_or_else(|_| unreachable!("the pressures rise")),
        }
    }
}

impl Combustion {
    /// Whether its curve is the usual one, which nobody has typed.
    pub fn has_usual_lambda(&self) -> bool {
        self.lambda == Self::default().lambda
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, Project, read, set_fields, write};

    fn started() -> Project {
        NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Pressure, speeds: 4, loads: 4 }.create().unwrap()
    }

    #[test]
    fn kinds_are_called_as_in_files() {
        for (kind, name) in Burning::ALL.into_iter().zip(Burning::NAMES) {
            assert_eq!(ron::to_string(&kind).unwrap(), name);
        }
    }

    #[test]
    fn what_is_given_is_no_longer_assumed() {
        let before = started();
        assert_eq!(before.assumed_of_combustion().len(), 5 + 8 + 1);
        let assignments = [
            ("combustion.overlap_deg", "45"),
            ("combustion.lambda.value[1]", "0.98"),
            ("engine.compression_ratio", "9.5"),
            ("combustion.burning", "gas"),
        ];
        let after = set_fields(&before, &assignments).unwrap();
        assert_eq!((after.combustion.overlap_deg, after.combustion.burning), (Some(45.0), Burning::Gas));
        let assumed = after.assumed_of_combustion();
        assert_eq!(assumed.len(), 11);
        assert!(!assumed.contains(&"combustion.overlap_deg") && !assumed.contains(&"combustion.lambda"));
        assert_eq!(set_fields(&after, &[("combustion.overlap_deg", "none")]).unwrap().combustion.overlap_deg, None);
        let told = set_fields(&before, &[("combustion.intake_air_c", "120")]).unwrap_err().to_string();
        assert_eq!(told, "combustion.intake_air_c: 120 is outside −30..90 °C");
    }

    /// Files that were written before anything was known of it.
    #[test]
    fn a_file_without_it_has_nothing_given() {
        let text = write(&started()).unwrap();
        let (from, to) = (text.find("    combustion: (").unwrap(), text.find("    trigger: (").unwrap());
        let project = read((text[..from].to_owned() + &text[to..]).as_bytes()).unwrap();
        assert_eq!(project, started());
    }
}
