//! Which readings belong to one operating point.

use std::collections::BTreeMap;

use super::SweepLimits;
use crate::project::SweepReading;

/// The readings of one operating point.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Group {
    /// Its name, if the readings have one.
    pub(super) name: Option<String>,
    /// The median of their speeds.
    pub(super) speed_rpm: f64,
    /// The median of their loads.
    pub(super) load: f64,
    /// Which readings, in their order.
    pub(super) rows: Vec<usize>,
    /// The speed and the load that it is called by without a name: those of the readings that it began with.
    pub(super) called_at: Place,
}

impl Group {
    /// Its speed and its load.
    pub(super) const fn place(&self) -> Place {
        (self.speed_rpm, self.load)
    }
}

/// Groups readings: by the names of their points, and those without one by speed and load. A reading joins the nearest
/// point within tolerance or begins a new one; then each point moves to the median of its readings, and they are
/// assigned once more. Points stand in the order in which their first readings were taken. Returned besides are the
/// readings that lie within tolerance of no point in the end.
///
/// Readings are never chained together: along a pull each is near the one before.
pub(super) fn group(readings: &[SweepReading], limits: &SweepLimits) -> (Vec<Group>, Vec<usize>) {
    let mut named: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    let mut nameless = Vec::new();
    for (row, reading) in readings.iter().enumerate() {
        match reading.point.as_deref().map(str::trim).filter(|name| !name.is_empty()) {
            Some(name) => named.entry(name).or_default().push(row),
            None => nameless.push(row),
        }
    }
    let place = |row: usize| readings.get(row).map(|reading| (reading.speed_rpm, reading.load));
    let (by_place, strays) = by_place(&nameless, &place, limits);
    let named = named.into_iter().map(|(name, rows)| (Some(name.to_owned()), rows));
    let all = named.chain(by_place.into_iter().map(|rows| (None, rows)));
    let median_group = |(name, rows): (Option<String>, Vec<usize>)| {
        let (speed_rpm, load) = medians(&rows, &place);
        Group { name, speed_rpm, load, rows, called_at: (speed_rpm, load) }
    };
    let mut groups: Vec<Group> = all.filter(|(_, rows)| !rows.is_empty()).map(median_group).collect();
    groups.sort_by_key(|group| group.rows.first().copied());
    (groups, strays)
}

/// A speed in rpm and a load.
type Place = (f64, f64);

fn by_place(
    rows: &[usize],
    place: &impl Fn(usize) -> Option<Place>,
    limits: &SweepLimits,
) -> (Vec<Vec<usize>>, Vec<usize>) {
    let mut centres = Centres::new(limits);
    let mut members: Vec<Vec<usize>> = Vec::new();
    for &row in rows {
        let Some(at) = place(row) else { continue };
        let centre = centres.nearest(at).unwrap_or_else(|| {
            members.push(Vec::new());
            centres.add(at)
        });
        if let Some(rows) = members.get_mut(centre) {
            rows.push(row);
        }
    }
    let mut moved = Centres::new(limits);
    for rows in &members {
        moved.add(medians(rows, place));
    }
    let (mut assigned, mut strays) = (vec![Vec::new(); members.len()], Vec::new());
    for &row in rows {
        let nearest = place(row).and_then(|at| moved.nearest(at));
        match nearest.and_then(|centre| assigned.get_mut(centre)) {
            Some(rows) => rows.push(row),
            None => strays.push(row),
        }
    }
    (assigned, strays)
}

/// The medians of the speeds and the loads of some readings.
pub(super) fn medians(rows: &[usize], place: &impl Fn(usize) -> Option<Place>) -> Place {
    let places: Vec<Place> = rows.iter().filter_map(|&row| place(row)).collect();
    (median(places.iter().map(|place| place.0)), median(places.iter().map(|place| place.1)))
}

/// The middle value, or the mean of the two in the middle; 0 of none.
pub(super) fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let half = sorted.len() / 2;
    let high = sorted.get(half).copied().unwrap_or_default();
    if sorted.len() % 2 == 1 {
        return high;
    }
    let low = half.checked_sub(1).and_then(|at| sorted.get(at)).copied().unwrap_or_default();
    0.5 * (low + high)
}

/// Centres of points, found by the square of the plane in which they lie: a hundred thousand readings that all lie
/// apart take no longer than so many of one point.
struct Centres<'a> {
    limits: &'a SweepLimits,
    places: Vec<Place>,
    squares: BTreeMap<(i64, i64), Vec<usize>>,
}

impl<'a> Centres<'a> {
    fn new(limits: &'a SweepLimits) -> Self {
        Self { limits, places: Vec::new(), squares: BTreeMap::new() }
    }

    fn add(&mut self, place: Place) -> usize {
        let at = self.places.len();
        self.places.push(place);
        self.squares.entry(self.square(place)).or_default().push(at);
        at
    }

    /// Squares about one tolerance wide. Where the tolerance is a share of the speed they grow with it.
    #[expect(clippy::cast_possible_truncation, reason = "speeds and loads are bounded")]
    fn square(&self, (speed_rpm, load): Place) -> (i64, i64) {
        let share = self.limits.speed_pct / 100.0;
        let turn_rpm = if share > 0.0 { self.limits.speed_rpm / share } else { f64::INFINITY };
        let across = if speed_rpm <= turn_rpm {
            speed_rpm / self.limits.speed_rpm
        } else {
            1.0 / share + (speed_rpm / turn_rpm).ln() / share
        };
        (across.floor() as i64, (load / self.limits.load).floor() as i64)
    }

