//! The image of the project on show, computed once for each project: at once where it is small, else on a thread; and the
//! choice of what stands at an address, the same from map, bytes, numbers and comparison.

use std::ops::Range;
use std::sync::Arc;

use eframe::egui;

use super::folded::fill_of;
use crate::image::{Image, ImageError, NotHeld, Quantity, Remark, describe, encode, not_held};
use crate::project::{ChecksumKind, Content, Project};
use crate::window::state::export_state::{ExportMessage, Part};
use crate::window::state::outbox::Outbox;
use crate::window::tasks::task::{Fault, Task};
use crate::window::views::view::View;
use crate::wording::{Refusal, count};

/// Larger images are put together on a thread: so many bytes take a few milliseconds in an unoptimised build.
pub(super) const BYTES_AT_ONCE: u32 = 1 << 18;

/// The kind of a part of the image, which decides its tint and pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Table,
    Breakpoints,
    Curve,
    Number,
    Checksum,
}

impl Kind {
    pub(super) fn of(content: Content) -> Self {
        match content {
            Content::AdvanceCells => Self::Table,
            Content::Field => Self::Number,
            content if content.is_axis() => Self::Breakpoints,
            _ => Self::Curve,
        }
    }

    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Table => "table",
            Self::Breakpoints => "breakpoints",
            Self::Curve => "curve",
            Self::Number => "number",
            Self::Checksum => "checksum",
        }
    }
}

/// A stretch of addresses that belongs to something.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Span {
    pub(super) part: Part,
    pub(super) name: String,
    /// What people call it.
    pub(super) label: String,
    pub(super) kind: Kind,
    pub(super) from: u64,
    /// The address after its last byte.
    pub(super) to: u64,
    /// How many numbers it has, along speed or its only axis and along load.
    pub(super) size: (usize, usize),
    /// Bytes of one number.
    pub(super) width: u64,
}

/// The image of a project with what the views need besides.
pub(super) struct Kept {
    pub(super) project: Project,
    pub(super) image: Result<Image, ImageError>,
    /// In ascending addresses.
    pub(super) spans: Vec<Span>,
    pub(super) remarks: Vec<Remark>,
    /// What is in the project and not in the image.
    pub(super) not_held: Vec<NotHeld>,
    /// The stretches that hold nothing but fill, in ascending addresses.
    pub(super) fill: Vec<Range<u64>>,
}

impl Kept {
    fn new(project: Project) -> Self {
        let image = encode(&project);
        let remarks = image.as_ref().map_or_else(|_| Vec::new(), |image| image.remarks(&project));
        let spans = spans(&project);
        let not_held = not_held(&project).unwrap_or_default();
        let fill = fill(&project, &image, &spans);
        Self { project, image, spans, remarks, not_held, fill }
    }

    /// The stretch to which an address belongs.
    pub(super) fn span_at(&self, address: u64) -> Option<&Span> {
        let after = self.spans.partition_point(|span| span.from <= address);
        self.spans.get(after.checked_sub(1)?).filter(|span| address < span.to)
    }

    /// The stretch of a part.
    pub(super) fn span_of(&self, part: Part) -> Option<&Span> {
        self.spans.iter().find(|span| span.part == part)
    }

    /// The place in the layout of the item with a name.
    pub(super) fn place_of(&self, name: &str) -> Option<usize> {
        self.project.image.items.iter().position(|item| item.name == name)
    }

    /// What an address belongs to.
    pub(super) fn part_at(&self, address: u64) -> Part {
        self.span_at(address).map_or(Part::Whole, |span| span.part)
    }

    /// The addresses of the number that a byte is part of.
    pub(super) fn number_at(&self, byte: u64) -> Range<u64> {
        self.span_at(byte).map_or(byte..byte + 1, |span| {
            let start = span.from + (byte - span.from) / span.width * span.width;
            start..start + span.width
        })
    }

    /// The first address and the one after the last.
    pub(super) fn ends(&self) -> (u64, u64) {
        let layout = &self.project.image;
        (u64::from(layout.start), u64::from(layout.start) + u64::from(layout.size))
    }

    /// A run of fill in words: 'A320–C0FF, 7648 bytes of FF'.
    pub(super) fn fill_words(&self, run: &Range<u64>) -> (String, String) {
        let bytes = usize::try_from(run.end - run.start).unwrap_or(usize::MAX);
        let last = run.end.saturating_sub(1);
        (
            format!("{:04X}–{last:04X}", run.start),
            format!("{} of {:02X}", count(bytes, "byte"), self.project.image.fill),
        )
    }

