//! What a shell and `man` read: completions and manual pages, both made from the arguments as they are.

use super::exit::{Exit, say};
use super::{Cli, report};
use crate::report::Draft;
use clap::CommandFactory;
use clap_complete::Shell;
use clap_mangen::Man;
use std::path::Path;

/// Prints the completions for a shell.
pub fn completions(shell: Shell) -> Exit {
    let mut out = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "vestibule", &mut out);
    say(&String::from_utf8_lossy(&out))
}

/// Writes one manual page for the program and one for each command into a folder.
pub fn man(folder: &Path) -> Exit {
    let mut program = Cli::command();
    program.build();
    let mut pages = vec![(program.clone(), "vestibule".to_string())];
    for command in program.get_subcommands().filter(|c| !c.is_hide_set()) {
        let name = format!("vestibule-{}", command.get_name());
        pages.push((command.clone(), name));
    }
    let written = Draft::begin(folder).and_then(|mut draft| {
        for (command, name) in pages {
            // The name of a page is what `man` is asked for.
            let leaked: &'static str = name.clone().leak();
            let mut text = Vec::new();
            let page = Man::new(command.name(leaked)).render(&mut text);
            debug_assert!(page.is_ok(), "memory takes everything");
            draft.bytes(&format!("{name}.1"), &text)?;
        }
        draft.publish(&[])
    });
    match written {
        Ok(()) => say(&format!("wrote manual pages; read one: man {}\n", first(folder))),
        Err(e) => report::failed(&e.into()),
    }
}

/// The first page, as `man` takes a file.
fn first(folder: &Path) -> String {
    let path = folder.join("vestibule.1").display().to_string();
    crate::report::quoted(&match path.contains('/') {
        true => path,
        false => format!("./{path}"),
    })
}
