//! What commands lead to: sheets, looks, views of the surface, dialogs for a file.

use super::Command;
use crate::drawing::{Look, View};
use crate::setup_sheet::Paper;
use crate::window::state::file_jobs::FileJob;
use crate::window::state::screen::{LookChoice, Sheet};

impl Command {
    /// The sheet that it goes to.
    pub const fn sheet(self) -> Option<Sheet> {
        Some(match self {
            Self::SheetEngine => Sheet::Engine,
            Self::SheetAdvance => Sheet::Advance,
            Self::SheetTrims => Sheet::Trims,
            Self::SheetLimits => Sheet::Limits,
            Self::SheetRig => Sheet::Rig,
            Self::SheetCompare => Sheet::Compare,
            Self::SheetChecks => Sheet::Checks,
            Self::SheetExport => Sheet::Export,
            _ => return None,
        })
    }

    /// The command that goes to a sheet.
    pub const fn to_sheet(sheet: Sheet) -> Self {
        match sheet {
            Sheet::Engine => Self::SheetEngine,
            Sheet::Advance => Self::SheetAdvance,
            Sheet::Trims => Self::SheetTrims,
            Sheet::Limits => Self::SheetLimits,
            Sheet::Rig => Self::SheetRig,
            Sheet::Compare => Self::SheetCompare,
            Sheet::Checks => Self::SheetChecks,
            Sheet::Export => Self::SheetExport,
        }
    }

    /// The look that it chooses.
    pub const fn look(self) -> Option<LookChoice> {
        Some(match self {
            Self::LookSystem => LookChoice::System,
            Self::LookLight => LookChoice::Fixed(Look::Light),
            Self::LookDark => LookChoice::Fixed(Look::Dark),
            Self::LookSunlight => LookChoice::Fixed(Look::Sunlight),
            _ => return None,
        })
    }

    /// From where it lets one look at the surface.
    pub const fn camera(self) -> Option<View> {
        Some(match self {
            Self::ViewFront => View::Front,
            Self::ViewSide => View::Side,
            Self::ViewPlan => View::Plan,
            Self::ViewThreeQuarter => View::ThreeQuarter,
            _ => return None,
        })
    }

    /// By how many of the project's steps it raises the selection.
    pub const fn nudge_steps(self) -> Option<f64> {
        Some(match self {
            Self::Raise => 1.0,
            Self::Lower => -1.0,
            Self::RaiseTen => 10.0,
            Self::LowerTen => -10.0,
            _ => return None,
        })
    }

    /// The file that it asks for.
    pub const fn file_job(self) -> Option<FileJob> {
        Some(match self {
            Self::Open => FileJob::Open,
            Self::SaveAs => FileJob::SaveAs { then: None },
            Self::ImportTable => FileJob::ImportTable,
            Self::SetupSheet => FileJob::SetupSheet(Paper::A4),
            Self::SetupSheetLetter => FileJob::SetupSheet(Paper::Letter),
            Self::ReadImage => FileJob::ReadImage,
            Self::CompareImage => FileJob::CompareImage,
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sheet_has_the_command_that_leads_to_it() {
        for sheet in Sheet::ALL {
            assert_eq!(Command::to_sheet(sheet).sheet(), Some(sheet));
        }
        assert_eq!(Command::ALL.iter().filter(|command| command.sheet().is_some()).count(), Sheet::ALL.len());
    }

    #[test]
    fn a_command_leads_to_one_thing_at_most() {
        for command in Command::ALL {
            let leads = [
                command.sheet().is_some(),
                command.look().is_some(),
                command.camera().is_some(),
                command.nudge_steps().is_some(),
                command.file_job().is_some(),
            ];
            assert!(leads.into_iter().filter(|leads| *leads).count() <= 1, "{command:?}");
        }
    }
}
