//! How documents are created, and whether the file that one is opened from has comments, which saving would lose.

use std::path;
use std::path::Path;

use jiff::Timestamp;

use super::disk;
use super::disk::Fingerprint;
use super::document::change;
use super::history::{Change, History};
use super::home::Home;
use super::recovery::{Keeper, Origin};
use super::{DataFolder, Document, OpenError};
use crate::project::{Project, Upgrade, read_upgrading};

/// The content of a project file.
#[derive(Debug)]
pub(super) struct Content {
    pub(super) project: Project,
    pub(super) known: Fingerprint,
    pub(super) has_comments: bool,
    /// Remarks if it is in an older format.
    pub(super) upgrade: Option<Upgrade>,
}

pub(super) fn content(path: &Path) -> Result<Content, OpenError> {
    let bytes = disk::read(path)?;
    let read = read_upgrading(&bytes);
    let (project, upgrade) = read.map_err(|source| OpenError::Invalid { path: path.to_owned(), source })?;
    let has_comments = std::str::from_utf8(&bytes).is_ok_and(has_comments);
    Ok(Content { project, known: Fingerprint::of(&bytes), has_comments, upgrade })
}

impl Document {
    /// A project that was never saved: a new one, or a built-in sample. `name` is its title until it has a file.
    pub fn untitled(project: Project, name: impl Into<String>) -> Self {
        Self::untitled_in(&DataFolder::standard(), project, name)
    }

    /// [`untitled`](Self::untitled) with its recovery copy in another data folder.
    pub fn untitled_in(data: &DataFolder, project: Project, name: impl Into<String>) -> Self {
        Self {
            saved: Some(project.clone()),
            history: History::new(project, change("New", None)),
            name: name.into(),
            home: None,
            has_comments: false,
            upgrade: None,
            note: None,
            keeper: Keeper::new(data),
            data: data.clone(),
        }
    }

    /// Opens a project file; if another window has it open, it is read-only and has a [`note`](Self::note).
    ///
    /// # Errors
    /// [`OpenError`] naming the file, what is wrong and what to do.
    pub fn open(path: &Path) -> Result<Self, OpenError> {
        Self::open_in(&DataFolder::standard(), path)
    }

    /// [`open`](Self::open) with lock and recovery copy in another data folder.
    ///
    /// # Errors
    /// As for [`open`](Self::open).
    pub fn open_in(data: &DataFolder, path: &Path) -> Result<Self, OpenError> {
        let path = path::absolute(path).map_err(|error| OpenError::of(path, error))?;
        let Content { project, known, has_comments, upgrade } = content(&path)?;
        let history = History::new(project.clone(), change("Opened", None));
        let home = Some(Home::new(data, path, Some(known)));
        let keeper = Keeper::new(data);
        let saved = Some(project);
        let (name, data) = (String::new(), data.clone());
        let mut document = Self { history, saved, name, home, has_comments, upgrade, note: None, keeper, data };
        document.refresh_note();
        Ok(document)
    }

    /// A document from a recovery copy. Its file, if it can be read, is the first step.
    pub(super) fn recovered(
        data: &DataFolder,
        keeper: Keeper,
        origin: Origin,
        at: Timestamp,
        (project, upgrade): (Project, Option<Upgrade>),
    ) -> Self {
        let Origin { path, base, name } = origin;
        let on_disk = path.as_deref().and_then(|path| content(path).ok());
        let has_comments = on_disk.as_ref().is_some_and(|content| content.has_comments);
        let upgrade = upgrade.or_else(|| on_disk.as_ref().and_then(|content| content.upgrade.clone()));
        let saved = on_disk.map(|content| content.project);
        let recovered = Change { label: "Recovered changes".into(), at, selected: None };
        let history = match &saved {
            Some(saved) => {
                let mut history = History::new(saved.clone(), change("Opened", None));
                history.append(recovered, project);
                history
            }
            None => History::new(project, recovered),
        };
        let home = path.map(|path| Home::new(data, path, base));
        let data = data.clone();
        let mut document = Self { history, saved, name, home, has_comments, upgrade, note: None, keeper, data };
        document.refresh_note();
        if !document.is_changed() {
            document.keeper.delete();
        }
        document
    }
}

/// Whether a RON text has `//` or `/*` outside its strings.
pub(super) fn has_comments(text: &str) -> bool {
    let mut rest = text;
    while let Some(at) = rest.find(['"', '/']) {
        let (before, here) = rest.split_at(at);
        if here.starts_with("//") || here.starts_with("/*") {
            return true;
        }
        let inside = &here[1..];
        rest = if here.starts_with('/') { inside } else { after_string(before, inside) };
    }
    false
}

/// The text after a string; `before` is what precedes its opening quote, `inside` what follows the quote.
fn after_string<'a>(before: &str, inside: &'a str) -> &'a str {
    let stem = before.trim_end_matches('#');
    if stem.ends_with('r') {
        let end = format!("\"{}", &before[stem.len()..]);
        return inside.split_once(&end).map_or("", |(_, after)| after);
    }
    let mut escaped = false;
    let end = inside.find(|c| {
        let ends = c == '"' && !escaped;
        escaped = c == '\\' && !escaped;
        ends
    });
    end.map_or("", |end| &inside[end + 1..])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tells_comments_from_text() {
        for with in ["// a", "(a: 1) /* b */", r#"(a: "x\\") // c"#, "(a: r#\"x\"y\"#, // d\n)", "(a: 1 / 2 //"] {
            assert!(has_comments(with), "{with}");
        }
        for without in ["", "(a: 1 / 2)", r#"(a: "http://x", b: "\"//")"#, "(a: r##\"x\"# // y\"##)", "(a: \"//"] {
            assert!(!has_comments(without), "{without}");
        }
    }
}
