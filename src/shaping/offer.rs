//! How tools are offered, as data: the numbers and choices that they ask for, the sentences of the window, the commands. A
//! tool's own entries stand in its own file.

use std::cmp::Ordering;
use std::hash::{Hash, Hasher};

use super::error::within;
use super::operation::{Argument, Takes};
use super::{ShapingError, Tool};
use crate::project::{Advance, LoadKind};
use crate::table::{Cell, Selection};
use crate::wording::Unit;

/// A number that a tool asks for. Numbers are known by their name.
#[derive(Debug)]
pub struct Number {
    /// What it is called where nobody sees in which sentence it stands; no two are called alike.
    pub name: &'static str,
    /// What it is called where the tool refuses it.
    pub called: &'static str,
    /// Its unit, in a project with that kind of load.
    pub unit: fn(LoadKind) -> Unit,
    /// What the tool takes.
    pub range: (f64, f64),
    /// What the sentence takes: no more than the tool does.
    pub typed: (f64, f64),
    /// By how much one step changes it.
    pub step: Step,
    /// What stands in the sentence at first.
    pub default: f64,
    /// As wide as it usually is.
    pub usual: &'static str,
    /// Whether a plus stands before it when it is above zero.
    pub plus: bool,
    /// Its argument on the command line.
    pub argument: &'static str,
    /// What the command line says of it.
    pub help: &'static str,
}

/// By how much one step changes a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// By the project's step, degrees.
    OfProject,
    /// By so much.
    By(f64),
}

impl Number {
    /// Refuses what the tool does not take.
    pub(super) fn check(&self, value: f64) -> Result<(), ShapingError> {
        within(self.called, value, self.range)
    }

    /// As an argument that must be given, known by its own name.
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

/// One of several that stands in a sentence; a click takes the next. Choices are known by their name.
#[derive(Debug)]
pub struct Choice {
    /// Tells it from the others.
    pub name: &'static str,
    /// How each option reads.
    pub options: &'static [&'static str],
    /// The option that is taken at first, by its place.
    pub default: usize,
    /// Which options mean something for the selected cells, by their places in the order of the clicks.
    pub usable: fn(&Selection) -> Vec<usize>,
}

impl Choice {
    /// The option that is taken where `wish` was taken last: that one if it means something, else the first that does.
    pub fn taken(&self, wish: usize, selection: &Selection) -> usize {
        let usable = (self.usable)(selection);
        if usable.contains(&wish) { wish } else { usable.first().copied().unwrap_or(wish) }
    }

    /// The option after that one, going round.
    pub fn next(&self, now: usize, selection: &Selection) -> usize {
        let usable = (self.usable)(selection);
        let place = usable.iter().position(|&option| option == now);
        place.and_then(|place| usable.get((place + 1) % usable.len())).copied().unwrap_or(now)
    }

