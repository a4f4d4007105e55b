//! The screen state of the Engine sheet: the open page and the input of its worksheets.

use crate::worksheet::{LightKind, STRIP_DEG, SenderPlace, Strip, WorksheetError};

/// The pages of the sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Page {
    /// The installation and its pictures.
    #[default]
    Installation,
    /// The first cranking, without fuel.
    FirstStart,
    /// From timing-light readings to the zero offset.
    TimingLight,
    /// What the light should show at one point.
    Light,
    /// Dead centre from a piston stop.
    TrueTdc,
    /// The throttle sensor's voltages.
    Throttle,
    /// A temperature sender's table.
    Sender,
    /// Dwell, current and energy.
    Coil,
}

impl Page {
    /// In the order in which the job runs: what can be measured on the standing engine, then cranked, then running.
    pub const ALL: [Self; 8] = [
        Self::Installation,
        Self::TrueTdc,
        Self::Throttle,
        Self::Sender,
        Self::Coil,
        Self::FirstStart,
        Self::Light,
        Self::TimingLight,
    ];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Installation => "Installation",
            Self::FirstStart => "Before the first start",
            Self::TimingLight => "Timing light",
            Self::Light => "What should the light show?",
            Self::TrueTdc => "True TDC",
            Self::Throttle => "Throttle",
            Self::Sender => "Sender",
            Self::Coil => "Coil",
        }
    }

    /// What it is for.
    pub const fn tooltip(self) -> &'static str {
        match self {
            Self::Installation => "Engine, trigger, sensors and coils, with the wheel and the firing sequence drawn.",
            Self::FirstStart => {
                "Cranked without fuel: what the light should show of every coil, and what says that their order is right."
            }
            Self::TimingLight => "From readings with a timing light to the zero offset that makes commanded actual.",
            Self::Light => "One operating point: the advance that a timing light should show, and what it is made of.",
            Self::TrueTdc => "Dead centre from a piston stop, and degrees on a pulley in millimetres.",
            Self::Throttle => "From two voltages to the throttle sensor's calibration, and whether it is wired right.",
            Self::Sender => "A temperature sender's volts and counts, from its data sheet.",
            Self::Coil => "Dwell for a current, the time there is for it, and the energy it stores.",
        }
    }
}

/// The state of the sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct EngineState {
    /// The open page.
    pub page: Page,
    /// The advance for which the pictures show sparks; the one at idle if `None`.
    pub shown_deg: Option<f64>,
    /// The operating point of the light: speed, load, coolant, air; `None` means the project's idle with a warm
    /// engine.
    pub light: [Option<f64>; 4],
    /// The piston stop.
    pub stop: StopState,
    /// The throttle sensor's voltages closed and open, if they were typed.
    pub throttle_v: [Option<f64>; 2],
    /// The sender.
    pub sender: SenderState,
    /// The current and the highest speed for the coil worksheet; the speed is the project's if `None`.
    pub coil: [Option<f64>; 2],
    /// Which timing light it is, if that was said.
    pub timing_light: Option<LightKind>,
    /// What the light showed for each coil before the first start, in degrees, by the coil's index.
    pub first_start_deg: Vec<Option<f64>>,
    /// The supply measured while cranking, V.
    pub first_start_v: Option<f64>,
}

/// Readings of a degree wheel, and the pulley; empty until they are typed.
#[derive(Clone, Debug, PartialEq)]
pub struct StopState {
    /// Where the piston touches when turned one way and the other, in degrees.
    pub marks_deg: [Option<f64>; 2],
    /// Whether the reading at the reference edge was taken.
    pub has_edge: bool,
    /// That reading, degrees.
    pub edge_deg: Option<f64>,
    /// The pulley's diameter, in mm.
    pub diameter_mm: Option<f64>,
    /// An angle on the pulley, degrees.
    pub pulley_deg: Option<f64>,
    /// The first and the last degree of a strip for the pulley, before top dead centre.
    pub strip_deg: [f64; 2],
}

impl StopState {
    /// The strip for the pulley.
    ///
    /// # Errors
    /// [`WorksheetError`] without a diameter, and if there is nothing between the ends.
    pub fn strip(&self) -> Result<Strip, WorksheetError> {
        let missing = || WorksheetError::Contradiction("the pulley's diameter is missing".into());
        let diameter_mm = self.diameter_mm.ok_or_else(missing)?;
        #[expect(clippy::cast_possible_truncation, reason = "within half a turn")]
        let [from, to] = self.strip_deg.map(|deg| deg.round() as i16);
        Strip::new(diameter_mm, from, to)
    }
}

impl Default for StopState {
    fn default() -> Self {
        let strip_deg = [STRIP_DEG.0, STRIP_DEG.1].map(f64::from);
        Self { marks_deg: [None; 2], has_edge: false, edge_deg: None, diameter_mm: None, pulley_deg: None, strip_deg }
    }
}

