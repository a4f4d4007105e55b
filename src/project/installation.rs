//! Changes of the installation that carry others with them: the number of cylinders, the firing order, the kind of load.

use std::sync::Arc;

use super::engine::COIL_NAMES;
use super::starter::Starter;
use super::{
    AcceptedFinding, Advance, CoilChannel, Condition, DecidedBy, Engine, FullLoadLine, GapPlace, KeptRun, KeptSweep,
    KnownEngine, LoadKind, NewProject, Project, Signal, StartingLayout, THRESHOLDS, Trim, Trims,
};
use crate::wording::{Refusal, Unit, quantity};

/// A change that is ready: the label of its step and the project after it.
pub type Installed = (String, Project);

impl Project {
    /// The project for 4, 6 or 8 cylinders, with the usual firing order and its coil pairs. The reference
    /// becomes the middle of those that keep the wheel's gap clear of the sparks, the zero offset 0; the
    /// tachometer's pulses follow if they matched the cylinders before.
    ///
    /// # Errors
    /// Why there is no such engine, or what in the project conflicts with it, such as a wheel with too long a gap.
    pub fn with_cylinders(&self, cylinders: u8) -> Result<Installed, Refusal> {
        let fresh = self.fresh(cylinders, self.sensors.load)?;
        let reference_deg = GapPlace::of(self).with_cylinders(cylinders).middle_deg()?;
        let pulses_followed = self.tachometer.pulses_per_revolution == f64::from(self.engine.cylinders) / 2.0;
        let after = self.edit(|parts| {
            parts.engine.cylinders = cylinders;
            parts.engine.firing_order.clone_from(&fresh.engine.firing_order);
            parts.engine.channels.clone_from(&fresh.engine.channels);
            parts.trigger.reference_deg = reference_deg;
            parts.trigger.zero_offset_deg = 0.0;
            if pulses_followed {
                parts.tachometer.pulses_per_revolution = f64::from(cylinders) / 2.0;
            }
        });
        let order = order_text(&fresh.engine.firing_order);
        // The new order is only the usual one, so it counts as assumed even if the old one was confirmed.
        let after = after.and_then(|after| after.edit(|parts| _ = parts.assumed.insert("engine.firing_order".into())));
        let label = format!(
            "Change to {cylinders} cylinders: firing order {order}, reference {}, zero offset {}",
            quantity(reference_deg, Unit::Degree),
            quantity(0.0, Unit::Degree)
        );
        Ok((label, after?))
    }

    /// The project with another firing order and the coil pairs that follow from it. A coil whose pair stays keeps
    /// its name and wiring; the others are new.
    ///
    /// # Errors
    /// When the order does not name each cylinder once.
    pub fn with_firing_order(&self, order: &[u8]) -> Result<Installed, Refusal> {
        let cylinders = self.engine.cylinders;
        let mut sorted = order.to_vec();
        sorted.sort_unstable();
        if !sorted.iter().copied().eq(1..=cylinders) {
            return Err(Refusal::new(format!("the firing order must name each of cylinders 1 to {cylinders} once")));
        }
        let channels = self.channels_for(order);
        let pairs: Vec<String> = channels
            .iter()
            .map(|channel| format!("{} {}+{}", channel.name, channel.cylinders[0], channel.cylinders[1]))
            .collect();
        let label = format!("Set firing order to {}: coils {}", order_text(order), pairs.join(", "));
        let order = order.to_vec();
        let after = self.edit(|parts| {
            parts.engine.firing_order = order;
            parts.engine.channels = channels;
        });
        Ok((label, after?))
    }

    fn channels_for(&self, order: &[u8]) -> Vec<CoilChannel> {
        let same = |a: [u8; 2], b: [u8; 2]| a == b || a == [b[1], b[0]];
        let known = &self.engine.channels;
        let kept = |pair: [u8; 2]| known.iter().find(|channel| same(channel.cylinders, pair));
        let proposed = Engine::proposed_channels(order);
        // A new coil must not be called like one that stays.
        let stays = |name: &str| proposed.iter().filter_map(|new| kept(new.cylinders)).any(|old| old.name == name);
        let is_proposed =
            |name: &str| proposed.iter().any(|channel| channel.name == name && kept(channel.cylinders).is_none());
        let mut free = COIL_NAMES.into_iter().filter(|name| !stays(name) && !is_proposed(name));
        let mut named = |new: &CoilChannel| match kept(new.cylinders) {
            Some(old) => CoilChannel { cylinders: new.cylinders, ..old.clone() },
            None if stays(&new.name) => CoilChannel { name: free.next().unwrap_or_default().into(), ..new.clone() },
            None => new.clone(),
        };
        proposed.iter().map(&mut named).collect()
    }

