//! How tools are offered, as data: the numbers and choices that they ask for, the sentences of the window, the
//! commands. Each tool's entries are in the tool's own file.

use std::cmp::Ordering;
use std::hash::{Hash, Hasher};

use super::error::within;
use super::operation::{Argument, Takes};
use super::{ShapingError, Tool};
use crate::project::{Advance, LoadKind, Parts};
use crate::table::{Cell, Selection};
use crate::wording::Unit;

/// A number that a tool asks for. Two are equal if their names are.
#[derive(Debug)]
pub struct Number {
    /// What it is called out of the context of its sentence; unique.
    pub name: &'static str,
    /// What it is called in the tool's error messages.
    pub called: &'static str,
    /// Its unit, in a project with that kind of load.
    pub unit: fn(LoadKind) -> Unit,
    /// The range that the tool accepts.
    pub range: (f64, f64),
    /// The range that the sentence accepts: within that of the tool.
    pub typed: (f64, f64),
    /// By how much one step changes it.
    pub step: Step,
    /// Its initial value in the sentence.
    pub default: f64,
    /// A sample text from which the width of its field is measured.
    pub usual: &'static str,
    /// Whether a positive number is shown with a plus sign.
    pub plus: bool,
    /// Its argument on the command line.
    pub argument: &'static str,
    /// Its help text on the command line.
    pub help: &'static str,
}

/// By how much one step changes a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// By the project's step, degrees.
    OfProject,
    /// By this much.
    By(f64),
}

impl Number {
    /// Refuses a value that the tool does not accept.
    pub(super) fn check(&self, value: f64) -> Result<(), ShapingError> {
        within(self.called, value, self.range)
    }

    /// As a mandatory argument of the command line.
    pub(super) const fn argument(&self) -> Argument {
        Argument { name: self.argument, value_name: self.argument, help: self.help, takes: Takes::Number }
    }
}

impl PartialEq for Number {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

impl Eq for Number {}

impl Hash for Number {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.name.hash(state);
    }
}

/// A choice in a sentence; a click moves on to the next option. Two are equal if their names are.
#[derive(Debug)]
pub struct Choice {
    /// Unique among the choices.
    pub name: &'static str,
    /// How each option reads.
    pub options: &'static [&'static str],
    /// The index of the initial option.
    pub default: usize,
    /// Which options make sense for the selected cells, as indices in the order of the clicks.
    pub usable: fn(&Selection) -> Vec<usize>,
}

impl Choice {
    /// The option to use if `wish` was chosen last: that one if it makes sense, else the first that does.
    pub fn taken(&self, wish: usize, selection: &Selection) -> usize {
        let usable = (self.usable)(selection);
        if usable.contains(&wish) { wish } else { usable.first().copied().unwrap_or(wish) }
    }

    /// The option after `now`, wrapping around.
    pub fn next(&self, now: usize, selection: &Selection) -> usize {
        let usable = (self.usable)(selection);
        let place = usable.iter().position(|&option| option == now);
        place.and_then(|place| usable.get((place + 1) % usable.len())).copied().unwrap_or(now)
    }

    /// The text of an option.
    pub fn words(&self, option: usize) -> &'static str {
        self.options.get(option).copied().unwrap_or_default()
    }
}

