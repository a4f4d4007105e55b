//! Floor 4: the setup sheet, the printed pages for the car's folder.
//!
//! Every part is a piece that is laid out by itself; the pieces are put on pages, and [`crate::picture::pdf()`]
//! writes those. The same project gives the same bytes: there is no clock.

mod grid;
mod grid_key;
mod image_part;
mod installation;
mod measured;
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

use self::grid::PrintedMarks;
use self::pages::{Pages, Part};
use self::piece::{Piece, ink};
use crate::checks::{Finding, run};
use crate::compare::Told;
use crate::lettering::{Weight, shortened};
use crate::picture::{PdfError, Plate, Title, pdf};
use crate::project::{Project, Snapshot, TreeError};
use crate::wording::{Unit, count, quantity};

/// Height of the surface and of the slices, as a share of a page.
const DRAWINGS: f32 = 0.25;
/// A list of outputs that is higher than this may be split, and is not on the first page.
const MOST_OUTPUTS: f32 = 220.0;

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
    sheet_file(project, &sheet_pages(project, paper)?)
}

/// Pages of the sheet that were made before as a PDF file.
///
/// # Errors
/// [`SheetError`] never for pages of a project's sheet.
pub fn sheet_file(project: &Project, pages: &[Plate]) -> Result<Vec<u8>, SheetError> {
    let title = Title {
        title: format!("{}: setup sheet", project.name),
        description: "Installation, advance table, trims, limits, outputs and image of an ignition setup".into(),
    };
    Ok(pdf(pages, &title)?)
}

/// The pages of the sheet.
///
/// # Errors
/// [`SheetError`] never for projects that exist.
pub fn sheet_pages(project: &Project, paper: Paper) -> Result<Vec<Plate>, SheetError> {
    let words = Told::new(project)?;
    let base = project.snapshots.last().map(Arc::as_ref);
    let findings = run(project);
    let mut pages = Pages::new(paper, &project.name, project.locked_timing_deg);
    pages.full(&head(project, base, pages.width()));
    let later = installation_page(project, &words, &mut pages);
    pages.next();
    advance_pages(project, base, &findings, &mut pages);
    other_pages(project, base, (later, &findings), &mut pages)?;
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

/// Fills the first page; returns the parts for which there is no room on it.
fn installation_page(project: &Project, words: &Told<'_>, pages: &mut Pages) -> Vec<Part> {
    let column = pages.column();
    let mut pieces = vec![
        installation::engine(project, words, column),
        installation::trigger(project, words, column),
        installation::wheel(project, column),
        installation::timing_light(project, column),
        installation::wiring(project, column),
        installation::coil(project, words, column),
        installation::sensors(project, words, column),
    ];
    pieces.extend(tuning::limits(project, words, column));
    pieces.extend(tuning::trims(project, column));
    pieces.extend(tuning::switched_off(project, column));
    let few = tuning::outputs(project, column).whole(column);
    let has_few_outputs = few.height <= MOST_OUTPUTS;
    pieces.extend(has_few_outputs.then_some(few));
    pieces.push(image_part::image(project, column));
    let firing = installation::firing(project, pages.width());
    let mut later = pages.fill(pieces.into_iter().map(Part::from).collect(), firing.height + sizes::BETWEEN);
    pages.full(&firing);
    if !has_few_outputs {
        later.push(tuning::outputs(project, column).into());
    }
    later
}

/// The table, in bands if it is wide, and the drawings below it.
fn advance_pages(project: &Project, base: Option<&Snapshot>, findings: &[Finding], pages: &mut Pages) {
    let base = base.map(|base| &base.state);
    let marks = PrintedMarks::of(project, base.map(|base| &**base), findings);
    for band in grid::grid(project, &marks, (pages.width(), pages.whole())) {
        pages.full(&band);
    }
    let half = pages.one_of(2);
    let height = pages.whole() * DRAWINGS;
    let mut drawings = views::surface(project, half, height);
    drawings.put(&views::slices(project, base, half, height), (half + sizes::GUTTER, 0.0));
    pages.full(&drawings);
}

/// Everything else: parts in columns, then long lists over the whole width, then cautions and the lines to sign on.
fn other_pages(
    project: &Project,
    base: Option<&Snapshot>,
    (later, findings): (Vec<Part>, &[Finding]),
    pages: &mut Pages,
) -> Result<(), TreeError> {
    let column = pages.column();
    let mut parts = later;
    // As long as the zero is not proved, whatever room it takes.
    if !installation::zero_is_proved(project) {
        parts.push(installation::first_start(project, column).into());
    }
    parts.push(record::findings(project, findings, column).into());
    parts.push(record::changes(project, base, column).into());
    parts.push(record::not_tested(project, column).into());
    parts.push(image_part::not_held(project, column)?.into());
    pages.columns(parts);
    pages.full_rows(image_part::items(project, pages.one_of(2)), 2);
    if let Some(readings) = installation::many_readings(project, column) {
        pages.full_rows(readings, sizes::COLUMNS);
    }
    if let Some(points) = measured::points(project, pages.width()) {
        pages.full_rows(points, 1);
    }
    if let Some(notes) = record::notes(project, column) {
        pages.full_rows(notes, sizes::COLUMNS);
    }
    pages.full(&record::cautions_and_signatures(column, pages.width()));
    Ok(())
}
