//! A folder with the samples in it, and what the program did there.

use std::ffi::OsStr;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use serde_json::Value;
use sparkloft::document::read_project;
use sparkloft::project::{Project, SAMPLES};

pub(super) const SAMPLE: &str = "tarn-special.ron";

/// A folder of its own.
pub(super) struct Bench {
    folder: tempfile::TempDir,
    /// Where locks are.
    data: tempfile::TempDir,
}

/// What a run came to.
pub(super) struct Run {
    pub(super) code: Option<i32>,
    pub(super) out: String,
    pub(super) err: String,
}

impl Bench {
    pub(super) fn new() -> Self {
        let bench = Self { folder: tempfile::tempdir().unwrap(), data: tempfile::tempdir().unwrap() };
        SAMPLES.iter().for_each(|sample| bench.put(&format!("{}.ron", sample.name), sample.text));
        bench
    }

    pub(super) fn path(&self, name: impl AsRef<OsStr>) -> PathBuf {
        self.folder.path().join(name.as_ref())
    }

    /// The data folder of the jobs.
    pub(super) fn data(&self) -> PathBuf {
        self.data.path().to_owned()
    }

    pub(super) fn put(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap();
    }

    pub(super) fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    pub(super) fn bytes(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap()
    }

    pub(super) fn project(&self, name: &str) -> Project {
        read_project(&self.path(name)).unwrap().0
    }

    /// The names in the folder, besides the samples.
    pub(super) fn names(&self) -> Vec<String> {
        let names = std::fs::read_dir(self.folder.path()).unwrap();
        let names = names.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned());
        let is_sample = |name: &String| SAMPLES.iter().any(|sample| *name == format!("{}.ron", sample.name));
        let mut names: Vec<String> = names.filter(|name| !is_sample(name)).collect();
        names.sort();
        names
    }

    /// A command in the folder, without a display.
    pub(super) fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_sparkloft"));
        command.current_dir(self.folder.path()).stdin(Stdio::null());
        command.env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY").env("SPARKLOFT_DATA", self.data());
        command
    }

    pub(super) fn run(&self, words: impl IntoIterator<Item = impl AsRef<OsStr>>) -> Run {
        let output = self.command().args(words).output().unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        Run { code: output.status.code(), out: text(output.stdout), err: text(output.stderr) }
    }

    /// Words parted by spaces.
    pub(super) fn say(&self, words: &str) -> Run {
        self.run(words.split(' '))
    }

    /// What a job prints that is done.
    pub(super) fn done(&self, words: &str) -> String {
        let run = self.say(words);
        assert_eq!(run.code, Some(0), "{words}: {}", run.err);
        run.out
    }

    /// The JSON document of a job that is done.
    pub(super) fn json(&self, words: &str) -> Value {
        document(&self.done(words))
    }

    /// What a job says that fails; it leaves nothing and prints nothing.
    pub(super) fn failed(&self, words: &str) -> String {
        let before = self.names();
        let run = self.say(words);
        assert_eq!((run.code, run.out.as_str()), (Some(2), ""), "{words}: {}", run.err);
        assert_eq!(self.names(), before, "{words}");
        run.err
    }
}

/// Exactly one JSON document on one line.
pub(super) fn document(out: &str) -> Value {
    assert_eq!(out.matches('\n').count(), 1, "{out}");
    serde_json::from_str(out).unwrap()
}
