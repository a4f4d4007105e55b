//! `samples`: the projects that come with the program.

use std::fs;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::output::{Format, save_file, shown};
use super::{Answer, Failure};
use crate::document::SaveError;
use crate::project::SAMPLES;

/// List the sample projects, or write them into a folder
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Every car in the samples is invented. Each holds an earlier state of itself as a snapshot.

Examples:
  sparkloft samples          lists them
  sparkloft samples demo     writes them into demo/, which is made when it is not there")]
pub(super) struct Samples {
    /// The folder to write them into; it is made when it is not there
    #[arg(value_name = "DIR")]
    folder: Option<PathBuf>,
    /// Put them also in the place of samples that were changed
    #[arg(long, requires = "folder")]
    replace: bool,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct Listed {
    name: &'static str,
    description: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    file: Option<String>,
}

impl Samples {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let notes = self.folder.as_deref().map_or(Ok(Vec::new()), |folder| self.write(folder))?;
        let file = |name: &str| self.folder.as_deref().map(|folder| shown(&path_in(folder, name)));
        let listed: Vec<Listed> = SAMPLES
            .iter()
            .map(|sample| Listed { name: sample.name, description: sample.description, file: file(sample.name) })
            .collect();
        let line = |sample: &Listed| match &sample.file {
            Some(file) => format!("wrote {file}\n"),
            None => format!("{:<14}{}\n", sample.name, sample.description),
        };
        Ok(Answer { notes, ..self.format.answer(&listed, || listed.iter().map(line).collect())? })
    }

    /// Writes all of them or none.
    fn write(&self, folder: &Path) -> Result<Vec<String>, Failure> {
        let made = missing_folders(folder);
        fs::create_dir_all(folder)
            .map_err(|source| SaveError::Io { path: folder.to_owned(), source })
            .inspect_err(|_| remove_folders(&made))?;
        let mut written = Vec::new();
        let result = self.fill(folder, &mut written);
        if result.is_err() {
            written.iter().for_each(|path| drop(fs::remove_file(path)));
            remove_folders(&made);
        }
        result
    }

    /// Puts the files made where none was into `written`.
    fn fill(&self, folder: &Path, written: &mut Vec<PathBuf>) -> Result<Vec<String>, Failure> {
        let edited = SAMPLES.iter().find(|sample| is_edited(&path_in(folder, sample.name), sample.text));
        if let Some(sample) = edited.filter(|_| !self.replace) {
            return Err(Failure::SampleExists { path: path_in(folder, sample.name) });
        }
        let mut notes = Vec::new();
        for sample in SAMPLES {
            let path = path_in(folder, sample.name);
            let is_new = fs::symlink_metadata(&path).is_err();
            notes.extend(save_file(&path, sample.text.as_bytes())?);
            if is_new {
                written.push(path);
            }
        }
        Ok(notes)
    }
}

fn is_edited(path: &Path, text: &str) -> bool {
    fs::read(path).is_ok_and(|found| found != text.as_bytes())
}

fn path_in(folder: &Path, name: &str) -> PathBuf {
    folder.join(format!("{name}.ron"))
}

/// The folders on the way to this one that are not there, the innermost first.
fn missing_folders(folder: &Path) -> Vec<PathBuf> {
    let missing = |folder: &&Path| !folder.as_os_str().is_empty() && !folder.exists();
    folder.ancestors().take_while(missing).map(Path::to_owned).collect()
}

fn remove_folders(folders: &[PathBuf]) {
    folders.iter().for_each(|folder| drop(fs::remove_dir(folder)));
}
