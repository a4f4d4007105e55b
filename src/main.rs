//! Which job, nothing else.

use std::path::PathBuf;
use std::process::ExitCode;

use sparkloft::command_line::{self, Request};

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
fn open(project: Option<PathBuf>) -> Result<(), String> {
    use sparkloft::{document::Document, project::SAMPLES, window};

    // What goes wrong beside the work is told on stderr; RUST_LOG asks for more.
    env_logger::Builder::from_env(env_logger::Env::new().default_filter_or("sparkloft=warn")).init();
    let document = match project {
        Some(path) => {
            Document::open(&path).map_err(|error| format!("{error}; sparkloft --help lists the jobs there are"))?
        }
        None => {
            let sample = &SAMPLES[0];
            Document::untitled(sample.project().map_err(|error| error.to_string())?, sample.name)
        }
    };
    window::run(document).map_err(|error| error.to_string())
}

#[cfg(not(feature = "window"))]
fn open(_: Option<PathBuf>) -> Result<(), String> {
    Err("this sparkloft was built without its window; sparkloft --help lists the jobs of the command line".into())
}
