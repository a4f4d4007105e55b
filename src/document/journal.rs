//! Files that belong together: a list of them is kept on disk while they take their places one after the other,
//! so that a set that was broken off is detected.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::{fs, io};

use super::data_folder::{decoded_path, encoded_path};
use super::disk::{Fingerprint, read_bounded};
use super::temporary;

const ENDING: &str = ".set";
/// A list has only a few paths.
const LONGEST_BYTES: u64 = 1024 * 1024;

/// The list of the files of a set, on disk as long as not all of them are in their places.
#[derive(Debug)]
pub(super) struct Journal {
    /// Kept open only for its lock.
    _file: fs::File,
    path: PathBuf,
}

impl Journal {
    /// Writes down what is about to be put where. Files that already have the right content are left out, since
    /// they fit the old set as well as the new one.
    pub(super) fn begin(files: &[(&Path, Fingerprint)]) -> io::Result<Option<Self>> {
        let files: Vec<_> = files.iter().filter(|(target, written)| !holds(target, *written)).collect();
        let [(first, _), _, ..] = files[..] else {
            return Ok(None);
        };
        let folder = first.parent().unwrap_or(first);
        let (mut file, path) = temporary::create(folder, true, ENDING)?;
        let mut text = String::new();
        for (target, Fingerprint { length, hash }) in files {
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{length} {hash} {}", encoded_path(target));
        }
        let written = file.write_all(text.as_bytes()).and_then(|()| file.sync_all());
        let journal = Self { _file: file, path };
        written.map(|()| Some(journal))
    }
}

impl Drop for Journal {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.path);
    }
}

/// What is known about exports that were broken off in a folder, one clause each. Lists of which every file, or no
/// file, has the listed content by now are removed.
pub fn broken_sets(folder: &Path) -> Vec<String> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    temporary::left_behind(folder, ENDING).iter().filter_map(|list| told(list)).collect()
}

fn told(list: &Path) -> Option<String> {
    let Ok(bytes) = read_bounded(list, LONGEST_BYTES) else {
        return None;
    };
    let text = String::from_utf8_lossy(&bytes);
    // A list that is incomplete was broken off before the first file took its place.
    let files: Vec<_> = text.lines().map(entry).collect::<Option<_>>().unwrap_or_default();
    let (new, old): (Vec<_>, Vec<_>) = files.iter().partition(|(path, written)| holds(path, *written));
    if new.is_empty() || old.is_empty() {
        let _ = fs::remove_file(list);
        return None;
    }
    let names = |files: &[&(PathBuf, Fingerprint)]| {
        let names = files.iter().map(|(path, _)| path.file_name().unwrap_or_default().to_string_lossy());
        names.collect::<Vec<_>>().join(", ")
    };
    Some(format!(
        "an export was broken off half-way: {} is new, {} is not, so that they do not belong together",
        names(&new),
        names(&old)
    ))
}

fn entry(line: &str) -> Option<(PathBuf, Fingerprint)> {
    let (length, rest) = line.split_once(' ')?;
    let (hash, path) = rest.split_once(' ')?;
    let written = Fingerprint { length: length.parse().ok()?, hash: hash.parse().ok()? };
    Some((decoded_path(path)?, written))
}

fn holds(path: &Path, written: Fingerprint) -> bool {
    read_bounded(path, written.length).is_ok_and(|bytes| Fingerprint::of(&bytes) == written)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lists(folder: &Path) -> usize {
        let is_list = |entry: &fs::DirEntry| entry.path().to_string_lossy().ends_with(ENDING);
        fs::read_dir(folder).unwrap().filter(|entry| is_list(entry.as_ref().unwrap())).count()
    }

    /// Writes the list of a set of two that was broken off.
    fn broken_off(folder: &Path, files: &[(&Path, Fingerprint)]) {
        let journal = Journal::begin(files).unwrap().unwrap();
        let text = fs::read(&journal.path).unwrap();
        drop(journal);
        fs::write(folder.join(format!(".sparkloft-1-1{ENDING}")), text).unwrap();
    }

    #[test]
    fn a_set_that_was_broken_off_is_told_until_it_is_whole() {
        let folder = tempfile::tempdir().unwrap();
        let [image, description] = ["a\n.hex", "a.a2l"].map(|name| folder.path().join(name));
        fs::write(&image, "new image").unwrap();
        fs::write(&description, "old").unwrap();
        let set = [(&*image, Fingerprint::of(b"new image")), (&*description, Fingerprint::of(b"new"))];
        fs::write(&image, "older").unwrap();
        broken_off(folder.path(), &set);
        fs::write(&image, "new image").unwrap();
        for _ in 0..2 {
            let told = broken_sets(folder.path());
            assert!(told.len() == 1 && told[0].contains("a.a2l is not"), "{told:?}");
        }
        fs::write(&description, "new").unwrap();
        assert!(broken_sets(folder.path()).is_empty() && lists(folder.path()) == 0);
        // A set still at work is not reported, nor is one that somebody else has since overwritten.
        fs::write(&image, "older").unwrap();
        fs::write(&description, "older").unwrap();
        let journal = Journal::begin(&set).unwrap();
        fs::write(&image, "new image").unwrap();
        assert!(broken_sets(folder.path()).is_empty() && lists(folder.path()) == 1);
        drop(journal);
        fs::write(&image, "older").unwrap();
        broken_off(folder.path(), &set);
        fs::write(&description, "other").unwrap();
        assert!(broken_sets(folder.path()).is_empty() && lists(folder.path()) == 0);
        assert!(Journal::begin(&set[..1]).unwrap().is_none(), "one file is whole or not there");
        fs::write(&image, "new image").unwrap();
        assert!(Journal::begin(&set).unwrap().is_none(), "an image that stays as it is goes with either description");
    }
}
