//! What commands lead to: sheets, looks, views of the surface, dialogs for a file.

use super::Command;
use crate::drawing::{Look, View};
use crate::setup_sheet::Paper;
use crate::window::state::file_jobs::FileJob;
use crate::window::state::screen::{LookChoice, Sheet};

impl Command {
    /// The sheet that it goes to.
    pub const fn sheet(self) -> Option<Sheet> {
        if let Self::Sheet(sheet) = self { Some(sheet) } else { None }
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

    /// The view of the surface that it switches to.
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

    /// The file job that it starts.
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
        let sheets: Vec<Sheet> = Command::ALL.iter().filter_map(|command| command.sheet()).collect();
        assert_eq!(sheets, Sheet::ALL);
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
