//! The project that the open one is compared with.

use std::path::{Path, PathBuf};

use eframe::egui;

use super::task::Task;
use crate::document::{Document, Revision, read_bounded};
use crate::project::{FORMAT, LARGEST_FILE_BYTES, Project, Upgrade, read_upgrading};
use crate::window::state::compare_state::BaseChoice;
use crate::wording::Refusal;

/// What the project is compared with, and its name.
#[derive(Clone, Debug)]
pub struct Base {
    /// The state compared with.
    pub project: Project,
    /// What to call it.
    pub name: String,
    /// A remark if the file that it was read from is of an older version.
    pub note: Option<String>,
}

impl Base {
    /// The newest snapshot, or the state in which the file was opened.
    pub fn automatic(document: &Document) -> Self {
        let newest = document.project().snapshots.last();
        newest.map_or_else(|| Self::opened(document), |snapshot| Self::of(snapshot.state.clone(), &snapshot.name))
    }

    /// A state and its name, which says so if it is a locked-timing copy.
    fn of(project: Project, name: impl Into<String>) -> Self {
        let name = name.into();
        let name = project.locked_timing_words().map_or_else(|| name.clone(), |words| format!("{name} ({words})"));
        Self { project, name, note: None }
    }

    fn opened(document: &Document) -> Self {
        Self::of(document.steps()[0].project.as_state(), "as opened")
    }

    fn snapshot(document: &Document, name: &str) -> Result<Self, Refusal> {
        let snapshot = document.project().snapshots.iter().find(|snapshot| snapshot.name == name);
        let snapshot = snapshot.ok_or_else(|| Refusal::new(format!("There is no snapshot '{name}' any more")))?;
        Ok(Self::of(snapshot.state.clone(), &snapshot.name))
    }

    fn last_export(document: &Document) -> Result<Self, Refusal> {
        let export = document.project().last_export.as_ref();
        let export = export.ok_or_else(|| Refusal::new("Nothing was exported from this project yet"))?;
        Ok(Self::of(export.state.clone(), format!("as last exported: {}", export.file_name)))
    }

    /// A step of the history; step 0 is the state in which the file was opened.
    fn step(document: &Document, index: usize) -> Result<Self, Refusal> {
        if index == 0 {
            return Ok(Self::opened(document));
        }
        let step = document.steps().get(index);
        let step = step.ok_or_else(|| Refusal::new(format!("There is no step {index} in this history")))?;
        Ok(Self::of(step.project.as_state(), format!("step {index}: {}", step.label)))
    }

    /// Another project file.
    fn file(path: &Path) -> Result<Self, Refusal> {
        let told = |error: &dyn std::fmt::Display| {
            Refusal::new(format!("{} cannot be read as a project: {error}", path.display()))
        };
        let bytes = read_bounded(path, LARGEST_FILE_BYTES).map_err(|error| told(&error))?;
        let (project, upgrade) = read_upgrading(&bytes).map_err(|error| told(&error))?;
        let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        let note = upgrade.map(|upgrade| told_of(&name, &upgrade));
        Ok(Self { note, ..Self::of(project.as_state(), name) })
    }
}

/// The remark that a file is of an older version. It is only read, so it keeps its version.
fn told_of(name: &str, upgrade: &Upgrade) -> String {
    let Upgrade { from, remarks } = upgrade;
    let remarks = remarks.iter().map(|remark| format!(" {remark}")).collect::<String>();
    format!("{name} has format version {from} and is read as version {FORMAT}; the file stays as it is.{remarks}")
}

/// The name of reading a base in messages.
pub(in crate::window) const READING: &str = "reading the base";

/// Keeps the base up to date with what was chosen and with the document.
#[derive(Debug)]
pub struct BaseKeeper {
    base: Base,
    /// What `base` was found for.
    found_for: Option<(BaseChoice, Revision)>,
    /// A file that is being read.
    reading: Task<PathBuf, Base>,
    /// A remark about a file that has just been read.
    news: Option<String>,
}

impl BaseKeeper {
    /// Starts with the automatic base.
    pub fn new(document: &Document) -> Self {
        Self { base: Base::automatic(document), found_for: None, reading: Task::default(), news: None }
    }

    /// The base to compare with now.
    pub fn current(&self) -> &Base {
        &self.base
    }

    /// Finds the base again if the choice or the document has changed. A file is read on a thread, once each
    /// time it is chosen; until that is done, the base stays what it was.
    ///
    /// # Errors
    /// A sentence if the snapshot, step or file does not exist or cannot be read; the base is unchanged.
    pub fn settle(&mut self, choice: &BaseChoice, document: &Document, ctx: &egui::Context) -> Result<(), Refusal> {
        if let BaseChoice::File(path) = choice {
            return self.settle_file(choice, path, document.revision(), ctx);
        }
        self.reading.forget();
        let revision = document.revision();
        if self.found_for.as_ref().is_some_and(|(of, at)| of == choice && *at == revision) {
            return Ok(());
        }
        self.base = match choice {
            BaseChoice::Project(_) if self.is_found_for(choice) => return Ok(()),
            BaseChoice::Project(_) => return Err(Refusal::new("The project to compare with is no longer open")),
            BaseChoice::Snapshot(name) => Base::snapshot(document, name)?,
            // A step never changes, whatever happens to the document.
            BaseChoice::Step(_) if self.is_found_for(choice) => return Ok(()),
            BaseChoice::Step(index) => Base::step(document, *index)?,
            BaseChoice::LastExport => Base::last_export(document)?,
            _ => Base::automatic(document),
        };
        self.found_for = Some((choice.clone(), revision));
        Ok(())
    }