    /// The project with the other kind of load. Whatever is defined over load gets new defaults: the advance
    /// table's rows, the trims' weights, idle load, safety margin and full-load line, and the image if it is
    /// one of the starting layouts.
    ///
    /// # Errors
    /// What cannot be carried over, and what has to be done about it first.
    pub fn with_load_kind(&self, load: LoadKind) -> Result<Installed, Refusal> {
        let old = self.sensors.load;
        let held = self.advance.held().count();
        if held > 0 {
            let (cells, them) = if held == 1 { ("1 held cell was", "it") } else { ("held cells were", "them") };
            let count = if held == 1 { String::new() } else { format!("{held} ") };
            let refusal = Refusal::new(format!("{count}{cells} set for load as {}", old.name()));
            return Err(refusal.remedy(format!("release {them} first")));
        }
        let on_load = |condition: &Condition| condition.signal == Signal::Load;
        if let Some(output) = self.outputs.iter().find(|output| output.conditions.iter().any(on_load)) {
            let name = &output.name;
            let refusal = Refusal::new(format!("output '{name}' switches on load in {}", old.unit()));
            return Err(refusal.remedy("change its condition first"));
        }
        if let Some(what) = self.kept_over_load() {
            let refusal = Refusal::new(format!("{what}, with loads in {}", old.unit()));
            return Err(refusal.remedy("take it away first"));
        }
        let fresh = self.fresh(self.engine.cylinders, load)?;
        let was_fitted = self.sensors.pressure.fitted;
        let advance = self.starter_rows(&fresh)?;
        let image = StartingLayout::carried_over(&self.image, old, load);
        let after = self.edit(|parts| {
            parts.sensors.load = load;
            match load {
                LoadKind::Throttle => parts.sensors.throttle.fitted = true,
                LoadKind::Pressure => parts.sensors.pressure.fitted = true,
            }
            parts.advance = advance;
            parts.engine.idle_load = fresh.engine.idle_load;
            parts.trims.coolant.weight = fresh.trims.coolant.weight.clone();
            parts.trims.air.weight = fresh.trims.air.weight.clone();
            parts.safety_margin.degrees = fresh.safety_margin.degrees.clone();
            parts.full_load_line.from_load = fresh.full_load_line.from_load;
            parts.full_load_line.less_deg = fresh.full_load_line.less_deg.clone();
            if let Some(image) = image {
                parts.image = image;
            }
        });
        let after = after.and_then(|after| {
            after.edit(|parts| {
                parts.advance = parts.under_full_load_line().unwrap_or_else(|_| parts.advance.clone());
                parts.assumed.insert("engine.idle_load".into());
                if load == LoadKind::Pressure && !was_fitted {
                    let is_pressure = |path: &&String| path.starts_with("sensors.pressure.");
                    parts.assumed.extend(fresh.assumed.iter().filter(is_pressure).cloned());
                }
            })
        });
        let label = format!(
            "Change load to {} in {}: advance table and all that depends on load start anew",
            load.name(),
            load.unit()
        );
        Ok((label, after?))
    }

    /// The first thing in the project, apart from the table, that holds loads and would not get a new default.
    fn kept_over_load(&self) -> Option<String> {
        let has_loads = |run: &&Arc<KeptRun>| run.rows.iter().any(|row| row.load.is_some());
        let run = self.runs.iter().find(has_loads).map(|run| format!("run '{}' is kept", run.name));
        let point = self.evidence.points.first().map(|point| format!("measured point '{}' is kept", point.name));
        let has_readings = |sweep: &&Arc<KeptSweep>| !sweep.readings.is_empty();
        let sweep = self.evidence.sweeps.iter().find(has_readings);
        let sweep = sweep.map(|sweep| format!("timing sweep '{}' is kept", sweep.name));
        let threshold = THRESHOLDS.iter().find(|threshold| {
            threshold.decided_by == DecidedBy::LoadKind && self.checks.thresholds.contains_key(threshold.name)
        });
        let threshold = threshold.map(|threshold| format!("threshold '{}' is set", threshold.label));
        let is_of_cells = |accepted: &&AcceptedFinding| accepted.place.from_load.is_some();
        let accepted = self.checks.accepted.iter().find(is_of_cells);
        let accepted = accepted.map(|accepted| format!("a finding of '{}' is accepted", accepted.id));
        run.or(point).or(sweep).or(threshold).or(accepted)
    }

