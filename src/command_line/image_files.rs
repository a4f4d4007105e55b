//! Files of images, as the jobs read them.

use std::path::Path;

use super::Failure;
use super::output::read_up_to;
use crate::image::{ReadFile, longest_file_bytes, read_file};
use crate::project::Project;

/// Reads a file for the image of a project.
pub(super) fn read_image(path: &Path, project: &Project) -> Result<ReadFile, Failure> {
    let bytes = read_up_to(path, longest_file_bytes(project.image.size))?;
    read_file(&bytes, project).map_err(|source| Failure::ImageFile { path: path.to_owned(), source })
}
