//! The shaping sentences: what each says, which numbers and choices stand in it, and what it would do.

use super::picks::{copy_sides, fill_ways, repeat_sides};
use crate::project::Advance;
use crate::shaping::{Along, Extension, Side, Tool, Way};
use crate::table::Selection;
use crate::window::state::commands::Command;
use crate::window::state::inspector_state::{Field, Pick};
use crate::window::state::proposals::{Proposal, Proposer};
use crate::window::views::view::View;
use crate::wording::{count, exact};

/// Something in a sentence besides its first words.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// A word between others.
    Word(&'static str),
    /// An editable number.
    Amount(Field, f64),
    /// One of several; a click takes the next.
    Choice {
        /// What is taken now.
        now: Pick,
        /// What a click takes.
        next: Pick,
    },
    /// The switch of the lift mode of the surface.
    Arm,
}

/// Why a sentence can do nothing here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// In two or three words, to stand in the sentence.
    pub short: &'static str,
    /// With the remedy.
    pub long: &'static str,
}

/// One line of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Sentence {
    /// Tells it from the others.
    pub key: &'static str,
    /// How it begins.
    pub verb: &'static str,
    /// What follows on the first line.
    pub parts: Vec<Part>,
    /// What stands on a second line, if it has one.
    pub more: Option<Vec<Part>>,
    /// What it does, for its tooltip.
    pub tip: &'static str,
    /// The command that does the same, for its keys.
    pub command: Option<Command>,
    /// Whether it acts on the whole table because one cell is selected.
    pub whole_table: bool,
    /// What it would do.
    pub plan: Result<Proposal, Refusal>,
}

impl Sentence {
    /// The sentence as one line of text.
    pub fn name(&self) -> String {
        let mut name = self.verb.to_owned();
        for part in self.parts.iter().chain(self.more.iter().flatten()) {
            match part {
                Part::Word(word) => name.push_str(&format!(" {word}")),
                Part::Amount(_, value) => name.push_str(&format!(" {}", exact(*value))),
                Part::Choice { now, .. } => name.push_str(&format!(" {}", now.words())),
                Part::Arm => {}
            }
        }
        if self.whole_table {
            name.push_str(", whole table");
        }
        name
    }

    /// On what it acts: 'whole table', '12 cells'.
    pub fn scope(&self) -> String {
        match &self.plan {
            _ if self.whole_table => "whole table".to_owned(),
            Ok(proposal) => count(proposal.cells.count(), "cell"),
            Err(_) => String::new(),
        }
    }
}

const ALL_HELD: Refusal =
    Refusal { short: "all held", long: "Every cell it would act on is held: release some first." };
const NO_BLOCK: Refusal =
    Refusal { short: "needs a block", long: "The selection is no block: select a rectangle of cells." };

/// What the sentences are made from.
struct Maker<'a> {
    view: &'a View<'a>,
    /// The table as it is, without what is previewed.
    advance: &'a Advance,
    selected: &'a Selection,
    all: Selection,
}

/// Every sentence for what is selected now.
pub fn sentences(view: &View<'_>) -> Vec<Sentence> {
    let advance = &view.document.project().advance;
    let selected = &view.selection.cells;
    let maker = Maker { view, advance, selected, all: Selection::all(advance.table()) };
    let mut list = maker.everyday();
    list.extend(maker.lines());
    list.extend(maker.limits());
    list
}

