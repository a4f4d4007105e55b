//! What the project is compared with and merged from, and how the difference is looked at.

use std::collections::BTreeMap;
use std::path::PathBuf;

use crate::compare::Version;

/// Which table is the base.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum BaseChoice {
    /// The newest snapshot, or the state in which the file was opened when there is none.
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
}

/// What was decided of the conflicts of a merge, each by its place.
pub type Decisions = BTreeMap<String, Version>;

/// A merge that is going on. Its base is the one that the project is compared with.
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
    /// Speed in rpm and load under the pointer.
    pub hover: Option<(f64, f64)>,
    /// Whether the base is a solid body instead of a wire net; `None` as suits the table.
    pub base_solid: Option<bool>,
    /// The form for a snapshot, while it is open.
    pub snapshot_form: Option<SnapshotForm>,
    /// Whether the difference is shown as a surface instead of both surfaces.
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
