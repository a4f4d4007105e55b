//! The curves that an image can hold: which contents their breakpoints and their values are, and where in a project they
//! stand; and the items that keep the unit's old size when the advance table outgrows the layout.

use std::fmt;

use super::field_ranges::kind_at;
use super::fields::FieldKind;
use super::{Content, ContentSize, Item, Parts, Project};
use crate::table::Curve;
use crate::wording::Unit;

/// A curve of the project that the image can hold as two items: its breakpoints and its values.
#[derive(Debug)]
pub struct HeldCurve {
    /// The content of its breakpoints.
    pub axis: Content,
    /// The content of its values.
    pub values: Content,
    /// Where it stands in the project.
    pub path: &'static str,
    of: fn(&Parts) -> &Curve,
    slot: fn(&mut Parts) -> &mut Curve,
}

/// Each curve by the contents of its breakpoints and values, and its place in a project, from which path and access follow.
macro_rules! held_curves {
    ($count:literal: $($axis:ident, $values:ident: $first:ident $(. $rest:ident)+;)*) => {
        /// Every curve that an image can hold.
        pub static HELD_CURVES: [HeldCurve; $count] = [$(
            HeldCurve {
                axis: Content::$axis,
                values: Content::$values,
                path: concat!(stringify!($first) $(, ".", stringify!($rest))+),
                of: |parts| &parts.$first$(.$rest)+,
                slot: |parts| &mut parts.$first$(.$rest)+,
            },
        )*];
    };
}

held_curves! { 8:
    CoolantTrimTemperatures, CoolantTrimDegrees: trims.coolant.degrees;
    CoolantWeightLoads, CoolantWeights: trims.coolant.weight;
    AirTrimTemperatures, AirTrimDegrees: trims.air.degrees;
    AirWeightLoads, AirWeights: trims.air.weight;
    MarginLoads, MarginDegrees: safety_margin.degrees;
    FullLoadSpeeds, FullLoadDegrees: full_load_line.most_deg;
    FullLoadLessLoads, FullLoadLessDegrees: full_load_line.less_deg;
    DwellVoltages, DwellTimes: coil.dwell_ms;
}

impl HeldCurve {
    /// The curve in a project.
    pub fn of<'a>(&self, parts: &'a Parts) -> &'a Curve {
        (self.of)(parts)
    }

    /// Gives a project another curve in its place.
    pub fn put(&self, parts: &mut Parts, curve: Curve) {
        *(self.slot)(parts) = curve;
    }

    /// The path of one of its breakpoints.
    pub fn breakpoint_path(&self, index: usize) -> String {
        format!("{}.at[{index}]", self.path)
    }

    /// The path of one of its values.
    pub fn value_path(&self, index: usize) -> String {
        format!("{}.value[{index}]", self.path)
    }

    /// The unit of its breakpoints in a project.
    pub fn axis_unit(&self, parts: &Parts) -> Unit {
        unit_at(&self.breakpoint_path(0), parts)
    }

    /// The unit of its values in a project.
    pub fn value_unit(&self, parts: &Parts) -> Unit {
        unit_at(&self.value_path(0), parts)
    }
}

impl Content {
    /// The curve of which this is the breakpoints or the values; `None` for the advance table and single numbers.
    pub fn curve(self) -> Option<&'static HeldCurve> {
        HELD_CURVES.iter().find(|curve| curve.axis == self || curve.values == self)
    }

    /// Whether it is breakpoints, of the table or of a curve.
    pub fn is_axis(self) -> bool {
        matches!(self, Self::AdvanceSpeeds | Self::AdvanceLoads) || self.curve().is_some_and(|curve| curve.axis == self)
    }

    /// The contents that are the breakpoints of these values: for the cells of the table, along speed, then
    /// along load; none for breakpoints and single numbers.
    pub fn axes(self) -> Vec<Self> {
        match self {
            Self::AdvanceCells => vec![Self::AdvanceSpeeds, Self::AdvanceLoads],
            _ => self.curve().filter(|curve| curve.values == self).map(|curve| curve.axis).into_iter().collect(),
        }
    }
}

fn unit_at(path: &str, parts: &Parts) -> Unit {
    match kind_at(path, parts) {
        Some(FieldKind::Number { unit, .. }) => unit,
        _ => Unit::None,
    }
}

/// Items that used to follow the size of the table and are now fixed to its old size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PinnedItems {
    names: Vec<String>,
    size: ContentSize,
}

impl Project {
    /// The items whose size [`Project::with_advance`] fixed; `None` if there are none. If the table kept its
    /// own size, the user fixed the item's size on purpose, so that does not count.
    pub fn pinned_since(&self, before: &Self) -> Option<PinnedItems> {
        let size = |project: &Self| {
            let table = project.advance.table();
            (table.speed().len(), table.load().len())
        };
        if size(self) == size(before) {
            return None;
        }
        let was_free = |item: &Item| {
            let was = before.image.items.iter().find(|was| was.name == item.name);
            was.is_some_and(|was| {
                (was.speeds.is_none() && item.speeds.is_some()) || (was.loads.is_none() && item.loads.is_some())
            })
        };
        let pinned: Vec<&Item> = self.image.items.iter().filter(|item| was_free(item)).collect();
        let most =
            |size: fn(&Item) -> Option<u16>| pinned.iter().filter_map(|item| size(item)).max().map_or(1, usize::from);
        let size = ContentSize { speeds: most(|item| item.speeds), loads: most(|item| item.loads) };
        let names: Vec<String> = pinned.iter().map(|item| item.name.clone()).collect();
        if names.is_empty() { None } else { Some(PinnedItems { names, size }) }
    }
}

impl fmt::Display for PinnedItems {
    /// 'the image has no room for the larger table: cells, speeds keep 8 × 8, and an export resamples the table onto them'.
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ContentSize { speeds, loads } = self.size;
        write!(
            formatter,
            "the image has no room for the larger table: {} keep {speeds} × {loads}, and an export resamples the table onto them",
            self.names.join(", ")
        )
    }
}
