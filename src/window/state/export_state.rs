//! Images as the screen knows them: the selection that map, list and bytes share, what is to be written, and what came of
//! writing, comparing and reading.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::image::{Comparison, OutputFormat, RecordWidth, SRecordType};
use crate::project::Project;
use crate::wording::Refusal;

/// What is selected in the image.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Part {
    /// The image as a whole.
    #[default]
    Whole,
    /// An item, by its index in the layout.
    Item(usize),
    /// The checksum.
    Checksum,
}

/// What is shown to the right of the items.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Shown {
    /// Every byte.
    #[default]
    Bytes,
    /// The numbers of the selected item.
    Numbers,
    /// How a file differs from the project.
    Comparison,
    /// What the unit makes of the image.
    Unit,
}

/// Which files are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Formats {
    /// Intel HEX.
    pub intel_hex: bool,
    /// Motorola S-record of at least this type.
    pub s_record: Option<SRecordType>,
    /// The bytes themselves.
    pub binary: bool,
    /// The description.
    pub description: bool,
    /// Data bytes in a record.
    pub width: RecordWidth,
}

impl Default for Formats {
    fn default() -> Self {
        Self { intel_hex: true, s_record: None, binary: false, description: true, width: RecordWidth::Sixteen }
    }
}

impl Formats {
    /// The formats chosen, files with bytes first.
    pub fn list(&self) -> Vec<OutputFormat> {
        [
            self.intel_hex.then_some(OutputFormat::IntelHex),
            self.s_record.map(OutputFormat::SRecord),
            self.binary.then_some(OutputFormat::Binary),
            self.description.then_some(OutputFormat::Description),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}

/// A request that waits until the user has said whether files may be replaced.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Replacing {
    /// What was to be written.
    pub files: ImageFiles,
    /// The path of the first file.
    pub path: PathBuf,
    /// The names of the other files that already exist.
    pub names: Vec<String>,
}

/// The state of the sheet.
#[derive(Clone, Debug, Default)]
pub struct ExportState {
    /// What is selected.
    pub part: Part,
    /// The byte that is selected, by address.
    pub byte: Option<u64>,
    /// The addresses shown in the detail of the map; all of them if `None`.
    pub span: Option<(u64, u64)>,
    /// What is shown to the right of the items.
    pub shown: Shown,
    /// What is written.
    pub formats: Formats,
    /// The name typed for the files, without an ending; the proposed one if `None`.
    pub name: Option<String>,
    /// Why an image is written although errors are open.
    pub despite_errors: String,
    /// Set if other files than the one chosen would be replaced: the request waits for an answer.
    pub replacing: Option<Replacing>,
    /// Whether files are being written or read just now.
    pub is_busy: bool,
    /// What was written last.
    pub written: Option<WrittenFiles>,
    /// The file that the project was compared with.
    pub compared: Option<CompareFound>,
    /// Today's date, as used in file names.
    pub today: String,
    /// The text typed to find a field that is to become an item.
    pub finding: String,
    /// The runs of fill whose bytes are shown, by their first addresses.
    pub open_fill: BTreeSet<u64>,
}

impl ExportState {
    /// Selects a part, with its first byte.
    pub fn select(&mut self, part: Part, byte: Option<u64>) {
        self.part = part;
        self.byte = byte;
    }
}

/// What a view may ask of the Export sheet's state.
#[derive(Clone, Debug, PartialEq)]
pub enum ExportMessage {
    /// Select a part, with its first byte or another one.
    Select(Part, Option<u64>),
    /// Show these addresses in the detail of the map; all of them if `None`.
    Detail(Option<(u64, u64)>),
    /// What to show to the right of the items.
    Show(Shown),
    /// What is written.
    Formats(Formats),
    /// The name of the files, without an ending; the proposed one if `None`.
    Name(Option<String>),
    /// This is typed as the reason to write an image although errors are open.
    TypeReason(String),
    /// The question about replacing files has been answered.
    CloseQuestion,
    /// This is typed to find a field that is to become an item.
    Find(String),
    /// Show the bytes of the run of fill that begins at this address, or fold them.
    OpenFill(u64, bool),
}

impl ExportState {
    /// Carries out the message.
    pub fn apply(&mut self, message: ExportMessage) {
        match message {
            ExportMessage::Select(part, byte) => self.select(part, byte),
            ExportMessage::Detail(span) => self.span = span,
            ExportMessage::Show(shown) => self.shown = shown,
            ExportMessage::Formats(formats) => self.formats = formats,
            ExportMessage::Name(name) => self.name = name,
            ExportMessage::TypeReason(text) => self.despite_errors = text,
            ExportMessage::CloseQuestion => self.replacing = None,
            ExportMessage::Find(text) => self.finding = text,
            ExportMessage::OpenFill(first, true) => drop(self.open_fill.insert(first)),
            ExportMessage::OpenFill(first, false) => drop(self.open_fill.remove(&first)),
        }
    }
}

/// What is to be written, chosen before the path is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ImageFiles {
    /// The formats; the user chooses the path of the first one's file, the other files go next to it.
    pub formats: Vec<OutputFormat>,
    /// Data bytes in a record.
    pub width: RecordWidth,
    /// The name proposed, without an ending.
    pub name: String,
    /// Why they are written although the checks find errors; `None` if they find none.
    pub despite_errors: Option<String>,
}

impl ImageFiles {
    /// The paths of all files, given that of the first.
    pub fn paths(&self, first: &Path) -> Vec<(OutputFormat, PathBuf)> {
        let path = |format: OutputFormat| first.with_extension(format.ending());
        self.formats.iter().map(|&format| (format, path(format))).collect()
    }
}

/// Files that were written and read back.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenFiles {
    /// The project that was written.
    pub project: Project,
    /// Where: the folder's path.
    pub folder: String,
    /// A line for each file: its name, format and size.
    pub lines: Vec<String>,
    /// The names of the files.
    pub names: Vec<String>,
    /// The checksum by name.
    pub checksum: String,
    /// Why they were written although the checks found errors.
    pub despite_errors: Option<String>,
    /// Remarks about it.
    pub remarks: Vec<String>,
}

impl WrittenFiles {
    /// A sentence about what was written.
    pub fn told(&self) -> String {
        format!("Wrote and read back {}; {}", self.names.join(", "), self.checksum)
    }
}

/// How a file differs from the project.
#[derive(Clone, Debug, PartialEq)]
pub struct CompareFound {
    /// What it was compared with.
    pub project: Project,
    /// The file.
    pub path: PathBuf,
    /// The format and the differences, or why there is no comparison.
    pub found: Result<(&'static str, Comparison), Refusal>,
    /// What is known about exports that were broken off in its folder.
    pub broken: Vec<String>,
}

/// A file whose values are to be taken over.
#[derive(Clone, Debug, PartialEq)]
pub struct ImageRead {
    /// The file.
    pub path: PathBuf,
    /// What it was read into.
    pub into: Project,
    /// What it holds, or why it cannot be read.
    pub read: Result<Box<ImageValues>, ImageRefusal>,
}

/// An image that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct ImageValues {
    /// The project with its values.
    pub project: Project,
    /// The format's name.
    pub format: &'static str,
    /// How many cells differ.
    pub cells: usize,
    /// The paths of other fields that differ.
    pub fields: Vec<String>,
    /// What is worth knowing.
    pub remarks: Vec<String>,
}

/// Why an image cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ImageRefusal {
    /// In words, with the line or the item.
    pub words: String,
    /// Whether it is the checksum alone, which the user may accept by name.
    pub is_checksum: bool,
}
