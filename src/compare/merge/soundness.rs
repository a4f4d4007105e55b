//! Limits that are valid in any order, but mean something in one order only. What both sides kept in order, a merge does
//! not break.

use crate::project::{Parts, Project};

/// The part of a project, and the lower and the higher of two of its values.
type Order = (&'static str, fn(&Parts) -> (f64, f64));

/// Every inequality by itself: a side that breaks one of a part does not allow the others to be broken.
const ORDERS: [Order; 8] = [
    ("limits.cranking", |parts| (parts.limits.cranking.no_spark_below_rpm, parts.limits.cranking.below_rpm)),
    ("limits.cranking", |parts| (parts.limits.cranking.below_rpm, parts.limits.cranking.leave_at_rpm)),
    ("limits.over_speed", |parts| (parts.limits.over_speed.eases_from_rpm, parts.limits.over_speed.cuts_at_rpm)),
    ("limits.over_speed", |parts| (parts.limits.over_speed.fires_again_below_rpm, parts.limits.over_speed.cuts_at_rpm)),
    ("limits.over_speed", |parts| (parts.limits.over_speed.cuts_at_rpm, parts.limits.over_speed.cuts_all_at_rpm)),
    ("limits.launch", |parts| (parts.limits.launch.retards_from_rpm, parts.limits.launch.cuts_at_rpm)),
    ("limits.clamp", |parts| (parts.limits.clamp.floor_deg, parts.limits.clamp.ceiling_deg)),
    ("sensors", |parts| (parts.sensors.lowest_battery_v, parts.sensors.highest_battery_v)),
];

/// The part in which the merged project breaks an order that mine and theirs both keep.
pub(super) fn broken(merged: &Project, [_, mine, theirs]: &[Project; 3]) -> Option<&'static str> {
    let is_broken = |(_, values): &&Order| {
        let keeps = |parts: &Parts| {
            let (lower, higher) = values(parts);
            lower <= higher
        };
        !keeps(merged) && keeps(mine) && keeps(theirs)
    };
    ORDERS.iter().find(is_broken).map(|(part, _)| *part)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::samples::everything;

    #[test]
    fn a_side_out_of_order_does_not_allow_another_order_to_be_broken() {
        let with = |fires_again_rpm: f64, eases_rpm: f64, cuts_rpm: f64| {
            let limited = everything().edit(|parts| {
                let limit = &mut parts.limits.over_speed;
                (limit.fires_again_below_rpm, limit.eases_from_rpm) = (fires_again_rpm, eases_rpm);
                (limit.cuts_at_rpm, limit.cuts_all_at_rpm) = (cuts_rpm, 9000.0);
            });
            limited.unwrap()
        };
        let base = with(6900.0, 6800.0, 7000.0);
        // Mine fires again above its own cut; theirs eases from higher on, below their cut but not below mine.
        let (mine, theirs) = (with(6900.0, 6300.0, 6500.0), with(6900.0, 6900.0, 7000.0));
        let merged = with(6900.0, 6900.0, 6500.0);
        assert_eq!(broken(&merged, &[base.clone(), mine.clone(), theirs.clone()]), Some("limits.over_speed"));
        // What one side broke itself, a merge may keep.
        assert_eq!(broken(&with(6900.0, 6300.0, 6500.0), &[base, mine, theirs]), None);
    }
}
