//! The files that would be written: their names, how large each is, and which of them are there already where the dialog
//! begins. Found off the frame.

use std::path::PathBuf;

use eframe::egui;

use super::kept::{BYTES_AT_ONCE, Kept};
use crate::image::{OutputFormat, RecordWidth, output};
use crate::project::Project;
use crate::window::state::export_state::ImageFiles;
use crate::window::state::file_jobs::{FileJob, file_name};
use crate::window::tasks::exchange_files::those_there;
use crate::window::tasks::task::{Same, Task};
use crate::window::views::view::View;
use crate::wording::Refusal;

/// What the sizes depend on.
#[derive(Clone)]
struct Content {
    project: Project,
    formats: Vec<OutputFormat>,
    width: RecordWidth,
}

impl Same for Content {
    fn is_same(&self, other: &Self) -> bool {
        self.project.is_same(&other.project) && self.formats == other.formats && self.width == other.width
    }
}

/// Where the files would be, and whether something is being written there just now: afterwards it is looked up again.
#[derive(Clone, PartialEq)]
struct Places {
    paths: Vec<PathBuf>,
    is_busy: bool,
}

impl Same for Places {
    fn is_same(&self, other: &Self) -> bool {
        self == other
    }
}

/// A file that would be written.
pub(super) struct PlannedFile {
    /// Its name, with the ending.
    pub(super) name: String,
    /// Its size, as soon as it is known.
    pub(super) bytes: Option<usize>,
    /// Whether a file of this name is where the dialog begins.
    pub(super) is_there: bool,
}

/// The files that would be written.
#[derive(Default)]
pub(super) struct Planned {
    sizes: Task<Content, Vec<usize>>,
    there: Task<Places, Vec<PathBuf>>,
    pub(super) files: Vec<PlannedFile>,
    /// The name of the folder where the dialog begins, if the project has a file.
    pub(super) folder: Option<String>,
}

impl Planned {
    /// Updates it to what is chosen and to the project on show.
    pub(super) fn settle(&mut self, view: &View<'_>, kept: &Kept, files: &ImageFiles, ctx: &egui::Context) {
        let formats = files.formats.clone();
        let content = Content { project: kept.project.clone(), formats: formats.clone(), width: files.width };
        self.sizes.receive();
        if kept.project.image.size <= BYTES_AT_ONCE && !self.sizes.is_known(&content) {
            self.sizes.put(content.clone(), sizes(&content));
        }
        let wanted = content.clone();
        self.sizes.give_up_others(&content);
        self.sizes.ask(&content, ctx, "the sizes of the files", move |_| sizes(&wanted));

        let job = FileJob::WriteImage(files.clone());
        let request = job.request(view.document.path(), "");
        let folder = request.folder.clone();
        let first = folder.clone().unwrap_or_default().join(request.name.unwrap_or_default());
        let paths = job.written(&first);
        self.there.receive();
        let places = Places { paths: paths.clone(), is_busy: view.screen.export.is_busy };
        if folder.is_some() {
            let looked_up = paths.clone();
            self.there.give_up_others(&places);
            self.there.ask(&places, ctx, "what is there already", move |_| Ok(those_there(&looked_up)));
        } else {
            self.there.forget();
        }
        let there = self.there.newest().map(|(_, there)| there);
        let bytes = self.sizes.shown(&content);
        let file = |(at, path): (usize, &PathBuf)| PlannedFile {
            name: file_name(path),
            bytes: bytes.and_then(|bytes| bytes.get(at)).copied(),
            is_there: there.is_some_and(|there| there.contains(path)),
        };
        self.files = if formats.is_empty() { Vec::new() } else { paths.iter().enumerate().map(file).collect() };
        self.folder = folder.map(|folder| file_name(&folder));
    }
}

fn sizes(content: &Content) -> Result<Vec<usize>, Refusal> {
    let image = crate::image::encode(&content.project).map_err(Refusal::from)?;
    let size =
        |format: &OutputFormat| output(&content.project, &image, *format, content.width).map(|file| file.bytes.len());
    content.formats.iter().map(size).collect::<Result<_, _>>().map_err(Refusal::from)
}
