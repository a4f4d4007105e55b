//! What the window asks or tells the user besides the project itself.

use std::path::PathBuf;
use std::sync::Arc;

use jiff::Timestamp;

use super::commands::Command;
use crate::interchange::{AskMark, DecimalMark, LoadOrder, Separator, TableFile, WriteOptions};
use crate::project::{KnownEngine, LoadKind, NewProject};
use crate::window::state::export_state::ImageRead;
use crate::window::state::file_jobs::{FileJob, NewCar, Next};

/// The state of questions, notes and floating panels. Views read it and change it by sending [`DialogMessage`].
#[derive(Clone, Debug, Default)]
pub struct Dialogs {
    /// The floating panel that is open.
    pub panel: Option<Floating>,
    /// What is to happen once the unsaved changes are saved or discarded.
    pub question: Option<Next>,
    /// Someone else changed the file.
    pub conflict: Option<Conflict>,
    /// Whether the project is being saved just now.
    pub saving: bool,
    /// What a crash left behind.
    pub offers: Vec<OfferWords>,
    /// What a crash left behind that cannot be read, each with its reason.
    pub unreadable: Vec<String>,
    /// Why the file that the window was to open is not the one shown.
    pub not_opened: Option<String>,
    /// Whether the caution is shown.
    pub caution: bool,
    /// Whether the suggestions after the first start are shown.
    pub welcome: bool,
    /// What leads to the project that the locked-timing copy shown was made of.
    pub real_project: Option<Next>,
    /// The note about the file that the user dismissed.
    pub note_put_away: Option<String>,
    /// The system's dialog that is open: its ticket and its purpose.
    pub choosing: Option<(u64, FileJob)>,
    /// The command whose new keys are being pressed.
    pub capture: Option<Command>,
    /// Why the keys just pressed were refused.
    pub capture_refusal: Option<String>,
    /// The text that the rows of the page of keys are filtered by.
    pub keys_filter: String,
    /// The files last worked on.
    pub recent: Vec<PathBuf>,
}

impl Dialogs {
    /// Whether keys go to a question or a floating panel instead of the table.
    pub fn take_keys(&self) -> bool {
        self.panel.is_some() || self.question.is_some() || self.conflict.is_some() || self.capture.is_some()
    }

    /// Whether a path is refused in the panel where it is typed.
    pub fn refuses_path(&self) -> bool {
        matches!(&self.panel, Some(Floating::Path(form)) if form.refusal.is_some())
    }

    /// Whether a path is being typed: everything else waits until that is finished or cancelled.
    pub const fn asks_for_path(&self) -> bool {
        matches!(self.panel, Some(Floating::Path(_)))
    }

    /// Closes the panel. If it asked for a file name in order to save before something else, the question
    /// whether to save is asked again.
    pub fn close_panel(&mut self) {
        if let Some(Floating::Path(PathForm { job: FileJob::SaveAs { then: Some(next) }, .. })) = self.panel.take() {
            self.question = Some(next);
        }
    }
}

/// What a view may ask of questions, notes and floating panels.
#[derive(Clone, Debug, PartialEq)]
pub enum DialogMessage {
    /// Open a panel, or update the one that is open.
    Open(Floating),
    /// Close the panel.
    Close,
    /// Dismiss a question or note.
    PutAway(Told),
    /// Capture the new keys of a command; `None` cancels that.
    Capture(Option<Command>),
    /// Show only the keys of commands with this text in their name, their group or their keys.
    FilterKeys(String),
}

/// A question or note in a bar that can be dismissed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// Whether unsaved changes are to be saved.
    Question,
    /// That someone else changed the file.
    Conflict,
    /// Why another file is shown than the one to be opened.
    NotOpened,
    /// What a crash left behind that cannot be read.
    Unreadable,
    /// The note about the file.
    Note(String),
}

impl Dialogs {
    /// Carries out the message.
    pub fn apply(&mut self, message: DialogMessage) {
        match message {
            DialogMessage::Open(panel) => self.panel = Some(panel),
            DialogMessage::Close => self.close_panel(),
            DialogMessage::PutAway(told) => match told {
                Told::Question => self.question = None,
                Told::Conflict => self.conflict = None,
                Told::NotOpened => self.not_opened = None,
                Told::Unreadable => self.unreadable.clear(),
                Told::Note(note) => self.note_put_away = Some(note),
            },
            DialogMessage::FilterKeys(text) => self.keys_filter = text,
            DialogMessage::Capture(command) => (self.capture, self.capture_refusal) = (command, None),
        }
    }
}

/// Someone else changed the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conflict {
    /// The sentence.
    pub text: String,
    /// What was to happen after the project is saved.
    pub then: Option<Next>,
}

/// A recovery copy in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OfferWords {
    /// What the project was called.
    pub name: String,
    /// The time of the copy.
    pub copied_at: Timestamp,
    /// The time of its file, if it has one.
    pub saved_at: Option<Timestamp>,
}

