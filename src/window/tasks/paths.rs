//! Asking the system for a path, and what stands there already where something is to be written. Found off the frame, since
//! the place may be on a drive that does not answer.

use std::fs::canonicalize;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::window::state::file_jobs::{FileJob, Request, file_name};

/// What is known about the place where a job is to write.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Destination {
    /// The path that was asked for.
    pub asked: PathBuf,
    /// The path with the ending that the job gives it.
    pub path: PathBuf,
    /// Whether the job would overwrite the open project's file with something else. Always false for saving, which
    /// overwrites it on purpose.
    pub replaces_project: bool,
    /// Whether it is the open project's file.
    pub is_own: bool,
    /// Whether the job would write over the file of another open project.
    pub is_of_another: bool,
    /// Whether there is a file.
    pub exists: bool,
    /// The names of files beside it that would be replaced too.
    pub replaced: Vec<String>,
}

impl Destination {
    /// Looks up where a job is to write; `own` is the file of the project shown, `others` those of the other open projects.
    pub fn of(job: &FileJob, asked: PathBuf, own: Option<&Path>, others: &[PathBuf]) -> Self {
        let path = job.with_ending(asked.clone(), Path::exists);
        let is_own = own.is_some_and(|own| is_same_file(own, &path));
        let is_saving = matches!(job, FileJob::SaveAs { .. });
        let is_overwritten = |own: &Path| job.written(&path).iter().any(|written| is_same_file(own, written));
        let replaces_project = own.filter(|_| !is_saving).is_some_and(is_overwritten);
        let is_of_another = others.iter().any(|other| is_overwritten(other));
        let exists = path.exists();
        let beside = job.written(&path).into_iter().filter(|written| *written != path && written.exists());
        let replaced = beside.map(|written| file_name(&written)).collect();
        Self { asked, path, replaces_project, is_own, is_of_another, exists, replaced }
    }
}

/// Whether two paths lead to the same file.
pub fn is_same_file(one: &Path, other: &Path) -> bool {
    match (canonicalize(one), canonicalize(other)) {
        (Ok(one), Ok(other)) => one == other,
        _ => one == other,
    }
}

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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup_sheet::Paper;

    #[test]
    fn what_stands_there_is_found_whatever_the_path_looks_like() {
        let folder = tempfile::tempdir().unwrap();
        let [own, other] = ["a.ron", "b.pdf"].map(|name| folder.path().join(name));
        [&own, &other].into_iter().for_each(|path| std::fs::write(path, "").unwrap());
        let sheet = FileJob::SetupSheet(Paper::A4);
        let found = Destination::of(&sheet, folder.path().join("./b"), Some(&own), &[]);
        assert_eq!((found.path.file_name(), found.exists, found.is_own), (other.file_name(), true, false));
        assert!(!found.replaces_project);
        let same = folder.path().join("./a.ron");
        let found = Destination::of(&sheet, same.clone(), Some(&own), &[]);
        assert!(found.is_own && found.replaces_project && found.exists);
        let found = Destination::of(&FileJob::SaveAs { then: None }, same.clone(), Some(&own), &[]);
        assert!(found.is_own && !found.replaces_project, "saving is meant");
        let found = Destination::of(&sheet, folder.path().join("new"), Some(&own), &[]);
        assert!(!found.exists && !found.is_own && found.path.ends_with("new.pdf"));
    }
}
