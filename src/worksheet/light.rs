//! What should the light show? The commanded advance of one operating point, and the lag that a light sees on top.

use serde::Serialize;

use crate::project::Project;
use crate::spark::{Breakdown, Conditions, Evaluation};

/// Degrees in one microsecond at one rpm.
pub(super) const DEG_PER_US_RPM: f64 = 6e-6;

/// What a timing light shows at one operating point with the zero offset proved.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LightShown {
    /// The commanded advance and all that it is made up of.
    pub breakdown: Breakdown,
    /// How far the sensor's latency sets the spark back, in crank degrees: 0.036° for each µs at 6000 rpm.
    pub lag_deg: f64,
    /// What the light shows in degrees before top dead centre; `None` where no spark comes.
    pub shown_deg: Option<f64>,
}

impl LightShown {
    /// Evaluates the point without memory: as if the speed were rising.
    pub fn of(project: &Project, conditions: &Conditions) -> Self {
        let breakdown = Evaluation::new(project).lookup(conditions);
        let lag_deg = project.trigger.latency_us * DEG_PER_US_RPM * conditions.speed_rpm;
        let shown_deg = breakdown.fires.then_some(breakdown.commanded_deg - lag_deg);
        Self { breakdown, lag_deg, shown_deg }
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;
    use crate::project::{LoadKind, NewProject};

    /// 100 µs are 3.6° at 6000 rpm, by hand.
    #[test]
    fn the_light_sees_the_lag_and_nothing_where_none_fires() {
        let new = NewProject { name: "l".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let project = new.create().unwrap().edit(|parts| parts.trigger.latency_us = 100.0).unwrap();
        let at = |speed_rpm| LightShown::of(&project, &Conditions { speed_rpm, load: 20.0, ..Conditions::default() });
        let found = at(6000.0);
        assert_abs_diff_eq!(found.lag_deg, 3.6, epsilon = 1e-12);
        assert_abs_diff_eq!(found.shown_deg.unwrap(), found.breakdown.commanded_deg - 3.6, epsilon = 1e-12);
        assert_eq!((at(20.0).shown_deg, at(9000.0).shown_deg), (None, None));
    }
}
