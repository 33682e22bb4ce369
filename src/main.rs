//! Guide for building a rotating module.

use std::process::ExitCode;

fn main() -> ExitCode {
    runtrue::cli::run()
}