impl PartialEq for Choice {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

impl Eq for Choice {}

/// A part of a sentence after its verb.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Plain words.
    Word(&'static str),
    /// An editable number.
    Number(&'static Number),
    /// One of several.
    Choice(&'static Choice),
    /// The switch for doing the same by dragging on the surface.
    DragSwitch,
}

/// Why a sentence cannot be used at the moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WhyNot {
    /// In two or three words, shown in the sentence.
    pub short: &'static str,
    /// In full, with the remedy.
    pub long: &'static str,
}

impl WhyNot {
    /// For a tool that needs a block.
    pub(super) const NO_BLOCK: Self =
        Self { short: "needs a block", long: "The selection is no block: select a rectangle of cells." };
    /// For a tool that leaves idle cells alone, when no others are selected.
    pub const ALL_IDLE: Self = Self {
        short: "all idle",
        long: "Every selected cell is one in which the engine idles, and fairing leaves those alone: select others, or \
               set these by hand.",
    };
    /// For fitting without anything to fit to; the sentence is not offered then.
    pub const UNMEASURED: Self = Self {
        short: "no points",
        long: "The project has no measured points in use: take some from sweeps on the Evidence sheet, or bring them in.",
    };
    /// For a tool that moves cells, all of which are held.
    const ALL_HELD: Self = Self { short: "all held", long: "Every cell it would act on is held: release some first." };
}

/// What sentences have in common; they stand together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Each cell by itself: its value, and whether it is held.
    Set,
    /// Between cells that stay.
    Between,
    /// The shape of the surface.
    Fair,
    /// Whole rows and columns.
    Lines,
}

impl Group {
    /// Its name, for a caption.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Set => "set",
            Self::Between => "between",
            Self::Fair => "fair",
            Self::Lines => "lines",
        }
    }
}

/// A tool as a line of the window's inspector.
#[derive(Debug)]
pub struct Sentence {
    /// Unique among the sentences.
    pub key: &'static str,
    /// Where it stands.
    pub group: Group,
    /// Its first words.
    pub verb: &'static str,
    /// What follows on the first line.
    pub parts: &'static [Part],
    /// What is on the second line, if there is one.
    pub more: Option<&'static [Part]>,
    /// Its tooltip: what the tool does.
    pub tip: &'static str,
    /// Whether it acts on the whole table if only one cell is selected.
    pub widens: bool,
    /// The command that does the same.
    pub deed: fn(&Asked<'_>) -> Option<&'static Deed>,
    /// Why it cannot be used, other than that all cells are held.
    pub refusal: fn(&Asked<'_>) -> Option<WhyNot>,
    /// The tool with the parameters that the sentence shows.
    pub tool: fn(&Asked<'_>) -> Tool,
}

/// What a sentence decides by: the table, the cells, and its numbers and choices.
pub struct Asked<'a> {
    /// The present project.
    pub project: &'a Parts,
    /// Its table.
    pub advance: &'a Advance,
    /// The selected cells.
    pub selected: &'a Selection,
    /// The cells that it would act on: the selected ones, or all.
    pub cells: &'a Selection,
    /// The cell under the cursor.
    pub cursor: Cell,
    /// The present value of a number.
    pub number: &'a dyn Fn(&'static Number) -> f64,
    /// Which option was chosen last, by its index.
    pub choice: &'a dyn Fn(&'static Choice) -> usize,
}

impl Asked<'_> {
    /// The present value of a number.
    pub(super) fn number(&self, number: &'static Number) -> f64 {
        (self.number)(number)
    }

    /// The option that applies, by its index.
    pub fn taken(&self, choice: &'static Choice) -> usize {
        choice.taken((self.choice)(choice), self.selected)
    }

    /// Whether every selected cell is held.
    pub(super) fn all_held(&self) -> bool {
        self.selected.cells().all(|cell| self.advance.held().contains(cell))
    }
}

impl Sentence {
    /// The tool that it would apply.
    ///
    /// # Errors
    /// Why it cannot be used.
    pub fn plan(&self, asked: &Asked<'_>) -> Result<Tool, WhyNot> {
        if let Some(refusal) = (self.refusal)(asked) {
            return Err(refusal);
        }
        let tool = (self.tool)(asked);
        let stands_still = asked.cells.cells().all(|cell| asked.advance.held().contains(cell));
        if tool.manner().marks.is_none() && stands_still { Err(WhyNot::ALL_HELD) } else { Ok(tool) }
    }

    /// All its parts, line by line.
    pub fn all_parts(&self) -> impl Iterator<Item = Part> {
        self.parts.iter().chain(self.more.unwrap_or_default()).copied()
    }
}

/// For sentences that no command corresponds to.
pub(super) const fn no_deed(_: &Asked<'_>) -> Option<&'static Deed> {
    None
}

/// For sentences that only held cells can prevent.
pub(super) const fn never_refused(_: &Asked<'_>) -> Option<WhyNot> {
    None
}

/// For commands that any cells will do for.
pub(super) const fn fits_any(_: &Selection) -> Option<&'static str> {
    None
}

