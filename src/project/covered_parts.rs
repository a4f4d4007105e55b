//! The parts of what a project commands, and what a project keeps about how the unit gets each of them.

use serde::{Deserialize, Serialize};

/// How a part of the project reaches the unit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CoveredHow {
    /// In the image as far as it has items; set in the unit by hand where it has none.
    #[default]
    AsHeld,
    /// Folded into the cells that are exported; the project's own cells stay.
    InTable,
    /// The unit does not apply it at all.
    NotApplied,
}

/// What a project keeps of one part.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartCoverage {
    /// How the unit has it.
    pub how: CoveredHow,
    /// The temperature in °C at which a trim is folded into the table.
    pub at_c: Option<f64>,
    /// Whether the numbers that the image does not hold were set in the unit by hand. Changing those numbers
    /// takes the tick away.
    pub set: bool,
    /// How and where it was set.
    pub note: String,
}

/// For each part: its field in a project, its variant, what people call it.
macro_rules! covered_parts {
    ($count:literal: $($field:ident $part:ident $words:literal),* $(,)?) => {
        /// How each part of the project reaches the unit.
        #[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct Coverage {
            $(#[doc = $words] pub $field: PartCoverage,)*
        }

        /// A part of what a project commands.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum CoveredPart {
            $(#[doc = $words] $part,)*
        }

        impl CoveredPart {
            /// Every part, in the order of the evaluation.
            pub const ALL: [Self; $count] = [$(Self::$part),*];

            /// Its name in files, and its field in [`Coverage`].
            pub const fn name(self) -> &'static str {
                match self { $(Self::$part => stringify!($field)),* }
            }

            /// What people call it.
            pub const fn words(self) -> &'static str {
                match self { $(Self::$part => $words),* }
            }
        }

        impl Coverage {
            /// What is kept of a part.
            pub const fn of(&self, part: CoveredPart) -> &PartCoverage {
                match part { $(CoveredPart::$part => &self.$field),* }
            }

            /// The same, to be changed.
            pub const fn of_mut(&mut self, part: CoveredPart) -> &mut PartCoverage {
                match part { $(CoveredPart::$part => &mut self.$field),* }
            }
        }
    };
}

covered_parts! { 18:
    table Table "Advance table",
    coolant_trim CoolantTrim "Coolant trim",
    coolant_weight CoolantWeight "Coolant trim's weight",
    air_trim AirTrim "Air trim",
    air_weight AirWeight "Air trim's weight",
    cranking Cranking "Cranking",
    cranking_blend CrankingBlend "Blend out of cranking",
    launch Launch "Launch",
    over_speed_easing Easing "Easing off below the over-speed limit",
    over_speed_cut Cut "Over-speed limit",
    second_cut SecondCut "Pattern and second over-speed limit",
    safety_margin Margin "Safety margin",
    clamp Clamp "Floor and ceiling",
    full_load_line FullLoadLine "Full-load line",
    dwell Dwell "Dwell",
    outputs Outputs "Outputs",
    tachometer Tachometer "Tachometer",
    trigger Trigger "Trigger and its zero",
}
