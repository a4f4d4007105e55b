//! Floor 4: the setup sheet, the printed pages for the car's folder.
//!
//! Every part is a piece laid out by itself; pieces are put on pages, and [`crate::picture::pdf()`] writes those. The same
//! project gives the same bytes: there is no clock.

mod findings;
mod grid;
mod image_part;
mod installation;
mod pages;
mod piece;
mod record;
mod sizes;
mod tables;
mod tuning;
mod views;

use std::sync::Arc;

use thiserror::Error;

use self::grid::GridLayout;
use self::pages::Pages;
use self::piece::{Piece, ink};
use crate::compare::Told;
use crate::lettering::shortened;
use crate::picture::{PdfError, Plate, Title, pdf};
use crate::project::{Project, Snapshot, TreeError};
use crate::table::shortest;

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
    /// Width and height of the standing page in points.
    pub const fn size(self) -> (f32, f32) {
        match self {
            Self::A4 => (595.276, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// Why there is no sheet: a mistake in this program.
#[derive(Debug, Error)]
pub enum SheetError {
    /// The pages cannot be written.
    #[error(transparent)]
    Pdf(#[from] PdfError),
    /// The project cannot be told.
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
    let words = Told::new(project)?;
    let base = project.snapshots.last().map(Arc::as_ref);
    let mut pages = Pages::new(paper, &project.name, project.locked_timing_deg);
    pages.full(&head(project, base, pages.width()));
    let later = installation_page(project, &words, &mut pages);
    pages.next();
    advance_pages(project, base, &mut pages);
    tuning_page(project, &words, later, &mut pages);
    record_page(project, base, &mut pages);
    Ok(pages.finish())
}

/// What this is, of which car, and in which state.
fn head(project: &Project, base: Option<&Snapshot>, room: f32) -> Piece {
    let mut head = Piece::default();
    let name = shortened(&project.name, sizes::TITLE, room - 80.0);
    head.text((0.0, 0.0), name, sizes::TITLE, ink().ink);
    head.strong();
    head.text_to((room, 9.0), "Setup sheet", sizes::HEADING, ink().ink_secondary);
    head.height = sizes::TITLE * 1.3;
    let engine = &project.engine;
    let sum = image_part::checksum(project).unwrap_or_else(|_| "none, the image cannot be made".into());
    let base = base.map_or_else(|| "no base".to_owned(), |base| format!("base '{}'", base.name));
    let line = format!(
        "{} cylinders, {} l · wheel {}−{} · load {} in {} · image checksum {sum} · {base}",
        engine.cylinders,
        shortest(engine.displacement_l),
        project.trigger.wheel.teeth,
        project.trigger.wheel.missing,
        project.sensors.load.name(),
        project.sensors.load.unit(),
    );
    head.paragraph(&line, room, sizes::BODY, ink().ink_secondary);
    head
}

/// Gives the parts that have no room on the first page.
fn installation_page(project: &Project, words: &Told<'_>, pages: &mut Pages) -> Vec<Piece> {
    let (column, highest) = (pages.column(), pages.whole());
    let mut pieces = vec![
        installation::engine(project, words, column),
        installation::wheel(project, column),
        installation::trigger(project, words, column),
    ];
    pieces.extend(installation::timing_light(project, column, highest));
    pieces.extend(installation::wiring(project, column, highest));
    let needed = pieces.len();
    pieces.push(installation::coil(project, words, column));
    pieces.push(installation::sensors(project, words, column));
    let firing = installation::firing(project, pages.width());
    let fitting = (needed..=pieces.len()).rev().find(|&count| pages.hold(&pieces[..count], &firing));
    let later = pieces.split_off(fitting.unwrap_or(needed));
    pages.columns(&pieces);
    pages.full(&firing);
    later
}

/// The table where its digits are largest: on part of a standing page, in bands if need be, on a whole one, or on one that
/// lies.
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
    let (surface, slices) = (pages.whole() * 0.26, pages.whole() * 0.29);
    let drawings = [views::surface(project, column, surface), views::slices(project, base, column, slices)];
    pages.columns(&drawings);
}

fn tuning_page(project: &Project, words: &Told<'_>, mut pieces: Vec<Piece>, pages: &mut Pages) {
    let (column, highest) = (pages.column(), pages.whole());
    pieces.extend(tuning::trims(project, column));
    pieces.extend(tuning::limits(project, words, column));
    pieces.extend(tuning::outputs(project, column, highest));
    pieces.push(image_part::image(project, column));
    pages.columns(&pieces);
    for piece in image_part::items(project, pages.width(), highest) {
        pages.full(&piece);
    }
}

fn record_page(project: &Project, base: Option<&Snapshot>, pages: &mut Pages) {
    let column = pages.column();
    let highest = pages.whole();
    let mut pieces = findings::findings(project, column);
    pieces.extend(record::changes(project, base, column, highest));
    pieces.extend(record::not_tested(project, column, highest));
    pieces.extend(record::notes(project, column, highest));
    pages.columns(&pieces);
    pages.full(&record::cautions(pages.width()));
    pages.full(&record::signatures(pages.width()));
}
