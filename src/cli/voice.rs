//! How the program speaks: colour, how much is said, how wide.

use crate::report::Screen;
use clap::{Args, ValueEnum};
use std::io::IsTerminal;

/// When output has colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Colour {
    /// On a terminal, unless NO_COLOR is set
    #[default]
    Auto,
    /// Everywhere
    Always,
    /// Nowhere
    Never,
}

/// Options of every command on how it speaks.
#[derive(Clone, Copy, Debug, Default, Args)]
pub struct Voice {
    /// Say only what went wrong
    #[arg(short, long, global = true, conflicts_with = "verbose")]
    pub quiet: bool,
    /// Say everything: all findings, differences in sentences, a campaign to replay of each
    /// architecture
    #[arg(short, long, global = true)]
    pub verbose: bool,
    /// When to write colour
    #[arg(long, global = true, value_enum, default_value = "auto", value_name = "WHEN")]
    pub color: Colour,
}

/// Narrowest screen that is written for, columns.
const NARROWEST: usize = 40;
/// Widest, columns: longer lines are hard to read.
const WIDEST: usize = 160;

impl Voice {
    /// What standard output is read on: the width of the terminal, else that of `COLUMNS`, else 100
    /// columns.
    pub fn screen(&self) -> Screen {
        let out = std::io::stdout();
        let seen = out.is_terminal().then(terminal_size::terminal_size).flatten();
        let said = || std::env::var("COLUMNS").ok()?.parse().ok();
        let width = seen.map(|(w, _)| usize::from(w.0)).or_else(said);
        let plain = Screen::default();
        let width = width.map_or(plain.width, |w| w.clamp(NARROWEST, WIDEST));
        Screen { width, colour: self.coloured(out.is_terminal()), verbose: self.verbose }
    }

    /// The same for standard error.
    pub fn error_screen(&self) -> Screen {
        Screen { colour: self.coloured(std::io::stderr().is_terminal()), ..self.screen() }
    }

    fn coloured(&self, terminal: bool) -> bool {
        let set = |name: &str| std::env::var_os(name).is_some_and(|v| !v.is_empty());
        let dumb = std::env::var_os("TERM").is_some_and(|t| t == "dumb");
        match self.color {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => terminal && !set("NO_COLOR") && !dumb,
        }
    }
}
