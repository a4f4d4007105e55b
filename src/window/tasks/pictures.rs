//! Pictures of the views for the clipboard, painted on a thread as the command line's pictures are, and the clipboard itself.

use std::borrow::Cow;
use std::sync::Arc;

use arboard::{Clipboard, ImageData};
use eframe::egui::ColorImage;

use crate::drawing::{Camera, Layer, Look};
use crate::picture::{Base, PictureSpec, Plate, SliceLine, Subject, grid_size, pixels, plate};
use crate::project::Project;
use crate::window::state::rig_state::RigScreen;
use crate::window::tasks::rig_files;
use crate::wording::Refusal;

/// Pixels per point.
const SCALE: f32 = 2.0;
/// Width and height in points of what has no size of its own, and of one line of the table.
const SIZE: (f32, f32) = (900.0, 640.0);
const SLICE_SIZE: (f32, f32) = (720.0, 400.0);

/// The view that is painted.
#[derive(Clone, Debug, PartialEq)]
pub enum Painted {
    /// The surface, as it is seen.
    Surface(Camera),
    /// The grid of numbers.
    Grid,
    /// A row or a column.
    Slice(SliceLine),
}

impl Painted {
    /// What it is called in messages.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Surface(_) => "the surface",
            Self::Grid => "the table",
            Self::Slice(_) => "the slice",
        }
    }
}

/// Paints a view of a project, with the base that it is shown against, tinted by a layer over its own range or a fixed one.
///
/// # Errors
/// Why there is no such picture.
pub fn paint(
    view: &Painted,
    project: &Project,
    base: Option<(&str, &Project)>,
    look: Look,
    (layer, range): (Layer, Option<(f64, f64)>),
    shows_points: bool,
) -> Result<ColorImage, Refusal> {
    let table = project.advance.table();
    let (subject, size) = match view {
        Painted::Surface(camera) => (Subject::Seen(*camera), SIZE),
        Painted::Grid => (Subject::Grid, grid_size(table.speed().len(), table.load().len())),
        Painted::Slice(line) => (Subject::Slice(*line), SLICE_SIZE),
    };
    let base = base.map(|(name, project)| Base { name, project });
    let spec = PictureSpec { project, base, subject, layer, range, look, size, shows_points };
    // A base whose load is of another kind cannot be shown beside it.
    let drawn = plate(&spec).or_else(|_| plate(&PictureSpec { base: None, ..spec }));
    image(&drawn.map_err(Refusal::from)?)
}

/// Work that paints the rig's run and the revolution at its cursor.
///
/// # Errors
/// Why there is no run.
pub fn rig(
    rig: &RigScreen,
    project: &Project,
    look: Look,
) -> Result<impl FnOnce() -> Result<ColorImage, Refusal> + Send + use<>, Refusal> {
    let drawn = rig_files::drawing(rig, project, look)?;
    Ok(move || image(&drawn()?))
}

fn image(plate: &Plate) -> Result<ColorImage, Refusal> {
    let (width, height, bytes) = pixels(plate, SCALE)?;
    Ok(ColorImage::from_rgba_unmultiplied([width, height], &bytes))
}

/// Puts a picture on the clipboard, on any thread. The system's compresses a picture as soon as it gets it, so it is given
/// one on the thread that painted it; texts go through egui, which has a connection of its own.
pub type PictureClipboard = Arc<dyn Fn(ColorImage) -> Result<(), Refusal> + Send + Sync>;

/// The system's.
pub(in crate::window) fn system_pictures() -> PictureClipboard {
    Arc::new(|picture| put(&picture).map_err(|error| Refusal::new(error.to_string())))
}

/// On Linux what was copied stays as long as any connection of the process is open; egui keeps its own until the end.
fn put(picture: &ColorImage) -> Result<(), arboard::Error> {
    let [width, height] = picture.size;
    let bytes = Cow::Borrowed(picture.as_raw());
    Clipboard::new()?.set_image(ImageData { width, height, bytes })
}

/// None: nothing can be copied.
pub(in crate::window) fn no_pictures() -> PictureClipboard {
    Arc::new(|_| Err(Refusal::new("there is no clipboard")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::View;
    use crate::project::SAMPLES;

    #[test]
    fn every_view_is_painted_on_the_paper_of_the_look_at_two_pixels_a_point() {
        let project = SAMPLES[0].project().unwrap();
        let other = SAMPLES[1].project().unwrap();
        let base = Some(("other", &other));
        let slice = Painted::Slice(SliceLine::MiddleRow);
        let views = [(Painted::Surface(Camera::view(View::ThreeQuarter)), base), (Painted::Grid, None), (slice, base)];
        for (view, base) in views {
            let picture = paint(&view, &project, base, Look::Dark, (Layer::Advance, None), true).unwrap();
            let (paper, corner) = (Look::Dark.palette().paper, picture.pixels[0]);
            assert_eq!((corner.r(), corner.g(), corner.b(), corner.a()), (paper.r, paper.g, paper.b, 255), "{view:?}");
            assert!(picture.pixels.iter().any(|pixel| *pixel != corner), "{view:?}");
            if matches!(view, Painted::Surface(_)) {
                assert_eq!(picture.size, [1800, 1280]);
            }
        }
    }
}
