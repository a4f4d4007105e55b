//! The shaping sentences in their present state: their numbers and choices, and what each would do.

use crate::shaping::{Asked, Choice, Number, Part, SENTENCES, Sentence, Tool, WhyNot};
use crate::table::Selection;
use crate::window::state::commands::Command;
use crate::window::state::inspector_state::{Proposal, Proposer};
use crate::window::views::view::View;
use crate::wording::{Unit, count, exact, quantity};

/// A part of a sentence in its present state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PartNow {
    /// Plain words.
    Word(&'static str),
    /// An editable number.
    Amount(&'static Number, f64),
    /// A choice, with options given by their index.
    Choice {
        /// The choice.
        of: &'static Choice,
        /// The present option.
        now: usize,
        /// The option after a click.
        next: usize,
    },
    /// The switch for lifting by dragging on the surface.
    Arm,
}

/// One line of the list.
#[derive(Clone, Debug)]
pub struct SentenceNow {
    /// The tool's own description of it.
    pub of: &'static Sentence,
    /// What follows its first words on the first line.
    pub parts: Vec<PartNow>,
    /// What is on a second line, if there is one.
    pub more: Option<Vec<PartNow>>,
    /// The command that does the same, for its keys.
    pub command: Option<Command>,
    /// Whether it acts on the whole table because one cell is selected.
    pub whole_table: bool,
    /// How many cells of those it leaves alone because the engine idles in them.
    pub spared: usize,
    /// What it would do.
    pub plan: Result<Proposal, WhyNot>,
}

impl SentenceNow {
    /// The sentence as one line of text.
    pub fn name(&self) -> String {
        let mut name = self.of.verb.to_owned();
        for part in self.parts.iter().chain(self.more.iter().flatten()) {
            match part {
                PartNow::Word(word) => name.push_str(&format!(" {word}")),
                PartNow::Amount(_, value) => name.push_str(&format!(" {}", exact(*value))),
                PartNow::Choice { of, now, .. } => name.push_str(&format!(" {}", of.words(*now))),
                PartNow::Arm => {}
            }
        }
        if self.whole_table {
            name.push_str(", whole table");
        }
        name
    }

    /// What it acts on: 'whole table', '12 cells'.
    pub fn scope(&self) -> String {
        match &self.plan {
            _ if self.whole_table => "whole table".to_owned(),
            Ok(proposal) => count(proposal.cells.count(), "cell"),
            Err(_) => String::new(),
        }
    }

    /// What its tool keeps to, if it has a limit.
    pub fn limits(&self) -> Option<String> {
        limits(&self.plan.as_ref().ok()?.tool, self.spared)
    }

    /// Whether its second line says what it acts on.
    pub fn tells_scope(&self) -> bool {
        self.of.widens && !self.of.all_parts().any(|part| part == Part::DragSwitch)
    }
}

/// What a tool with a limit keeps to: 'Leaves 6 idle cells alone; moves no cell by more than 1.0°.'
pub fn limits(tool: &Tool, spared: usize) -> Option<String> {
    let most = quantity(tool.most_deg()?, Unit::Degree);
    Some(match spared {
        0 => format!("Moves no cell by more than {most}."),
        spared => format!("Leaves {} alone; moves no cell by more than {most}.", count(spared, "idle cell")),
    })
}

/// Every sentence for what is selected now; fitting only where there is something to fit to.
pub fn sentences(view: &View<'_>) -> Vec<SentenceNow> {
    let advance = &view.document.project().advance;
    let (selected, all) = (&view.selection.cells, Selection::all(advance.table()));
    let state = &view.screen.inspector;
    let number = |number: &'static Number| state.amounts.of(number);
    let choice = |choice: &'static Choice| state.choices.of(choice);
    let is_single = selected.count() == 1;
    let idle = view.document.project().idle_cells();
    let now = |of: &'static Sentence| {
        let whole_table = of.widens && is_single;
        let cells = if whole_table { &all } else { selected };
        let cursor = view.selection.cursor;
        let project = view.document.project();
        let asked = |cells| Asked { project, advance, selected, cells, cursor, number: &number, choice: &choice };
        let reached = reached(of, cells, &idle, &asked);
        let tool = if reached.is_empty() { Err(WhyNot::ALL_IDLE) } else { of.plan(&asked(&reached)) };
        let asked = asked(cells);
        SentenceNow {
            of,
            parts: of.parts.iter().map(|part| part_now(*part, &asked)).collect(),
            more: of.more.map(|more| more.iter().map(|part| part_now(*part, &asked)).collect()),
            command: command(of, &asked),
            whole_table,
            spared: cells.count() - reached.count(),
            plan: tool.map(|tool| Proposal { by: Proposer::Sentence, tool, cells: reached }),
        }
    };
    let is_offered = |sentence: &SentenceNow| sentence.plan.as_ref().err() != Some(&WhyNot::UNMEASURED);
    SENTENCES.iter().map(now).filter(is_offered).collect()
}

/// The cells that a sentence acts on: without those in which the engine idles, if its tool leaves them alone.
fn reached<'a>(
    of: &Sentence,
    cells: &'a Selection,
    idle: &Selection,
    asked: &impl Fn(&'a Selection) -> Asked<'a>,
) -> Selection {
    let mut reached = cells.clone();
    if of.plan(&asked(cells)).is_ok_and(|tool| tool.manner().spares_idle) {
        idle.cells().for_each(|cell| reached.set(cell, false));
    }
    reached
}

fn part_now(part: Part, asked: &Asked<'_>) -> PartNow {
    match part {
        Part::Word(word) => PartNow::Word(word),
        Part::Number(number) => PartNow::Amount(number, (asked.number)(number)),
        Part::Choice(of) => {
            let now = asked.taken(of);
            PartNow::Choice { of, now, next: of.next(now, asked.selected) }
        }
        Part::DragSwitch => PartNow::Arm,
    }
}

/// The command that does the same; if dragging does it, the command that arms dragging.
fn command(of: &Sentence, asked: &Asked<'_>) -> Option<Command> {
    let arm = of.all_parts().any(|part| part == Part::DragSwitch).then_some(Command::ArmLift);
    arm.or_else(|| (of.deed)(asked).map(Command::Deed))
}
