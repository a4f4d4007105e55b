//! What rounding to the image's counts changes.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::{Subject, degrees};
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::image::{EncodedItem, Loss, Quantity, Resampled};
use crate::project::thresholds;
use crate::wording::{Unit, count, quantity};

const DEGREES: Threshold = thresholds::IMAGE_LOSS_DEG;
const SHARE: Threshold = thresholds::IMAGE_LOSS_PCT;
const RESAMPLED: Threshold = thresholds::IMAGE_LOSS_RESAMPLED_DEG;

pub(super) const CHECK: Check = Check {
    id: "image_loss",
    title: "Image rounds",
    reason: "The unit works with what the image holds; what rounding takes away was tuned for nothing.",
    since: 1,
    sections: &[Section::Image],
    is_of_map: false,
    grounds: &[],
    thresholds: &[DEGREES, SHARE, RESAMPLED],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let Ok(image) = subject.image() else {
        return Vec::new();
    };
    let items = image.items.iter().enumerate();
    items
        .flat_map(|(at, item)| [rounded(subject, at, item), resampled(subject, at, item)].into_iter().flatten())
        .collect()
}

fn rounded(subject: &Subject<'_>, at: usize, encoded: &EncodedItem) -> Option<Noticed> {
    let Quantity { unit, .. } = Quantity::of(&encoded.item, subject);
    // Where every value is a whole count nothing is lost, and that is a figure too.
    let (wanted, amount) = encoded.loss.as_ref().map_or((0.0, 0.0), |loss| (loss.value, loss.amount().abs()));
    let (value, bound) = if unit == Unit::Degree {
        (amount, subject.bound(&DEGREES))
    } else {
        // For a value closer to zero than one count, a percentage of the value is meaningless: there it is a
        // percentage of a count.
        (amount / wanted.abs().max(encoded.item.scale.abs()) * 100.0, subject.bound(&SHARE))
    };
    if !subject.is_over(value, bound) {
        return None;
    }
    let Loss { value: wanted, stored, place, changed } = encoded.loss.as_ref()?;
    let message = format!(
        "'{}' rounds {}{place} to {}; rounding changes {}",
        encoded.item.name,
        quantity(*wanted, unit),
        quantity(*stored, unit),
        count(*changed, "value")
    );
    Some(noticed((at, &encoded.item.name, "scale"), "rounding", message, (value, bound)))
}

fn resampled(subject: &Subject<'_>, at: usize, encoded: &EncodedItem) -> Option<Noticed> {
    let Resampled { largest_change, place, to, .. } = encoded.resampled.as_ref()?;
    let bound = subject.bound(&RESAMPLED);
    let is_degrees = Quantity::of(&encoded.item, subject).unit == Unit::Degree;
    if !is_degrees || !subject.is_over(largest_change.abs(), bound) {
        return None;
    }
    let message = format!(
        "brought to the unit's {} × {} breakpoints '{}' changes by {}{place}",
        to.speeds,
        to.loads,
        encoded.item.name,
        degrees(*largest_change)
    );
    let figures = (largest_change.abs(), bound);
    Some(Noticed {
        severity: Severity::Warning,
        remedy: "Choose breakpoints that the unit has, and look at the table as flashed.".into(),
        ..noticed((at, &encoded.item.name, "speeds"), "size", message, figures)
    })
}

fn noticed(
    (at, item, field): (usize, &str, &str),
    what: &str,
    message: String,
    (value, bound): (f64, Bound),
) -> Noticed {
    Noticed {
        severity: Severity::Note,
        place: Place::field(format!("image.items[{at}].{field}"), format!("image item {item}, {what}")),
        message,
        remedy: "Choose a finer scale or a larger type, or round the values yourself.".into(),
        value,
        bound,
        cure: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_speed, of, only, sound};
    use crate::project::{CellType, Item, Project};

    fn layout(project: &Project, name: &str, change: impl FnOnce(&mut Item)) -> Project {
        let change = |parts: &mut crate::project::Parts| {
            parts.image.items.iter_mut().find(|item| item.name == name).into_iter().for_each(|item| {
                item.speeds = None;
            });
            if let Some(item) = parts.image.items.iter_mut().find(|item| item.name == name) {
                change(item);
            }
        };
        project.edit(change).unwrap()
    }

    /// Cells stored as whole degrees.
    #[test]
    fn fires_above_a_quarter_of_a_degree() {
        let by_degrees = |deg: f64| {
            let table = along_speed(&[1000.0, 3000.0, 6500.0], &[12.0, deg, 30.0]);
            layout(&table, "advance", |item| (item.cell, item.scale) = (CellType::U8, 1.0))
        };
        assert_eq!(of(&by_degrees(24.25), "image_loss"), []);
        let found = only(&by_degrees(24.3), "image_loss");
        assert_eq!((found.severity, found.unit), (Severity::Note, Unit::Degree));
        assert_eq!(found.message, "'advance' rounds 24.3° at 3000 rpm, 0 % to 24.0°; rounding changes 3 values");
    }

    /// 6500 rpm become 43 × 150 = 6450 or 22 × 300 = 6600.
    #[test]
    fn other_values_may_lose_one_per_cent() {
        let loads = |scale: f64| layout(&sound(), "over_speed_cuts_at", |item| item.scale = scale);
        assert_eq!(of(&loads(150.0), "image_loss"), []);
        let found = only(&loads(300.0), "image_loss");
        assert_eq!((found.unit, found.threshold), (Unit::Percent, 1.0));
        assert!((found.value - 100.0 * 100.0 / 6500.0).abs() < 1e-9, "{}", found.value);
    }

    /// Counts of a tenth with an offset of 0.03 do not include zero: it becomes 0.03, three tenths of a count.
    #[test]
    fn of_a_zero_the_share_is_that_of_a_count() {
        let change = |parts: &mut crate::project::Parts| {
            parts.coil.burn_time_ms = 0.0;
            let item = parts.image.items.iter_mut().find(|item| item.name == "over_speed_cuts_at");
            item.into_iter().for_each(|item| {
                item.field = "coil.burn_time_ms".into();
                (item.cell, item.scale, item.offset) = (CellType::I16, 0.1, 0.03);
            });
        };
        let found = only(&sound().edit(change).unwrap(), "image_loss");
        assert!((found.value - 30.0).abs() < 1e-9, "{}", found.value);
    }

    #[test]
    fn fires_when_the_units_own_size_changes_the_surface() {
        let sized = |middle: f64| {
            let table = along_speed(&[1000.0, 3000.0, 6500.0], &[12.0, middle, 30.0]);
            let change = |parts: &mut crate::project::Parts| {
                for item in &mut parts.image.items {
                    match item.content {
                        crate::project::Content::AdvanceCells | crate::project::Content::AdvanceSpeeds => {
                            item.speeds = Some(2)
                        }
                        _ => {}
                    }
                }
            };
            table.edit(change).unwrap()
        };
        let straight = 12.0 + 18.0 * 2000.0 / 5500.0;
        assert!(of(&sized(straight + 0.45), "image_loss").iter().all(|finding| finding.severity == Severity::Note));
        let found = of(&sized(straight + 0.55), "image_loss");
        assert!(found.iter().any(|finding| finding.severity == Severity::Warning), "{found:?}");
    }
}
