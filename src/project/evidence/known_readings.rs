//! Readings that a project has already: a file that is read again, or one that has grown since.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{Evidence, KeptSweep, SweepReading, TorqueKind};
use crate::wording::free_name;

/// A kept reading: the place of its sweep among the kept ones, and its own among the sweep's readings.
pub type KeptPlace = (usize, usize);

/// The sweeps of a project with the readings of one more.
#[derive(Clone, Debug, PartialEq)]
pub struct WithSweep {
    /// All of them; readings that are new are the last, if there are any.
    pub sweeps: Vec<Arc<KeptSweep>>,
    /// Where each of the readings stands among them.
    pub places: Vec<KeptPlace>,
    /// How many readings are new.
    pub fresh: usize,
}

impl Evidence {
    /// Its sweeps with the readings of one more, of which those that it has are not kept twice. Where its name is taken a
    /// number is added. If it says how its pulls are corrected for the air, then so are those of a kept sweep all of whose
    /// readings it has: that is the same sweep again.
    pub fn with_sweep(&self, sweep: KeptSweep) -> WithSweep {
        let found = find_kept(&sweep.readings, sweep.torque_kind, &self.sweeps);
        let mut sweeps = self.sweeps.clone();
        let new = sweeps.len();
        for (at, own) in sweeps.iter_mut().enumerate().filter(|_| sweep.air.is_some()) {
            let known = found.iter().flatten().filter(|place| place.0 == at).count();
            if known > 0 && known == own.readings.len() && own.air != sweep.air {
                Arc::make_mut(own).air = sweep.air;
            }
        }
        let name = free_name(&sweep.name, |name| sweeps.iter().any(|own| own.name == name));
        let (mut readings, mut places) = (Vec::new(), Vec::with_capacity(found.len()));
        for (reading, kept) in sweep.readings.into_iter().zip(found) {
            places.push(kept.unwrap_or((new, readings.len())));
            readings.extend(kept.is_none().then_some(reading));
        }
        let fresh = readings.len();
        if fresh > 0 {
            sweeps.push(Arc::new(KeptSweep { name, readings, ..sweep }));
        }
        WithSweep { sweeps, places, fresh }
    }
}

/// Where each of some readings is kept already: the same in everything but for being left out, of the same kind of torque.
/// A kept reading stands for one only, so that of two alike the second is new where one is kept.
fn find_kept(readings: &[SweepReading], torque_kind: TorqueKind, sweeps: &[Arc<KeptSweep>]) -> Vec<Option<KeptPlace>> {
    let mut kept: BTreeMap<[u64; 5], Vec<(KeptPlace, &SweepReading)>> = BTreeMap::new();
    for (at, sweep) in sweeps.iter().enumerate().filter(|(_, sweep)| sweep.torque_kind == torque_kind) {
        for (row, reading) in sweep.readings.iter().enumerate() {
            kept.entry(key(reading)).or_default().push(((at, row), reading));
        }
    }
    let mut take = |reading: &SweepReading| {
        let alike = kept.get_mut(&key(reading))?;
        let at = alike.iter().position(|(_, own)| is_same(own, reading))?;
        Some(alike.remove(at).0)
    };
    readings.iter().map(&mut take).collect()
}

/// What most readings differ in.
fn key(reading: &SweepReading) -> [u64; 5] {
    let SweepReading { speed_rpm, load, advance_deg, torque, time_s, .. } = *reading;
    [speed_rpm, load, advance_deg, torque, time_s.unwrap_or(f64::NAN)].map(f64::to_bits)
}

fn is_same(kept: &SweepReading, other: &SweepReading) -> bool {
    if kept.left_out == other.left_out {
        return kept == other;
    }
    let plain = |reading: &SweepReading| SweepReading { left_out: None, ..reading.clone() };
    plain(kept) == plain(other)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::AirStandard;

    fn reading(torque: f64) -> SweepReading {
        SweepReading { speed_rpm: 3000.0, load: 60.0, advance_deg: 20.0, torque, ..SweepReading::default() }
    }

    fn sweeps(readings: [&[SweepReading]; 2]) -> Vec<Arc<KeptSweep>> {
        readings.map(|readings| Arc::new(KeptSweep { readings: readings.into(), ..KeptSweep::default() })).into()
    }

    #[test]
    fn what_is_new_is_kept_beside_what_is_known() {
        let kept = sweeps([&[reading(90.0), reading(91.0)], &[]]);
        let evidence = Evidence { sweeps: kept[..1].to_vec(), ..Evidence::default() };
        let brought = |torques: &[f64], air| {
            let readings = torques.iter().map(|torque| reading(*torque)).collect();
            evidence.with_sweep(KeptSweep { readings, air, ..KeptSweep::default() })
        };
        let grown = brought(&[91.0, 92.0, 90.0], None);
        assert_eq!((&grown.places[..], grown.fresh), (&[(0, 1), (1, 0), (0, 0)][..], 1));
        assert_eq!((&grown.sweeps[0], &grown.sweeps[1].readings), (&kept[0], &vec![reading(92.0)]));
        assert_ne!(grown.sweeps[0].name, grown.sweeps[1].name);
        let again = brought(&[90.0, 91.0], None);
        assert_eq!((again.sweeps, again.fresh), (evidence.sweeps.clone(), 0));
        // Told how to correct for the air, a whole sweep is; a part of one is not.
        let iso = Some(AirStandard::Iso);
        assert_eq!(brought(&[90.0, 91.0], iso).sweeps[0].air, iso);
        let part = brought(&[90.0, 93.0], iso);
        assert_eq!((part.sweeps[0].air, part.sweeps[1].air), (None, iso));
    }

    #[test]
    fn each_kept_reading_stands_for_one() {
        let left_out = SweepReading { left_out: Some("a slip".into()), ..reading(91.0) };
        let kept = sweeps([&[reading(90.0), left_out], &[reading(90.0), reading(92.0)]]);
        let new = [reading(92.0), reading(90.0), reading(90.0), reading(90.0), reading(91.0), reading(93.0)];
        let found = find_kept(&new, TorqueKind::TorqueNm, &kept);
        assert_eq!(found, [Some((1, 1)), Some((0, 0)), Some((1, 0)), None, Some((0, 1)), None]);
        assert_eq!(find_kept(&new, TorqueKind::PowerKw, &kept), [None; 6]);
        let later = SweepReading { time_s: Some(60.0), ..reading(90.0) };
        assert_eq!(find_kept(&[later], TorqueKind::TorqueNm, &kept), [None], "read at another time");
    }
}