    /// A byte in words: address, hexadecimal value, what it belongs to, and the number that stands there.
    pub(super) fn words(&self, address: u64) -> String {
        let byte = self.byte(address).map_or_else(String::new, |byte| format!(": {byte:02X}"));
        let at = format!("{address:04X}{byte}");
        let Some(span) = self.span_at(address) else {
            return format!("{at}, fill");
        };
        let Ok(image) = &self.image else {
            return format!("{at}, {}", span.name);
        };
        match image.owner(address) {
            None => format!("{at}, checksum {}", image.checksum_words(&self.project)),
            Some((encoded, place)) => {
                let index = place.index(encoded.size.speeds);
                let unit = Quantity::of(&encoded.item, &self.project).unit;
                let value = crate::image::stored_words(encoded.value(index), unit);
                let raw = encoded.raws.get(index).map_or_else(String::new, ToString::to_string);
                format!("{at}, {}{place}: {value} (raw {raw})", span.name)
            }
        }
    }

    pub(super) fn byte(&self, address: u64) -> Option<u8> {
        let at = usize::try_from(address.checked_sub(self.ends().0)?).ok()?;
        self.image.as_ref().ok()?.bytes.get(at).copied()
    }
}

fn fill(project: &Project, image: &Result<Image, ImageError>, spans: &[Span]) -> Vec<Range<u64>> {
    let layout = &project.image;
    let first = u64::from(layout.start);
    let is_fill = |address: u64| {
        // Without an image nothing but its layout is known.
        let Ok(image) = image else { return true };
        let at = usize::try_from(address - first).ok();
        at.and_then(|at| image.bytes.get(at)).is_some_and(|byte| *byte == layout.fill)
    };
    let ends = (first, first + u64::from(layout.size));
    fill_of(ends, spans.iter().map(|span| span.from..span.to), is_fill)
}

fn spans(project: &Project) -> Vec<Span> {
    let place = |name: &str| project.image.items.iter().position(|item| item.name == name).unwrap_or_default();
    let items = describe(project).into_iter().map(|description| Span {
        part: Part::Item(place(&description.item.name)),
        name: description.item.name.clone(),
        label: description.quantity.label.to_owned(),
        kind: Kind::of(description.item.content),
        from: description.item.address.into(),
        to: description.end,
        size: (description.size.speeds, description.size.loads),
        width: description.item.cell.size().into(),
    });
    let checksum = &project.image.checksum;
    let stored = (checksum.kind != ChecksumKind::None).then(|| Span {
        part: Part::Checksum,
        name: "checksum".into(),
        label: crate::image::checksum_name(checksum.kind).into(),
        kind: Kind::Checksum,
        from: checksum.stored_at.into(),
        to: u64::from(checksum.stored_at) + u64::from(checksum.kind.size()),
        size: (1, 1),
        width: checksum.kind.size().into(),
    });
    let mut spans: Vec<Span> = items.chain(stored).collect();
    spans.sort_by_key(|span| span.from);
    spans
}

/// Keeps the newest image.
#[derive(Default)]
pub(super) struct Keeper {
    newest: Task<Project, Kept>,
}

impl Keeper {
    /// The image of the project on show; while it is being put together, the previous one, or none at first.
    ///
    /// # Errors
    /// A mistake in this program broke it off.
    pub(super) fn get(&mut self, view: &View<'_>, ctx: &egui::Context) -> Result<Option<Arc<Kept>>, Refusal> {
        let (newest, project) = (&mut self.newest, view.project);
        newest.receive();
        if project.image.size > BYTES_AT_ONCE {
            let wanted = project.clone();
            newest.ask(project, ctx, "the image", move |_| Ok(Kept::new(wanted)));
        }
        if let Some(fault @ Fault::BrokenOff(_)) = newest.fault_of(project) {
            return Err(fault.clone().into());
        }
        // A small one is made at once; so is one for which there was no thread, since an older one must not be
        // shown.
        let is_wanted_now = project.image.size <= BYTES_AT_ONCE || newest.fault_of(project).is_some();
        if is_wanted_now && newest.shown(project).is_none() {
            newest.put(project.clone(), Ok(Kept::new(project.clone())));
        }
        Ok(newest.newest().map(|(_, kept)| Arc::clone(kept)))
    }

    /// Whether a newer image is being put together.
    pub(super) fn is_working(&self) -> bool {
        self.newest.working().is_some()
    }
}

/// Selects the byte at an address with what it belongs to.
pub(super) fn pick(kept: &Kept, address: u64, outbox: &mut Outbox) {
    outbox.send(ExportMessage::Select(kept.part_at(address), Some(address)));
}
