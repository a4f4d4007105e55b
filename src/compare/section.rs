//! The sections of a project, as the list of differences groups them.

use crate::project::Parts;

/// A section of the project, which can be taken back as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Section {
    /// Name, notes, step and the locked-timing mark.
    Project,
    /// The advance table with axes, values, held marks and origins.
    Advance,
    /// The engine and its coil channels.
    Engine,
    /// Wheel, sensor, reference and zero offset.
    Trigger,
    /// Load, temperatures, battery.
    Sensors,
    /// The coils and the dwell.
    Coil,
    /// Coolant and air temperature.
    Trims,
    /// Cranking, over-speed, launch, clamp.
    Limits,
    /// The line never to be exceeded at full load.
    FullLoadLine,
    /// The reduction kept apart from the table.
    SafetyMargin,
    /// Switched outputs.
    Outputs,
    /// The tachometer signal.
    Tachometer,
    /// What lies at which address of the image.
    Image,
    /// The readings that prove the zero, and those that are typed and not applied.
    TimingLight,
    /// Runs for the rig.
    Runs,
    /// Measured points, and the readings of timing sweeps.
    Evidence,
    /// Thresholds and accepted findings.
    Checks,
}

impl Section {
    /// Every section, in the order of the list.
    pub const ALL: [Self; 17] = [
        Self::Project,
        Self::Advance,
        Self::Engine,
        Self::Trigger,
        Self::Sensors,
        Self::Coil,
        Self::Trims,
        Self::Limits,
        Self::FullLoadLine,
        Self::SafetyMargin,
        Self::Outputs,
        Self::Tachometer,
        Self::Image,
        Self::TimingLight,
        Self::Runs,
        Self::Evidence,
        Self::Checks,
    ];

    /// What people call it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Project => "Project",
            Self::Advance => "Advance table",
            Self::Engine => "Engine",
            Self::Trigger => "Trigger",
            Self::Sensors => "Sensors",
            Self::Coil => "Coil",
            Self::Trims => "Trims",
            Self::Limits => "Limits",
            Self::FullLoadLine => "Full-load line",
            Self::SafetyMargin => "Safety margin",
            Self::Outputs => "Outputs",
            Self::Tachometer => "Tachometer",
            Self::Image => "Image",
            Self::TimingLight => "Timing light",
            Self::Runs => "Runs",
            Self::Evidence => "Measured points",
            Self::Checks => "Checks",
        }
    }

    /// The section that a part of the project belongs to, by the part's name: the first step of its fields'
    /// paths.
    pub fn of_part(name: &str) -> Option<Self> {
        Some(match name {
            "name" | "notes" | "step_deg" | "locked_timing_deg" | "assumed" => Self::Project,
            "advance" => Self::Advance,
            "engine" | "combustion" => Self::Engine,
            "trigger" => Self::Trigger,
            "sensors" => Self::Sensors,
            "coil" => Self::Coil,
            "trims" => Self::Trims,
            "limits" => Self::Limits,
            "full_load_line" => Self::FullLoadLine,
            "safety_margin" => Self::SafetyMargin,
            "outputs" => Self::Outputs,
            "tachometer" => Self::Tachometer,
            "image" => Self::Image,
            "timing_light" | "typed_readings" => Self::TimingLight,
            "runs" => Self::Runs,
            "evidence" => Self::Evidence,
            "checks" => Self::Checks,
            _ => return None,
        })
    }

    /// The section in which a dotted path lies.
    pub(super) fn of_path(path: &str) -> Option<Self> {
        Self::of_part(path.split(['.', '[']).next().unwrap_or_default())
    }

    /// Copies the section from one project's parts into another's.
    pub(super) fn copy(self, from: &Parts, into: &mut Parts) {
        match self {
            Self::Project => {
                into.name.clone_from(&from.name);
                into.notes.clone_from(&from.notes);
                into.step_deg = from.step_deg;
                into.locked_timing_deg = from.locked_timing_deg;
                into.assumed.clone_from(&from.assumed);
            }
            Self::Advance => into.advance = from.advance.clone(),
            Self::Engine => {
                into.engine.clone_from(&from.engine);
                into.combustion.clone_from(&from.combustion);
            }
            Self::Trigger => into.trigger.clone_from(&from.trigger),
            Self::Sensors => into.sensors.clone_from(&from.sensors),
            Self::Coil => into.coil.clone_from(&from.coil),
            Self::Trims => into.trims.clone_from(&from.trims),
            Self::Limits => into.limits.clone_from(&from.limits),
            Self::FullLoadLine => into.full_load_line.clone_from(&from.full_load_line),
            Self::SafetyMargin => into.safety_margin.clone_from(&from.safety_margin),
            Self::Outputs => into.outputs.clone_from(&from.outputs),
            Self::Tachometer => into.tachometer.clone_from(&from.tachometer),
            Self::Image => into.image.clone_from(&from.image),
            Self::TimingLight => {
                into.timing_light.clone_from(&from.timing_light);
                into.typed_readings.clone_from(&from.typed_readings);
            }
            Self::Runs => into.runs.clone_from(&from.runs),
            Self::Evidence => into.evidence.clone_from(&from.evidence),
            Self::Checks => into.checks.clone_from(&from.checks),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{NewProject, Project, Tree};

    #[test]
    fn every_part_has_a_section_and_every_section_a_part() {
        let project = Project::new(NewProject::sample_with_everything().unwrap()).unwrap();
        let Tree::Record(parts) = project.field_tree().unwrap() else { panic!("a project is a record") };
        let found: Vec<Section> = parts.iter().map(|(name, _)| Section::of_part(name).expect(name)).collect();
        for section in Section::ALL {
            assert!(found.contains(&section), "{section:?} has no part");
        }
        assert_eq!(Section::of_part("snapshots"), None);
    }
}
