//! `vestibule report`: the page, the workbook and the description of the tables again, from the files
//! of a results folder.

use super::exit::{Exit, say};
use crate::report::{self, Draft, MadeError, PageError};
use std::path::Path;

/// Reads a results folder and writes anew what is made from its files; the page says what changed since
/// the folder `before`, if one is named.
pub fn report(folder: &Path, before: Option<&Path>) -> Exit {
    let changes = match before.map(|before| report::changes(before, folder)).transpose() {
        Ok(changes) => changes,
        Err(e) => return super::changes::failed(&e),
    };
    // Read first: a folder that is not one of ours is not written to.
    let written = Draft::begin(folder).map_err(MadeError::from).and_then(|mut draft| {
        report::made_from_files(folder, &mut draft, changes.as_ref())?;
        Ok(draft.publish(&[])?)
    });
    let names = [report::PAGE, report::WORKBOOK, report::README, report::PACKAGE];
    match written {
        Ok(()) => say(&names.map(|name| format!("{}\n", folder.join(name).display())).concat()),
        Err(e) => failed(&e),
    }
}

/// Says why, and how the program ends then.
pub fn failed(e: &MadeError) -> Exit {
    eprintln!("error: {e}");
    match e {
        MadeError::Page(PageError::Wrong { .. }) => Exit::Input,
        _ => Exit::Files,
    }
}
