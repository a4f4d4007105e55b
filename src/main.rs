//! Which job, nothing else.

use std::process::ExitCode;

fn main() -> ExitCode {
    let document = match std::env::args_os().nth(1) {
        Some(path) => match sparkloft::document::Document::open(std::path::Path::new(&path)) {
            Ok(document) => document,
            Err(error) => {
                eprintln!("{error}");
                return ExitCode::from(2);
            }
        },
        None => match sparkloft::project::SAMPLES[0].project() {
            Ok(project) => sparkloft::document::Document::untitled(project, "tarn-special"),
            Err(error) => {
                eprintln!("{error}");
                return ExitCode::from(2);
            }
        },
    };
    match sparkloft::window::run(document) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::from(2)
        }
    }
}
