//! `completions`: a completion script for a shell.

use clap_complete::{Shell, generate};

use super::{Answer, Failure};

/// Print a completion script for a shell
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Example:
  sparkloft completions bash > ~/.local/share/bash-completion/completions/sparkloft")]
pub(super) struct Completions {
    /// Which shell
    shell: Shell,
}

impl Completions {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let mut script = Vec::new();
        generate(self.shell, &mut super::command(), "sparkloft", &mut script);
        String::from_utf8(script).map(Answer::text).map_err(|error| Failure::Internal(error.to_string()))
    }
}
