//! Floor 4: pictures as files, for a forum or a report: the same look as the window, the same bytes for the same input.
//!
//! A [`Plate`] is a drawing with its headings, laid out in points; [`svg()`], [`png()`] and, for several on pages, [`pdf()`] are
//! its painters. In the first two text becomes outlines of the program's own typeface, so that a picture needs no font
//! where it is looked at; a page embeds the typeface, so that its text can be selected.

mod fit;
mod heading;
mod pdf;
mod plate;
mod png;
mod raster;
mod svg;
mod views;

pub use fit::draw as draw_fitted;
pub use pdf::{PdfError, Title, pdf};
pub use plate::{Lettering, Plate};
pub use png::{MOST_PIXELS, PngError, png};
pub use svg::svg;
pub use views::{Base, PictureError, PictureSpec, SliceLine, Subject, plate};
