//! The purposes for which a file is needed.

use std::path::PathBuf;

use crate::image::{OutputFormat, SRecordType};
use crate::interchange::WriteOptions;
use crate::project::{KnownEngine, NewProject};
use crate::setup_sheet::Paper;
use crate::window::state::export_state::ImageFiles;
use crate::window::state::projects::ProjectId;

/// The choices for a new project: its size and kind, and what is known of the engine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewCar {
    /// Name, cylinders, load and size.
    pub table: NewProject,
    /// What is known of the engine.
    pub engine: KnownEngine,
}

/// What is to be shown instead of the project that is shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Next {
    /// A new project.
    Create(Box<NewCar>),
    /// One of the samples, by index.
    Sample(usize),
    /// A project file.
    Open(PathBuf),
    /// A recovery copy, by its index in the offers.
    Recover(usize),
    /// A locked-timing copy of the open project, at this advance.
    Locked(LockedDeg),
    /// Another of the open projects.
    Show(ProjectId),
    /// The project beside this one, which is closed.
    Close(ProjectId),
    /// Nothing: the window closes.
    Quit,
}

impl Next {
    /// What is about to happen, to follow the word 'Before'.
    pub fn words(&self) -> String {
        match self {
            Self::Create(new) => format!("starting '{}'", new.table.name),
            Self::Sample(_) => "opening a sample".to_owned(),
            Self::Open(path) => format!("opening {}", file_name(path)),
            Self::Recover(_) => "opening the recovery copy".to_owned(),
            Self::Locked(_) => "making the locked-timing copy".to_owned(),
            Self::Show(_) => "going to another project".to_owned(),
            Self::Close(_) => "closing the project".to_owned(),
            Self::Quit => "closing the window".to_owned(),
        }
    }
}

/// Degrees of a locked advance; never NaN, so that two of them can be compared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LockedDeg(pub f64);

impl Eq for LockedDeg {}

/// A job that needs a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FileJob {
    /// Open a project file.
    Open,
    /// Compare with a project file.
    Base,
    /// Merge a project file into this one.
    Theirs,
    /// Save the project under a name, and then continue.
    SaveAs {
        /// What to do afterwards.
        then: Option<Next>,
    },
    /// Write the advance table.
    ExportTable(WriteOptions),
    /// Read an advance table.
    ImportTable,
    /// Write the image for the flashing tool.
    WriteImage(ImageFiles),
    /// Print the setup sheet to a file.
    SetupSheet(Paper),
    /// Write a strip of degrees to print: its drawing.
    DegreeStrip(String),
    /// Compare the project with an image file.
    CompareImage,
    /// Read an image into the project.
    ReadImage,
    /// Read the readings of timing sweeps.
    ReadSweeps,
    /// A run or its events.
    Rig(RigJob),
}

