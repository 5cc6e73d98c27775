//! Exit codes and writing to standard output.

use std::io::Write;
use std::process::ExitCode;

/// How the program ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum Exit {
    /// Done.
    Done = 0,
    /// The input has errors.
    Input = 1,
    /// Wrong usage.
    Usage = 2,
    /// A limit of the campaign is not met or undecided, and `--gate` asked for it.
    Gate = 3,
    /// Could not read or write.
    Files = 4,
    /// Stopped by a signal at a clean boundary.
    Stopped = 75,
}

impl From<Exit> for ExitCode {
    fn from(e: Exit) -> ExitCode {
        ExitCode::from(e as u8)
    }
}

/// Writes to standard output. A reader that has gone away (a closed pipe) is no error: they have seen
/// what they wanted.
pub fn say(text: &str) -> Exit {
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        Ok(()) => Exit::Done,
        Err(e) if e.kind() == std::io::ErrorKind::BrokenPipe => Exit::Done,
        Err(e) => {
            eprintln!("error: cannot write to standard output: {e}");
            Exit::Files
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_as_documented() {
        let codes = [Exit::Done, Exit::Input, Exit::Usage, Exit::Gate, Exit::Files, Exit::Stopped];
        assert_eq!(codes.map(|c| c as u8), [0, 1, 2, 3, 4, 75]);
    }
}
