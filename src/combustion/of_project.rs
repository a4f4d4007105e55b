//! The second opinion's view of a project.

use super::{Description, Load};
use crate::project::{LoadKind, Parts};

impl Description {
    /// The engine of a project. What nobody has given is assumed: [`Parts::assumed_of_combustion`] names it.
    pub fn of(parts: &Parts) -> Self {
        let (engine, own) = (&parts.engine, &parts.combustion);
        let usual = Self::default();
        Self {
            cylinders: engine.cylinders,
            displacement_l: engine.displacement_l,
            compression_ratio: engine.compression_ratio,
            bore_to_stroke: own.bore_to_stroke.unwrap_or(usual.bore_to_stroke),
            rod_to_crank: own.rod_to_crank.unwrap_or(usual.rod_to_crank),
            rated_speed_rpm: own.rated_speed_rpm.unwrap_or(usual.rated_speed_rpm),
            chamber: engine.chamber,
            overlap_deg: own.overlap_deg.unwrap_or(usual.overlap_deg),
            induction: engine.induction,
            octane_ron: engine.fuel_octane_ron,
            octane_mon: own.fuel_octane_mon.unwrap_or_else(|| Self::usual_mon(engine.fuel_octane_ron)),
            intake_air_c: own.intake_air_c,
            coolant_c: own.coolant_c.unwrap_or(usual.coolant_c),
            ambient_kpa: own.ambient_kpa.unwrap_or(usual.ambient_kpa),
            lambda: own.lambda.clone(),
            cranking_below_rpm: parts.limits.cranking.leave_at_rpm,
            burning: own.burning,
        }
    }

    /// What is assumed for a field that nobody has given, by its path; `None` for one that has no usual number.
    pub fn assumed_number(&self, path: &str) -> Option<f64> {
        Some(match path {
            "engine.displacement_l" => self.displacement_l,
            "engine.compression_ratio" => self.compression_ratio,
            "engine.fuel_octane_ron" => self.octane_ron,
            "combustion.bore_to_stroke" => self.bore_to_stroke,
            "combustion.rod_to_crank" => self.rod_to_crank,
            "combustion.rated_speed_rpm" => self.rated_speed_rpm,
            "combustion.overlap_deg" => self.overlap_deg,
            "combustion.fuel_octane_mon" => self.octane_mon,
            "combustion.intake_air_c" if !self.induction.is_boosted() => Self::USUAL_INTAKE_AIR_C,
            "combustion.coolant_c" => self.coolant_c,
            "combustion.ambient_kpa" => self.ambient_kpa,
            _ => return None,
        })
    }
}

impl Load {
    /// A load in a project's unit.
    pub const fn of(kind: LoadKind, load: f64) -> Self {
        match kind {
            LoadKind::Throttle => Self::ThrottlePct(load),
            LoadKind::Pressure => Self::PressureKpa(load),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{NewProject, set_fields};

    #[test]
    fn what_is_given_counts_and_the_rest_is_usual() {
        let new = NewProject { name: "n".into(), cylinders: 6, load: LoadKind::Pressure, speeds: 4, loads: 4 };
        let project = new.create().unwrap();
        let plain = Description::of(&project);
        assert_eq!((plain.cylinders, plain.octane_mon, plain.overlap_deg, plain.intake_air_c), (6, 85.0, 25.0, None));
        let given =
            [("combustion.overlap_deg", "45"), ("engine.fuel_octane_ron", "98"), ("combustion.intake_air_c", "40")];
        let described = Description::of(&set_fields(&project, &given).unwrap());
        assert_eq!((described.octane_ron, described.octane_mon), (98.0, 88.0));
        assert_eq!((described.overlap_deg, described.intake_air_c), (45.0, Some(40.0)));
        for path in project.assumed_of_combustion() {
            let has_number = !["engine.chamber", "engine.induction", "combustion.lambda"].contains(&path);
            assert_eq!(plain.assumed_number(path).is_some(), has_number, "{path}");
        }
    }
}