    /// The nearest centre within tolerance, in units of it; of two that are equally near, the one that came first.
    fn nearest(&self, place: Place) -> Option<usize> {
        let (across, up) = self.square(place);
        let mut best: Option<(f64, usize)> = None;
        // Two squares to the side: the tolerance of a centre further up is a little wider than its square.
        for square in (-2..=2).flat_map(|x| (-1..=1).map(move |y| (across + x, up + y))) {
            for &at in self.squares.get(&square).into_iter().flatten() {
                let Some(&centre) = self.places.get(at) else { continue };
                let Some(far) = self.limits.distance(place, centre) else { continue };
                if best.is_none_or(|(nearest, first)| far < nearest || far <= nearest && at < first) {
                    best = Some((far, at));
                }
            }
        }
        best.map(|(_, at)| at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn reading(speed_rpm: f64, load: f64) -> SweepReading {
        SweepReading { speed_rpm, load, advance_deg: 20.0, torque: 100.0, ..SweepReading::default() }
    }

    fn grouped(places: &[Place]) -> (Vec<Vec<usize>>, Vec<usize>) {
        let readings: Vec<SweepReading> = places.iter().map(|&(speed_rpm, load)| reading(speed_rpm, load)).collect();
        let (groups, strays) = group(&readings, &SweepLimits::default());
        (groups.into_iter().map(|group| group.rows).collect(), strays)
    }

    #[test]
    fn readings_join_the_nearest_point_within_tolerance() {
        let (groups, strays) = grouped(&[(3000.0, 47.0), (3040.0, 48.5), (3120.0, 47.0), (2990.0, 46.0)]);
        assert_eq!((groups, strays), (vec![vec![0, 1, 3], vec![2]], vec![]));
        // 1.5 % of 6000 rpm are 90 rpm.
        assert_eq!(grouped(&[(6000.0, 50.0), (6089.0, 50.0), (5915.0, 50.0)]).0, [vec![0, 1, 2]]);
        assert_eq!(grouped(&[(3000.0, 50.0), (3000.0, 52.1)]).0.len(), 2);
    }

    /// The first reading of a point lies at its edge: its median moves away from the last.
    #[test]
    fn what_ends_up_beside_its_point_is_a_stray() {
        let (groups, strays) =
            grouped(&[(3000.0, 50.0), (3045.0, 50.0), (3046.0, 50.0), (2951.0, 50.0), (3047.0, 50.0)]);
        assert_eq!((groups, strays), (vec![vec![0, 1, 2, 4]], vec![3]));
    }

    #[test]
    fn names_count_and_points_stand_as_they_were_read() {
        let mut readings: Vec<SweepReading> = [3000.0, 3200.0, 4000.0].map(|rpm| reading(rpm, 50.0)).into();
        readings[0].point = Some("B".into());
        readings[1].point = Some(" B".into());
        readings.insert(0, SweepReading { point: Some(" ".into()), ..reading(2000.0, 30.0) });
        let (groups, strays) = group(&readings, &SweepLimits::default());
        let told: Vec<(Option<&str>, f64)> =
            groups.iter().map(|group| (group.name.as_deref(), group.speed_rpm)).collect();
        assert_eq!((told, strays), (vec![(None, 2000.0), (Some("B"), 3100.0), (None, 4000.0)], vec![]));
    }

    /// A hundred thousand readings, every one a point of its own, and a pull in which each is near the one before.
    #[test]
    fn many_readings_are_not_chained_together() {
        let apart: Vec<Place> =
            (0..100_000).map(|at| (f64::from(at % 400) * 70.0, f64::from(at / 400) * 2.0)).collect();
        let far = apart.iter().filter(|(speed_rpm, _)| *speed_rpm < 3300.0).count();
        assert!(grouped(&apart).0.len() >= far);
        let pull: Vec<Place> = (0..2000).map(|at| (2000.0 + f64::from(at), 100.0)).collect();
        let (groups, _) = grouped(&pull);
        assert!(groups.iter().all(|rows| rows.len() <= 101) && groups.len() > 18, "{}", groups.len());
    }

    proptest! {
        /// Where points lie two tolerances apart and readings within half a tolerance, any order gives the same points.
        #[test]
        fn the_order_of_readings_changes_nothing(
            offsets in proptest::collection::vec((0..6_usize, 0..4_usize, -0.49..0.49_f64, -0.49..0.49_f64), 1..60),
            seed in any::<u64>(),
        ) {
            let centre = |across: usize, up: usize| -> Place {
                #[expect(clippy::cast_precision_loss, reason = "small numbers")]
                let (across, up) = (across as f64, up as f64);
                (1500.0 * 1.05_f64.powf(across * 2.0), 30.0 + 4.2 * up)
            };
            let places: Vec<Place> = offsets.iter().map(|&(across, up, right, above)| {
                let (speed_rpm, load) = centre(across, up);
                (speed_rpm + right * 50.0_f64.max(0.015 * speed_rpm), load + above * 2.0)
            }).collect();
            let mut order: Vec<usize> = (0..places.len()).collect();
            order.sort_by_key(|&at| (at as u64 + 1).wrapping_mul(seed | 1).rotate_left(17));
            let shuffled: Vec<Place> = order.iter().map(|&at| places[at]).collect();
            let sets = |rows: Vec<Vec<usize>>, names: &[usize]| {
                let mut sets: Vec<Vec<usize>> = rows.into_iter().map(|rows| {
                    let mut named: Vec<usize> = rows.into_iter().map(|row| names[row]).collect();
                    named.sort_unstable();
                    named
                }).collect();
                sets.sort();
                sets
            };
            let same: Vec<usize> = (0..places.len()).collect();
            let ((one, one_strays), (other, other_strays)) = (grouped(&places), grouped(&shuffled));
            prop_assert_eq!(sets(one, &same), sets(other, &order));
            prop_assert!(one_strays.is_empty() && other_strays.is_empty());
        }
    }
}