impl Maker<'_> {
    fn is_single(&self) -> bool {
        self.selected.count() == 1
    }

    /// A sentence on the selected cells.
    fn on_selection(&self, key: &'static str, verb: &'static str, parts: Vec<Part>, tool: Tool) -> Sentence {
        self.sentence(key, verb, parts, tool, false)
    }

    /// A sentence that means the whole table when one cell is selected.
    fn on_more(&self, key: &'static str, verb: &'static str, parts: Vec<Part>, tool: Tool) -> Sentence {
        let sentence = self.sentence(key, verb, parts, tool, self.is_single());
        // The second line tells on what it acts; it is always there, so that no sentence moves with the selection.
        Sentence { more: Some(Vec::new()), ..sentence }
    }

    fn sentence(&self, key: &'static str, verb: &'static str, parts: Vec<Part>, tool: Tool, whole: bool) -> Sentence {
        let cells = if whole { &self.all } else { self.selected };
        let moves_values = !matches!(tool, Tool::Hold { .. } | Tool::Release);
        let all_held = moves_values && cells.cells().all(|cell| self.advance.held().contains(cell));
        let plan =
            if all_held { Err(ALL_HELD) } else { Ok(Proposal { by: Proposer::Sentence, tool, cells: cells.clone() }) };
        Sentence { key, verb, parts, more: None, tip: "", command: None, whole_table: whole, plan }
    }

    fn everyday(&self) -> Vec<Sentence> {
        let amounts = &self.view.screen.inspector.amounts;
        let raise = self.on_selection(
            "raise",
            "Raise or lower by",
            vec![Part::Amount(Field::Raise, amounts.raise_deg)],
            Tool::Add { deg: amounts.raise_deg },
        );
        let set = self.on_selection(
            "set",
            "Set to",
            vec![Part::Amount(Field::Set, amounts.set_deg)],
            Tool::Set { deg: amounts.set_deg },
        );
        let fair = self.on_more(
            "fair",
            "Fair, strength",
            vec![Part::Amount(Field::Fair, amounts.fair_strength)],
            Tool::Smooth { strength: amounts.fair_strength },
        );
        vec![
            raise.tip("Adds the amount to every free selected cell; a minus sign lowers."),
            set.tip("Gives every free selected cell this value."),
            self.fill()
                .tip("Fills the selected block, or the whole table when one cell is selected, from its edges or its corners; a single row or column between its ends.")
                .command(Command::Interpolate),
            fair.tip("Takes bumps out of the selected cells, or of the whole table when one is selected; 0 changes nothing, 10 leaves little of them. Held cells stay.")
                .command(Command::Fair),
            self.lift()
                .tip("Moves the cursor's cell and, less and less, its neighbours within the radius in cells; where several cells are selected, only those. A drag on the surface keeps to the step unless Alt is held.")
                .command(Command::ArmLift),
            self.hold(false).tip("No tool moves a held cell.").command(Command::ToggleHold),
            self.hold(true).tip("Holds the cells and notes that their values were found on the engine."),
            self.release().tip("Lets tools move the cells again.").command(Command::ToggleHold),
        ]
    }

    fn fill(&self) -> Sentence {
        let way = self.view.screen.inspector.fill;
        let cells = if self.is_single() { &self.all } else { self.selected };
        let (now, next) = Pick::among(Pick::Fill(way), &fill_ways().map(Pick::Fill));
        let sentence = self.on_more("fill", "Fill between", vec![Part::Choice { now, next }], Tool::Interpolate(way));
        let Some(block) = cells.as_block() else {
            return sentence.refused(NO_BLOCK);
        };
        let (loads, speeds) = (block.loads.len(), block.speeds.len());
        let is_line = loads == 1 || speeds == 1;
        let has_inside = if way == Way::Edges && !is_line { loads > 2 && speeds > 2 } else { loads > 2 || speeds > 2 };
        if has_inside {
            return sentence;
        }
        sentence.refused(Refusal {
            short: "nothing in between",
            long: "The block has no cells in between: select at least 3 × 3, or more than 2 in one row or column.",
        })
    }

    fn lift(&self) -> Sentence {
        let amounts = &self.view.screen.inspector.amounts;
        let centre = self.view.selection.cursor;
        let (amount_deg, radius_cells) = (amounts.lift_deg, amounts.lift_radius_cells);
        let parts = vec![
            Part::Amount(Field::LiftBy, amount_deg),
            Part::Word("radius"),
            Part::Amount(Field::LiftRadius, radius_cells),
        ];
        let tool = Tool::Lift { centre, amount_deg, radius_cells, step_deg: None };
        let sentence = self.on_more("lift", "Lift by", parts, tool);
        Sentence { more: Some(vec![Part::Arm]), ..sentence }
    }

    fn hold(&self, measured: bool) -> Sentence {
        let (key, verb) = if measured { ("hold measured", "Hold as measured") } else { ("hold", "Hold") };
        let sentence = self.on_selection(key, verb, Vec::new(), Tool::Hold { measured });
        let all_held = self.selected.cells().all(|cell| self.advance.held().contains(cell));
        if measured || !all_held {
            return sentence;
        }
        sentence.refused(Refusal { short: "held already", long: "Every selected cell is held already." })
    }

    fn release(&self) -> Sentence {
        let sentence = self.on_selection("release", "Release", Vec::new(), Tool::Release);
        if self.selected.cells().any(|cell| self.advance.held().contains(cell)) {
            return sentence;
        }
        sentence.refused(Refusal { short: "none held", long: "No selected cell is held." })
    }

    /// The sentences that carry lines on.
    fn lines(&self) -> Vec<Sentence> {
        let along = self.view.screen.inspector.interpolate;
        let options = [Along::Speed, Along::Load].map(Pick::Interpolate);
        let (now, next) = Pick::among(Pick::Interpolate(along), &options);
        let parts = vec![Part::Choice { now, next }];
        let interpolate = self.on_more("interpolate", "Interpolate along", parts, Tool::Interpolate(Way::Line(along)));
        vec![
            interpolate.tip("Draws a straight line, in axis units, between the ends of every selected run."),
            self.repeat().tip("Repeats the line beside the selection; the offset is added again with every line."),
            self.extend().tip("Carries the surface on to the edge of the table, straight on or flat."),
            self.copy().tip("Copies one line of the block over the rest of it."),
        ]
    }

    fn repeat(&self) -> Sentence {
        let offset_deg = self.view.screen.inspector.amounts.repeat_offset_deg;
        let sides = repeat_sides(self.selected);
        let from = chosen(self.view.screen.inspector.repeat_from, &sides);
        let options: Vec<Pick> = sides.iter().copied().map(Pick::RepeatFrom).collect();
        let (now, next) = Pick::among(Pick::RepeatFrom(from), &options);
        let parts = vec![Part::Choice { now, next }];
        let sentence = self.on_selection("repeat", "Repeat the", parts, Tool::Repeat { from, offset_deg });
        let more = vec![Part::Word("with"), Part::Amount(Field::Repeat, offset_deg)];
        let sentence = Sentence { more: Some(more), ..sentence };
        if sides.is_empty() {
            return sentence.refused(Refusal {
                short: "nothing beside",
                long: "No line lies beside the selection: leave the one to repeat unselected.",
            });
        }
        sentence
    }

    fn extend(&self) -> Sentence {
        let state = &self.view.screen.inspector;
        let sides = Side::reached_by(self.selected);
        let (to, how) = (chosen(state.extend_to, &sides), state.extend_how);
        let options: Vec<Pick> = sides.iter().copied().map(Pick::ExtendTo).collect();
        let (now, next) = Pick::among(Pick::ExtendTo(to), &options);
        let (how_now, how_next) =
            Pick::among(Pick::ExtendHow(how), &[Extension::Linear, Extension::Flat].map(Pick::ExtendHow));
        let parts = vec![Part::Choice { now, next }];
        let sentence = self.on_selection("extend", "Extend to the", parts, Tool::Extend { to, how });
        let sentence = Sentence { more: Some(vec![Part::Choice { now: how_now, next: how_next }]), ..sentence };
        if sides.is_empty() {
            return sentence.refused(Refusal {
                short: "reaches no edge",
                long: "The selection reaches no edge of the table: select the cells up to an edge, and leave two before them.",
            });
        }
        sentence
    }

    fn copy(&self) -> Sentence {
        let sides = copy_sides(self.selected);
        let from = chosen(self.view.screen.inspector.copy_from, &sides);
        let options: Vec<Pick> = sides.iter().copied().map(Pick::CopyFrom).collect();
        let (now, next) = Pick::among(Pick::CopyFrom(from), &options);
        let command = match from {
            Side::HighLoad => Some(Command::FillDown),
            Side::LowSpeed => Some(Command::FillRight),
            Side::LowLoad | Side::HighSpeed => None,
        };
        let parts = vec![Part::Choice { now, next }];
        let sentence = self.on_selection("copy", "Fill from the", parts, Tool::Fill { from });
        let sentence = Sentence { command, ..sentence };
        if self.selected.as_block().is_none() {
            return sentence.refused(NO_BLOCK);
        }
        if sides.is_empty() {
            return sentence.refused(Refusal { short: "one cell", long: "One cell has nothing to fill: select more." });
        }
        sentence
    }

    /// The sentences that keep numbers within bounds.
    fn limits(&self) -> Vec<Sentence> {
        let amounts = &self.view.screen.inspector.amounts;
        let (per_1000rpm, per_load_unit) = (amounts.slope_per_1000rpm, amounts.slope_per_load_unit);
        let parts = vec![Part::Amount(Field::SlopeLoad, per_load_unit)];
        let slope = self.on_more("slope", "Limit slope", parts, Tool::LimitSlope { per_1000rpm, per_load_unit });
        let slope = Sentence { more: Some(vec![Part::Amount(Field::SlopeSpeed, per_1000rpm)]), ..slope };
        let parts = vec![Part::Amount(Field::Scale, amounts.scale_percent)];
        let scale = self.on_selection("scale", "Scale by", parts, Tool::Scale { percent: amounts.scale_percent });
        let (low_deg, high_deg) = amounts.clamp_deg;
        let parts =
            vec![Part::Amount(Field::ClampLow, low_deg), Part::Word("to"), Part::Amount(Field::ClampHigh, high_deg)];
        let clamp = self.on_selection("clamp", "Clamp", parts, Tool::Clamp { low_deg, high_deg });
        let clamp = if low_deg <= high_deg {
            clamp
        } else {
            Sentence {
                plan: Err(Refusal { short: "", long: "The clamp runs backwards: give the lower bound first." }),
                ..clamp
            }
        };
        let parts = vec![Part::Amount(Field::Round, amounts.round_deg)];
        let round = self.on_selection("round", "Round to", parts, Tool::Round { step_deg: amounts.round_deg });
        vec![
            slope.tip(
                "Moves the cells as little as possible so that neighbours among them differ by no more than this. Cells \
                 that are not selected are not looked at.",
            ),
            scale.tip("Changes every cell by so many per cent of itself."),
            clamp.tip("Brings every value between the two bounds."),
            round.tip("Rounds every value to a multiple of the step."),
        ]
    }
}

impl Sentence {
    fn tip(self, tip: &'static str) -> Self {
        Self { tip, ..self }
    }

    fn command(self, command: Command) -> Self {
        Self { command: Some(command), ..self }
    }

    fn refused(self, refusal: Refusal) -> Self {
        Self { plan: Err(refusal), ..self }
    }
}

/// The side that was chosen if it will do, else the first that does.
fn chosen(wish: Side, sides: &[Side]) -> Side {
    if sides.contains(&wish) { wish } else { sides.first().copied().unwrap_or(wish) }
}
