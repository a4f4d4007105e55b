//! What views ask for, as data: it can be compared, logged and replayed. It is carried out between frames; a
//! view changes nothing itself.

use std::path::PathBuf;

use super::commands::{Command, Shortcut};
use super::dialogs::DialogMessage;
use super::edits::DocumentEdit;
use super::screen::Screen;
use super::screen::ScreenMessage;
use crate::checks::Cure;
use crate::interchange::{Answers, DecimalMark};
use crate::shaping::Tool;
use crate::table::Selection;
use crate::window::state::export_state::ImageFiles;
use crate::window::state::file_jobs::{FileJob, Next};
use crate::window::state::inspector_state::Proposal;
use crate::window::state::notice::{Cause, Notice};
use crate::window::state::selection::{CellEditor, CellSelection};

/// One thing a view asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// A named command.
    Run(Command),
    /// A named command, after the field with the keyboard focus has accepted its typed text; not run if the
    /// text is refused.
    RunAfterTyping(Command),
    /// Select cells by keys, and open, continue or close the number being typed over them.
    TypeOver(CellSelection, Option<CellEditor>),
    /// A change of the screen. If it selects other cells, the number being typed is first set in those it was
    /// typed over.
    Screen(ScreenMessage),
    /// A shaping tool on cells of the advance table, as one step.
    Shape(Tool, Selection),
    /// Any other change of the document, as one step with this label.
    Edit(String, DocumentEdit),
    /// The present state of a drag: what the tool would do if the drag ended now. Opens a gesture if none is
    /// open.
    Drag(Tool, Selection),
    /// The present state of a drag outside the advance table: the label of its step and what it would do if it
    /// ended now. The edit always starts from the project before the drag. Opens a gesture if none is open.
    DragEdit(String, DocumentEdit),
    /// The drag is over: one step.
    DragEnd,
    /// The drag is cancelled: as if it had not happened.
    DragCancel,
    /// A press-and-hold button went down: add this many degrees to the selected cells now and repeatedly until
    /// the pointer is released, all as one step.
    NudgeStart(f64),
    /// Carry out what a sentence or the panel of breakpoints proposes, as one step.
    Commit(Proposal),
    /// Carry a remedy out as one step.
    Cure(Cure),
    /// Remove the preview; nothing that is still being computed is applied.
    PreviewCancel,
    /// Text for the clipboard.
    Copy(String),
    /// Text from the clipboard, with the user's answers about it.
    Paste(String, Answers),
    /// Change the cells by the clipboard's numbers, as was told.
    PasteTold,
    /// A change of what is asked or told.
    Dialogs(DialogMessage),
    /// Something about files, settings or the history as a whole.
    File(FileAction),
}

/// What a view may ask for outside the project itself.
#[derive(Clone, Debug, PartialEq)]
pub enum FileAction {
    /// Ask the system for a path, then do the job.
    Choose(FileJob),
    /// Ask for a path in the window, then do the job.
    TypePath(FileJob),
    /// Do the job with this path.
    Do(FileJob, PathBuf),
    /// Go to another project, or close one or the window after asking about unsaved changes.
    Leave(Next),
    /// Save, then continue with what the question was about.
    SaveAndGoOn,
    /// Discard the unsaved changes and continue with what the question was about.
    GiveUpAndGoOn,
    /// Take over what someone else wrote into the file.
    Reload,
    /// Overwrite what someone else wrote into the file.
    SaveOver,
    /// Delete a recovery copy, by its index in the offers.
    DiscardOffer(usize),
    /// Leave the recovery copies for another time.
    KeepOffers,
    /// Read the table file in question with this decimal mark.
    ReadTableAs(DecimalMark),
    /// Read the run or the readings in question with this decimal mark.
    ReadMarkedAs(DecimalMark),
    /// Replace the table by the one that was read.
    ImportTable,
    /// Write image files, replacing those that are there.
    WriteImage(ImageFiles, PathBuf),
    /// Read the image again although its checksum is wrong.
    AcceptChecksum,
    /// Take over the values of the image that was read.
    TakeImage,
    /// The caution was understood.
    Understood,
    /// The suggestions after the first start were dismissed.
    Welcomed,
    /// Other keys for a command.
    SetKeys(Command, Vec<Shortcut>),
    /// All keys as they were at first.
    ResetKeys,
    /// Go to a step of the history.
    Jump(usize),
}

