//! What all jobs that write a file have in common: reading inputs, outputs that replace an input, and saving.

use std::fs;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::answer::{Pending, complain};
use super::{Answer, Failure, json};
use crate::document::{self, DataFolder, OpenError, Rewrite, SaveError, Staged, broken_sets};
use crate::image::{ReadFile, longest_file_bytes, read_file};
use crate::project::{Project, Upgrade};
use crate::wording::plain_lines;

/// How a job answers.
#[derive(Clone, Copy, Debug, clap::Args)]
pub(super) struct Format {
    /// Print one JSON document instead of text
    #[arg(long, global = true)]
    pub(super) json: bool,
}

impl Format {
    /// The text for people, or the JSON document with the same content.
    pub(super) fn answer(
        self,
        value: &impl serde::Serialize,
        text: impl FnOnce() -> String,
    ) -> Result<Answer, Failure> {
        Ok(Answer::text(if self.json { json::document(value)? } else { plain_lines(&text()).into_owned() }))
    }
}

/// Reads a project file; a file in an older format causes a remark on stderr.
pub(super) fn read_project(path: &Path) -> Result<Project, OpenError> {
    Ok(told(path, document::read_project(path)?))
}

fn told(path: &Path, (project, upgrade): (Project, Option<Upgrade>)) -> Project {
    if let Some(upgrade) = upgrade {
        complain(&format!("note: {}: {upgrade}", shown(path)));
    }
    project
}

/// The bytes of a file, at most one more than `most`.
pub(super) fn read_up_to(path: &Path, most: u64) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|file| file.take(most + 1).read_to_end(&mut bytes));
    read.map_err(|source| Failure::Read { path: path.to_owned(), source })?;
    Ok(bytes)
}

/// Reads the project from which a job makes the one in `output`. If both are the same file, its lock is held
/// until it has been written, and changes that others make meanwhile are detected.
pub(super) fn read_for(path: &Path, output: Option<&Path>) -> Result<(Project, Option<Rewrite>), Failure> {
    if !output.is_some_and(|output| same_place(path, output)) {
        return Ok((read_project(path)?, None));
    }
    let mut rewrite = Rewrite::begin(&DataFolder::standard(), path).map_err(|error| match error {
        SaveError::InUse { path } => Failure::InUse(path),
        other => other.into(),
    })?;
    Ok((told(path, rewrite.read()?), Some(rewrite)))
}

/// A project file that is to replace what is there; `rewrite` if the project was made from that.
pub(super) fn save_project(path: &Path, project: &Project, rewrite: Option<Rewrite>) -> Result<Vec<Pending>, Failure> {
    Ok(vec![Pending::Files(vec![Staged::project(path, project)?.rewriting(rewrite)])])
}

/// A file that is to replace what is there.
pub(super) fn save_file(path: &Path, bytes: Vec<u8>) -> Result<Vec<Pending>, Failure> {
    Ok(vec![Pending::Files(vec![Staged::file(path, bytes)?])])
}

/// A path as text for people and JSON; bytes that are not UTF-8 are replaced.
pub(super) fn shown(path: &Path) -> String {
    path.display().to_string()
}

/// A file's ending in lower case, without the dot.
pub(super) fn ending(path: &Path) -> String {
    path.extension().unwrap_or_default().to_string_lossy().to_lowercase()
}

/// A remark about characters of the project for which the typeface has no shape.
pub(super) fn unseen(missing: &[char]) -> Option<String> {
    let mut missing = missing.to_vec();
    missing.sort_unstable();
    missing.dedup();
    let list: Vec<String> = missing.iter().map(|character| format!("'{character}'")).collect();
    (!list.is_empty()).then(|| format!("the typeface lacks {}; an empty box stands in its place", list.join(", ")))
}

/// Remarks about exports that were broken off in the folder of a file, leaving two files that do not belong
/// together.
pub(super) fn broken_notes(file: &Path) -> Vec<String> {
    let folder = file.parent().unwrap_or(file);
    broken_sets(folder).into_iter().map(|words| format!("{words}; export both again")).collect()
}

/// What a locked-timing copy is.
const NO_MAP: &str = "for use with the timing light; no map to drive with";

