//! Hands the command line over to the library and returns its exit status.

fn main() -> std::process::ExitCode {
    brumal::cli::run()
}
