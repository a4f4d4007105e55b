//! Which of the values that a project commands its image holds, and how the unit gets the rest.
//!
//! Whatever has an item is in the image: that follows from the items and is stored nowhere else. A project only
//! keeps what does not follow from them: what is folded into the exported table, what the unit does not apply,
//! and what was set in the unit by hand.

use super::field_ranges::kind_at;
use super::fields::{FieldKind, field};
use super::locate::steps;
use super::{
    Content, CoveredHow, CoveredPart, Fault, HELD_CURVES, HeldCurve, PartCoverage, Parts, Project, Tree, TreeError,
};
use crate::wording::{Unit, lower_first, quantity, with_unit, written};

/// How a part reaches the unit, from the items of the image and what the project keeps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Covered {
    /// The image holds all of it.
    InImage,
    /// The image holds some of it; the rest is set by hand.
    Partly(Vec<Needed>),
    /// The image holds nothing of it; all is set by hand.
    ByHand(Vec<Needed>),
    /// Folded into the cells of the exported table.
    InTable,
    /// Not applied by the unit.
    NotApplied,
}

impl Covered {
    /// Its name in files.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::InImage => "in_image",
            Self::Partly(_) => "partly",
            Self::ByHand(_) => "by_hand",
            Self::InTable => "in_table",
            Self::NotApplied => "not_applied",
        }
    }

    /// What is to be set by hand.
    pub fn missing(&self) -> &[Needed] {
        match self {
            Self::Partly(missing) | Self::ByHand(missing) => missing,
            _ => &[],
        }
    }
}

/// Something that a unit needs to know for a part: a table, the breakpoints or the values of a curve, or one number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Needed {
    /// What an item would hold.
    pub content: Content,
    /// The path of the number, for [`Content::Field`]; empty otherwise.
    pub field: String,
}

impl CoveredPart {
    /// What the image of a project has to hold for it.
    pub fn needs(self, parts: &Parts) -> Vec<Needed> {
        let content = |content| Needed { content, field: String::new() };
        let curve = |path: &str| {
            let held = HELD_CURVES.iter().find(|curve| curve.path == path);
            held.into_iter().flat_map(|curve| [content(curve.axis), content(curve.values)]).collect::<Vec<_>>()
        };
        let fields = |paths: &[&str]| paths.iter().map(|path| number(*path)).collect::<Vec<_>>();
        let of = |group: &str, names: &[&str]| names.iter().map(|name| number(format!("{group}.{name}"))).collect();
        match self {
            Self::Table => [Content::AdvanceSpeeds, Content::AdvanceLoads, Content::AdvanceCells].map(content).into(),
            Self::CoolantTrim => [fields(&["trims.coolant.enabled"]), curve("trims.coolant.degrees")].concat(),
            Self::CoolantWeight => curve("trims.coolant.weight"),
            Self::AirTrim => [fields(&["trims.air.enabled"]), curve("trims.air.degrees")].concat(),
            Self::AirWeight => curve("trims.air.weight"),
            Self::Cranking => {
                of("limits.cranking", &["advance_deg", "no_spark_below_rpm", "below_rpm", "leave_at_rpm"])
            }
            Self::CrankingBlend => of("limits.cranking", &["blend_rpm"]),
            Self::Launch => of(
                "limits.launch",
                &[
                    "enabled",
                    "arms_below_rpm",
                    "retards_from_rpm",
                    "cuts_at_rpm",
                    "resume_drop_rpm",
                    "advance_deg",
                    "throttle_above_pct",
                ],
            ),
            Self::Easing => of("limits.over_speed", &["eases_from_rpm", "eases_by_deg"]),
            Self::Cut => of("limits.over_speed", &["enabled", "cuts_at_rpm", "fires_again_below_rpm"]),
            Self::SecondCut => of("limits.over_speed", &["pattern", "cuts_all_at_rpm"]),
            Self::Margin => [fields(&["safety_margin.enabled"]), curve("safety_margin.degrees")].concat(),
            Self::Clamp => of("limits.clamp", &["floor_deg", "ceiling_deg"]),
            Self::FullLoadLine => [
                fields(&["full_load_line.enabled", "full_load_line.from_load"]),
                curve("full_load_line.most_deg"),
                curve("full_load_line.less_deg"),
            ]
            .concat(),
            Self::Dwell => curve("coil.dwell_ms"),
            Self::Outputs => outputs(parts),
            Self::Tachometer => of("tachometer", &["enabled", "pulses_per_revolution"]),
            Self::Trigger => of(
                "trigger",
                &["wheel.teeth", "wheel.missing", "reference_deg", "zero_offset_deg", "edge", "latency_us"],
            ),
        }
    }