/// For commands that need a block.
pub(super) fn fits_a_block(cells: &Selection) -> Option<&'static str> {
    cells.as_block().is_none().then_some("the selection is no block: select a rectangle of cells")
}

/// A tool as a command that is carried out at once. Two are equal if their ids are.
#[derive(Debug)]
pub struct Deed {
    /// Its name in files.
    pub id: &'static str,
    /// What it is called.
    pub text: &'static str,
    /// What it does, in a sentence.
    pub tooltip: &'static str,
    /// Why it cannot be used on these cells, whatever is in them.
    pub unfit: fn(&Selection) -> Option<&'static str>,
    /// How it gets its tool.
    pub does: Does,
}

/// How a command gets its tool.
#[derive(Clone, Copy, Debug)]
pub enum Does {
    /// From the sentence with this key, as it stands.
    Sentence(&'static str),
    /// From the table and the selected cells.
    Tool(fn(&Advance, &Selection) -> Tool),
}

impl PartialEq for Deed {
    fn eq(&self, other: &Self) -> bool {
        self.id == other.id
    }
}

impl Eq for Deed {}

impl PartialOrd for Deed {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Deed {
    fn cmp(&self, other: &Self) -> Ordering {
        self.id.cmp(other.id)
    }
}

impl Hash for Deed {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.id.hash(state);
    }
}

/// What else callers need to know about a tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Manner {
    /// For a tool that marks cells and moves none: the verb that its report begins with, 'Holds'.
    pub marks: Option<&'static str>,
    /// Up to this many cells it takes less than a frame.
    pub at_once_cells: usize,
    /// Whether closely spaced breakpoints make its result bend.
    pub minds_crowding: bool,
    /// Whether the window keeps it away from the cells in which the engine idles.
    pub spares_idle: bool,
}

impl Manner {
    /// For a tool that moves each cell by itself.
    pub(super) const PLAIN: Self =
        Self { marks: None, at_once_cells: usize::MAX, minds_crowding: false, spares_idle: false };
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::shaping::{DEEDS, OPERATIONS, SENTENCES, numbers};

    #[test]
    fn nothing_is_called_like_another() {
        let count = |names: Vec<&str>| {
            let told_apart: BTreeSet<&str> = names.iter().copied().collect();
            assert_eq!(told_apart.len(), names.len(), "{names:?}");
        };
        count(numbers().map(|number| number.name).collect());
        count(SENTENCES.iter().map(|sentence| sentence.key).collect());
        count(OPERATIONS.iter().map(|operation| operation.name).collect());
        count(DEEDS.iter().map(|deed| deed.id).collect());
        for deed in DEEDS {
            if let Does::Sentence(key) = deed.does {
                assert!(SENTENCES.iter().any(|sentence| sentence.key == key), "{key}");
            }
        }
    }

    #[test]
    fn sentences_of_a_group_stand_together() {
        let mut groups: Vec<Group> = SENTENCES.iter().map(|sentence| sentence.group).collect();
        groups.dedup();
        assert_eq!(groups, [Group::Set, Group::Between, Group::Fair, Group::Lines]);
    }

    #[test]
    fn sentences_take_what_tools_take_and_stand_within_it() {
        for number in numbers() {
            let ((low, high), (least, most)) = (number.typed, number.range);
            assert!(low >= least && high <= most && (low..=high).contains(&number.default), "{}", number.name);
        }
    }

    const TWO: Choice = Choice { name: "two", options: &["one", "other"], default: 0, usable: |_| vec![1, 0] };
    const NONE: Choice = Choice { name: "none", options: &["one"], default: 0, usable: |_| Vec::new() };

    #[test]
    fn choices_go_round() {
        let selection = Selection::none(4, 4);
        assert_eq!((TWO.next(0, &selection), TWO.next(1, &selection)), (1, 0));
        assert_eq!((NONE.taken(0, &selection), NONE.next(0, &selection)), (0, 0));
        assert_eq!((TWO.taken(1, &selection), TWO.taken(7, &selection)), (1, 1));
    }
}
