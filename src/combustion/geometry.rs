//! The slider-crank: volume and wall of a cylinder, prepared on the grid of crank angles.

use std::f64::consts::PI;

use super::Description;

/// Where the cycle begins and ends, degrees after top dead centre.
pub(super) const FIRST_DEG: f64 = -180.0;
/// How many steps of one degree the cycle has: it ends at +140°. Of 2°, 1°, ½° and ⅛° the first gives a best torque that
/// is 0.07° off the last and 1° one that is 0.03° off.
pub(super) const STEPS: usize = 320;
/// Seen from the chamber the head is larger than the bore by this factor. Assumed.
const HEAD_FACTOR: f64 = 1.15;

/// A crank angle of the grid, degrees after top dead centre.
#[expect(clippy::cast_precision_loss, reason = "at most 320")]
pub(super) fn grid_deg(step: usize) -> f64 {
    FIRST_DEG + step as f64
}

/// One step of the grid: from a volume to the next by way of the middle.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Step {
    /// Volume where it begins, m³.
    pub(super) begins_m3: f64,
    /// Volume in its middle, m³.
    pub(super) middle_m3: f64,
    /// Volume where it ends, m³.
    pub(super) ends_m3: f64,
    /// ln of the first volume over the middle one.
    pub(super) first_half_ln: f64,
    /// ln of the middle volume over the last one.
    pub(super) second_half_ln: f64,
    /// Area of the walls in its middle, m².
    pub(super) wall_m2: f64,
}

/// One cylinder with its grid.
#[derive(Clone, Debug)]
pub(super) struct Cylinder {
    /// Swept volume, m³.
    pub(super) swept_m3: f64,
    /// Bore, m.
    pub(super) bore_m: f64,
    /// Stroke, m.
    pub(super) stroke_m: f64,
    /// Volume at −180°, m³.
    pub(super) bottom_m3: f64,
    clearance_m3: f64,
    rod_to_crank: f64,
    /// The grid's steps.
    pub(super) steps: Vec<Step>,
}

impl Cylinder {
    /// The cylinder of a described engine.
    pub(super) fn new(description: &Description) -> Self {
        let swept_m3 = description.displacement_l * 1e-3 / f64::from(description.cylinders);
        let bore_m = (4.0 * swept_m3 * description.bore_to_stroke / PI).cbrt();
        let mut cylinder = Self {
            swept_m3,
            bore_m,
            stroke_m: bore_m / description.bore_to_stroke,
            bottom_m3: 0.0,
            clearance_m3: swept_m3 / (description.compression_ratio - 1.0),
            rod_to_crank: description.rod_to_crank,
            steps: Vec::new(),
        };
        cylinder.bottom_m3 = cylinder.volume_m3(FIRST_DEG);
        cylinder.steps = (0..STEPS).map(|step| cylinder.step(grid_deg(step))).collect();
        cylinder
    }

    fn step(&self, from_deg: f64) -> Step {
        let (begins, middle, ends) = (from_deg, from_deg + 0.5, from_deg + 1.0);
        let [begins_m3, middle_m3, ends_m3] = [begins, middle, ends].map(|deg| self.volume_m3(deg));
        Step {
            begins_m3,
            middle_m3,
            ends_m3,
            first_half_ln: (begins_m3 / middle_m3).ln(),
            second_half_ln: (middle_m3 / ends_m3).ln(),
            wall_m2: self.wall_m2(middle_m3),
        }
    }

    /// Volume in m³ at a crank angle in degrees after top dead centre: V = Vc + ½Vd (1 + R − cos θ − √(R² − sin² θ)).
    ///
    /// Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 2, from memory.
    pub(super) fn volume_m3(&self, deg: f64) -> f64 {
        let (sine, cosine) = deg.to_radians().sin_cos();
        let ratio = self.rod_to_crank;
        self.clearance_m3 + self.swept_m3 / 2.0 * (1.0 + ratio - cosine - (ratio * ratio - sine * sine).sqrt())
    }

    /// Area in m² of head, crown and uncovered liner at a volume in m³.
    fn wall_m2(&self, volume_m3: f64) -> f64 {
        let bore_m2 = PI / 4.0 * self.bore_m * self.bore_m;
        (1.0 + HEAD_FACTOR) * bore_m2 + 4.0 * (volume_m3 - self.clearance_m3) / self.bore_m
    }

    /// Mean speed of the piston in m/s.
    pub(super) fn piston_speed_m_s(&self, speed_rpm: f64) -> f64 {
        2.0 * self.stroke_m * speed_rpm / 60.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    /// Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 2, from memory: the slider-crank; the values were computed
    /// from it independently with NumPy for a bore and stroke of 86 mm, a rod of 145.5 mm and a ratio of 10.
    #[test]
    fn volumes_are_those_of_the_slider_crank() {
        let description = Description {
            cylinders: 1,
            displacement_l: 0.499_557_214,
            compression_ratio: 10.0,
            bore_to_stroke: 1.0,
            rod_to_crank: 145.5 / 43.0,
            ..Description::default()
        };
        let cylinder = Cylinder::new(&description);
        assert_relative_eq!(cylinder.bore_m, 0.086, max_relative = 1e-8);
        assert_relative_eq!(cylinder.piston_speed_m_s(3000.0), 8.6, max_relative = 1e-8);
        let published = [
            (0.0, 55.506_357),
            (10.0, 60.414_728),
            (30.0, 98.248_488),
            (60.0, 208.546_114),
            (90.0, 343.036_972),
            (120.0, 458.324_721),
            (150.0, 530.877_726),
            (180.0, 555.063_571),
        ];
        for (deg, volume_cm3) in published {
            assert_relative_eq!(cylinder.volume_m3(deg) * 1e6, volume_cm3, max_relative = 1e-5);
            assert_abs_diff_eq!(cylinder.volume_m3(deg), cylinder.volume_m3(-deg), epsilon = 1e-15);
        }
    }

    #[test]
    fn steps_lie_end_to_end() {
        let cylinder = Cylinder::new(&Description::default());
        assert_eq!(cylinder.steps.len(), STEPS);
        for pair in cylinder.steps.windows(2) {
            assert_eq!(pair[0].ends_m3, pair[1].begins_m3);
        }
        let whole_ln: f64 = cylinder.steps[..180].iter().map(|step| step.first_half_ln + step.second_half_ln).sum();
        assert_abs_diff_eq!(whole_ln, 9.5_f64.ln(), epsilon = 1e-12);
    }
}