    /// The table that a new project of this engine begins with, over this project's breakpoints and under its line.
    ///
    /// # Errors
    /// [`Refusal`] only for figures that no project has.
    pub fn starting_table(&self) -> Result<Advance, Refusal> {
        let (table, line) = (self.advance.table(), &self.full_load_line);
        let (engine, trims, load) = (&self.engine, &self.trims, self.sensors.load);
        let starter = Starter { engine, load, trims, line, step_deg: self.step_deg };
        Ok(starter.table(table.speed().clone(), table.load().clone())?)
    }

    /// A new project's table over this project's speeds.
    fn starter_rows(&self, fresh: &Self) -> Result<Advance, Refusal> {
        let speeds = self.advance.table().speed().clone();
        let loads = fresh.advance.table().load().clone();
        let line = FullLoadLine { most_deg: self.full_load_line.most_deg.clone(), ..fresh.full_load_line.clone() };
        let line = if self.full_load_line.enabled { &line } else { &fresh.full_load_line };
        let (engine, trims) = (&fresh.engine, &fresh.trims);
        let trims = Trims {
            coolant: Trim { degrees: self.trims.coolant.degrees.clone(), ..trims.coolant.clone() },
            air: Trim { degrees: self.trims.air.degrees.clone(), ..trims.air.clone() },
        };
        let load = fresh.sensors.load;
        let starter = Starter { engine, load, trims: &trims, line, step_deg: self.step_deg.max(0.5) };
        Ok(starter.table(speeds, loads)?)
    }

    /// A new project of this size for this project's engine.
    fn fresh(&self, cylinders: u8, load: LoadKind) -> Result<Self, Refusal> {
        let table = self.advance.table();
        let (speeds, loads) = (table.speed().len(), table.load().len());
        let new = NewProject { name: self.name.clone(), cylinders, load, speeds, loads };
        Ok(new.create_for(&KnownEngine::of(&self.engine))?)
    }
}

