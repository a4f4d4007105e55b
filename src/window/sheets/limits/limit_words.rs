//! The limits as sentences that stand beside their bands.

use crate::project::{CutPattern, Parts};
use crate::wording::{Unit, quantity};

fn rpm(speed: f64) -> String {
    quantity(speed, Unit::Rpm)
}

/// 'no spark below 50 rpm; leaves cranking at 500 rpm, blends over 200 rpm; cranks again below 400 rpm'.
pub(super) fn cranking(parts: &Parts) -> String {
    let cranking = &parts.limits.cranking;
    format!(
        "{} while cranking, no spark below {}; left at {}, blends over {}; again below {}",
        quantity(cranking.advance_deg, Unit::Degree),
        rpm(cranking.no_spark_below_rpm),
        rpm(cranking.leave_at_rpm),
        rpm(cranking.blend_rpm),
        rpm(cranking.below_rpm)
    )
}

/// 'eases off by 10.0° from 7150 rpm; cuts every other spark at 7400 rpm, all at 7600 rpm; fires again below 7280 rpm'.
pub(super) fn over_speed(parts: &Parts) -> String {
    let over = &parts.limits.over_speed;
    if !over.enabled {
        return "switched off".into();
    }
    let cuts = match over.pattern {
        CutPattern::AlternateCoils => {
            format!("cuts every other spark at {}, all at {}", rpm(over.cuts_at_rpm), rpm(over.cuts_all_at_rpm))
        }
        CutPattern::All => format!("cuts all sparks at {}", rpm(over.cuts_at_rpm)),
    };
    format!(
        "eases off by {} from {}; {cuts}; fires again below {}",
        quantity(over.eases_by_deg, Unit::Degree),
        rpm(over.eases_from_rpm),
        rpm(over.fires_again_below_rpm)
    )
}

/// 'retards to 0.0° from 3500 rpm; cuts at 4500 rpm, fires again below 4300 rpm'.
pub(super) fn launch(parts: &Parts) -> String {
    let launch = &parts.limits.launch;
    if !launch.enabled {
        return "switched off".into();
    }
    format!(
        "with the switch closed: retards to {} from {}; cuts at {}, fires again below {}",
        quantity(launch.advance_deg, Unit::Degree),
        rpm(launch.retards_from_rpm),
        rpm(launch.cuts_at_rpm),
        rpm(launch.cuts_at_rpm - launch.resume_drop_rpm)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    #[test]
    fn limits_are_told_as_they_are_set() {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let project = new.create().unwrap();
        let project = project
            .edit(|parts| {
                let over = &mut parts.limits.over_speed;
                (over.eases_from_rpm, over.cuts_at_rpm, over.cuts_all_at_rpm) = (6000.0, 6250.0, 6400.0);
                (over.fires_again_below_rpm, over.eases_by_deg) = (6100.0, 8.0);
                let launch = &mut parts.limits.launch;
                (launch.enabled, launch.retards_from_rpm, launch.cuts_at_rpm) = (true, 3000.0, 4000.0);
                (launch.resume_drop_rpm, launch.advance_deg) = (150.0, -2.0);
            })
            .unwrap();
        assert_eq!(
            over_speed(&project),
            "eases off by 8.0° from 6000 rpm; cuts every other spark at 6250 rpm, all at 6400 rpm; fires again below 6100 rpm"
        );
        assert!(
            launch(&project)
                .contains("retards to \u{2212}2.0° from 3000 rpm; cuts at 4000 rpm, fires again below 3850 rpm")
        );
        assert!(cranking(&project).contains("again below"));
    }
}
