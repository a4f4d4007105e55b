//! Floor 4: pictures as files, for a forum or a report: they look like the window, and the same input gives the
//! same bytes.
//!
//! A [`Plate`] is a drawing with its headings, laid out in points; [`svg()`], [`png()`] and, for several on
//! pages, [`pdf()`] paint it. In the first two, text becomes outlines of the program's own typeface, so that a
//! picture needs no font where it is viewed; a PDF embeds the typeface, so that its text can be selected.

#[cfg(test)]
mod bump_light;
mod fit;
mod heading;
mod pdf;
mod png;
mod raster;
mod run;
mod svg;
mod views;

use crate::drawing::{Color, Label, LabelRole, Point, Rect, Scene};
use crate::lettering;

pub use fit::draw as draw_fitted;
pub use pdf::{PdfError, Title, pdf};
pub use png::{MOST_PIXELS, PngError, png};
pub use run::{RunPicture, run_plate};
pub use svg::svg;
pub use views::{Base, PictureError, PictureSpec, SliceLine, Subject, plate};

/// Type sizes in points: those of the window's small text, body and titles.
const SMALL: f32 = 11.0;
const BODY: f32 = 13.0;
const TITLE: f32 = 16.0;
/// How much wider emphasised text is drawn, in ems: half of it on each side.
const STRONG: f32 = 0.045;
/// Width of a halo on each side, in points.
const HALO: f32 = 1.4;

/// A line of text and its position.
#[derive(Clone, Debug, PartialEq)]
pub struct Lettering {
    /// Its position.
    pub at: Point,
    /// Which point of the text's box is at that position: (0, 0) its upper left, (1, 1) its lower right corner.
    pub anchor: (f32, f32),
    /// The text.
    pub text: String,
    /// Type size in points.
    pub size: f32,
    /// Colour.
    pub color: Color,
    /// The colour behind it, transparent for none.
    pub halo: Color,
    /// Whether it is emphasised.
    pub strong: bool,
}

impl Lettering {
    /// A plain line of text.
    pub fn new(at: Point, anchor: (f32, f32), text: impl Into<String>, size: f32, color: Color) -> Self {
        Self { at, anchor, text: text.into(), size, color, halo: Color::default(), strong: false }
    }

    /// The same, emphasised.
    #[must_use]
    pub fn strong(self) -> Self {
        Self { strong: true, ..self }
    }

    /// The text of a scene's label.
    pub fn of(label: &Label) -> Self {
        let size = match label.role {
            LabelRole::Tick | LabelRole::AxisName | LabelRole::Contour | LabelRole::Spot => SMALL,
        };
        let halo = label.halo;
        Self { halo, ..Self::new(label.at, label.anchor, label.text.clone(), size, label.color) }
    }

    /// Its width in points.
    pub fn width(&self) -> f32 {
        lettering::width(&self.text) * self.size
    }

    /// Its box.
    pub fn bounds(&self) -> Rect {
        let (width, height) = (self.width(), (lettering::ASCENT + lettering::DESCENT) * self.size);
        let (left, top) = (self.at.x - width * self.anchor.0, self.at.y - height * self.anchor.1);
        Rect { left, top, width, height }
    }

    /// Where its first glyph is on the baseline.
    fn origin(&self) -> Point {
        let bounds = self.bounds();
        Point::new(bounds.left, bounds.top + lettering::ASCENT * self.size)
    }
}

/// A picture ready to be painted, in points with x to the right and y down from the upper left corner.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plate {
    /// Width in points.
    pub width: f32,
    /// Height in points.
    pub height: f32,
    /// The ground.
    pub paper: Color,
    /// A description for people who cannot see it.
    pub description: String,
    /// Shapes in painting order; labels are among the texts.
    pub scene: Scene,
    /// Painted last.
    pub texts: Vec<Lettering>,
}

impl Plate {
    /// Adds a drawing's shapes and labels.
    fn add(&mut self, scene: &Scene) {
        self.scene.shapes.extend_from_slice(&scene.shapes);
        self.texts.extend(scene.labels.iter().map(Lettering::of));
    }
}
