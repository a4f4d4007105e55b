//! Files of images, as the jobs read them.

use std::path::Path;

use super::Failure;
use super::output::read_up_to;
use crate::image::{ReadFile, read_file};
use crate::project::Project;

/// Text has at most so many bytes for each of the image, blank lines and long line ends included; and some to begin with.
const BYTES_PER_BYTE: u64 = 16;
const BYTES_AT_LEAST: u64 = 65_536;

/// Reads a file for the image of a project.
pub(super) fn read_image(path: &Path, project: &Project) -> Result<ReadFile, Failure> {
    let limit = BYTES_AT_LEAST + BYTES_PER_BYTE * u64::from(project.image.size);
    let bytes = read_up_to(path, limit)?;
    read_file(&bytes, project).map_err(|source| Failure::ImageFile { path: path.to_owned(), source })
}
