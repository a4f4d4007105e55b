//! What the project is compared with and merged from, and how the difference is looked at.

use std::collections::BTreeMap;
use std::path::PathBuf;

use crate::compare::Version;
use crate::window::state::projects::ProjectId;

/// Which table is the base.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum BaseChoice {
    /// The newest snapshot, or, if there is none, the state in which the file was opened.
    #[default]
    Automatic,
    /// A snapshot by name.
    Snapshot(String),
    /// An earlier step of the history.
    Step(usize),
    /// What was last exported.
    LastExport,
    /// Another project file.
    File(PathBuf),
    /// Another open project, as it was when this one was last shown.
    Project(ProjectId),
}

/// What was decided for the conflicts of a merge, by the key of each conflict.
pub type Decisions = BTreeMap<String, Version>;

/// A merge in progress. Its base is the one that the project is compared with.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MergeScreen {
    /// What is merged into the project, once it is chosen.
    pub theirs: Option<BaseChoice>,
    /// What was decided.
    pub decisions: Decisions,
}

/// A snapshot's name and note while they are typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SnapshotForm {
    /// The snapshot that is changed; `None` while a new one is taken.
    pub of: Option<String>,
    /// Its name.
    pub name: String,
    /// What there is to say about it.
    pub note: String,
}

/// What the Compare sheet keeps on the screen.
#[derive(Clone, Debug)]
pub struct CompareState {
    /// Which table is the base.
    pub base: BaseChoice,
    /// The merge, while one is going on.
    pub merging: Option<MergeScreen>,
    /// The threshold of the regions, degrees.
    pub region_threshold_deg: f64,
    /// Speed in rpm and load at the pointer.
    pub hover: Option<(f64, f64)>,
    /// Whether the base is shown as a solid surface instead of a wireframe; `None` chooses by the table.
    pub base_solid: Option<bool>,
    /// The form for a snapshot, while it is open.
    pub snapshot_form: Option<SnapshotForm>,
    /// Whether the difference is shown as a surface, instead of both surfaces.
    pub difference_as_surface: bool,
}

impl Default for CompareState {
    fn default() -> Self {
        Self {
            base: BaseChoice::default(),
            merging: None,
            region_threshold_deg: 0.5,
            hover: None,
            base_solid: None,
            snapshot_form: None,
            difference_as_surface: false,
        }
    }
}

/// What a view may ask of the Compare sheet's state.
#[derive(Clone, Debug, PartialEq)]
pub enum CompareMessage {
    /// Compare with this.
    Base(BaseChoice),
    /// Merge this into the project; nothing of it is decided yet.
    Merge(BaseChoice),
    /// Go back to the comparison.
    StopMerging,
    /// Take this version in these conflicts and cells, given by their keys.
    Decide(Vec<String>, Version),
    /// Nothing is decided any more for these: what one side changed is taken from there.
    Undecide(Vec<String>),
    /// The pointer is at this speed in rpm and load, or nowhere.
    Point(Option<(f64, f64)>),
    /// Make regions of points whose difference reaches this many degrees.
    Threshold(f64),
    /// Show the base as a solid surface, or as a wireframe.
    Solid(bool),
    /// Show the difference as a surface, or both surfaces.
    AsSurface(bool),
    /// Sets what the form for a snapshot contains; `None` closes it.
    Form(Option<SnapshotForm>),
    /// A snapshot was renamed or deleted: if it is the base, follow it.
    Follow(String, Option<String>),
}

impl CompareState {
    /// Carries out the message.
    pub fn apply(&mut self, message: CompareMessage) {
        match message {
            CompareMessage::Base(base) => self.base = base,
            CompareMessage::Merge(theirs) => {
                self.merging = Some(MergeScreen { theirs: Some(theirs), ..MergeScreen::default() });
            }
            CompareMessage::StopMerging => self.merging = None,
            CompareMessage::Decide(places, version) => {
                if let Some(merging) = &mut self.merging {
                    merging.decisions.extend(places.into_iter().map(|place| (place, version)));
                }
            }
            CompareMessage::Undecide(places) => {
                if let Some(merging) = &mut self.merging {
                    merging.decisions.retain(|place, _| !places.contains(place));
                }
            }
            CompareMessage::Point(place) => self.hover = place,
            CompareMessage::Threshold(deg) => self.region_threshold_deg = deg,
            CompareMessage::Solid(is_solid) => self.base_solid = Some(is_solid),
            CompareMessage::AsSurface(is_on) => self.difference_as_surface = is_on,
            CompareMessage::Form(form) => self.snapshot_form = form,
            CompareMessage::Follow(name, new_name) => {
                if self.base == BaseChoice::Snapshot(name) {
                    self.base = new_name.map_or(BaseChoice::Automatic, BaseChoice::Snapshot);
                }
            }
        }
    }
}
