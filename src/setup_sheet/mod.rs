//! Floor 4: the setup sheet, the printed pages for the car's folder.
//!
//! Every part is a piece that is laid out by itself; the pieces are put on pages, and [`crate::picture::pdf()`]
//! writes those. The same project gives the same bytes: there is no clock.

mod grid;
mod image_part;
mod installation;
mod pages;
mod piece;
mod record;
mod rows;
mod sizes;
mod tables;
mod tuning;
mod views;

use std::sync::Arc;

use thiserror::Error;

use self::grid::GridLayout;
use self::pages::{Pages, Part};
use self::piece::{Piece, ink};
use crate::compare::Told;
use crate::lettering::{Weight, shortened};
use crate::picture::{PdfError, Plate, Title, pdf};
use crate::project::{Project, Snapshot, TreeError};
use crate::wording::{Unit, count, quantity};

/// The size of the paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm, ISO 216.
    #[default]
    A4,
    /// 8.5 × 11 inches.
    Letter,
}

impl Paper {
    /// Width and height of a portrait page in points.
    pub const fn size(self) -> (f32, f32) {
        match self {
            Self::A4 => (595.276, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// Why there is no sheet: always a mistake in this program.
#[derive(Debug, Error)]
pub enum SheetError {
    /// The pages cannot be written.
    #[error(transparent)]
    Pdf(#[from] PdfError),
    /// The project cannot be turned into a tree of fields.
    #[error(transparent)]
    Tree(#[from] TreeError),
}

/// The sheet as a PDF file.
///
/// # Errors
/// [`SheetError`] never for projects that exist.
pub fn setup_sheet(project: &Project, paper: Paper) -> Result<Vec<u8>, SheetError> {
    let title = Title {
        title: format!("{}: setup sheet", project.name),
        description: "Installation, advance table, trims, limits, outputs and image of an ignition setup".into(),
    };
    Ok(pdf(&sheet_pages(project, paper)?, &title)?)
}

/// The pages of the sheet.
///
/// # Errors
/// [`SheetError`] never for projects that exist.
pub fn sheet_pages(project: &Project, paper: Paper) -> Result<Vec<Plate>, SheetError> {
    // What to do before the first start is worth another page as long as the zero is not proved.
    pages_with(project, paper, !installation::zero_is_proved(project))
}

fn pages_with(project: &Project, paper: Paper, has_first_start: bool) -> Result<Vec<Plate>, SheetError> {
    let words = Told::new(project)?;
    let base = project.snapshots.last().map(Arc::as_ref);
    let mut pages = Pages::new(paper, &project.name, project.locked_timing_deg);
    pages.full(&head(project, base, pages.width()));
    let later = installation_page(project, &words, &mut pages);
    pages.next();
    advance_pages(project, base, &mut pages);
    other_pages(project, &words, base, (later, has_first_start), &mut pages)?;
    Ok(pages.finish())
}

/// The head of the sheet: what it is, for which car, and in which state.
fn head(project: &Project, base: Option<&Snapshot>, room: f32) -> Piece {
    let mut head = Piece::default();
    let name = shortened(&project.name, Weight::Semibold, sizes::TITLE, room - 80.0);
    head.strong((0.0, 0.0), name, sizes::TITLE, ink().ink);
    head.text_to((room, 9.0), "Setup sheet", sizes::HEADING, ink().ink_secondary);
    head.height = sizes::TITLE * 1.3;
    let engine = &project.engine;
    let sum = image_part::checksum(project).unwrap_or_else(|_| "none, the image cannot be made".into());
    let base = base.map_or_else(|| "no base".to_owned(), |base| format!("base '{}'", base.name));
    let line = format!(
        "{}, {} · wheel {}−{} · load {} in {} · image checksum {sum} · {base}",
        count(engine.cylinders, "cylinder"),
        quantity(engine.displacement_l, Unit::Litre),
        project.trigger.wheel.teeth,
        project.trigger.wheel.missing,
        project.sensors.load.name(),
        project.sensors.load.unit(),
    );
    head.paragraph(&line, room, sizes::BODY, ink().ink_secondary);
    head
}

/// Returns the parts for which there is no room on the first page.
fn installation_page(project: &Project, words: &Told<'_>, pages: &mut Pages) -> Vec<Piece> {
    let column = pages.column();
    let mut pieces = vec![
        installation::engine(project, words, column),
        installation::wheel(project, column),
        installation::trigger(project, words, column),
        installation::timing_light(project, column),
        installation::wiring(project, column),
    ];
    let needed = pieces.len();
    pieces.push(installation::coil(project, words, column));
    pieces.push(installation::sensors(project, words, column));
    let firing = installation::firing(project, pages.width());
    let fitting = (needed..=pieces.len()).rev().find(|&count| pages.hold(&pieces[..count], &firing));
    let later = pieces.split_off(fitting.unwrap_or(needed));
    pages.columns(pieces.into_iter().map(Part::from).collect());
    pages.full(&firing);
    later
}

/// Puts the table where its digits are largest: on part of a portrait page, in bands if need be; on a whole
/// portrait page; or on a landscape page.
fn advance_pages(project: &Project, base: Option<&Snapshot>, pages: &mut Pages) {
    let part = (pages.width(), pages.whole() * 0.62);
    let whole = (pages.width(), pages.whole());
    let fitting = (1..=4).map(|bands| GridLayout::new(project, part, bands)).find(GridLayout::is_comfortable);
    if let Some(layout) = fitting {
        pages.full(&grid::grid(project, &layout, pages.width()));
    } else {
        let standing = GridLayout::new(project, whole, 1);
        pages.turn(true);
        let lying = GridLayout::new(project, (pages.width(), pages.whole()), 1);
        let is_lying = lying.digits() > standing.digits();
        pages.turn(is_lying);
        pages.full(&grid::grid(project, if is_lying { &lying } else { &standing }, pages.width()));
        pages.turn(false);
    }
    let base = base.map(|base| &base.state);
    let column = pages.column();
    let height = pages.whole() * 0.27;
    let drawings = [views::surface(project, column, height), views::slices(project, base, column, height)];
    pages.columns(drawings.map(Part::from).into());
}

/// A list with more rows than this takes the whole width.
const LONG: usize = 12;

/// Everything else: short parts in two columns, then long parts over the whole width, then the lines to sign
/// on.
fn other_pages(
    project: &Project,
    words: &Told<'_>,
    base: Option<&Snapshot>,
    (later, has_first_start): (Vec<Piece>, bool),
    pages: &mut Pages,
) -> Result<(), TreeError> {
    let column = pages.column();
    let mut parts: Vec<Part> = later.into_iter().map(Part::from).collect();
    let tuning = tuning::trims(project, column).into_iter().chain(tuning::limits(project, words, column));
    parts.extend(tuning.chain(tuning::switched_off(project, column)).map(Part::from));
    let has_many_outputs = project.outputs.len() > LONG;
    if !has_many_outputs {
        parts.push(tuning::outputs(project, column).into());
    }
    if has_first_start {
        parts.push(installation::first_start(project, column).into());
    }
    parts.push(record::findings(project, column).into());
    parts.push(record::changes(project, base, column).into());
    parts.push(record::not_tested(project, column).into());
    parts.push(image_part::image(project, column).into());
    parts.push(image_part::not_held(project, column)?.into());
    pages.columns(parts);
    if has_many_outputs {
        pages.full_rows(tuning::outputs(project, column), 2);
    }
    pages.full_rows(image_part::items(project, pages.width()), 1);
    if let Some(readings) = installation::many_readings(project, pages.one_of(3)) {
        pages.full_rows(readings, 3);
    }
    if let Some(notes) = record::notes(project, column) {
        pages.full_rows(notes, 2);
    }
    pages.full(&record::cautions(pages.width()));
    pages.full(&record::signatures(pages.width()));
    Ok(())
}
