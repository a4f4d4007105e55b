//! Floor w0: plain data. The state of the screen, and what a view may ask for.

pub mod checks_state;
pub mod commands;
pub mod compare_state;
pub mod dialogs;
pub mod edits;
pub mod engine_state;
pub mod evidence_state;
pub mod export_state;
pub mod file_jobs;
pub mod form_state;
pub mod grid_state;
pub mod inspector_state;
pub mod layer_state;
pub mod limits_state;
pub mod notice;
pub mod outbox;
pub mod projects;
pub mod rig_state;
pub mod screen;
pub mod selection;
pub mod settings;
pub mod surface_state;
pub mod trims_state;

use eframe::egui::Key;

use crate::compare::Section;
use crate::drawing::Look;

/// Which look to show.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LookChoice {
    /// Light or dark, following the system.
    #[default]
    System,
    /// This one.
    Fixed(Look),
}

/// Where a sheet can show marks that the panel of marks explains. What was found is marked on every sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarksPlace {
    /// In the cells of the advance table, where they can be edited.
    OwnGrid,
    /// In the cells of any table.
    Grid,
    /// On the surface.
    Surface,
    /// On slices through the table.
    Slices,
    /// Where something was measured, in grid, surface and slices.
    Measured,
    /// On curves with points.
    Curves,
    /// In the map of differences from the base.
    Differences,
    /// In the map of what the trims add.
    Trimmed,
    /// On the bars that hold what was measured against what is allowed.
    Bars,
    /// In the slice that shows what a remedy would do.
    Remedy,
    /// Among the bytes of the image.
    Bytes,
    /// Where the run on the rig is.
    Run,
    /// On the worksheets.
    Worksheets,
    /// In fields whose value may only be assumed.
    Fields,
}

/// What is known about a sheet.
#[derive(Debug)]
pub struct SheetRow {
    /// Its name on the navigation rail.
    pub name: &'static str,
    /// The id, in the settings file, of the command that opens it.
    pub id: &'static str,
    /// The name of that command.
    pub command: &'static str,
    /// What that command does, in a sentence.
    pub tooltip: &'static str,
    /// The key that runs it together with Alt, unless changed.
    pub key: Key,
    /// Whether the sheet shows the cells of the advance table, so that commands on cells make sense there.
    pub shows_cells: bool,
    /// The sections of the project that are edited there.
    pub sections: &'static [Section],
    /// Where it can show marks.
    pub marks: &'static [MarksPlace],
}

/// The only list of sheets, in the order of the rail: a row for each, and the enum of all.
macro_rules! sheets {
    ($($(#[$attribute:meta])* $name:ident: $row:expr;)*) => {
        /// The sheets on the rail.
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Sheet {
            $($(#[$attribute])* $name,)*
        }

        impl Sheet {
            /// In the order of the rail.
            pub const ALL: &'static [Self] = &[$(Self::$name),*];

            /// What is known about it.
            pub const fn row(self) -> &'static SheetRow {
                match self { $(Self::$name => const { &$row },)* }
            }
        }
    };
}

sheets! {
    /// Installation, trigger, sensors, coils and the worksheets.
    Engine: SheetRow {
        name: "Engine",
        id: "SheetEngine",
        command: "Engine sheet",
        tooltip: "Go to the installation and the worksheets.",
        key: Key::Num1,
        shows_cells: false,
        sections: &[
            Section::Project, Section::Engine, Section::Trigger, Section::Sensors, Section::Coil, Section::TimingLight,
        ],
        marks: &[MarksPlace::Curves, MarksPlace::Worksheets, MarksPlace::Fields],
    };
    /// The advance table.
    #[default]
    Advance: SheetRow {
        name: "Advance",
        id: "SheetAdvance",
        command: "Advance sheet",
        tooltip: "Go to the advance table.",
        key: Key::Num2,
        shows_cells: true,
        sections: &[Section::Advance],
        marks: &[MarksPlace::OwnGrid, MarksPlace::Grid, MarksPlace::Surface, MarksPlace::Slices, MarksPlace::Measured, MarksPlace::Run],
    };
    /// Degrees added for coolant and air temperature.
    Trims: SheetRow {
        name: "Trims",
        id: "SheetTrims",
        command: "Trims sheet",
        tooltip: "Go to the trims for coolant and air temperature.",
        key: Key::Num3,
        shows_cells: false,
        sections: &[Section::Trims],
        marks: &[MarksPlace::Grid, MarksPlace::Curves, MarksPlace::Trimmed, MarksPlace::Fields],
    };
    /// Cranking, over-speed, launch, clamp, tachometer and switched outputs.
    Limits: SheetRow {
        name: "Limits & outputs",
        id: "SheetLimits",
        command: "Limits & outputs sheet",
        tooltip: "Go to cranking, limits, launch and outputs.",
        key: Key::Num4,
        shows_cells: false,
        sections: &[
            Section::Limits, Section::FullLoadLine, Section::SafetyMargin, Section::Outputs, Section::Tachometer,
        ],
        marks: &[MarksPlace::Fields],
    };
    /// What was measured on the engine: timing sweeps and the points taken from them.
    Evidence: SheetRow {
        name: "Evidence",
        id: "SheetEvidence",
        command: "Evidence sheet",
        tooltip: "Go to what was measured on the engine: timing sweeps, and what they say about the table.",
        key: Key::Num5,
        shows_cells: false,
        sections: &[Section::Evidence],
        marks: &[MarksPlace::Measured],
    };
    /// The simulated bench rig.
    Rig: SheetRow {
        name: "Rig",
        id: "SheetRig",
        command: "Rig sheet",
        tooltip: "Go to the simulated bench rig.",
        key: Key::Num6,
        shows_cells: false,
        sections: &[Section::Runs],
        marks: &[MarksPlace::Run],
    };
    /// The project compared with its base.
    Compare: SheetRow {
        name: "Compare",
        id: "SheetCompare",
        command: "Compare sheet",
        tooltip: "Compare the table with its base.",
        key: Key::Num7,
        shows_cells: true,
        sections: &[],
        marks: &[MarksPlace::Grid, MarksPlace::Differences],
    };
    /// What the checks found.
    Checks: SheetRow {
        name: "Checks",
        id: "SheetChecks",
        command: "Checks sheet",
        tooltip: "Go to what the checks noticed.",
        key: Key::Num8,
        shows_cells: false,
        sections: &[Section::Checks],
        marks: &[MarksPlace::Bars, MarksPlace::Remedy],
    };
    /// The bytes for the flashing tool, and the printed sheet.
    Export: SheetRow {
        name: "Export",
        id: "SheetExport",
        command: "Export sheet",
        tooltip: "Go to the image for the flashing tool.",
        key: Key::Num9,
        shows_cells: false,
        sections: &[Section::Image],
        marks: &[MarksPlace::Bytes],
    };
}

impl Sheet {
    /// The sheet on which a section of the project is edited.
    pub fn of_section(section: Section) -> Self {
        Self::ALL.iter().copied().find(|sheet| sheet.row().sections.contains(&section)).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_section_is_set_on_one_sheet() {
        for section in Section::ALL {
            let its_sheets = Sheet::ALL.iter().filter(|sheet| sheet.row().sections.contains(&section));
            assert_eq!(its_sheets.count(), 1, "{section:?}");
        }
    }
}
