//! What the image does not hold exactly: values changed by rounding, and tables brought to the unit's own size.
//! Also what it does not hold at all.

use super::{EncodedItem, Image, Place, Quantity, stored_words};
use crate::project::{Covered, CoveredPart, Parts, Tree, TreeError};
use crate::wording::{Unit, lower_first, one_line, quantity, rounded, settle};

/// What happened to an item's values on the way into the image.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RemarkKind {
    /// Rounding to counts changes some of them.
    Rounded,
    /// They are brought to the unit's own size.
    Resampled,
}

/// A difference between the image and the project.
#[derive(Clone, Debug, PartialEq)]
pub struct Remark {
    /// The item.
    pub item: String,
    /// What happened.
    pub kind: RemarkKind,
    /// The largest change, image minus project, in the item's unit.
    pub largest_change: f64,
    /// The item's unit.
    pub unit: Unit,
    /// Where.
    pub place: Place,
    /// All of it in a sentence, without a full stop.
    pub words: String,
}

impl Image {
    /// The differences, in the order of the layout, which must be that of `project`.
    pub fn remarks(&self, project: &Parts) -> Vec<Remark> {
        self.items.iter().flat_map(|encoded| of_item(encoded, project)).collect()
    }

    /// The stored checksum by name, as export and setup sheet show it; if none is stored, the CRC-32 of the
    /// whole image.
    pub fn checksum_words(&self, project: &Parts) -> String {
        let kind = project.image.checksum.kind;
        match self.checksum {
            Some(sum) => {
                format!("{} {sum:0digits$X}", super::checksum_name(kind), digits = super::checksum_digits(kind))
            }
            None => {
                let whole = crate::project::ChecksumKind::Crc32IsoHdlc;
                let sum = super::checksum_of(whole, &self.bytes).unwrap_or_default();
                format!("{} {sum:08X} of the whole image, not stored in it", super::checksum_name(whole))
            }
        }
    }
}

fn of_item(encoded: &EncodedItem, project: &Parts) -> Vec<Remark> {
    let unit = Quantity::of(&encoded.item, project).unit;
    let item = &encoded.item.name;
    let (rounding, resampled) = (encoded.loss.as_ref(), encoded.resampled.as_ref());
    let resampled = resampled.map(|resampled| {
        let size = |size: crate::project::ContentSize| match size.loads {
            1 => format!("{}", size.speeds),
            loads => format!("{} × {loads}", size.speeds),
        };
        let words = format!(
            "'{item}' is resampled from {} to the unit's own size {}: the largest change is {}{}",
            size(resampled.from),
            size(resampled.to),
            change_words(resampled.largest_change, unit),
            resampled.place
        );
        Remark {
            item: item.clone(),
            kind: RemarkKind::Resampled,
            largest_change: resampled.largest_change,
            unit,
            place: resampled.place.clone(),
            words,
        }
    });
    let rounding = rounding.map(|loss| {
        let values = match encoded.raws.len() {
            1 => "the value".to_owned(),
            all => format!("{} of {all} values", loss.changed),
        };
        let most = match &loss.place {
            Place::Only => String::new(),
            Place::Breakpoint { index } => format!(", most at breakpoint {}", index + 1),
            place => format!(", most{place}"),
        };
        let words = format!(
            "'{item}': rounding changes {values}{most}: {} becomes {} ({})",
            stored_words(rounded(loss.value, decimals_of(loss.amount())), unit),
            stored_words(loss.stored, unit),
            change_words(loss.amount(), unit)
        );
        Remark {
            item: item.clone(),
            kind: RemarkKind::Rounded,
            largest_change: settle(loss.amount()),
            unit,
            place: loss.place.clone(),
            words,
        }
    });
    resampled.into_iter().chain(rounding).collect()
}

/// The decimals of a change in a sentence: enough to see it, not so many that rounding error shows.
fn decimals_of(change: f64) -> usize {
    match change.abs() {
        size if size >= 0.1 => 2,
        size if size >= 0.001 => 4,
        _ => 7,
    }
}

fn change_words(change: f64, unit: Unit) -> String {
    let size = rounded(change.abs(), decimals_of(change));
    format!("{}{}", if change < 0.0 { '\u{2212}' } else { '+' }, stored_words(size, unit))
}

/// A part that the image does not hold completely.
#[derive(Clone, Debug, PartialEq)]
pub struct NotHeld {
    /// Which.
    pub part: CoveredPart,
    /// How it reaches the unit.
    pub covered: Covered,
    /// Whether it has any effect in the project.
    pub acts: bool,
    /// Whether it was set in the unit by hand.
    pub set: bool,
    /// How and where it was set.
    pub note: String,
    /// The temperature in °C at which it is folded into the table.
    pub at_c: Option<f64>,
    /// The numbers that are to be set by hand, in words.
    pub values: String,
}

/// The parts of a project that its image does not hold completely, those with an effect first.
///
/// # Errors
/// [`TreeError`] never for a project that exists.
pub fn not_held(project: &Parts) -> Result<Vec<NotHeld>, TreeError> {
    let tree = project.setup_tree()?;
    let of = |(part, covered): (CoveredPart, Covered)| {
        let kept = project.image.coverage.of(part);
        let values = values(project, part, &covered, &tree);
        let acts = part.acts(project);
        NotHeld { part, acts, set: kept.set, note: kept.note.clone(), at_c: kept.at_c, values, covered }
    };
    Ok(project.not_in_image().into_iter().map(of).collect())
}