/// A panel over the sheet. It does not block the rest of the window.
#[derive(Clone, Debug, PartialEq)]
pub enum Floating {
    /// For a new project.
    New(Box<NewCar>),
    /// For changing the kind of load, which resets what is defined over load.
    LoadKind(LoadKind),
    /// The samples.
    Samples,
    /// A path typed in.
    Path(PathForm),
    /// How to export the table.
    Export(WriteOptions),
    /// A table file that was read, to be looked at before it replaces the table.
    Import(ImportForm),
    /// An image file that was read, to be looked at before its values are taken over.
    Image(Box<ImageRead>),
    /// The advance of a locked-timing copy, degrees before TDC.
    LockedTiming(f64),
    /// Numbers whose decimal mark only the user knows.
    Marks(MarksForm),
}

/// Something that can be read once the user has said what its decimal mark is.
#[derive(Clone, Debug, PartialEq)]
pub struct MarksForm {
    /// What is to be read.
    pub what: Doubtful,
    /// Which number, and what it may mean.
    pub question: AskMark,
}

/// The source of numbers whose decimal mark only the user knows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Doubtful {
    /// A file with a run.
    Run(PathBuf, Arc<[u8]>),
    /// Rows pasted over those of the run.
    RunRows(Arc<str>),
    /// Timing-light readings pasted.
    Readings(Arc<str>),
    /// A file with the readings of timing sweeps.
    Sweep(PathBuf, Arc<[u8]>),
    /// Readings of timing sweeps pasted.
    SweepRows(Arc<str>),
}

impl Doubtful {
    /// The panel's title: what is about to be done.
    pub const fn title(&self) -> &'static str {
        match self {
            Self::Run(..) => "Read a run",
            Self::RunRows(_) => "Paste rows of a run",
            Self::Readings(_) => "Paste readings",
            Self::Sweep(..) => "Read sweep readings",
            Self::SweepRows(_) => "Paste sweep readings",
        }
    }
}

impl Floating {
    /// Whether it is about the project shown, so that it waits with it while another is shown.
    pub const fn is_of_project(&self) -> bool {
        match self {
            Self::LoadKind(_) | Self::Export(_) | Self::Import(_) | Self::Image(_) | Self::Marks(_) => true,
            Self::New(_) | Self::Samples | Self::Path(_) | Self::LockedTiming(_) => false,
        }
    }

    /// A new project with the initial proposals.
    pub fn new_project() -> Self {
        let name = "new car".to_owned();
        let table = NewProject { name, cylinders: 4, load: LoadKind::Throttle, speeds: 16, loads: 16 };
        Self::New(Box::new(NewCar { table, engine: KnownEngine::default() }))
    }

    /// A locked-timing copy with the initial proposal.
    pub const fn locked_timing() -> Self {
        Self::LockedTiming(crate::project::LOCKED_TIMING_DEG)
    }

    /// A table export with the initial proposals.
    pub fn export(mark: DecimalMark) -> Self {
        Self::Export(with_mark(WriteOptions::default(), mark))
    }
}

/// The options with a decimal mark, and a separator that goes with it.
pub fn with_mark(options: WriteOptions, mark: DecimalMark) -> WriteOptions {
    let separator = match (options.separator, mark) {
        (Separator::Comma, DecimalMark::Comma) => Separator::Semicolon,
        (Separator::Semicolon, DecimalMark::Point) => Separator::Comma,
        (separator, _) => separator,
    };
    WriteOptions { mark, separator, ..options }
}

/// The options with the loads in an order.
pub fn with_loads(options: WriteOptions, is_down: bool) -> WriteOptions {
    WriteOptions { loads: if is_down { LoadOrder::Down } else { LoadOrder::Up }, ..options }
}

/// A path that is being typed in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PathForm {
    /// What for.
    pub job: FileJob,
    /// The text so far.
    pub text: String,
    /// Why the panel is there instead of the system's dialog.
    pub why: Option<&'static str>,
    /// The text at the moment when the user was told that such a file exists; confirming the same text again
    /// replaces it.
    pub warned_of: Option<String>,
    /// Why the job could not be done with this path.
    pub refusal: Option<String>,
}

/// A table file that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct ImportForm {
    /// Which file.
    pub path: PathBuf,
    /// The result of reading it.
    pub read: ReadTable,
    /// Why it could not replace the table.
    pub refusal: Option<String>,
}

/// What a table file turned out to be.
#[derive(Clone, Debug, PartialEq)]
pub enum ReadTable {
    /// A table.
    Found(Box<TableFile>),
    /// A mark may separate thousands or decimals: the user has to say which.
    Ask {
        /// The content of the file, to be read once the mark is known.
        bytes: Arc<[u8]>,
        /// Which number, and what it may be.
        question: AskMark,
    },
    /// Not a table: what is wrong and where.
    Refused(String),
}
