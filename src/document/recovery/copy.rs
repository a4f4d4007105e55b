//! A recovery copy: its text, a project file with a few comment lines before it, and its place in the data folder.

use std::fmt::Display;
use std::fs::File;
use std::path::{Path, PathBuf};
use std::{fs, io};

use jiff::Timestamp;

use super::super::disk::{Fingerprint, fnv1a, open_ordinary};
use super::super::home::try_lock;
use super::super::temporary::Access;
use super::super::{DataFolder, data_folder, replace};
use crate::project::{Project, TreeError, write};

const TITLE: &str = "// Sparkloft recovery copy";

/// What the copy belongs to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in super::super) struct Origin {
    /// The project's file; none for a project that was never saved.
    pub(in super::super) path: Option<PathBuf>,
    /// The content of that file from which the changes were made.
    pub(in super::super) base: Option<Fingerprint>,
    /// What the project was called in the title bar.
    pub(in super::super) name: String,
}

/// A changed project to be kept.
#[derive(Clone, Debug)]
pub(in super::super) struct Copy {
    pub(in super::super) origin: Origin,
    /// The time of this state.
    pub(in super::super) at: Timestamp,
    pub(in super::super) project: Project,
}

/// The content of the comment lines.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Header {
    pub(super) origin: Origin,
    pub(super) at: Timestamp,
    pub(super) process: u32,
}

pub(super) fn print(copy: &Copy) -> Result<String, TreeError> {
    let Copy { origin, at, project } = copy;
    let mut lines = vec![TITLE.to_owned()];
    let mut line = |key: &str, value: &dyn Display| lines.push(format!("// {key}: {value}"));
    if let Some(path) = &origin.path {
        line("file", &data_folder::encoded_path(path));
    }
    if let Some(base) = &origin.base {
        line("length", &base.length);
        line("hash", &base.hash);
    }
    line("name", &data_folder::encoded_path(Path::new(&origin.name)));
    line("time", at);
    line("process", &std::process::id());
    lines.push(write(project)?);
    Ok(lines.join("\n"))
}

/// Splits a copy into its header and the project's text; `None` if it is not a copy.
pub(super) fn parse(text: &str) -> Option<(Header, &str)> {
    let head_length: usize = text.split_inclusive('\n').take_while(|line| line.starts_with("//")).map(str::len).sum();
    let (head, project) = text.split_at(head_length);
    let value = |key: &str| head.lines().find_map(|line| line.strip_prefix(&format!("// {key}: ")));
    if !head.starts_with(TITLE) {
        return None;
    }
    let number = |key: &str| value(key).and_then(|text| text.parse().ok());
    let origin = Origin {
        path: value("file").and_then(data_folder::decoded_path),
        base: number("length").zip(number("hash")).map(|(length, hash)| Fingerprint { length, hash }),
        name: value("name").and_then(data_folder::decoded_path).unwrap_or_default().to_string_lossy().into_owned(),
    };
    let at = value("time")?.parse().ok()?;
    let process = value("process")?.parse().ok()?;
    Some((Header { origin, at, process }, project))
}

/// Where the copies are, inside the data folder.
pub(super) const FOLDER: &str = "recovery";
/// The ending of a copy's name; a copy is a project file.
pub(super) const COPY_ENDING: &str = "ron";
const LOCK_ENDING: &str = "lock";

/// A copy's file and the lock that shows that its owner is alive.
#[derive(Debug)]
pub(super) struct Slot {
    copy: PathBuf,
    /// Kept open only for its lock.
    lock: File,
}

impl Slot {
    /// A new place for a copy of a project file, or of a project that was never saved.
    pub(super) fn claim(data: &DataFolder, origin: Option<&Path>) -> io::Result<Self> {
        let folder = data.private_folder(FOLDER)?;
        let origin = origin.map_or(0, |path| fnv1a(path.as_os_str().as_encoded_bytes()));
        let process = std::process::id();
        let mut number = 0_u32;
        loop {
            // An earlier process may have had the same id, and its copies are still wanted.
            let copy = folder.join(format!("{origin:016x}-{process}-{number}.{COPY_ENDING}"));
            match File::create_new(copy.with_extension(LOCK_ENDING)) {
                Ok(lock) => {
                    // Where there are no locks, the process id has to do.
                    let _ = try_lock(&lock);
                    return Ok(Self { copy, lock });
                }
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => number += 1,
                Err(error) => return Err(error),
            }
        }
    }

    /// Takes over a copy whose owner is gone; `None` if the owner is alive. `process` is the owner's id.
    pub(super) fn take_over(copy: &Path, process: u32) -> io::Result<Option<Self>> {
        let options = File::options().write(true).create(true).truncate(false).to_owned();
        let lock = open_ordinary(&copy.with_extension(LOCK_ENDING), &options)?;
        let free = try_lock(&lock).unwrap_or(process != std::process::id());
        let slot = Self { copy: copy.to_owned(), lock };
        if free && !copy.exists() {
            // Its owner has just deleted it.
            slot.remove()?;
            return Ok(None);
        }
        Ok(free.then_some(slot))
    }

    /// Whether the owner of a copy is alive, as far as its lock shows.
    pub(super) fn is_owned(copy: &Path) -> bool {
        let lock = open_ordinary(&copy.with_extension(LOCK_ENDING), File::options().write(true));
        lock.and_then(|lock| try_lock(&lock)).is_ok_and(|is_free| !is_free)
    }

    pub(super) fn copy(&self) -> &Path {
        &self.copy
    }

    pub(super) fn write(&self, text: &str) -> io::Result<()> {
        replace::replace_file(&self.copy, text.as_bytes(), Access::Private)
    }

    /// Deletes the copy, and then the lock.
    pub(super) fn remove(self) -> io::Result<()> {
        let Self { copy, lock } = self;
        match fs::remove_file(&copy) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
        // Not every system can delete an open file.
        drop(lock);
        fs::remove_file(copy.with_extension(LOCK_ENDING))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::trial;
    use crate::project::read;

    #[test]
    fn a_copy_reads_back_and_is_a_project_file_itself() {
        let project = trial::project().edit(|parts| parts.name = "// x".into()).unwrap();
        for path in [None, Some(PathBuf::from("/cars/a\nb ü.ron"))] {
            let origin = Origin { path, base: Some(Fingerprint::of(b"x")), name: "tarn\n// name: lies".into() };
            let copy = Copy {
                origin: origin.clone(),
                at: "2026-05-04T10:00:00.25Z".parse().unwrap(),
                project: project.clone(),
            };
            let text = print(&copy).unwrap();
            let (header, rest) = parse(&text).unwrap();
            assert_eq!(header, Header { origin, at: copy.at, process: std::process::id() });
            assert_eq!(rest, write(&project).unwrap());
            assert_eq!(read(text.as_bytes()).unwrap(), project);
        }
        for broken in ["", "(format: 1)", "// Sparkloft recovery copy\n// time: never\n// process: 1\n()"] {
            assert_eq!(parse(broken), None);
        }
    }
}
