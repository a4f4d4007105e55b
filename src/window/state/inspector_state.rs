//! What the inspector and the panel of breakpoints keep on the screen, and the tools whose result they show before it is
//! applied.

use std::collections::{BTreeMap, BTreeSet};

use crate::shaping::{Along, Choice, Keep, Number, Tool};
use crate::table::Selection;
use crate::window::state::checks_state::FindingKey;

/// Choices and half-typed text.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct InspectorState {
    /// The field that is being typed into, and its text.
    pub typing: Option<(Field, String)>,
    /// The amounts in the sentences.
    pub amounts: Amounts,
    /// The options chosen in the sentences.
    pub choices: Choices,
    /// The finding that is shown, and the selected cells for which it is.
    pub finding: Option<(FindingKey, Selection)>,
    /// The panel of breakpoints.
    pub breakpoints: BreakpointsForm,
    /// The clauses of fairing that are on.
    pub fairing: FairClauses,
}

/// The input of the panel of breakpoints.
#[derive(Clone, Debug, PartialEq)]
pub struct BreakpointsForm {
    /// Whose breakpoints are listed.
    pub along: Along,
    /// What is kept when breakpoints move.
    pub keep: Keep,
    /// A typed list that is to replace all breakpoints.
    pub list: String,
    /// How many speeds to resize to; `None` means the present number.
    pub speeds: Option<f64>,
    /// How many loads to resize to; `None` means the present number.
    pub loads: Option<f64>,
    /// Where to insert a breakpoint; `None` means the middle of the widest gap.
    pub insert_at: Option<f64>,
}

impl Default for BreakpointsForm {
    fn default() -> Self {
        Self {
            along: Along::Speed,
            keep: Keep::Surface,
            list: String::new(),
            speeds: None,
            loads: None,
            insert_at: None,
        }
    }
}

/// A clause of the sentence that fairs; each has a switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FairClause {
    /// No cell moves further than this.
    Within,
    /// Nothing rises with load above this.
    NotRising,
    /// At most so steep along speed.
    SlopeSpeed,
    /// At most so steep along load.
    SlopeLoad,
    /// Under the full-load line.
    UnderLine,
    /// Through the measured points.
    ThroughPoints,
    /// On multiples of a step.
    OnStep,
    /// Idle left alone.
    LeaveIdle,
}

impl FairClause {
    /// Every clause, in the order of the sentence.
    pub const ALL: [Self; 8] = [
        Self::Within,
        Self::NotRising,
        Self::SlopeSpeed,
        Self::SlopeLoad,
        Self::UnderLine,
        Self::ThroughPoints,
        Self::OnStep,
        Self::LeaveIdle,
    ];
}

/// The clauses that are on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FairClauses(BTreeSet<FairClause>);

impl Default for FairClauses {
    fn default() -> Self {
        Self([FairClause::Within, FairClause::LeaveIdle].into())
    }
}

impl FairClauses {
    /// Whether a clause is on.
    pub fn has(&self, clause: FairClause) -> bool {
        self.0.contains(&clause)
    }

    fn switch(&mut self, clause: FairClause) {
        if !self.0.remove(&clause) {
            self.0.insert(clause);
        }
    }
}

/// An editable number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Field {
    /// A number in a sentence.
    Amount(&'static Number),
    /// A breakpoint of an axis.
    Breakpoint(Along, usize),
    /// Where to insert a breakpoint.
    InsertAt,
    /// How many speeds.
    Speeds,
    /// How many loads.
    Loads,
}

/// The numbers in the inspector's sentences.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Amounts(BTreeMap<&'static str, f64>);

impl Amounts {
    /// What stands for a number.
    pub fn of(&self, number: &Number) -> f64 {
        self.0.get(number.name).copied().unwrap_or(number.default)
    }

    /// Sets a number.
    pub fn put(&mut self, number: &'static Number, value: f64) {
        self.0.insert(number.name, value);
    }
}

/// The options chosen in the inspector's sentences, each by its index within its choice.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choices(BTreeMap<&'static str, usize>);

impl Choices {
    /// The option chosen last.
    pub fn of(&self, choice: &Choice) -> usize {
        self.0.get(choice.name).copied().unwrap_or(choice.default)
    }