fn order_text(order: &[u8]) -> String {
    order.iter().map(u8::to_string).collect::<Vec<_>>().join("-")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{SAMPLES, Wheel};
    use crate::table::{Cell, Selection};

    fn project(cylinders: u8, load: LoadKind) -> Project {
        NewProject { name: "trial".into(), cylinders, load, speeds: 8, loads: 6 }.create_with_outputs()
    }

    #[test]
    fn cylinders_bring_order_pairs_reference_and_tachometer() {
        let four = project(4, LoadKind::Throttle).edit(|parts| parts.trigger.zero_offset_deg = 3.0).unwrap();
        let (label, six) = four.with_cylinders(6).unwrap();
        assert_eq!(label, "Change to 6 cylinders: firing order 1-5-3-6-2-4, reference 70.0°, zero offset 0.0°");
        assert_eq!(six.engine.channels.len(), 3);
        assert_eq!((six.trigger.reference_deg, six.trigger.zero_offset_deg), (70.0, 0.0));
        assert_eq!(six.tachometer.pulses_per_revolution, 3.0);
        assert_eq!(six.advance, four.advance);
        let odd = four.edit(|parts| parts.tachometer.pulses_per_revolution = 1.0).unwrap();
        assert_eq!(odd.with_cylinders(8).unwrap().1.tachometer.pulses_per_revolution, 1.0);
        assert!(four.with_cylinders(5).unwrap_err().to_string().contains("companion"));
        let with_wheel = |teeth, missing| four.edit(|parts| parts.trigger.wheel = Wheel { teeth, missing }).unwrap();
        assert_eq!(with_wheel(60, 2).with_cylinders(6).unwrap().1.trigger.reference_deg, 71.0);
        let refused = with_wheel(12, 1).with_cylinders(8).unwrap_err().to_string();
        assert!(
            refused.contains("wheel of 12−1") && refused.ends_with("at least 18 teeth with 1 missing"),
            "{refused}"
        );
    }

    #[test]
    fn a_firing_order_brings_its_pairs_and_keeps_the_wiring_of_the_same_ones() {
        let wired = project(4, LoadKind::Throttle)
            .edit(|parts| parts.engine.channels[0].wiring = "pin 7, white".into())
            .unwrap();
        let (label, turned) = wired.with_firing_order(&[1, 2, 4, 3]).unwrap();
        assert_eq!(label, "Set firing order to 1-2-4-3: coils A 1+4, B 2+3");
        assert_eq!(turned.engine.channels[0].wiring, "pin 7, white");
        let (_, flat) = wired.with_firing_order(&[1, 4, 3, 2]).unwrap();
        assert_eq!(flat.engine.channels[0].cylinders, [1, 3]);
        assert_eq!(flat.engine.channels[0].wiring, "");
        assert!(wired.with_firing_order(&[1, 1, 3, 4]).unwrap_err().to_string().contains("once"));
    }

    #[test]
    fn a_coil_keeps_name_and_wiring_where_its_pair_stays() {
        let wired = project(6, LoadKind::Throttle)
            .edit(|parts| {
                for (channel, (name, wiring)) in
                    parts.engine.channels.iter_mut().zip([("front", "white"), ("B", "grey"), ("rear", "red")])
                {
                    (channel.name, channel.wiring) = (name.into(), wiring.into());
                }
            })
            .unwrap();
        let of = |project: &Project| -> Vec<(String, [u8; 2], String)> {
            let channels = project.engine.channels.iter();
            channels.map(|channel| (channel.name.clone(), channel.cylinders, channel.wiring.clone())).collect()
        };
        let told = |list: &[(&str, [u8; 2], &str)]| -> Vec<(String, [u8; 2], String)> {
            list.iter().map(|(name, pair, wiring)| ((*name).to_owned(), *pair, (*wiring).to_owned())).collect()
        };
        // 1-5-3-6-2-4: pairs 1+6, 5+2, 3+4.
        assert_eq!(of(&wired), told(&[("front", [1, 6], "white"), ("B", [5, 2], "grey"), ("rear", [3, 4], "red")]));
        let (label, turned) = wired.with_firing_order(&[1, 2, 4, 6, 5, 3]).unwrap();
        assert_eq!(label, "Set firing order to 1-2-4-6-5-3: coils front 1+6, B 2+5, rear 4+3");
        assert_eq!(of(&turned), told(&[("front", [1, 6], "white"), ("B", [2, 5], "grey"), ("rear", [4, 3], "red")]));
        // 1+6 stays, the other two are new and must not be named like one that stays.
        let (_, other) = wired.with_firing_order(&[1, 5, 2, 6, 3, 4]).unwrap();
        assert_eq!(of(&other)[0], ("front".into(), [1, 6], "white".into()));
        assert!(of(&other)[1..].iter().all(|(_, _, wiring)| wiring.is_empty()), "{:?}", of(&other));
        let moved = wired.edit(|parts| parts.engine.channels[0].name = "C".into()).unwrap();
        let (_, other) = moved.with_firing_order(&[1, 5, 2, 6, 3, 4]).unwrap();
        let mut names: Vec<String> = of(&other).into_iter().map(|(name, ..)| name).collect();
        assert_eq!(names[0], "C");
        names.sort();
        names.dedup();
        assert_eq!(names.len(), 3, "{:?}", of(&other));
    }

    #[test]
    fn the_kind_of_load_starts_anew_what_is_written_over_load() {
        for (old, new) in [(LoadKind::Throttle, LoadKind::Pressure), (LoadKind::Pressure, LoadKind::Throttle)] {
            let before = project(4, old);
            let (label, after) = before.with_load_kind(new).unwrap();
            let fresh = project(4, new);
            assert!(label.starts_with(&format!("Change load to {} in {}", new.name(), new.unit())), "{label}");
            assert_eq!(after.advance.table(), fresh.advance.table());
            assert_eq!((&after.trims, &after.image), (&fresh.trims, &fresh.image));
            assert_eq!(after.engine.idle_load, fresh.engine.idle_load);
            let sensors = &after.sensors;
            assert!(if new == LoadKind::Throttle { sensors.throttle.fitted } else { sensors.pressure.fitted });
        }
    }

    #[test]
    fn held_cells_and_outputs_on_load_refuse_the_other_kind() {
        let before = project(4, LoadKind::Throttle);
        let cell = Selection::cell(before.advance.table(), Cell::new(1, 1));
        let held = before.with_advance(before.advance.with_held(&cell, true)).unwrap();
        assert_eq!(
            held.with_load_kind(LoadKind::Pressure).unwrap_err().to_string(),
            "1 held cell was set for load as throttle: release it first"
        );
        let fan = before.edit(|parts| parts.outputs[1].conditions[0].signal = Signal::Load).unwrap();
        assert!(
            fan.with_load_kind(LoadKind::Pressure).unwrap_err().to_string().contains("'fan' switches on load in %")
        );
    }

    /// A run's loads, a threshold of load and an accepted place in the table would take on another meaning.
    #[test]
    fn what_is_kept_with_loads_refuses_the_other_kind() {
        use crate::project::{AcceptedFinding, FindingPlace};
        let before = project(4, LoadKind::Pressure);
        let refused = |change: fn(&mut crate::project::Parts)| {
            before.edit(change).unwrap().with_load_kind(LoadKind::Throttle).unwrap_err().to_string()
        };
        let run = refused(|parts| {
            let row = |time_s, load| crate::project::KeptRow {
                time_s: Some(time_s),
                speed_rpm: Some(900.0),
                load,
                coolant_c: None,
                air_c: None,
                battery_v: None,
                throttle_pct: None,
                launch: false,
            };
            let rows = vec![row(0.0, Some(40.0)), row(5.0, Some(60.0))];
            parts.runs.push(
                crate::project::KeptRun { name: "hill".into(), rows, variation: 0.0, varies_below_rpm: 0.0 }.into(),
            );
        });
        assert_eq!(run, "run 'hill' is kept, with loads in kPa: take it away first");
        let everything = || crate::project::NewProject::sample_with_everything().unwrap().evidence;
        let point = before.edit(|parts| parts.evidence.points = everything().points).unwrap();
        let told = point.with_load_kind(LoadKind::Throttle).unwrap_err().to_string();
        assert_eq!(told, "measured point 'P3' is kept, with loads in kPa: take it away first");
        let sweep = before.edit(|parts| parts.evidence.sweeps = everything().sweeps).unwrap();
        let told = sweep.with_load_kind(LoadKind::Throttle).unwrap_err().to_string();
        assert_eq!(told, "timing sweep 'May sweep' is kept, with loads in kPa: take it away first");
        let threshold = refused(|parts| _ = parts.checks.thresholds.insert("chatter_load".into(), 3.0));
        assert!(threshold.starts_with("threshold 'On and off apart, load' is set, with loads in kPa"), "{threshold}");
        let accepted = refused(|parts| {
            let place = FindingPlace::cells((900.0, 1300.0), (40.0, 60.0));
            let (id, reason) = ("idle_slope".to_owned(), "steady".to_owned());
            parts.checks.accepted.push(AcceptedFinding { id, place, value: 3.5, reason });
        });
        assert!(accepted.starts_with("a finding of 'idle_slope' is accepted"), "{accepted}");
    }

    #[test]
    fn the_new_table_lies_under_the_line_of_this_engine() {
        for new in [LoadKind::Pressure, LoadKind::Throttle] {
            let before = project(4, LoadKind::Throttle).edit(|parts| {
                parts.engine.compression_ratio = 12.0;
                parts.engine.fuel_octane_ron = 102.0;
            });
            let (_, line) = before.unwrap().with_computed_line().unwrap().unwrap();
            let other =
                if new == LoadKind::Throttle { line.with_load_kind(LoadKind::Pressure).unwrap().1 } else { line };
            let (_, after) = other.with_load_kind(new).unwrap();
            assert_eq!(after.lowered_to_full_load_line(), Some(Vec::new()));
            assert!(after.is_assumed("engine.idle_load"));
        }
    }

    #[test]
    fn every_sample_can_change_or_says_why_not() {
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            let other = match project.sensors.load {
                LoadKind::Throttle => LoadKind::Pressure,
                LoadKind::Pressure => LoadKind::Throttle,
            };
            match project.with_load_kind(other) {
                Ok((_, after)) => assert_eq!(after.sensors.load, other),
                Err(why) => assert!(why.to_string().ends_with("first"), "{why}"),
            }
        }
    }
}
