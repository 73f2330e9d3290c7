//! The program; everything is in the library beside it, where tests reach it.

use std::process::ExitCode;

fn main() -> ExitCode {
    pacewright::main_with_arguments()
}
