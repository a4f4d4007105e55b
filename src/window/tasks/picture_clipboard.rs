//! The system's clipboard for pictures. It compresses a picture as soon as it gets it, so it is given one on the thread that
//! painted it; texts go through egui, which has a connection of its own.

use std::borrow::Cow;
use std::sync::Arc;

use arboard::{Clipboard, ImageData};
use eframe::egui::ColorImage;

use crate::wording::Refusal;

/// Puts a picture on the clipboard, on any thread.
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
