//! `vestibule changes`: what moved between two results folders.

use super::ChangesArgs;
use super::exit::{Exit, say};
use crate::report::{self, ChangesError, PageError};

/// Compares two folders and says what moved.
pub fn changes(args: &ChangesArgs) -> Exit {
    let changes = match report::changes(&args.old, &args.new) {
        Ok(changes) => changes,
        Err(e) => return failed(&e),
    };
    if args.json {
        return match serde_json::to_string_pretty(&changes) {
            Ok(text) => say(&(text + "\n")),
            Err(e) => {
                eprintln!("error: cannot write JSON: {e}");
                Exit::Files
            }
        };
    }
    let quoted = |p: &std::path::Path| report::quoted(&p.display().to_string());
    let page = format!(
        "The same as a section of the page: vestibule report {} --before {}\n",
        quoted(&args.new),
        quoted(&args.old)
    );
    say(&(changes.text() + &page))
}

/// Says why not, and how the program ends then.
pub fn failed(e: &ChangesError) -> Exit {
    eprintln!("error: {e}");
    match e {
        ChangesError::Page(PageError::Wrong { .. }) => Exit::Input,
        ChangesError::Page(_) => Exit::Files,
        ChangesError::Apart { .. } | ChangesError::Sweep { .. } => Exit::Usage,
    }
}
