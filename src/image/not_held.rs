//! What is in the project and not in its image, and how the unit has it.

use crate::project::{Covered, CoveredPart, Parts, Tree, TreeError};
use crate::wording::{lower_first, one_line, quantity};

/// A part of which the image does not hold everything.
#[derive(Clone, Debug, PartialEq)]
pub struct NotHeld {
    /// Which.
    pub part: CoveredPart,
    /// How the unit has it.
    pub covered: Covered,
    /// Whether it does anything in the project.
    pub acts: bool,
    /// Whether it was set in the unit by hand.
    pub set: bool,
    /// How and where it was set.
    pub note: String,
    /// The temperature in °C at which it is folded into the table.
    pub at_c: Option<f64>,
    /// The numbers that are to be set by hand, in words.
    pub values: String,
}

/// What is in a project and not in its image, what acts first.
///
/// # Errors
/// [`TreeError`] never for a project that exists.
pub fn not_held(project: &Parts) -> Result<Vec<NotHeld>, TreeError> {
    let tree = project.setup_tree()?;
    let of = |(part, covered): (CoveredPart, Covered)| {
        let kept = project.image.coverage.of(part);
        let values = values(project, part, &covered, &tree);
        let acts = part.acts(project);
        NotHeld { part, acts, set: kept.set, note: kept.note.clone(), at_c: kept.at_c, values, covered }
    };
    Ok(project.not_in_image().into_iter().map(of).collect())
}

/// What is to be set by hand; what is printed or listed in a place of its own is named alone.
fn values(project: &Parts, part: CoveredPart, covered: &Covered, tree: &Tree) -> String {
    let is_all = matches!(covered, Covered::ByHand(_)) && part.acts(project);
    match part {
        CoveredPart::Outputs if is_all => {
            let used = project.outputs.iter().filter(|output| output.enabled);
            let names: Vec<_> = used.map(|output| one_line(&output.name)).collect();
            format!("{}, with all their conditions", names.join(", "))
        }
        CoveredPart::FullLoadLine if is_all => "the line as it stands in the project, where the unit has one".into(),
        _ => project.covered_words(part, covered, tree),
    }
}

impl NotHeld {
    /// Whether it is set by hand, so that a tick says something.
    pub const fn is_by_hand(&self) -> bool {
        matches!(self.covered, Covered::Partly(_) | Covered::ByHand(_))
    }

    /// Whether it acts, is to be set by hand and nobody said that it was.
    pub const fn is_open(&self) -> bool {
        self.is_by_hand() && !self.set
    }

    /// How the unit has it, without the part's name: 'by hand: Ceiling: 45°'.
    pub fn how_words(&self) -> String {
        let is_told = self.acts || self.part.is_weight();
        match (&self.covered, is_told) {
            (Covered::InImage, _) => "in the image".into(),
            (Covered::InTable, true) => {
                let at = self.at_c.filter(|_| self.part.folds_at_a_temperature());
                let at = at.map_or_else(String::new, |at_c| format!(" at {}", quantity(at_c, "°C")));
                format!("folded into the table{at}")
            }
            (Covered::InTable, false) => "off; nothing is folded into the table".into(),
            (Covered::NotApplied, _) => "not applied by this unit".into(),
            (Covered::Partly(_), true) => format!("partly in the image; by hand: {}", self.values),
            (Covered::Partly(_), false) => {
                "off in the project, but the image holds numbers of it: switch it off in the unit".into()
            }
            (Covered::ByHand(_), true) => format!("by hand: {}", self.values),
            (Covered::ByHand(_), false) => "off: leave it off in the unit".into(),
        }
    }

    /// Whether it was set in the unit, with the note; empty where nothing is set by hand.
    pub fn set_words(&self) -> String {
        if !self.is_by_hand() {
            return String::new();
        }
        let set = if self.set { "set in the unit" } else { "not ticked as set in the unit" };
        let note = one_line(self.note.trim());
        if note.is_empty() { set.into() } else { format!("{set}: {note}") }
    }

    /// 'Safety margin: by hand: … (not ticked as set in the unit)'.
    pub fn words(&self) -> String {
        let set = self.set_words();
        let set = if set.is_empty() { set } else { format!(" ({set})") };
        format!("{}: {}{set}", self.part.words(), lower_first(&self.how_words()))
    }
}
