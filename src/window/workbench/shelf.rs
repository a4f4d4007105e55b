//! The open projects besides the one that is shown: each waits with its document, its screen and what [`Files`] knows of
//! it, and keeps its lock and its recovery copy.

use eframe::egui;

use super::files::{Files, Known};
use crate::document::{Document, Revision};
use crate::project::Project;
use crate::window::state::projects::{ProjectId, ProjectTab, ProjectTabs};
use crate::window::state::screen::Screen;

/// A project that waits. What is on show changes places with it.
pub(super) struct Parked {
    id: ProjectId,
    document: Document,
    screen: Screen,
    steps_seen: usize,
    known: Known,
}

/// What is on show of the project that is shown.
pub(super) struct OnShow<'a> {
    pub(super) document: &'a mut Document,
    pub(super) screen: &'a mut Screen,
    /// The number of steps when it was last checked whether one fixed the size of image items.
    pub(super) steps_seen: &'a mut usize,
    pub(super) files: &'a mut Files,
}

impl Parked {
    fn new(id: ProjectId, document: Document) -> Self {
        let (screen, steps_seen) = (Screen::new(document.project().advance.table()), document.steps().len());
        Self { id, document, screen, steps_seen, known: Known::default() }
    }

    /// Changes places with what is on show, whose identity is `shown`. What belongs to the user and not to a project stays
    /// on show.
    fn change_places(&mut self, shown: ProjectId, on_show: OnShow<'_>) {
        let OnShow { document, screen, steps_seen, files } = on_show;
        // Nothing may be lost if the process ends while it waits.
        document.hurry_copy();
        screen.put_away();
        self.screen.share(screen);
        std::mem::swap(&mut self.document, document);
        std::mem::swap(&mut self.screen, screen);
        std::mem::swap(&mut self.steps_seen, steps_seen);
        files.change_places(self.id, &mut self.known);
        self.id = shown;
    }

    fn tab(&self) -> ProjectTab {
        tab(self.id, &self.document)
    }
}

/// The projects that wait, in the order of their tabs, and where among them the tab of the one shown is.
pub(super) struct Shelf {
    parked: Vec<Parked>,
    /// How many of them have their tab before that of the project shown.
    before: usize,
    shown: ProjectId,
    last_id: u64,
    /// Whether the project shown is there only because no other is: it gives way to any other as long as it is untouched.
    is_stopgap: bool,
    /// What is given up once the window closes: each project, and its state.
    given_up: Vec<(ProjectId, Revision)>,
    tabs: ProjectTabs,
}

impl Shelf {
    /// For a window that opens with this document.
    pub(super) fn new(shown: &Document) -> Self {
        let mut shelf = Self {
            parked: Vec::new(),
            before: 0,
            shown: ProjectId::default(),
            last_id: 0,
            is_stopgap: shown.path().is_none(),
            given_up: Vec::new(),
            tabs: ProjectTabs::default(),
        };
        shelf.settle(shown);
        shelf
    }

    /// The tabs as they were when they were last brought up to date.
    pub(super) const fn tabs(&self) -> &ProjectTabs {
        &self.tabs
    }

    /// Which project is shown.
    pub(super) const fn shown(&self) -> ProjectId {
        self.shown
    }

    /// Brings the tabs up to date.
    pub(super) fn settle(&mut self, shown: &Document) {
        let mut list: Vec<ProjectTab> = self.parked.iter().map(Parked::tab).collect();
        list.insert(self.before, tab(self.shown, shown));
        self.tabs = ProjectTabs { list, shown: self.before };
    }

    /// Whether the project shown gives way to another without being kept: a sample of the start in which nothing was done.
    pub(super) fn gives_way(&self, shown: &Document) -> bool {
        self.is_stopgap && shown.path().is_none() && !shown.is_changed() && shown.steps().len() == 1
    }

    /// The project shown was replaced by another, which is a new project to everybody.
    pub(super) const fn replaced(&mut self, is_stopgap: bool) -> ProjectId {
        self.shown = self.next_id();
        self.is_stopgap = is_stopgap;
        self.shown
    }

    const fn next_id(&mut self) -> ProjectId {
        self.last_id += 1;
        ProjectId(self.last_id)
    }

    /// Shows a new document, and parks the project that was shown. The new tab is the last.
    pub(super) fn add(&mut self, document: Document, on_show: OnShow<'_>) {
        let mut next = Parked::new(self.next_id(), document);
        next.screen.keep_of(on_show.screen);
        let id = next.id;
        next.change_places(self.shown, on_show);
        self.parked.insert(self.before, next);
        self.before = self.parked.len();
        (self.shown, self.is_stopgap) = (id, false);
    }

    /// Parks a document without showing it: before the tab of the project shown, or behind all others.
    pub(super) fn park(&mut self, document: Document, is_before: bool, shown: &Screen) {
        let mut parked = Parked::new(self.next_id(), document);
        parked.screen.keep_of(shown);
        if is_before {
            self.parked.insert(self.before, parked);
            self.before += 1;
        } else {
            self.parked.push(parked);
        }
    }