/// What is to be set by hand; what is printed or listed elsewhere is only named.
fn values(project: &Parts, part: CoveredPart, covered: &Covered, tree: &Tree) -> String {
    let is_all = matches!(covered, Covered::ByHand(_)) && part.acts(project);
    match part {
        CoveredPart::Outputs if is_all => {
            let used = project.outputs.iter().filter(|output| output.enabled);
            let names: Vec<_> = used.map(|output| one_line(&output.name)).collect();
            format!("{}, with all their conditions", names.join(", "))
        }
        CoveredPart::FullLoadLine if is_all => "the line as it stands in the project, where the unit has one".into(),
        _ => project.covered_words(part, covered, tree),
    }
}

impl NotHeld {
    /// Whether it is set by hand, so that a tick means something.
    pub const fn is_by_hand(&self) -> bool {
        matches!(self.covered, Covered::Partly(_) | Covered::ByHand(_))
    }

    /// Whether something must be set by hand and is not ticked as set. What is off, and of which the image holds
    /// nothing, only has to be left alone.
    pub const fn is_open(&self) -> bool {
        let is_needed = match self.covered {
            Covered::Partly(_) => true,
            Covered::ByHand(_) => self.acts || self.part.is_weight(),
            Covered::InImage | Covered::InTable | Covered::NotApplied => false,
        };
        is_needed && !self.set
    }

    /// How it reaches the unit, without the part's name: 'by hand: Ceiling: 45°'.
    pub fn how_words(&self) -> String {
        let is_told = self.acts || self.part.is_weight();
        match (&self.covered, is_told) {
            (Covered::InImage, _) => "in the image".into(),
            (Covered::InTable, true) => {
                let at = self.at_c.filter(|_| self.part.folds_at_a_temperature());
                let at = at.map_or_else(String::new, |at_c| format!(" at {}", quantity(at_c, Unit::Celsius)));
                format!("folded into the table{at}")
            }
            (Covered::InTable, false) => "off; nothing is folded into the table".into(),
            (Covered::NotApplied, _) => "not applied by this unit".into(),
            (Covered::Partly(_), true) => format!("partly in the image; by hand: {}", self.values),
            (Covered::Partly(_), false) => {
                "off in the project, but the image holds numbers of it: switch it off in the unit".into()
            }
            (Covered::ByHand(_), true) => format!("by hand: {}", self.values),
            (Covered::ByHand(_), false) => "off: leave it off in the unit".into(),
        }
    }

    /// Whether it was set in the unit, with the note; empty if there is nothing to set by hand.
    pub fn set_words(&self) -> String {
        if !self.is_by_hand() {
            return String::new();
        }
        let set = if self.set { "set in the unit" } else { "not ticked as set in the unit" };
        let note = one_line(self.note.trim());
        if note.is_empty() { set.into() } else { format!("{set}: {note}") }
    }

    /// 'Safety margin: by hand: … (not ticked as set in the unit)'.
    pub fn words(&self) -> String {
        let set = self.set_words();
        let set = if set.is_empty() { set } else { format!(" ({set})") };
        format!("{}: {}{set}", self.part.words(), lower_first(&self.how_words()))
    }
}

#[cfg(test)]
mod tests {
    use crate::image::encode;
    use crate::image::samples::{project, reference_project, with_table};
    use crate::project::StartingLayout;
    use crate::wording::Unit;

    #[test]
    fn rounding_is_told_with_the_largest_loss_and_its_place() {
        let table = with_table(&reference_project(), &[800.0, 1520.0], &[30.0, 60.0], vec![22.0, 30.1, 36.06, 40.0]);
        let remarks = encode(&table).unwrap().remarks(&table);
        let words: Vec<&str> = remarks.iter().map(|remark| remark.words.as_str()).collect();
        assert_eq!(
            words,
            [
                "'speeds': rounding changes 1 of 2 values, most at breakpoint 2: 1520 rpm becomes 1500 rpm (−20 rpm)",
                "'map': rounding changes 2 of 4 values, most at 1520 rpm, 30 kPa: 30.1° becomes 30° (−0.1°)",
            ]
        );
        assert_eq!((remarks[1].largest_change, remarks[1].unit), (-0.1, Unit::Degree));
        assert!(encode(&reference_project()).unwrap().remarks(&reference_project()).is_empty());
    }

    #[test]
    fn single_numbers_and_other_sizes_are_told() {
        let layout = StartingLayout::Compact.layout(project().sensors.load);
        let other = project().edit(|parts| {
            parts.image = layout;
            parts.trigger.zero_offset_deg = 0.123;
            parts.image.items.iter_mut().for_each(|item| {
                if item.name.starts_with("coolant") {
                    item.speeds = Some(3);
                }
            });
        });
        let other = other.unwrap();
        let remarks = encode(&other).unwrap().remarks(&other);
        let of = |item: &str| remarks.iter().find(|remark| remark.item == item).map(|remark| remark.words.clone());
        let offset = of("zero_offset").unwrap();
        assert!(offset.starts_with("'zero_offset': rounding changes the value: 0.123° becomes 0.1"), "{offset}");
        let resampled = of("coolant_trim").unwrap();
        assert!(resampled.starts_with("'coolant_trim' is resampled from"), "{resampled}");
        assert!(resampled.contains("own size 3: the largest change is") && resampled.contains(" °C"), "{resampled}");
    }

    #[test]
    fn the_checksum_is_told_by_name() {
        let project = reference_project();
        assert_eq!(encode(&project).unwrap().checksum_words(&project), "CRC-32/ISO-HDLC BF30D032");
        let bare = project.edit(|parts| parts.image.checksum.kind = crate::project::ChecksumKind::None).unwrap();
        let words = encode(&bare).unwrap().checksum_words(&bare);
        assert!(words.starts_with("CRC-32/ISO-HDLC ") && words.ends_with(" of the whole image, not stored in it"));
    }
}
