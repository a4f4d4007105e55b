//! Where sparks come while the starter turns the engine at a steady mean speed: in closed form, without
//! simulating a run.

use super::{Layout, Settings, Swing};
use crate::project::Parts;

/// The sparks of a project while cranking.
#[derive(Clone, Debug)]
pub struct CrankingSparks {
    layout: Layout,
    swing: Option<Swing>,
    advance_deg: f64,
    lead_deg: f64,
}

impl CrankingSparks {
    /// With a cyclic variation of the speed, 0..=0.5, slowest at top dead centre; 0 where the plugs are out.
    pub fn new(parts: &Parts, variation: f64) -> Self {
        let layout = Layout::new(parts);
        let swing = Settings { variation, ..Settings::default() }.swing(&layout);
        let clamp = &parts.limits.clamp;
        let advance_deg = parts.limits.cranking.advance_deg.max(clamp.floor_deg).min(clamp.ceiling_deg);
        let lead_deg = parts.trigger.lead_pitches * layout.wheel().pitch_deg();
        Self { layout, swing, advance_deg, lead_deg }
    }

    /// The advance that is commanded, in degrees before top dead centre: the cranking advance within floor and ceiling.
    pub fn commanded_deg(&self) -> f64 {
        self.advance_deg
    }

    /// How late a channel's spark comes, in crank degrees; negative is early. `None` where no tooth can time
    /// it.
    ///
    /// The unit waits for (remaining angle ÷ speed over the last period). The even angle (see [`super::Swing`])
    /// is proportional to time, so the spark comes where the even angle has grown by the corresponding amount;
    /// the speed itself cancels out.
    pub fn late_deg(&self, channel: usize) -> Option<f64> {
        let swing = self.swing.as_ref();
        let even = |deg: f64| swing.map_or(deg, |swing| swing.even_deg(deg));
        let target_deg = self.layout.tdc_deg(channel) - self.advance_deg;
        let (before_deg, edge_deg) = edges_before(&self.layout, target_deg, self.lead_deg)?;
        let period = (even(edge_deg) - even(before_deg)) / (edge_deg - before_deg);
        let spark_even = even(edge_deg) + (target_deg - edge_deg) * period;
        Some(swing.map_or(spark_even, |swing| swing.crank_deg(spark_even)) - target_deg)
    }
}

/// Angles of the last tooth edge at least `lead_deg` before `target_deg`, and of the edge before it, in degrees
/// after the reference edge.
fn edges_before(layout: &Layout, target_deg: f64, lead_deg: f64) -> Option<(f64, f64)> {
    let edges = layout.wheel().edges();
    let turn_deg = (target_deg / 360.0).floor() * 360.0;
    let teeth = |turn_deg: f64| (0..edges).map(move |tooth| turn_deg + layout.tooth_deg(tooth));
    let places = teeth(turn_deg - 720.0).chain(teeth(turn_deg - 360.0)).chain(teeth(turn_deg));
    let kept: Vec<f64> = places.filter(|deg| target_deg - deg >= lead_deg - 1e-9).collect();
    let [.., before, last] = kept.as_slice() else {
        return None;
    };
    Some((*before, *last))
}