    /// Chooses an option.
    pub fn put(&mut self, choice: &'static Choice, option: usize) {
        self.0.insert(choice.name, option);
    }
}

/// What a view may ask of the inspector's state.
#[derive(Clone, Debug, PartialEq)]
pub enum InspectorMessage {
    /// This is typed into a field, with the number if it is a valid one.
    Type(Field, String, Option<f64>),
    /// The keyboard has left a field.
    Leave(Field),
    /// Choose an option, by its index.
    Take(&'static Choice, usize),
    /// Show a finding for these cells, or none.
    Show(Option<(FindingKey, Selection)>),
    /// List the breakpoints along this axis.
    List(Along),
    /// What to keep when breakpoints move.
    Keep(Keep),
    /// This is typed as the list of all breakpoints.
    TypeList(String),
    /// Switch a clause of fairing on or off.
    SwitchClause(FairClause),
    /// Set the number of a clause, which is then on.
    SetClause(FairClause, &'static Number, f64),
}

impl InspectorState {
    /// Carries out the message.
    pub fn apply(&mut self, message: InspectorMessage) {
        let form = &mut self.breakpoints;
        match message {
            InspectorMessage::Type(field, text, value) => {
                self.typing = Some((field, text));
                if let Some(value) = value {
                    self.put(field, value);
                }
            }
            InspectorMessage::Leave(field) => drop(self.typing.take_if(|(typed, _)| *typed == field)),
            InspectorMessage::Take(choice, option) => self.choices.put(choice, option),
            InspectorMessage::Show(finding) => self.finding = finding,
            InspectorMessage::List(along) => {
                (form.along, form.insert_at) = (along, None);
                form.list.clear();
            }
            InspectorMessage::Keep(keep) => form.keep = keep,
            InspectorMessage::TypeList(text) => form.list = text,
            InspectorMessage::SwitchClause(clause) => self.fairing.switch(clause),
            InspectorMessage::SetClause(clause, number, value) => {
                self.amounts.put(number, value);
                if !self.fairing.has(clause) {
                    self.fairing.switch(clause);
                }
            }
        }
    }

    /// Sets a number; a breakpoint is only kept as text until it is applied.
    fn put(&mut self, field: Field, value: f64) {
        let (amounts, form) = (&mut self.amounts, &mut self.breakpoints);
        match field {
            Field::Amount(number) => amounts.put(number, value),
            Field::InsertAt => form.insert_at = Some(value),
            Field::Speeds => form.speeds = Some(value.round()),
            Field::Loads => form.loads = Some(value.round()),
            Field::Breakpoint(..) => {}
        }
    }
}

/// Which part of the window previews a tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proposer {
    /// A sentence of the inspector.
    Sentence,
    /// The panel of breakpoints.
    Breakpoints,
    /// The panel of fairing.
    Fairing,
}

/// A tool whose result is shown before it is applied.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// Who previews it, and so who may end the preview.
    pub by: Proposer,
    /// The tool.
    pub tool: Tool,
    /// The cells it would act on.
    pub cells: Selection,
}

/// What is being previewed, and what was just before.
#[derive(Clone, Debug, Default)]
pub struct Proposals {
    /// The tool whose result is shown before it is applied.
    pub shown: Option<Proposal>,
    /// A tool that was just applied or cancelled; it is not previewed again before the pointer has left it.
    pub settled: Option<Proposal>,
}

impl Proposals {
    /// Previews the proposal of a part of the window, or ends its preview; what another part previews stays.
    pub fn propose(&mut self, by: Proposer, proposal: Option<Proposal>) {
        let own = |held: &Option<Proposal>| held.as_ref().is_none_or(|held| held.by == by);
        if own(&self.settled) && self.settled != proposal {
            self.settled = None;
        }
        if proposal.is_some() && self.settled == proposal {
            return;
        }
        if proposal.is_some() || own(&self.shown) {
            self.shown = proposal;
        }
    }

    /// Ends the preview until something else is proposed.
    pub fn settle(&mut self) {
        if let Some(proposal) = self.shown.take() {
            self.settled = Some(proposal);
        }
    }
}
