//! Asking the system for a path.

use crate::window::state::file_jobs::Request;
use std::path::PathBuf;
use std::sync::Arc;

/// Asks for a path and waits for the answer, on a thread of its own. `None` if the user cancelled, and also if
/// the system has no such dialog.
pub type Chooser = Arc<dyn Fn(&Request) -> Option<PathBuf> + Send + Sync>;

/// The system's own dialog.
pub fn system_chooser() -> Chooser {
    Arc::new(|request| {
        let mut dialog = rfd::FileDialog::new().set_title(request.title).add_filter(request.kind, request.endings);
        dialog = dialog.add_filter("All files", &["*"]);
        if let Some(folder) = &request.folder {
            dialog = dialog.set_directory(folder);
        }
        match &request.name {
            Some(name) => dialog.set_file_name(name).save_file(),
            None => dialog.pick_file(),
        }
    })
}