impl FileJob {
    /// Its name in titles and messages.
    pub const fn title(&self) -> &'static str {
        match self {
            Self::Open => "Open a project",
            Self::Base => "Compare with a project",
            Self::Theirs => "Merge a project into this one",
            Self::SaveAs { .. } => "Save the project as",
            Self::ExportTable(_) => "Export the table",
            Self::ImportTable => "Import a table",
            Self::WriteImage(_) => "Write the image",
            Self::SetupSheet(_) => "Write the setup sheet",
            Self::DegreeStrip(_) => "Write the degree strip",
            Self::CompareImage => "Compare with an image file",
            Self::ReadImage => "Read an image",
            Self::ReadSweeps => "Read sweep readings",
            Self::Rig(job) => job.title(),
        }
    }

    /// The text of its button.
    pub const fn verb(&self) -> &'static str {
        match self {
            Self::Open => "Open",
            Self::Base => "Compare",
            Self::Theirs => "Merge",
            Self::SaveAs { .. } => "Save",
            Self::ExportTable(_) => "Export",
            Self::ImportTable => "Import",
            Self::WriteImage(_) => "Write",
            Self::SetupSheet(_) | Self::DegreeStrip(_) => "Write",
            Self::CompareImage => "Compare",
            Self::ReadImage | Self::ReadSweeps => "Read",
            Self::Rig(job) => job.verb(),
        }
    }

    /// Whether it writes the file.
    pub const fn is_writing(&self) -> bool {
        match self {
            Self::Rig(job) => job.is_writing(),
            Self::SaveAs { .. }
            | Self::ExportTable(_)
            | Self::WriteImage(_)
            | Self::SetupSheet(_)
            | Self::DegreeStrip(_) => true,
            Self::Open
            | Self::Base
            | Self::Theirs
            | Self::ImportTable
            | Self::CompareImage
            | Self::ReadImage
            | Self::ReadSweeps => false,
        }
    }

    /// The path that the job really writes when this one is given: a name without an ending gets one, unless a
    /// file with exactly that name exists (`is_there`) and is meant. The '5' of 'tarn 1.5' is not an ending.
    /// Images always get the ending of their format, in place of another image's ending or after any other name.
    pub fn with_ending(&self, path: PathBuf, is_there: impl Fn(&std::path::Path) -> bool) -> PathBuf {
        let Some(name) = path.file_name().filter(|_| self.is_writing()) else {
            return path;
        };
        let own = self.request(None, "").endings.first().copied().unwrap_or_default();
        let given = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
        let given = given.filter(|ending| ending.chars().any(char::is_alphabetic));
        let is_kept = match self {
            Self::WriteImage(_) if given.as_deref().is_some_and(|ending| IMAGE_ENDINGS.contains(&ending)) => {
                return path.with_extension(own);
            }
            Self::WriteImage(_) => false,
            _ => given.is_some() || is_there(&path),
        };
        if is_kept {
            return path;
        }
        let mut name = name.to_owned();
        name.push(".");
        name.push(own);
        path.with_file_name(name)
    }

    /// Every file that the job writes when this path is given.
    pub fn written(&self, path: &std::path::Path) -> Vec<PathBuf> {
        match self {
            Self::WriteImage(files) => files.paths(path).into_iter().map(|(_, path)| path).collect(),
            _ if self.is_writing() => vec![path.to_owned()],
            _ => Vec::new(),
        }
    }

    /// The request to the system's dialog; `file` is the project's own file, `title` its name.
    pub fn request(&self, file: Option<&std::path::Path>, title: &str) -> Request {
        let (kind, endings): (_, &[&str]) = match self {
            Self::Open | Self::Base | Self::Theirs | Self::SaveAs { .. } => ("Projects", &["ron"]),
            Self::ExportTable(options) if options.separator == crate::interchange::Separator::Tab => {
                ("Tables", &["tsv", "csv"])
            }
            Self::ExportTable(_) => ("Tables", &["csv", "tsv"]),
            Self::ImportTable => ("Tables", &["csv", "tsv", "txt"]),
            Self::ReadSweeps => ("Readings", &["csv", "tsv", "txt"]),
            Self::WriteImage(files) => ("Images", first_ending(files)),
            Self::SetupSheet(_) => ("Pages", &["pdf"]),
            Self::DegreeStrip(_) => ("Drawings", &["svg"]),
            Self::CompareImage | Self::ReadImage => ("Images", &["hex", "s19", "s28", "s37", "bin"]),
            Self::Rig(job) => (job.files().0, job.files().1),
        };
        let what = match self {
            Self::Rig(job) => job.files().2,
            Self::SetupSheet(_) => "-setup",
            Self::DegreeStrip(_) => "-degree-strip",
            _ => "",
        };
        let title = if let Self::WriteImage(files) = self { &files.name } else { title };
        let name = self.is_writing().then(|| format!("{title}{what}.{}", endings[0]));
        let folder = file.and_then(|file| file.parent()).map(PathBuf::from);
        Request { title: self.title(), kind, endings, folder, name }
    }
}

/// Endings of image files and their descriptions.
const IMAGE_ENDINGS: [&str; 6] = ["hex", "s19", "s28", "s37", "bin", "a2l"];

/// The ending of the file whose path is asked for.
fn first_ending(files: &ImageFiles) -> &'static [&'static str] {
    match files.formats.first() {
        Some(OutputFormat::IntelHex) | None => &["hex"],
        Some(OutputFormat::SRecord(SRecordType::S19)) => &["s19"],
        Some(OutputFormat::SRecord(SRecordType::S28)) => &["s28"],
        Some(OutputFormat::SRecord(SRecordType::S37)) => &["s37"],
        Some(OutputFormat::Binary) => &["bin"],
        Some(OutputFormat::Description) => &["a2l"],
    }
}

/// The last part of a path, to be shown.
pub(in crate::window) fn file_name(path: &std::path::Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned())
}

