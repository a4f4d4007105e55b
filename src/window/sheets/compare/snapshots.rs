//! Snapshots: what is told about them, and the edits that make, change and delete them. Each edit is one step.

use std::sync::Arc;

use eframe::egui;
use jiff::{Timestamp, Unit};

use crate::project::{Project, Snapshot};
use crate::window::kit::numbers::date_and_time;
use crate::window::kit::theme::color;
use crate::window::state::compare_state::{BaseChoice, SnapshotForm};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// When it was taken and its note: '2026-03-21 18:05 · run 7, fuel 98'.
pub(super) fn told(snapshot: &Snapshot) -> String {
    let taken_at = snapshot.taken_at.parse().map_or_else(|_| snapshot.taken_at.clone(), date_and_time);
    let mark = snapshot.state.locked_timing_words();
    let told = [Some(taken_at), mark, (!snapshot.note.is_empty()).then(|| snapshot.note.clone())];
    told.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// 'edit' and 'delete' for a snapshot, from the right.
pub(super) fn buttons(ui: &mut egui::Ui, view: &View<'_>, snapshot: &Snapshot, outbox: &mut Outbox) {
    let name = &snapshot.name;
    let link = |ui: &mut egui::Ui, word: &str, what: &str| {
        let ink = color(view.theme.palette.ink_secondary);
        let button = egui::Button::new(egui::RichText::new(word).color(ink).size(view.theme.small)).frame(false);
        let response = ui.add(button);
        let name = format!("{what} {name}");
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &name));
        response.on_hover_text(name).clicked()
    };
    if link(ui, "delete", "Delete snapshot") {
        delete(name, outbox);
        ui.close();
    }
    if link(ui, "rename", "Rename or annotate snapshot") {
        let form = SnapshotForm { of: Some(name.clone()), name: name.clone(), note: snapshot.note.clone() };
        outbox.screen(move |screen| screen.compare.snapshot_form = Some(form));
        ui.close();
    }
}

/// Why a snapshot cannot be called so; `of` is its present name when it has one.
pub(super) fn name_fault(project: &Project, of: Option<&str>, name: &str) -> Option<String> {
    let name = name.trim();
    if name.is_empty() {
        return Some("A snapshot needs a name, such as 'run 7'".into());
    }
    let is_taken = project.snapshots.iter().any(|other| other.name == name) && of != Some(name);
    is_taken.then(|| format!("There is a snapshot '{name}' already; choose another name"))
}

/// Takes a new snapshot or changes one, as typed into the form.
pub(super) fn commit(form: &SnapshotForm, outbox: &mut Outbox) {
    let (name, note) = (form.name.trim().to_owned(), form.note.trim().to_owned());
    let Some(of) = form.of.clone() else {
        let label = format!("Take snapshot '{name}'");
        // The edit runs between frames; only then is it known when.
        return outbox.edit(label, move |project| take(project, name, note, Timestamp::now()));
    };
    let label =
        if of == name { format!("Annotate snapshot '{of}'") } else { format!("Rename snapshot '{of}' to '{name}'") };
    let new_name = name.clone();
    let old_name = of.clone();
    outbox.edit(label, move |project| change(project, &of, name, note));
    outbox.screen(move |screen| {
        if screen.compare.base == BaseChoice::Snapshot(old_name) {
            screen.compare.base = BaseChoice::Snapshot(new_name);
        }
    });
}

fn delete(name: &str, outbox: &mut Outbox) {
    let (gone, name) = (name.to_owned(), name.to_owned());
    outbox.edit(format!("Delete snapshot '{name}'"), move |project| without(project, &name));
    outbox.screen(move |screen| {
        if screen.compare.base == BaseChoice::Snapshot(gone) {
            screen.compare.base = BaseChoice::Automatic;
        }
    });
}

fn take(project: &Project, name: String, note: String, at: Timestamp) -> Result<Project, String> {
    let taken_at = at.round(Unit::Second).unwrap_or(at).to_string();
    let snapshot = Snapshot { name, note, taken_at, state: project.as_state() };
    project.edit(|parts| parts.snapshots.push(Arc::new(snapshot))).map_err(|fault| fault.to_string())
}

fn change(project: &Project, of: &str, name: String, note: String) -> Result<Project, String> {
    let at = place(project, of)?;
    project
        .edit(|parts| {
            let changed = Snapshot { name, note, ..Snapshot::clone(&parts.snapshots[at]) };
            parts.snapshots[at] = Arc::new(changed);
        })
        .map_err(|fault| fault.to_string())
}

fn without(project: &Project, name: &str) -> Result<Project, String> {
    let at = place(project, name)?;
    project.edit(|parts| drop(parts.snapshots.remove(at))).map_err(|fault| fault.to_string())
}

fn place(project: &Project, name: &str) -> Result<usize, String> {
    let found = project.snapshots.iter().position(|snapshot| snapshot.name == name);
    found.ok_or_else(|| format!("There is no snapshot '{name}' any more"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    fn project() -> Project {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        new.create().unwrap()
    }

    #[test]
    fn snapshots_are_taken_changed_and_deleted() {
        let at: Timestamp = "2026-03-21T17:05:00.4Z".parse().unwrap();
        let one = take(&project(), "run 7".into(), "fuel 98".into(), at).unwrap();
        assert_eq!((one.snapshots[0].taken_at.as_str(), &one.snapshots[0].state), ("2026-03-21T17:05:00Z", &project()));
        let two = take(&one, "run 8".into(), String::new(), at).unwrap();
        assert!(two.snapshots[1].state.snapshots.is_empty());
        assert!(take(&two, "run 8".into(), String::new(), at).unwrap_err().contains("run 8"));
        let renamed = change(&two, "run 7", "run 7 b".into(), "fuel 95".into()).unwrap();
        assert_eq!((renamed.snapshots[0].name.as_str(), renamed.snapshots[0].note.as_str()), ("run 7 b", "fuel 95"));
        assert_eq!(renamed.snapshots[0].state, two.snapshots[0].state);
        assert_eq!(without(&two, "run 8").unwrap(), one);
        assert!(without(&one, "run 8").is_err());
    }

    #[test]
    fn a_locked_state_is_told_as_such() {
        let state = project().locked_timing(10.0).unwrap();
        let kept = Snapshot { name: "light".into(), note: "zero".into(), taken_at: "then".into(), state };
        assert_eq!(told(&kept), "then · locked timing 10° · zero");
    }

    #[test]
    fn names_are_there_and_unlike() {
        let one = take(&project(), "run 7".into(), String::new(), Timestamp::UNIX_EPOCH).unwrap();
        assert!(name_fault(&one, None, "  ").is_some());
        assert!(name_fault(&one, None, " run 7 ").is_some());
        assert_eq!(name_fault(&one, Some("run 7"), "run 7"), None);
        assert_eq!(name_fault(&one, None, "run 8"), None);
    }
}