    /// Whether it has any effect in a project: what is switched off, or changes nothing, is to be off in the
    /// unit too.
    pub fn acts(self, parts: &Parts) -> bool {
        let limits = &parts.limits;
        let weighs = |trim: &super::Trim| trim.enabled && trim.weight.values().iter().any(|weight| *weight != 1.0);
        match self {
            Self::CoolantTrim => parts.trims.coolant.enabled,
            Self::CoolantWeight => weighs(&parts.trims.coolant),
            Self::AirTrim => parts.trims.air.enabled,
            Self::AirWeight => weighs(&parts.trims.air),
            Self::CrankingBlend => limits.cranking.blend_rpm > 0.0,
            Self::Launch => limits.launch.enabled,
            Self::Easing => limits.over_speed.enabled && limits.over_speed.eases_by_deg > 0.0,
            Self::Cut | Self::SecondCut => limits.over_speed.enabled,
            Self::Margin => parts.safety_margin.enabled,
            Self::FullLoadLine => parts.full_load_line.enabled,
            Self::Outputs => parts.outputs.iter().any(|output| output.enabled),
            Self::Tachometer => parts.tachometer.enabled,
            Self::Table | Self::Cranking | Self::Clamp | Self::Dwell | Self::Trigger => true,
        }
    }

    /// Whether it can be folded into the exported table.
    pub const fn folds(self) -> bool {
        matches!(self, Self::CoolantTrim | Self::AirTrim | Self::Margin | Self::Clamp | Self::FullLoadLine)
    }

    /// Whether it is folded at one temperature.
    pub const fn folds_at_a_temperature(self) -> bool {
        matches!(self, Self::CoolantTrim | Self::AirTrim)
    }

    /// Whether a unit may lack it.
    pub const fn can_be_left_out(self) -> bool {
        !matches!(self, Self::Table | Self::Trigger)
    }

    /// Whether it is the weight of a trim, which a unit has to know also where it changes nothing.
    pub const fn is_weight(self) -> bool {
        matches!(self, Self::CoolantWeight | Self::AirWeight)
    }

    /// The part that decides whether this one is folded into the table: a weight goes with its trim.
    const fn folds_with(self) -> Self {
        match self {
            Self::CoolantWeight => Self::CoolantTrim,
            Self::AirWeight => Self::AirTrim,
            other => other,
        }
    }
}

fn number(path: impl Into<String>) -> Needed {
    Needed { content: Content::Field, field: path.into() }
}

/// What a unit needs to know of the outputs that are used.
fn outputs(parts: &Parts) -> Vec<Needed> {
    let mut needed = Vec::new();
    for (at, output) in parts.outputs.iter().enumerate().filter(|(_, output)| output.enabled) {
        needed.push(number(format!("outputs[{at}].enabled")));
        for condition in 0..output.conditions.len() {
            let of = |name: &str| number(format!("outputs[{at}].conditions[{condition}].{name}"));
            needed.extend(["signal", "on", "off"].map(of));
        }
        needed.extend(["combine", "inverted"].map(|name| number(format!("outputs[{at}].{name}"))));
        if output.blinks_from_rpm.is_some() {
            needed.push(number(format!("outputs[{at}].blinks_from_rpm")));
        }
    }
    needed
}

impl Parts {
    /// How the unit has a part.
    pub fn covered(&self, part: CoveredPart) -> Covered {
        match self.image.coverage.of(part.folds_with()).how {
            CoveredHow::InTable => return Covered::InTable,
            CoveredHow::NotApplied if part.folds_with() != part => return Covered::NotApplied,
            _ => {}
        }
        if self.image.coverage.of(part).how == CoveredHow::NotApplied {
            return Covered::NotApplied;
        }
        let needs = part.needs(self);
        let all = needs.len();
        let missing: Vec<Needed> = needs.into_iter().filter(|needed| !self.is_held(needed)).collect();
        match missing.len() {
            0 => Covered::InImage,
            some if some < all => Covered::Partly(missing),
            _ => Covered::ByHand(missing),
        }
    }

