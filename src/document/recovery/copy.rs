//! The text of a recovery copy: a project file with a few comment lines before it.

use std::fmt::Display;
use std::path::{Path, PathBuf};

use jiff::Timestamp;

use crate::project::{Project, TreeError, write};

use super::super::disk::Fingerprint;
use super::super::path_text;

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
        line("file", &path_text::encode(path));
    }
    if let Some(base) = &origin.base {
        line("length", &base.length);
        line("hash", &base.hash);
    }
    line("name", &path_text::encode(Path::new(&origin.name)));
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
        path: value("file").and_then(path_text::decode),
        base: number("length").zip(number("hash")).map(|(length, hash)| Fingerprint { length, hash }),
        name: value("name").and_then(path_text::decode).unwrap_or_default().to_string_lossy().into_owned(),
    };
    let at = value("time")?.parse().ok()?;
    let process = value("process")?.parse().ok()?;
    Some((Header { origin, at, process }, project))
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
