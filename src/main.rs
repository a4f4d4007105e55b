//! Decides what to start: the window or a command-line job.

use std::path::PathBuf;
use std::process::ExitCode;

use sparkloft::command_line::{self, Request};
use sparkloft::wording::Refusal;

fn main() -> ExitCode {
    match command_line::read(std::env::args_os()) {
        Ok(Request::Job(job)) => job.run(),
        Ok(Request::Window(project)) => {
            open(project).map_or_else(|reason| command_line::refuse_window(&reason), |()| ExitCode::SUCCESS)
        }
        Err(code) => code,
    }
}

#[cfg(feature = "window")]
fn open(project: Option<PathBuf>) -> Result<(), Refusal> {
    use sparkloft::document::DataFolder;
    use sparkloft::window;

    // Problems that do not stop the work are logged to stderr; RUST_LOG asks for more.
    env_logger::Builder::from_env(env_logger::Env::new().default_filter_or("sparkloft=warn")).init();
    let (document, not_opened) = window::first_document(project, &DataFolder::standard())?;
    window::run(document, not_opened.clone()).map_err(|error| match not_opened {
        Some(why) => Refusal::new(format!("{why}; {error}")),
        None => error.into(),
    })
}

#[cfg(not(feature = "window"))]
fn open(_: Option<PathBuf>) -> Result<(), Refusal> {
    let refusal = "this sparkloft was built without its window; sparkloft --help lists the jobs of the command line";
    Err(Refusal::new(refusal))
}