    /// Whether the image holds something: as an item of its own, or a curve whose numbers each have an item.
    fn is_held(&self, needed: &Needed) -> bool {
        let has_field =
            |path: &str| self.image.items.iter().any(|item| item.content == Content::Field && item.field == path);
        if needed.content == Content::Field {
            return has_field(&needed.field);
        }
        let by_points = |curve: &HeldCurve| {
            let path = |at| if needed.content == curve.axis { curve.breakpoint_path(at) } else { curve.value_path(at) };
            (0..curve.of(self).axis().len()).all(|at| has_field(&path(at)))
        };
        self.image.items.iter().any(|item| item.content == needed.content)
            || needed.content.curve().is_some_and(by_points)
    }

    /// The parts that the image does not hold completely, those with an effect first, each with how the unit
    /// gets it.
    pub fn not_in_image(&self) -> Vec<(CoveredPart, Covered)> {
        let mut list: Vec<(CoveredPart, Covered)> = CoveredPart::ALL
            .into_iter()
            .map(|part| (part, self.covered(part)))
            .filter(|(part, covered)| part.folds_with() == *part || *covered != Covered::InTable)
            .filter(|(part, covered)| *covered != Covered::InImage && !self.is_without_meaning(*part))
            .collect();
        list.sort_by_key(|(part, _)| !part.acts(self));
        list
    }

    /// Whether nothing needs setting in the unit for it: a full-load line that is off bounds nothing, and outputs
    /// that are not used do nothing.
    fn is_without_meaning(&self, part: CoveredPart) -> bool {
        matches!(part, CoveredPart::FullLoadLine | CoveredPart::Outputs) && !part.acts(self)
    }

    /// Every value but the advance table, by path.
    ///
    /// # Errors
    /// [`TreeError`] never for a project that exists.
    pub fn setup_tree(&self) -> Result<Tree, TreeError> {
        super::field_ranges::setup_tree(self)
    }

    /// What a part is to be in the unit, in words: 'off', or every number to be set by hand. `tree` comes from
    /// [`Self::setup_tree`] and is made once for all parts.
    pub fn covered_words(&self, part: CoveredPart, covered: &Covered, tree: &Tree) -> String {
        if !part.acts(self) && !part.is_weight() {
            return "off".into();
        }
        let missing = covered.missing();
        let words = missing.iter().filter_map(|needed| self.needed_words(needed, missing, tree));
        words.collect::<Vec<_>>().join("; ")
    }

    fn needed_words(&self, needed: &Needed, missing: &[Needed], tree: &Tree) -> Option<String> {
        let label = |path: &str| field(path).map_or("", |field| field.label);
        if needed.content == Content::Field {
            let value = steps(&needed.field).and_then(|steps| tree.at(&steps))?;
            return Some(format!("{}: {}", self.number_label(&needed.field), self.value_words(&needed.field, value)));
        }
        let Some(curve) = needed.content.curve() else {
            let table = self.advance.table();
            let list = |axis: &crate::table::Axis, unit| list_words(axis.breakpoints(), unit);
            return Some(match needed.content {
                Content::AdvanceSpeeds => format!("speeds {}", list(table.speed(), Unit::Rpm)),
                Content::AdvanceLoads => format!("loads {}", list(table.load(), self.sensors.load.unit())),
                _ => "every cell".into(),
            });
        };
        let values_are_missing = missing.iter().any(|other| other.content == curve.values);
        if needed.content == curve.axis {
            let breakpoints = list_words(curve.of(self).axis().breakpoints(), curve.axis_unit(self));
            return (!values_are_missing).then(|| format!("{}: {breakpoints}", label(&curve.breakpoint_path(0))));
        }
        let point = |(at, value): (f64, f64)| {
            format!("{} at {}", with_unit(&written(value), curve.value_unit(self)), quantity(at, curve.axis_unit(self)))
        };
        let points: Vec<String> = curve.of(self).points().map(point).collect();
        Some(format!("{}: {}", label(&curve.value_path(0)), points.join(", ")))
    }

    /// What people call a number; for a number of an output, with the output's name.
    fn number_label(&self, path: &str) -> String {
        let label = field(path).map_or("", |field| field.label);
        let output = steps(path).and_then(|steps| match steps.as_slice() {
            [super::locate::Step::Field(list), super::locate::Step::Index(at), ..] if list == "outputs" => {
                self.outputs.get(*at)
            }
            _ => None,
        });
        match output {
            Some(output) => {
                let name = crate::wording::one_line(&output.name);
                format!("{name}, {}", lower_first(label.trim_start_matches("Output ")))
            }
            None => label.to_owned(),
        }
    }