    /// How an option reads.
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

/// Something in a sentence besides its first words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// A word between others.
    Word(&'static str),
    /// An editable number.
    Number(&'static Number),
    /// One of several.
    Choice(&'static Choice),
    /// The switch that lets the same be done by dragging on the surface.
    DragSwitch,
}

/// Why a sentence can do nothing here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WhyNot {
    /// In two or three words, to stand in the sentence.
    pub short: &'static str,
    /// With the remedy.
    pub long: &'static str,
}

impl WhyNot {
    /// Where a tool needs a block.
    pub(super) const NO_BLOCK: Self =
        Self { short: "needs a block", long: "The selection is no block: select a rectangle of cells." };
    /// Where a tool that moves cells may move none.
    const ALL_HELD: Self = Self { short: "all held", long: "Every cell it would act on is held: release some first." };
}

/// A tool as a line of the window's inspector.
#[derive(Debug)]
pub struct Sentence {
    /// Tells it from the others.
    pub key: &'static str,
    /// How it begins.
    pub verb: &'static str,
    /// What follows on the first line.
    pub parts: &'static [Part],
    /// What stands on a second line, if it has one.
    pub more: Option<&'static [Part]>,
    /// What it does.
    pub tip: &'static str,
    /// Whether it means the whole table where one cell is selected.
    pub widens: bool,
    /// The command that does the same.
    pub deed: fn(&Asked<'_>) -> Option<&'static Deed>,
    /// Why it can do nothing here, besides that all cells are held.
    pub refusal: fn(&Asked<'_>) -> Option<WhyNot>,
    /// The tool with what stands in the sentence.
    pub tool: fn(&Asked<'_>) -> Tool,
}

/// What a sentence is asked on.
pub struct Asked<'a> {
    /// The table as it is.
    pub advance: &'a Advance,
    /// The selected cells.
    pub selected: &'a Selection,
    /// The cells that it would act on: the selected ones, or all.
    pub cells: &'a Selection,
    /// The cell of the cursor.
    pub cursor: Cell,
    /// What stands for a number.
    pub number: &'a dyn Fn(&'static Number) -> f64,
    /// Which option was taken last, by its place.
    pub choice: &'a dyn Fn(&'static Choice) -> usize,
}

impl Asked<'_> {
    /// What stands for a number.
    pub(super) fn number(&self, number: &'static Number) -> f64 {
        (self.number)(number)
    }

    /// The option that is taken, by its place.
    pub fn taken(&self, choice: &'static Choice) -> usize {
        choice.taken((self.choice)(choice), self.selected)
    }

    /// Whether every selected cell is held.
    pub(super) fn all_held(&self) -> bool {
        self.selected.cells().all(|cell| self.advance.held().contains(cell))
    }
}

impl Sentence {
    /// What it would do.
    ///
    /// # Errors
    /// Why it can do nothing here.
    pub fn plan(&self, asked: &Asked<'_>) -> Result<Tool, WhyNot> {
        if let Some(refusal) = (self.refusal)(asked) {
            return Err(refusal);
        }
        let tool = (self.tool)(asked);
        let stands_still = asked.cells.cells().all(|cell| asked.advance.held().contains(cell));
        if tool.manner().marks.is_none() && stands_still { Err(WhyNot::ALL_HELD) } else { Ok(tool) }
    }

    /// Every part of it, line by line.
    pub fn all_parts(&self) -> impl Iterator<Item = Part> {
        self.parts.iter().chain(self.more.unwrap_or_default()).copied()
    }
}

/// No command does what the sentence does.
pub(super) const fn no_deed(_: &Asked<'_>) -> Option<&'static Deed> {
    None
}

/// Nothing but held cells is in the sentence's way.
pub(super) const fn never_refused(_: &Asked<'_>) -> Option<WhyNot> {
    None
}

/// A tool as a command that is done at once. Deeds are known by their id.
#[derive(Debug)]
pub struct Deed {
    /// The name in files.
    pub id: &'static str,
    /// What it is called.
    pub text: &'static str,
    /// What it does, in a sentence.
    pub tooltip: &'static str,
    /// Whether the selected cells must be a block.
    pub needs_block: bool,
    /// What it uses.
    pub does: Does,
}

/// What a deed uses.
#[derive(Clone, Copy, Debug)]
pub enum Does {
    /// What the sentence of that key says.
    Sentence(&'static str),
    /// The tool that fits the table and the selected cells.
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

/// What else there is to know of a tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Manner {
    /// Where it marks cells and moves none: how what it did begins, 'Holds'.
    pub marks: Option<&'static str>,
    /// On so many cells it takes less than a frame.
    pub at_once_cells: usize,
    /// Whether breakpoints close to each other make its result bend.
    pub minds_crowding: bool,
}

impl Manner {
    /// Of a tool that moves cells, each for itself.
    pub(super) const PLAIN: Self = Self { marks: None, at_once_cells: usize::MAX, minds_crowding: false };
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
