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

/// The exit codes as help says them.
pub const HELP: &str = "\
Exit codes:
   0  done
   1  the input has errors
   2  wrong usage
   3  with --gate: a limit of the campaign is not met or undecided
   4  could not read or write
  75  stopped by a signal at a clean boundary; no result was written

Informs trade studies; no flight rule, no medical device. The programme's own standards, flight
rules and licensed practice decide.";

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
        for code in codes.map(|c| c as u8) {
            assert!(HELP.contains(&format!("\n  {code:2}  ")), "{code}");
        }
        let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words(HELP).ends_with(&words(crate::report::CAUTION)));
    }
}