    fn value_words(&self, path: &str, value: &Tree) -> String {
        match value {
            Tree::Number(number) => match kind_at(path, self) {
                Some(FieldKind::Number { unit, .. }) => with_unit(&written(*number), unit),
                _ => written(*number),
            },
            Tree::Flag(flag) => if *flag { "yes" } else { "no" }.into(),
            Tree::Name(name) => name.replace('_', " "),
            Tree::Present(inner) => self.value_words(path, inner),
            _ => "none".into(),
        }
    }
}

fn list_words(numbers: &[f64], unit: Unit) -> String {
    with_unit(&numbers.iter().map(|x| written(*x)).collect::<Vec<_>>().join(", "), unit)
}

/// Why the coverage is not allowed, if it is not.
pub(super) fn check(parts: &Parts) -> Result<(), Fault> {
    for part in CoveredPart::ALL {
        let PartCoverage { how, at_c, .. } = parts.image.coverage.of(part);
        let path = |field: &str| format!("image.coverage.{}.{field}", part.name());
        let refused = |field: &str, message: String, hint: &str| {
            Err(Fault { hint: hint.into(), ..Fault::new(path(field), message) })
        };
        let words = || lower_first(part.words());
        match how {
            CoveredHow::InTable if !part.folds() => {
                let foldable: Vec<&str> =
                    CoveredPart::ALL.into_iter().filter(|part| part.folds()).map(CoveredPart::name).collect();
                let message = format!("the {} cannot be folded into the table", words());
                return refused("how", message, &format!("what can: {}", foldable.join(", ")));
            }
            CoveredHow::InTable if part.folds_at_a_temperature() && at_c.is_none() => {
                let hint = format!("give {} the temperature in °C at which it is folded", path("at_c"));
                return refused("how", format!("the {} is folded into the table at one temperature", words()), &hint);
            }
            CoveredHow::NotApplied if !part.can_be_left_out() => {
                return refused("how", format!("no unit does without the {}", words()), "");
            }
            _ => {}
        }
        if at_c.is_some() && !part.folds_at_a_temperature() {
            return refused("at_c", format!("the {} does not go by a temperature", words()), "none takes it out");
        }
    }
    Ok(())
}

/// Takes away every 'set in the unit' tick whose numbers have changed since it was given, except ticks given by
/// this very change.
pub(super) fn withdraw_ticks(before: &Parts, after: &mut Parts, is_given_now: impl Fn(CoveredPart) -> bool) {
    for part in CoveredPart::ALL {
        let is_set = |parts: &Parts| parts.image.coverage.of(part).set;
        if is_set(before) && is_set(after) && !is_given_now(part) && !is_alike(part, before, after) {
            after.image.coverage.of_mut(part).set = false;
        }
    }
}

/// Whether two projects leave the same numbers to be set by hand for a part.
fn is_alike(part: CoveredPart, a: &Parts, b: &Parts) -> bool {
    let (of_a, of_b) = (a.covered(part), b.covered(part));
    let words = |parts: &Parts, covered: &Covered| {
        parts.setup_tree().ok().map(|tree| parts.covered_words(part, covered, &tree))
    };
    of_a == of_b && words(a, &of_a) == words(b, &of_b) && !is_other_table(part, a, b)
}

impl Project {
    /// This project, merged from others, without those ticks 'set in the unit' that none of the others has for
    /// the same numbers.
    ///
    /// # Errors
    /// [`Fault`] never for a project that exists.
    pub fn with_ticks_of(&self, others: &[Self]) -> Result<Self, Fault> {
        let has = |other: &Self, part| other.image.coverage.of(part).set && is_alike(part, self, other);
        let is_stale =
            |part: &CoveredPart| self.image.coverage.of(*part).set && !others.iter().any(|other| has(other, *part));
        let stale: Vec<CoveredPart> = CoveredPart::ALL.into_iter().filter(is_stale).collect();
        if stale.is_empty() {
            return Ok(self.clone());
        }
        self.edit(|parts| stale.into_iter().for_each(|part| parts.image.coverage.of_mut(part).set = false))
    }
}

fn is_other_table(part: CoveredPart, before: &Parts, after: &Parts) -> bool {
    part == CoveredPart::Table && before.advance.table() != after.advance.table()
}