/// A request to the system's dialog.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Request {
    /// Title of the dialog.
    pub title: &'static str,
    /// What the endings stand for, in words.
    pub kind: &'static str,
    /// Endings of the files offered.
    pub endings: &'static [&'static str],
    /// Where to start.
    pub folder: Option<PathBuf>,
    /// The proposed name for a file to write; none if a file is read.
    pub name: Option<String>,
}

/// A job of the rig that needs a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RigJob {
    /// Read a run.
    ReadRun,
    /// Write the run.
    WriteRun,
    /// Drive the run and write what happens.
    WriteEvents,
    /// Draw the run and the revolution at the cursor.
    WritePicture,
}

impl RigJob {
    /// Its name in titles and messages.
    pub const fn title(self) -> &'static str {
        match self {
            Self::ReadRun => "Read a run",
            Self::WriteRun => "Export the run",
            Self::WriteEvents => "Export the events",
            Self::WritePicture => "Export the picture",
        }
    }

    /// The text of its button.
    pub const fn verb(self) -> &'static str {
        match self {
            Self::ReadRun => "Read",
            Self::WriteRun | Self::WriteEvents | Self::WritePicture => "Export",
        }
    }

    /// Whether it writes the file.
    pub const fn is_writing(self) -> bool {
        !matches!(self, Self::ReadRun)
    }

    /// What kind of files it has, their endings, and what is added to the project's name.
    pub const fn files(self) -> (&'static str, &'static [&'static str], &'static str) {
        match self {
            Self::ReadRun => ("Runs", &["csv", "tsv", "txt"], ""),
            Self::WriteRun => ("Runs", &["csv"], " run"),
            Self::WriteEvents => ("Events", &["csv"], " events"),
            Self::WritePicture => ("Pictures", &["svg", "png"], " rig"),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;
    use crate::image::RecordWidth;
    use crate::interchange::Separator;

    fn image(formats: Vec<OutputFormat>) -> FileJob {
        FileJob::WriteImage(ImageFiles {
            formats,
            width: RecordWidth::Sixteen,
            name: "tarn".into(),
            despite_errors: None,
        })
    }

    #[test]
    fn a_name_without_an_ending_gets_that_of_its_job() {
        let (folder, is_there) = (Path::new("/x"), |path: &Path| path.ends_with("there"));
        let tabs = WriteOptions { separator: Separator::Tab, ..WriteOptions::default() };
        let s19 = || image(vec![OutputFormat::SRecord(SRecordType::S19), OutputFormat::Description]);
        let cases = [
            (FileJob::SaveAs { then: None }, "tarn 1.5", "tarn 1.5.ron"),
            (FileJob::SaveAs { then: None }, "tarn.txt", "tarn.txt"),
            (FileJob::SaveAs { then: None }, "there", "there"),
            (FileJob::ExportTable(WriteOptions::default()), "tarn 1.5", "tarn 1.5.csv"),
            (FileJob::ExportTable(tabs), "tarn", "tarn.tsv"),
            (FileJob::ExportTable(tabs), "tarn.csv", "tarn.csv"),
            (FileJob::SetupSheet(Paper::A4), "tarn", "tarn.pdf"),
            (FileJob::Rig(RigJob::WritePicture), "tarn", "tarn.svg"),
            (FileJob::Rig(RigJob::WritePicture), "tarn.PNG", "tarn.PNG"),
            (image(vec![OutputFormat::IntelHex]), "tarn 1.5", "tarn 1.5.hex"),
            (image(vec![OutputFormat::IntelHex]), "tarn.v2", "tarn.v2.hex"),
            (image(vec![OutputFormat::IntelHex]), "TARN.HEX", "TARN.hex"),
            (image(vec![OutputFormat::IntelHex]), "there", "there.hex"),
            (s19(), "tarn.hex", "tarn.s19"),
            (FileJob::Open, "tarn", "tarn"),
            (FileJob::ReadImage, "tarn", "tarn"),
        ];
        for (job, asked, expected) in cases {
            let path = job.with_ending(folder.join(asked), is_there);
            assert_eq!(path, folder.join(expected), "{job:?}: {asked}");
            if job.is_writing() {
                assert_eq!(job.written(&path).first(), Some(&path), "{job:?}: what is asked about is what is written");
            }
        }
        assert_eq!(s19().written(Path::new("a 1.5.s19")), ["a 1.5.s19", "a 1.5.a2l"].map(PathBuf::from));
        assert!(FileJob::Open.written(Path::new("a.ron")).is_empty());
    }
}