/// A remark when a project is a locked-timing copy.
pub(super) fn locked_note(project: &Project, whose: &str) -> Option<String> {
    project.locked_timing_words().map(|words| format!("{whose} is a copy with {words}, {NO_MAP}"))
}

/// The first line of an answer about a locked-timing copy; empty for a real map.
pub(super) fn locked_line(project: &Project) -> String {
    let words = project.locked_timing_words();
    words.map_or_else(String::new, |words| format!("{}: {NO_MAP}\n", words.to_uppercase()))
}

/// A remark if items of the image keep the size that the table had, because the layout has no room for the new
/// size.
pub(super) fn pinned_note(before: &Project, after: &Project) -> Option<String> {
    after.pinned_since(before).map(|pinned| pinned.to_string())
}

/// Longer texts are cut in lists.
const SHOWN_CHARACTERS: usize = 80;

/// A value on one line of a list, cut when it is long.
pub(super) fn brief(words: &str) -> String {
    crate::wording::brief(words, SHOWN_CHARACTERS)
}

/// A path other than `-`, which only streams accept.
pub(super) fn file_path(text: std::ffi::OsString) -> Result<PathBuf, &'static str> {
    if text == "-" { Err("a file is wanted here; write ./- for one of that name") } else { Ok(text.into()) }
}

/// Reads a file for the image of a project.
pub(super) fn read_image(path: &Path, project: &Project) -> Result<ReadFile, Failure> {
    let bytes = read_up_to(path, longest_file_bytes(project.image.size))?;
    read_file(&bytes, project).map_err(|source| Failure::ImageFile { path: path.to_owned(), source })
}

/// Refuses an output that is one of the job's other files, each given with its role.
pub(super) fn refuse_taken(job: &'static str, output: &Path, files: &[(&str, &Path)]) -> Result<(), Failure> {
    let Some((what, _)) = files.iter().find(|(_, path)| same_place(path, output)) else {
        return Ok(());
    };
    Err(Failure::Usage(format!("{}: this is {what}, and must not be written over; choose another", shown(output)), job))
}

/// Whether two paths lead to the same ordinary file, whether it exists yet or not.
pub(super) fn same_place(one: &Path, other: &Path) -> bool {
    let one = place(one);
    one.is_some() && one == place(other)
}

/// The full path of a file, with every link resolved; `None` for devices, to which several may write.
fn place(path: &Path) -> Option<PathBuf> {
    if let Ok(whole) = fs::canonicalize(path) {
        return fs::metadata(&whole).is_ok_and(|about| about.is_file()).then_some(whole);
    }
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    Some(fs::canonicalize(folder).ok()?.join(path.file_name()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_values_stay_on_one_line() {
        assert_eq!(brief("a\n b"), "a b");
        assert_eq!(brief(&"°".repeat(80)), "°".repeat(80));
        assert_eq!(brief(&"°".repeat(81)), "°".repeat(80) + "…");
        assert!(file_path("-".into()).is_err() && file_path("./-".into()).is_ok());
    }

    #[test]
    fn paths_are_compared_by_where_they_lead() {
        let folder = tempfile::tempdir().unwrap();
        let [file, missing] = ["a.ron", "b.csv"].map(|name| folder.path().join(name));
        fs::write(&file, "x").unwrap();
        assert!(same_place(&file, &folder.path().join("./a.ron")));
        assert!(same_place(&missing, &folder.path().join("./b.csv")) && !same_place(&file, &missing));
        assert!(!same_place(folder.path(), folder.path()));
        #[cfg(unix)]
        {
            let link = folder.path().join("link");
            std::os::unix::fs::symlink("a.ron", &link).unwrap();
            assert!(same_place(&file, &link));
            assert!(!same_place(Path::new("/dev/null"), Path::new("/dev/null")));
        }
        let told = refuse_taken("rig", &file, &[("the project", &file)]).unwrap_err().to_string();
        assert!(told.contains("this is the project, and must not be written over"), "{told}");
        assert!(refuse_taken("rig", &missing, &[("the project", &file)]).is_ok());
    }
}
