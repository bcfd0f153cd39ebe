//! The program: the library's command line, and nothing else.

use std::process::ExitCode;

fn main() -> ExitCode {
    loambook::cli::run(std::env::args_os())
}
