//! From a project to the bytes of its image.

use super::assemble::{assemble, encoded};
use super::decode::decode;
use super::folding::as_exported;
use super::verify::{Comparison, compare};
use super::{DecodeError, Image, ImageError, OnMismatch};
use crate::project::Project;

/// The image of a project: every item's numbers brought to the unit's size, rounded to counts, ordered and put at their
/// addresses; fill everywhere else; then the checksum. The same project gives the same bytes.
///
/// # Errors
/// [`ImageError`] naming the item and the place: a value that its type cannot hold, breakpoints that meet after rounding,
/// a field that is no number, sizes that do not fit, and values that no project could have once they are rounded: such
/// an image could not be read back.
pub fn encode(project: &Project) -> Result<Image, ImageError> {
    let image = assemble(&as_exported(project)?)?;
    unreadable(project, &image).map_or(Ok(image), Err)
}

/// Why a project makes no image: one reason for each item at fault, in the order of the layout; none where it makes one.
pub fn faults(project: &Project) -> Vec<ImageError> {
    let project = match as_exported(project) {
        Ok(exported) => &exported.clone(),
        Err(error) => return vec![error],
    };
    let fields = match project.field_tree() {
        Ok(fields) => fields,
        Err(error) => return vec![error.into()],
    };
    let of_items: Vec<ImageError> =
        project.image.items.iter().filter_map(|item| encoded(project, &fields, item).err()).collect();
    if of_items.is_empty() { encode(project).err().into_iter().collect() } else { of_items }
}

/// Why no project could be read back from an image that its items hold: values that fit together only before rounding.
/// Breakpoints without values, of another size than the project's, are what the layout asks for.
fn unreadable(project: &Project, image: &Image) -> Option<ImageError> {
    match decode(&image.bytes, project, OnMismatch::Accept) {
        Ok(_) | Err(DecodeError::AxisAlone { .. }) => None,
        Err(why) => Some(ImageError::Unreadable { why: Box::new(why) }),
    }
}

/// Compares a project with an image, which may be damaged: that is told, not refused.
///
/// # Errors
/// [`DecodeError`] when the image has another size, or the project makes no image.
pub fn verify(project: &Project, bytes: &[u8]) -> Result<Comparison, DecodeError> {
    let expected = encode(project)?;
    if bytes.len() != expected.bytes.len() {
        return Err(DecodeError::Size { given: bytes.len(), expected: project.image.size });
    }
    Ok(compare(&expected, project, bytes))
}

#[cfg(test)]
mod tests;
