//! Starts this test program again as another process, for tests of what happens to files when a process is
//! killed or not allowed to do something.

use std::env;
use std::path::{Path, PathBuf};
use std::process::Command;

const FOLDER: &str = "SPARKLOFT_TEST_FOLDER";

/// A command that runs one ignored test in a process of its own, on a folder.
pub(crate) fn command(test: &str, folder: &Path) -> Command {
    command_of(&env::current_exe().unwrap(), test, folder)
}

/// The same with a copy of this program.
pub(crate) fn command_of(program: &Path, test: &str, folder: &Path) -> Command {
    let mut command = Command::new(program);
    command.args([test, "--exact", "--ignored", "--nocapture", "--test-threads=1"]).env(FOLDER, folder);
    command
}

/// The folder to work on, when this is such a process; `None` when a person runs all ignored tests.
pub(crate) fn folder() -> Option<PathBuf> {
    env::var_os(FOLDER).map(PathBuf::from)
}
