//! What the inspector and the panel of breakpoints keep on the screen.

use crate::shaping::{Along, Extension, Keep, Side, Way};
use crate::table::Selection;
use crate::window::state::checks_state::FindingKey;

/// Choices and half-typed text.
#[derive(Clone, Debug, PartialEq)]
pub struct InspectorState {
    /// The field that is being typed into, and what stands there.
    pub typing: Option<(Field, String)>,
    /// The amounts in the sentences.
    pub amounts: Amounts,
    /// Between what to fill.
    pub fill: Way,
    /// Along which axis to interpolate.
    pub interpolate: Along,
    /// Which neighbouring line to repeat.
    pub repeat_from: Side,
    /// To which edge to extend.
    pub extend_to: Side,
    /// How to extend.
    pub extend_how: Extension,
    /// Which line of the block to copy.
    pub copy_from: Side,
    /// The finding that is shown, and the selected cells it was shown for.
    pub finding: Option<(FindingKey, Selection)>,
    /// The panel of breakpoints.
    pub breakpoints: BreakpointsForm,
}

impl Default for InspectorState {
    fn default() -> Self {
        Self {
            typing: None,
            amounts: Amounts::default(),
            fill: Way::Edges,
            interpolate: Along::Speed,
            repeat_from: Side::HighLoad,
            extend_to: Side::HighLoad,
            extend_how: Extension::Linear,
            copy_from: Side::HighLoad,
            finding: None,
            breakpoints: BreakpointsForm::default(),
        }
    }
}

/// What stands in the panel of breakpoints.
#[derive(Clone, Debug, PartialEq)]
pub struct BreakpointsForm {
    /// Whose breakpoints are listed.
    pub along: Along,
    /// What stays when breakpoints move.
    pub keep: Keep,
    /// A list to replace all breakpoints by.
    pub list: String,
    /// How many speeds to resize to; `None` is as many as there are.
    pub speeds: Option<f64>,
    /// How many loads to resize to; `None` is as many as there are.
    pub loads: Option<f64>,
    /// Where to insert a breakpoint; `None` is the middle of the widest gap.
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

/// An editable number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Field {
    /// Raise or lower by.
    Raise,
    /// Set to.
    Set,
    /// Strength of fairing.
    Fair,
    /// Lift by.
    LiftBy,
    /// Radius of the lift.
    LiftRadius,
    /// Allowed slope along speed.
    SlopeSpeed,
    /// Allowed slope along load.
    SlopeLoad,
    /// Offset of a repeated line.
    Repeat,
    /// Percentage to scale by.
    Scale,
    /// Lower bound of a clamp.
    ClampLow,
    /// Upper bound of a clamp.
    ClampHigh,
    /// Step to round to.
    Round,
    /// A breakpoint of an axis.
    Breakpoint(Along, usize),
    /// Where to insert a breakpoint.
    InsertAt,
    /// How many speeds.
    Speeds,
    /// How many loads.
    Loads,
}

/// The amounts in the inspector's sentences.
#[derive(Clone, Debug, PartialEq)]
pub struct Amounts {
    /// Raise or lower by, degrees.
    pub raise_deg: f64,
    /// Set to, degrees.
    pub set_deg: f64,
    /// Scale by, per cent.
    pub scale_percent: f64,
    /// Fair with this strength.
    pub fair_strength: f64,
    /// Lift by, degrees.
    pub lift_deg: f64,
    /// Lift with this radius, cells.
    pub lift_radius_cells: f64,
    /// Repeat with this offset, degrees.
    pub repeat_offset_deg: f64,
    /// Limit slope to, degrees per 1000 rpm.
    pub slope_per_1000rpm: f64,
    /// Limit slope to, degrees per load unit.
    pub slope_per_load_unit: f64,
    /// Clamp between, degrees.
    pub clamp_deg: (f64, f64),
    /// Round to multiples of, degrees.
    pub round_deg: f64,
}

impl Default for Amounts {
    fn default() -> Self {
        Self {
            raise_deg: 1.0,
            set_deg: 20.0,
            scale_percent: 5.0,
            fair_strength: 2.0,
            lift_deg: 1.0,
            lift_radius_cells: 3.0,
            repeat_offset_deg: 1.5,
            slope_per_1000rpm: 12.0,
            slope_per_load_unit: 0.5,
            clamp_deg: (0.0, 40.0),
            round_deg: 0.5,
        }
    }
}

/// One option of one choice that stands in a sentence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pick {
    /// Between what to fill.
    Fill(Way),
    /// Along which axis to interpolate.
    Interpolate(Along),
    /// Which neighbouring line to repeat.
    RepeatFrom(Side),
    /// To which edge to extend.
    ExtendTo(Side),
    /// How to extend.
    ExtendHow(Extension),
    /// Which line to copy.
    CopyFrom(Side),
}

/// What a view may ask of the inspector's state.
#[derive(Clone, Debug, PartialEq)]
pub enum InspectorMessage {
    /// This is typed into a field; it takes the number where it is one.
    Type(Field, String, Option<f64>),
    /// The keyboard has left a field.
    Leave(Field),
    /// Take an option.
    Pick(Pick),
    /// Show a finding for these cells, or none.
    Show(Option<(FindingKey, Selection)>),
    /// List the breakpoints along this axis.
    List(Along),
    /// What stays when breakpoints move.
    Keep(Keep),
    /// This is typed as the list of all breakpoints.
    TypeList(String),
}

impl InspectorState {
    /// Does what is asked.
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
            InspectorMessage::Pick(pick) => self.take(pick),
            InspectorMessage::Show(finding) => self.finding = finding,
            InspectorMessage::List(along) => {
                (form.along, form.insert_at) = (along, None);
                form.list.clear();
            }
            InspectorMessage::Keep(keep) => form.keep = keep,
            InspectorMessage::TypeList(text) => form.list = text,
        }
    }

    const fn take(&mut self, pick: Pick) {
        match pick {
            Pick::Fill(way) => self.fill = way,
            Pick::Interpolate(along) => self.interpolate = along,
            Pick::RepeatFrom(side) => self.repeat_from = side,
            Pick::ExtendTo(side) => self.extend_to = side,
            Pick::ExtendHow(how) => self.extend_how = how,
            Pick::CopyFrom(side) => self.copy_from = side,
        }
    }

    /// Takes a number; a breakpoint is kept as its text alone until it is applied.
    const fn put(&mut self, field: Field, value: f64) {
        let (amounts, form) = (&mut self.amounts, &mut self.breakpoints);
        match field {
            Field::Raise => amounts.raise_deg = value,
            Field::Set => amounts.set_deg = value,
            Field::Fair => amounts.fair_strength = value,
            Field::LiftBy => amounts.lift_deg = value,
            Field::LiftRadius => amounts.lift_radius_cells = value,
            Field::SlopeSpeed => amounts.slope_per_1000rpm = value,
            Field::SlopeLoad => amounts.slope_per_load_unit = value,
            Field::Repeat => amounts.repeat_offset_deg = value,
            Field::Scale => amounts.scale_percent = value,
            Field::ClampLow => amounts.clamp_deg.0 = value,
            Field::ClampHigh => amounts.clamp_deg.1 = value,
            Field::Round => amounts.round_deg = value,
            Field::InsertAt => form.insert_at = Some(value),
            Field::Speeds => form.speeds = Some(value.round()),
            Field::Loads => form.loads = Some(value.round()),
            Field::Breakpoint(..) => {}
        }
    }
}
