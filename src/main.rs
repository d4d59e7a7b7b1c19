//! The `gaugebook` program: see [`gaugebook::shell`].

use std::process::ExitCode;

fn main() -> ExitCode {
    gaugebook::shell::run()
}