    /// Another open project in its present state is the base that was chosen.
    pub fn take_project(&mut self, choice: &BaseChoice, project: &Project, name: String, document: &Document) {
        self.base = Base::of(project.as_state(), name);
        self.found_for = Some((choice.clone(), document.revision()));
    }

    /// The base that was chosen, once it has been found.
    pub fn found(&self, choice: &BaseChoice) -> Option<&Base> {
        if self.is_found_for(choice) { Some(&self.base) } else { None }
    }

    /// A remark about the file read last, given only once.
    pub fn take_news(&mut self) -> Option<String> {
        self.news.take()
    }

    /// Makes a base file be read again at the next opportunity.
    pub fn forget_file(&mut self) {
        self.found_for.take_if(|(choice, _)| matches!(choice, BaseChoice::File(_)));
        self.reading.forget();
    }

    fn is_found_for(&self, choice: &BaseChoice) -> bool {
        self.found_for.as_ref().is_some_and(|(of, _)| of == choice)
    }

    fn settle_file(
        &mut self,
        choice: &BaseChoice,
        path: &Path,
        revision: Revision,
        ctx: &egui::Context,
    ) -> Result<(), Refusal> {
        if self.is_found_for(choice) {
            return Ok(());
        }
        self.reading.receive();
        let path = path.to_owned();
        let found = self.reading.shown(&path).map(|base| Base::clone(base));
        match (found, self.reading.fault_of(&path).cloned()) {
            (Some(base), _) => {
                self.news.clone_from(&base.note);
                self.base = base;
                self.found_for = Some((choice.clone(), revision));
                self.reading.forget();
            }
            (None, Some(why)) => {
                self.reading.forget();
                return Err(why.into());
            }
            (None, None) => {
                // Another file may have been chosen meanwhile; the first may be on a drive that does not
                // answer.
                self.reading.give_up_others(&path);
                let wanted = path.clone();
                self.reading.ask(&path, ctx, READING, move |_| Base::file(&wanted));
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::DataFolder;
    use crate::project::{LoadKind, NewProject, set_fields, write};

    fn document() -> Document {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        Document::untitled_in(&DataFolder::none(), new.create().unwrap(), "trial")
    }

    fn rename(document: &mut Document, name: &str) {
        document.apply("Rename", None, |project| set_fields(project, &[("name", name)])).unwrap();
    }

    #[test]
    fn a_step_is_found_by_its_index_and_a_missing_one_is_told() {
        let mut document = document();
        rename(&mut document, "second");
        rename(&mut document, "third");
        let mut keeper = BaseKeeper::new(&document);
        let ctx = egui::Context::default();
        keeper.settle(&BaseChoice::Step(1), &document, &ctx).unwrap();
        assert_eq!(
            (keeper.current().project.name.as_str(), keeper.current().name.as_str()),
            ("second", "step 1: Rename")
        );
        keeper.settle(&BaseChoice::Step(0), &document, &ctx).unwrap();
        assert_eq!((keeper.current().project.name.as_str(), keeper.current().name.as_str()), ("trial", "as opened"));
        assert!(keeper.settle(&BaseChoice::Step(9), &document, &ctx).unwrap_err().to_string().contains("step 9"));
        assert!(
            keeper
                .settle(&BaseChoice::Snapshot("gone".into()), &document, &ctx)
                .unwrap_err()
                .to_string()
                .contains("'gone'")
        );
        assert_eq!(keeper.current().name, "as opened");
    }

    #[test]
    fn a_base_of_an_older_version_is_told_once() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("old.ron");
        std::fs::write(&path, include_str!("../../../tests/frozen/v1/wren-four.ron")).unwrap();
        let (document, ctx) = (document(), egui::Context::default());
        let mut keeper = BaseKeeper::new(&document);
        while keeper.found(&BaseChoice::File(path.clone())).is_none() {
            keeper.settle(&BaseChoice::File(path.clone()), &document, &ctx).unwrap();
            std::thread::yield_now();
        }
        let told = keeper.take_news().unwrap();
        assert!(told.starts_with("old.ron has format version 1 and is read as version "), "{told}");
        assert_eq!((keeper.take_news(), keeper.current().note.as_ref()), (None, Some(&told)));
    }

    #[test]
    fn a_file_is_read_off_the_frame_and_a_broken_one_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let (good, broken) = (folder.path().join("good.ron"), folder.path().join("broken.ron"));
        let mut document = document();
        std::fs::write(&good, write(document.project()).unwrap()).unwrap();
        std::fs::write(&broken, "(").unwrap();
        rename(&mut document, "second");
        let ctx = egui::Context::default();
        let mut keeper = BaseKeeper::new(&document);
        let mut wait = |path: &Path| loop {
            let settled = keeper.settle(&BaseChoice::File(path.to_owned()), &document, &ctx);
            if settled.is_err() || keeper.reading.working().is_none() {
                break settled.map(|()| keeper.current().clone());
            }
            std::thread::yield_now();
        };
        let base = wait(&good).unwrap();
        assert_eq!((base.name.as_str(), base.project.name.as_str()), ("good.ron", "trial"));
        assert!(wait(&broken).unwrap_err().to_string().contains("broken.ron cannot be read as a project"));
        assert!(wait(&folder.path().join("none.ron")).unwrap_err().to_string().contains("none.ron"));
    }
}
