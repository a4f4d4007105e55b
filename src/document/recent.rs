//! The recently used files.

use std::path::{self, Path, PathBuf};

use super::data_folder::{decoded_path, encoded_path};
use super::temporary::Access;
use super::{DataFolder, read_bounded, replace};

/// How many files are remembered.
const MOST_FILES: usize = 12;
const FILE: &str = "recent-files";
/// More than twelve of the longest paths need.
const LONGEST_BYTES: u64 = 1024 * 1024;

/// The recently used files, newest first: one percent-encoded path per line of a file in the data folder.
#[derive(Clone, Debug)]
pub struct RecentFiles {
    data: DataFolder,
}

impl RecentFiles {
    /// The list kept in a data folder.
    pub fn new(data: &DataFolder) -> Self {
        Self { data: data.clone() }
    }

    /// Their absolute paths, at most 12, whether the files still exist or not. A list that cannot be read
    /// counts as empty, and lines that are not paths are skipped.
    pub fn list(&self) -> Vec<PathBuf> {
        let folder = self.data.folder("").ok();
        let bytes = folder.and_then(|folder| read_bounded(&folder.join(FILE), LONGEST_BYTES).ok()).unwrap_or_default();
        let text = String::from_utf8_lossy(&bytes);
        let mut files: Vec<PathBuf> = Vec::new();
        for path in text.lines().filter_map(decoded_path).filter(|path| path.is_absolute()) {
            if files.len() < MOST_FILES && !files.contains(&path) {
                files.push(path);
            }
        }
        files
    }

    /// Puts a file first. Failure is only logged: the list is a convenience.
    pub fn add(&self, file: &Path) {
        let Ok(file) = path::absolute(file) else {
            return;
        };
        let others = self.list().into_iter().filter(|other| *other != file);
        let files: Vec<_> = std::iter::once(file.clone()).chain(others).take(MOST_FILES).collect();
        self.write(&files);
    }

    /// Removes a file, such as one that is gone.
    pub fn remove(&self, file: &Path) {
        let files: Vec<_> = self.list().into_iter().filter(|other| other != file).collect();
        self.write(&files);
    }

    fn write(&self, files: &[PathBuf]) {
        let text: String = files.iter().map(|file| encoded_path(file) + "\n").collect();
        let write = |folder: PathBuf| replace::replace_file(&folder.join(FILE), text.as_bytes(), Access::Usual);
        let written = self.data.folder("").and_then(write);
        if let Err(error) = written {
            log::warn!("the list of recent files could not be written: {error}");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn the_latest_twelve_are_kept_in_order_without_doubles() {
        let folder = tempfile::tempdir().unwrap();
        let recent = RecentFiles::new(&DataFolder::at(folder.path().join("new")));
        assert!(recent.list().is_empty());
        let path = |n: usize| folder.path().join(format!("{n} ä.ron"));
        (0..14).for_each(|n| recent.add(&path(n)));
        recent.add(&path(5));
        let expected: Vec<_> = [5, 13, 12, 11, 10, 9, 8, 7, 6, 4, 3, 2].map(path).into();
        assert_eq!(recent.list(), expected);
        recent.remove(&path(13));
        assert_eq!(recent.list()[..3], [5, 12, 11].map(path));
    }

    #[test]
    fn a_damaged_list_gives_what_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let recent = RecentFiles::new(&DataFolder::at(folder.path()));
        fs::write(folder.path().join(FILE), b"relative.ron\n%zz\n\xff\xfe\n\n/a.ron\n/a.ron\n/b").unwrap();
        assert_eq!(recent.list().iter().filter(|path| path.starts_with("/")).count(), recent.list().len());
        assert_eq!(recent.list(), [PathBuf::from("/a.ron"), PathBuf::from("/b")]);
        recent.add(Path::new("/c"));
        assert_eq!(recent.list().len(), 3);
        fs::remove_file(folder.path().join(FILE)).unwrap();
        fs::create_dir(folder.path().join(FILE)).unwrap();
        recent.add(Path::new("/c"));
        assert!(recent.list().is_empty());
        RecentFiles::new(&DataFolder::none()).add(Path::new("/c"));
    }

    #[cfg(unix)]
    #[test]
    fn odd_things_in_its_place_are_no_list() {
        let folder = tempfile::tempdir().unwrap();
        let (recent, list) = (RecentFiles::new(&DataFolder::at(folder.path())), folder.path().join(FILE));
        assert!(std::process::Command::new("mkfifo").arg(&list).status().unwrap().success());
        assert!(recent.list().is_empty());
        fs::remove_file(&list).unwrap();
        std::os::unix::fs::symlink("/dev/zero", &list).unwrap();
        assert!(recent.list().is_empty());
        fs::remove_file(&list).unwrap();
        fs::File::create(&list).unwrap().set_len(1 << 40).unwrap();
        assert!(recent.list().is_empty());
        recent.add(Path::new("/c"));
        assert_eq!(recent.list(), [PathBuf::from("/c")]);
    }
}