impl Action {
    /// Whether another project may be shown after it: whatever else was asked for in the same frame was asked of the one
    /// shown before, and is carried out first.
    pub const fn turns_to_another(&self) -> bool {
        use FileAction::{GiveUpAndGoOn, Leave, SaveAndGoOn};
        matches!(
            self,
            Self::File(Leave(_) | SaveAndGoOn | GiveUpAndGoOn)
                | Self::Run(Command::NextProject | Command::PreviousProject | Command::CloseProject | Command::Quit)
        )
    }
}

impl<M: Into<ScreenMessage>> From<M> for Action {
    fn from(message: M) -> Self {
        Self::Screen(message.into())
    }
}

impl From<Command> for Action {
    fn from(command: Command) -> Self {
        Self::Run(command)
    }
}

impl From<FileAction> for Action {
    fn from(action: FileAction) -> Self {
        Self::File(action)
    }
}

impl From<DialogMessage> for Action {
    fn from(message: DialogMessage) -> Self {
        Self::Dialogs(message)
    }
}

/// Collects what the views of a frame ask for. [`Outbox::send`] is the only way in; the other methods only wrap
/// what they send.
#[derive(Default)]
pub struct Outbox(Vec<Action>);

impl Outbox {
    /// Asks for something.
    pub fn send(&mut self, message: impl Into<Action>) {
        self.0.push(message.into());
    }

    /// Asks for a command.
    pub fn run(&mut self, command: Command) {
        self.send(command);
    }

    /// Asks for a shaping tool on cells, as one step.
    pub fn shape(&mut self, tool: Tool, selection: Selection) {
        self.send(Action::Shape(tool, selection));
    }

    /// Asks for an edit of the document, as one step.
    pub fn edit(&mut self, label: impl Into<String>, edit: impl Into<DocumentEdit>) {
        self.send(Action::Edit(label.into(), edit.into()));
    }

    /// Asks for something with files, settings or the history.
    pub fn file(&mut self, action: FileAction) {
        self.send(action);
    }

    /// Says something in the status line.
    pub fn say(&mut self, text: impl Into<String>) {
        let notice = Notice::said(text);
        self.send(ScreenMessage::Tell(Some(Box::new(notice))));
    }

    /// Reports a problem in the status line; it disappears when what is shown, selected or in the document
    /// changes.
    pub fn complain(&mut self, text: impl Into<String>) {
        self.complain_of(Cause::Here, text);
    }

    /// Reports a problem in the status line that stays as long as its cause.
    pub fn complain_of(&mut self, cause: Cause, text: impl Into<String>) {
        let notice = Notice::problem(text, cause);
        self.send(ScreenMessage::Tell(Some(Box::new(notice))));
    }

    /// Asks to show what a tool would do to cells, as part of a drag that ends as one step.
    pub fn drag(&mut self, tool: Tool, selection: Selection) {
        self.send(Action::Drag(tool, selection));
    }

    /// Asks to show what an edit would do, as part of a drag that ends as one step with this label.
    pub fn drag_edit(&mut self, label: impl Into<String>, edit: impl Into<DocumentEdit>) {
        self.send(Action::DragEdit(label.into(), edit.into()));
    }

    /// Asks to make one step of the drag.
    pub fn end_drag(&mut self) {
        self.send(Action::DragEnd);
    }

    /// Says in the status line what is under the pointer, in physical units, on a sheet without cells.
    pub fn point_at(&mut self, screen: &Screen, text: String) {
        if screen.pointer.words != text {
            self.send(ScreenMessage::PointWords(text));
        }
    }

    /// Whether nothing was asked for.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many things were asked for.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Everything asked for, in order.
    pub fn take(&mut self) -> Vec<Action> {
        std::mem::take(&mut self.0)
    }
}