/// The input of the sender worksheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SenderState {
    /// Which one.
    pub place: SenderPlace,
    /// Whether the law goes through two points only.
    pub by_two: bool,
    /// Temperatures and resistances alternating; `None` means the project's.
    pub points: [Option<f64>; 6],
    /// The pull-up; the project's if `None`.
    pub pull_up_ohm: Option<f64>,
    /// The supply, V.
    pub supply_v: f64,
    /// Bits of the converter.
    pub bits: f64,
}

impl Default for SenderState {
    fn default() -> Self {
        Self {
            place: SenderPlace::Coolant,
            by_two: false,
            points: [None; 6],
            pull_up_ohm: None,
            supply_v: 5.0,
            bits: 10.0,
        }
    }
}

/// A number that is typed on the Engine sheet; where there are several of a kind, with an index.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EngineNumber {
    /// The advance whose sparks the pictures show.
    ShownAdvance,
    /// Speed, load, coolant and air at the light.
    Light(usize),
    /// Where the piston touches, one way and the other.
    StopMark(usize),
    /// The reading at the reference edge.
    StopEdge,
    /// The pulley's diameter.
    PulleyDiameter,
    /// An angle on the pulley.
    PulleyAngle,
    /// The first and the last degree of the strip.
    StripEnd(usize),
    /// The throttle sensor's voltage, closed and open.
    Throttle(usize),
    /// The sender's temperatures and resistances, alternating.
    SenderPoint(usize),
    /// The sender's pull-up.
    SenderPullUp,
    /// The sender's supply.
    SenderSupply,
    /// Bits of the converter.
    SenderBits,
    /// The current and the highest speed for the coil worksheet.
    Coil(usize),
    /// What the light showed for each coil before the first start.
    FirstStart(usize),
    /// The supply measured while cranking.
    FirstStartSupply,
}

/// What a view may ask of the Engine sheet's state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EngineMessage {
    /// Open a page.
    Open(Page),
    /// Set a number; `None` if its box was emptied.
    Put(EngineNumber, Option<f64>),
    /// Whether the reading at the reference edge was taken.
    ReadEdge(bool),
    /// Switch to this sender; what was typed for the other one is cleared.
    Sender(SenderPlace),
    /// Whether the sender's law goes through two points only.
    ByTwo(bool),
    /// Which timing light it is, if that was said.
    Light(Option<LightKind>),
}

impl EngineState {
    /// Carries out the message.
    pub fn apply(&mut self, message: EngineMessage) {
        let sender = &mut self.sender;
        match message {
            EngineMessage::Open(page) => self.page = page,
            EngineMessage::Put(number, value) => self.put(number, value),
            EngineMessage::ReadEdge(is_read) => self.stop.has_edge = is_read,
            EngineMessage::Sender(place) => {
                (sender.place, sender.points, sender.pull_up_ohm) = (place, [None; 6], None);
            }
            EngineMessage::ByTwo(by_two) => sender.by_two = by_two,
            EngineMessage::Light(kind) => self.timing_light = kind,
        }
    }

    fn put(&mut self, number: EngineNumber, value: Option<f64>) {
        let (stop, sender) = (&mut self.stop, &mut self.sender);
        let slot = match number {
            EngineNumber::ShownAdvance => Some(&mut self.shown_deg),
            EngineNumber::Light(place) => self.light.get_mut(place),
            EngineNumber::StopMark(place) => stop.marks_deg.get_mut(place),
            EngineNumber::StopEdge => Some(&mut stop.edge_deg),
            EngineNumber::PulleyDiameter => Some(&mut stop.diameter_mm),
            EngineNumber::PulleyAngle => Some(&mut stop.pulley_deg),
            EngineNumber::Throttle(place) => self.throttle_v.get_mut(place),
            EngineNumber::SenderPoint(place) => sender.points.get_mut(place),
            EngineNumber::SenderPullUp => Some(&mut sender.pull_up_ohm),
            EngineNumber::Coil(place) => self.coil.get_mut(place),
            EngineNumber::FirstStart(place) => {
                if self.first_start_deg.len() <= place {
                    self.first_start_deg.resize(place + 1, None);
                }
                self.first_start_deg.get_mut(place)
            }
            EngineNumber::FirstStartSupply => Some(&mut self.first_start_v),
            EngineNumber::StripEnd(_) | EngineNumber::SenderSupply | EngineNumber::SenderBits => {
                return self.put_needed(number, value);
            }
        };
        if let Some(slot) = slot {
            *slot = value;
        }
    }

    /// Sets a number that must not be empty.
    fn put_needed(&mut self, number: EngineNumber, value: Option<f64>) {
        let Some(value) = value else { return };
        match number {
            EngineNumber::StripEnd(place) => {
                if let Some(slot) = self.stop.strip_deg.get_mut(place) {
                    *slot = value.round();
                }
            }
            EngineNumber::SenderSupply => self.sender.supply_v = value,
            EngineNumber::SenderBits => self.sender.bits = value.round(),
            _ => {}
        }
    }
}
