//! `samples`: the projects that come with the program.

use std::fs;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::answer::{Folders, Pending};
use super::output::{Format, shown};
use super::{Answer, Failure};
use crate::document::{SaveError, Staged};
use crate::project::{SAMPLES, Sample};

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
        let files = self.folder.as_deref().map_or(Ok(Vec::new()), |folder| self.files(folder))?;
        let file = |name: &str| self.folder.as_deref().map(|folder| shown(&path_in(folder, name)));
        let listed: Vec<Listed> = SAMPLES
            .iter()
            .map(|sample| Listed { name: sample.name, description: sample.description, file: file(sample.name) })
            .collect();
        let line = |sample: &Listed| match &sample.file {
            Some(file) => format!("wrote {file}\n"),
            None => format!("{:<14}{}\n", sample.name, sample.description),
        };
        Ok(Answer { files, ..self.format.answer(&listed, || listed.iter().map(line).collect())? })
    }

    /// All of them or none.
    fn files(&self, folder: &Path) -> Result<Vec<Pending>, Failure> {
        let edited = SAMPLES.iter().find(|sample| is_edited(&path_in(folder, sample.name), sample.text));
        if let Some(sample) = edited.filter(|_| !self.replace) {
            return Err(Failure::SampleExists { path: path_in(folder, sample.name) });
        }
        let folders = Folders::make(folder).map_err(|source| SaveError::Io { path: folder.to_owned(), source })?;
        let stage = |sample: &Sample| Staged::file(&path_in(folder, sample.name), sample.text.as_bytes().to_vec());
        let staged = SAMPLES.iter().map(stage).collect::<Result<Vec<_>, SaveError>>()?;
        Ok(vec![Pending::Files(staged), Pending::Folders(folders)])
    }
}

fn is_edited(path: &Path, text: &str) -> bool {
    fs::read(path).is_ok_and(|found| found != text.as_bytes())
}

fn path_in(folder: &Path, name: &str) -> PathBuf {
    folder.join(format!("{name}.ron"))
}
