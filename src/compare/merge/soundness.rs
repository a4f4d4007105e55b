//! Limits that are valid in any order, but mean something in one order only. What both sides kept in order, a merge does
//! not break.

use crate::project::{Parts, Project};

/// The part of a project, and whether its values are in order.
type Order = (&'static str, fn(&Parts) -> bool);

const ORDERS: [Order; 5] = [
    ("limits.cranking", |parts| {
        let limit = &parts.limits.cranking;
        limit.no_spark_below_rpm <= limit.below_rpm && limit.below_rpm <= limit.leave_at_rpm
    }),
    ("limits.over_speed", |parts| {
        let limit = &parts.limits.over_speed;
        limit.eases_from_rpm <= limit.cuts_at_rpm
            && limit.fires_again_below_rpm <= limit.cuts_at_rpm
            && limit.cuts_at_rpm <= limit.cuts_all_at_rpm
    }),
    ("limits.launch", |parts| parts.limits.launch.retards_from_rpm <= parts.limits.launch.cuts_at_rpm),
    ("limits.clamp", |parts| parts.limits.clamp.floor_deg <= parts.limits.clamp.ceiling_deg),
    ("sensors", |parts| parts.sensors.lowest_battery_v <= parts.sensors.highest_battery_v),
];

/// The part whose order the merged project breaks, though mine and theirs both keep it.
pub(super) fn broken(merged: &Project, [_, mine, theirs]: &[Project; 3]) -> Option<&'static str> {
    let is_broken = |(_, in_order): &&Order| !in_order(merged) && in_order(mine) && in_order(theirs);
    ORDERS.iter().find(is_broken).map(|(part, _)| *part)
}
