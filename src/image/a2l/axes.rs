//! Which axis belongs to which values, and in which direction it is stored.
//!
//! Values and breakpoints are matched by index. If an axis is stored in the same direction as the values over
//! it, its indices grow with the addresses, and a falling axis simply falls. If it is stored the other way
//! round, its indices run against the addresses: the same breakpoints are then described a second time under
//! another name.

use a2lfile::{AxisDescr, AxisDescrAttribute, AxisPtsRef, FixAxisParList, MonotonyType};

use super::names::Names;
use super::{NO_INPUT, record_layouts};
use crate::image::unit_axis::{axis_item, points_along, unit_axis};
use crate::image::{ImageError, Quantity};
use crate::project::{Content, Direction, Item, Parts};

/// An axis in the image as used by some values.
#[derive(Clone, Copy, PartialEq)]
pub(super) struct AxisUse<'a> {
    pub(super) item: &'a Item,
    /// Whether it is stored in the opposite direction from the values over it.
    pub(super) reversed: bool,
}

impl AxisUse<'_> {
    pub(super) fn name(&self, names: &Names) -> String {
        if self.reversed { names.reversed(self.item) } else { names.of(self.item) }
    }

    pub(super) fn points(&self, project: &Parts) -> u16 {
        u16::try_from(points_along(project, self.item, self.item.content)).unwrap_or(u16::MAX)
    }

    /// Whether the breakpoints rise or fall with the index.
    pub(super) fn monotony(&self) -> MonotonyType {
        let rises = (direction(self.item, self.item.content) == Direction::Ascending) != self.reversed;
        if rises { MonotonyType::StrictIncrease } else { MonotonyType::StrictDecrease }
    }
}

/// The direction of an item along an axis.
fn direction(item: &Item, axis: Content) -> Direction {
    if axis == Content::AdvanceLoads { item.load_direction } else { item.speed_direction }
}

/// Every axis of the image, once for each way in which it is used.
pub(super) struct Uses<'a>(Vec<AxisUse<'a>>);

impl<'a> Uses<'a> {
    pub(super) fn of(project: &'a Parts) -> Result<Self, ImageError> {
        let mut uses: Vec<AxisUse<'a>> = Vec::new();
        for item in &project.image.items {
            for content in item.content.axes() {
                uses.extend(used(project, item, content)?);
            }
        }
        let axes = project.image.items.iter().filter(|item| item.content.is_axis());
        uses.extend(axes.map(|item| AxisUse { item, reversed: false }));
        let mut all: Vec<AxisUse<'a>> = Vec::new();
        for item in &project.image.items {
            for reversed in [false, true] {
                let found = uses.iter().find(|axis| axis.item.name == item.name && axis.reversed == reversed);
                all.extend(found.copied());
            }
        }
        Ok(Self(all))
    }

    pub(super) fn all(&self) -> &[AxisUse<'a>] {
        &self.0
    }

    /// The description of the axis under the values of an item.
    pub(super) fn describe(
        &self,
        project: &Parts,
        item: &Item,
        content: Content,
        names: &Names,
    ) -> Result<AxisDescr, ImageError> {
        if let Some(axis) = used(project, item, content)? {
            let (low, high) = record_layouts::limits(axis.item, &Quantity::of(axis.item, project));
            let method = names.conversion_of(axis.item);
            let points = axis.points(project);
            let mut descr = AxisDescr::new(AxisDescrAttribute::ComAxis, NO_INPUT.into(), method, points, low, high);
            descr.axis_pts_ref = Some(AxisPtsRef::new(axis.name(names)));
            return Ok(descr);
        }
        fixed(project, item, content)
    }
}

fn used<'a>(project: &'a Parts, item: &Item, content: Content) -> Result<Option<AxisUse<'a>>, ImageError> {
    let held = axis_item(project, item, content)?;
    let reversed = |axis: &Item| direction(axis, content) != direction(item, content);
    Ok(held.map(|axis| AxisUse { item: axis, reversed: reversed(axis) }))
}

/// An axis that the image does not hold: its breakpoints are listed in the description.
fn fixed(project: &Parts, item: &Item, content: Content) -> Result<AxisDescr, ImageError> {
    let own = match content {
        Content::AdvanceSpeeds => project.advance.table().speed(),
        Content::AdvanceLoads => project.advance.table().load(),
        of_curve => of_curve.curve().map_or_else(|| project.advance.table().load(), |curve| curve.of(project).axis()),
    };
    let axis = unit_axis(project, item, content, own)?;
    let mut list = axis.breakpoints().to_vec();
    if direction(item, content) == Direction::Descending {
        list.reverse();
    }
    let points = u16::try_from(list.len()).unwrap_or(u16::MAX);
    let method = "NO_COMPU_METHOD".into();
    let (low, high) = (axis.first(), axis.last());
    let mut descr = AxisDescr::new(AxisDescrAttribute::FixAxis, NO_INPUT.into(), method, points, low, high);
    let mut fixed = FixAxisParList::new();
    fixed.axis_pts_value_list = list;
    descr.fix_axis_par_list = Some(fixed);
    Ok(descr)
}