    /// Shows a project that waits, and parks the one that was shown; returns whether there is such a project.
    pub(super) fn show(&mut self, id: ProjectId, on_show: OnShow<'_>) -> bool {
        let Some(place) = self.place(id) else {
            return false;
        };
        let mut next = self.parked.remove(place);
        next.change_places(self.shown, on_show);
        let is_before = place < self.before;
        self.parked.insert(if is_before { self.before - 1 } else { self.before }, next);
        self.before = if is_before { place } else { place + 1 };
        (self.shown, self.is_stopgap) = (id, false);
        true
    }

    /// Shows the project beside the one shown, which is taken out and returned; nothing if there is no other.
    pub(super) fn close_shown(&mut self, on_show: OnShow<'_>) -> Option<Document> {
        let place = self.before.min(self.parked.len().checked_sub(1)?);
        let mut next = self.parked.remove(place);
        let id = next.id;
        next.change_places(self.shown, on_show);
        self.before = place;
        (self.shown, self.is_stopgap) = (id, false);
        Some(next.document)
    }

    /// Takes a project that waits out.
    pub(super) fn take_out(&mut self, id: ProjectId) -> Option<Document> {
        let place = self.place(id)?;
        if place < self.before {
            self.before -= 1;
        }
        Some(self.parked.remove(place).document)
    }

    /// A document that waits.
    pub(super) fn parked(&mut self, id: ProjectId) -> Option<&mut Document> {
        self.parked.iter_mut().find(|parked| parked.id == id).map(|parked| &mut parked.document)
    }

    /// Minds the files of the projects that wait.
    pub(super) fn mind_files(&mut self, ctx: &egui::Context, files: &mut Files) {
        for (id, done) in files.looks_at_waiting_files() {
            if let Some(document) = self.parked(id) {
                document.finish_check(done);
            }
        }
        for Parked { id, document, known, .. } in &mut self.parked {
            files.mind_waiting_file(ctx, *id, document, known);
        }
    }

    /// The state of a project that waits, and its name.
    pub(super) fn state_of(&self, id: ProjectId) -> Option<(Project, String)> {
        let parked = self.parked.get(self.place(id)?)?;
        Some((parked.document.project().clone(), parked.document.title()))
    }

    fn place(&self, id: ProjectId) -> Option<usize> {
        self.parked.iter().position(|parked| parked.id == id)
    }

    /// The window is to close: every project with unsaved changes is to be asked about.
    pub(super) fn ask_about_all(&mut self) {
        self.given_up.clear();
    }

    /// The changes of the project shown are given up if the window closes.
    pub(super) fn give_up(&mut self, shown: &Document) {
        self.given_up.push((self.shown, shown.revision()));
    }

    /// The next project that waits with changes that were neither saved nor given up.
    pub(super) fn unsaved(&self) -> Option<ProjectId> {
        let is_given_up = |parked: &Parked| self.given_up.contains(&(parked.id, parked.document.revision()));
        self.parked.iter().find(|parked| parked.document.is_changed() && !is_given_up(parked)).map(|parked| parked.id)
    }

    /// Takes every project that waits out.
    pub(super) fn take_all(&mut self) -> impl Iterator<Item = Document> {
        self.before = 0;
        std::mem::take(&mut self.parked).into_iter().map(|parked| parked.document)
    }
}

