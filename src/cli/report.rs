//! `vestibule report`: the page again, from the files of a results folder.

use super::exit::{Exit, say};
use crate::report::{self, Draft, PageError};
use std::path::Path;

/// Reads a results folder and writes its page anew.
pub fn report(folder: &Path) -> Exit {
    let page = match report::page(folder) {
        Ok(page) => page,
        Err(e) => {
            eprintln!("error: {e}");
            return match e {
                PageError::Read { .. } => Exit::Files,
                PageError::Wrong { .. } => Exit::Input,
            };
        }
    };
    let written = Draft::begin(folder).and_then(|mut draft| {
        draft.text(report::PAGE, &page)?;
        draft.publish(&[])
    });
    match written {
        Ok(()) => say(&format!("{}\n", folder.join(report::PAGE).display())),
        Err(e) => {
            eprintln!("error: {e}");
            Exit::Files
        }
    }
}
