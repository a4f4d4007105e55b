//! Pictures of the views for the clipboard, painted on a thread as the command line's pictures are.

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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::View;
    use crate::project::SAMPLES;

    #[test]
    fn every_view_is_painted_on_the_paper_of_the_look_at_two_pixels_a_point() {
        let project = SAMPLES[0].project().unwrap();
        let other = SAMPLES[1].project().unwrap();
        let views =
            [Painted::Surface(Camera::view(View::ThreeQuarter)), Painted::Grid, Painted::Slice(SliceLine::MiddleRow)];
        for view in views {
            for base in [None, Some(("other", &other))] {
                let picture = paint(&view, &project, base, Look::Dark, (Layer::Advance, None), true).unwrap();
                let (paper, corner) = (Look::Dark.palette().paper, picture.pixels[0]);
                assert_eq!(
                    (corner.r(), corner.g(), corner.b(), corner.a()),
                    (paper.r, paper.g, paper.b, 255),
                    "{view:?}"
                );
                assert!(picture.pixels.iter().any(|pixel| *pixel != corner), "{view:?}");
            }
        }
        let size = paint(
            &Painted::Surface(Camera::view(View::Plan)),
            &project,
            None,
            Look::Light,
            (Layer::Advance, None),
            true,
        )
        .unwrap()
        .size;
        assert_eq!(size, [1800, 1280]);
    }
}