fn tab(id: ProjectId, document: &Document) -> ProjectTab {
    let path = document.path().map(std::path::Path::to_owned);
    ProjectTab { id, name: document.title(), path, is_changed: document.is_changed() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::DataFolder;
    use crate::project::{LoadKind, NewProject, set_fields};

    /// A shelf and what is on show, with documents that are called by letters.
    struct Trial {
        shelf: Shelf,
        document: Document,
        screen: Screen,
        steps_seen: usize,
        files: Files,
    }

    fn document(name: &str) -> Document {
        let new = NewProject { name: name.into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        Document::untitled_in(&DataFolder::none(), new.create().unwrap(), name)
    }

    fn change(document: &mut Document) {
        assert!(document.apply("Change", None, |project| set_fields(project, &[("notes", "changed")])).unwrap());
    }

    impl Trial {
        /// The first letter is shown first, and each of the others is then added.
        fn new(names: &str) -> Self {
            let mut names = names.chars().map(|name| name.to_string());
            let first = document(&names.next().unwrap());
            let screen = Screen::new(first.project().advance.table());
            let files = Files::new(&DataFolder::none(), None);
            let mut trial = Self { shelf: Shelf::new(&first), document: first, screen, steps_seen: 1, files };
            for name in names {
                trial.with(|shelf, on_show| shelf.add(document(&name), on_show));
            }
            trial
        }

        fn with<T>(&mut self, act: impl FnOnce(&mut Shelf, OnShow<'_>) -> T) -> T {
            let Self { shelf, document, screen, steps_seen, files } = self;
            let done = act(shelf, OnShow { document, screen, steps_seen, files });
            self.shelf.settle(&self.document);
            done
        }

        fn id(&self, name: &str) -> ProjectId {
            self.shelf.tabs().list.iter().find(|tab| tab.name == name).unwrap().id
        }

        fn show(&mut self, name: &str) {
            let id = self.id(name);
            assert!(self.with(|shelf, on_show| shelf.show(id, on_show)));
        }

        /// The tabs in their order, the one shown in brackets.
        fn row(&self) -> String {
            let tabs = self.shelf.tabs();
            assert_eq!(tabs.list[tabs.shown].name, self.document.title());
            let name = |(place, tab): (usize, &ProjectTab)| match place == tabs.shown {
                true => format!("[{}]", tab.name),
                false => tab.name.clone(),
            };
            tabs.list.iter().enumerate().map(name).collect()
        }
    }

    #[test]
    fn tabs_keep_their_order_whichever_is_shown_and_each_its_document_and_screen() {
        let mut trial = Trial::new("abcd");
        assert_eq!(trial.row(), "abc[d]");
        trial.screen.rig.cursor_s = 4.0;
        for (name, row) in [("a", "[a]bcd"), ("c", "ab[c]d"), ("b", "a[b]cd"), ("d", "abc[d]"), ("c", "ab[c]d")] {
            trial.show(name);
            assert_eq!(trial.row(), row);
            assert_eq!(trial.screen.rig.cursor_s, if name == "d" { 4.0 } else { 0.0 }, "{name}");
        }
        assert!(!trial.with(|shelf, on_show| shelf.show(ProjectId(99), on_show)), "there is no such project");
        trial.with(|shelf, on_show| shelf.add(document("e"), on_show));
        assert_eq!(trial.row(), "abcd[e]");
    }

    #[test]
    fn closing_shows_the_next_or_the_last_and_nothing_closes_the_only_one() {
        let mut trial = Trial::new("abcd");
        trial.show("b");
        let closed = |trial: &mut Trial| {
            trial.with(|shelf, on_show| shelf.close_shown(on_show)).map(|document| document.title())
        };
        assert_eq!((closed(&mut trial).as_deref(), trial.row().as_str()), (Some("b"), "a[c]d"));
        let a = trial.id("a");
        assert_eq!(trial.with(|shelf, _| shelf.take_out(a)).unwrap().title(), "a");
        assert_eq!(trial.row(), "[c]d");
        trial.show("d");
        assert_eq!((closed(&mut trial).as_deref(), trial.row().as_str()), (Some("d"), "[c]"));
        assert_eq!((closed(&mut trial), trial.row().as_str()), (None, "[c]"));
    }

    #[test]
    fn parked_documents_stand_before_or_behind() {
        let mut trial = Trial::new("ab");
        trial.show("a");
        trial.with(|shelf, on_show| {
            for (name, is_before) in [("x", true), ("y", true), ("z", false)] {
                shelf.park(document(name), is_before, on_show.screen);
            }
        });
        assert_eq!(trial.row(), "xy[a]bz");
        trial.show("y");
        assert_eq!(trial.row(), "x[y]abz");
    }

    #[test]
    fn every_unsaved_project_is_asked_about_once_unless_it_changes_again() {
        let mut trial = Trial::new("abc");
        change(&mut trial.document);
        let [a, c] = ["a", "c"].map(|name| trial.id(name));
        trial.show("a");
        change(&mut trial.document);
        trial.show("b");
        assert_eq!(trial.shelf.unsaved(), Some(a));
        trial.show("a");
        trial.shelf.give_up(&trial.document);
        assert_eq!(trial.shelf.unsaved(), Some(c));
        trial.show("c");
        trial.shelf.give_up(&trial.document);
        assert_eq!(trial.shelf.unsaved(), None);
        trial.show("a");
        assert!(trial.document.undo() && trial.document.redo());
        change_more(&mut trial.document);
        trial.show("c");
        assert_eq!(trial.shelf.unsaved(), Some(a), "what came after is not given up");
        trial.show("a");
        trial.shelf.ask_about_all();
        assert_eq!(trial.shelf.unsaved(), Some(c));
    }

    fn change_more(document: &mut Document) {
        assert!(document.apply("More", None, |project| set_fields(project, &[("notes", "more")])).unwrap());
    }

    #[test]
    fn only_an_untouched_project_of_the_start_gives_way() {
        let mut trial = Trial::new("a");
        assert!(trial.shelf.gives_way(&trial.document));
        change(&mut trial.document);
        assert!(!trial.shelf.gives_way(&trial.document));
        assert!(trial.document.undo() && !trial.shelf.gives_way(&trial.document), "its history is worth keeping");
        let trial = Trial::new("ab");
        assert!(!trial.shelf.gives_way(&trial.document), "somebody asked for this one");
    }
}
