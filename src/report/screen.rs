//! What a text is written for: how wide it may be, whether it may have colour, how much is said.

use anstyle::{AnsiColor, Style};

/// Widest line where nothing is known of the reader's terminal, characters.
pub(super) const WIDTH: usize = 100;

/// A reader's screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Screen {
    /// Columns.
    pub width: usize,
    /// May escape sequences for colour be written?
    pub colour: bool,
    /// Say everything.
    pub verbose: bool,
}

impl Default for Screen {
    fn default() -> Screen {
        Screen { width: WIDTH, colour: false, verbose: false }
    }
}

/// What a piece of text is, as far as colour shows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// As it comes.
    Plain,
    /// A heading.
    Title,
    /// Best, met, safe.
    Good,
    /// Not met, failed, an error.
    Bad,
    /// Undecided, rough, a warning.
    Doubt,
    /// Beside the point.
    Aside,
}

impl Screen {
    /// The text in its tone; as it is where there is no colour. Never changes what is read.
    pub fn tint(&self, tone: Tone, text: &str) -> String {
        let style = match tone {
            Tone::Plain => return text.into(),
            Tone::Title => Style::new().bold(),
            Tone::Good => AnsiColor::Green.on_default().bold(),
            Tone::Bad => AnsiColor::Red.on_default().bold(),
            Tone::Doubt => AnsiColor::Yellow.on_default(),
            Tone::Aside => Style::new().dimmed(),
        };
        if self.colour && !text.is_empty() {
            format!("{style}{text}{style:#}")
        } else {
            text.into()
        }
    }

    /// `text` in lines that fit, `first` before the first and `other` before the rest. A word that is
    /// longer than a line stays whole.
    pub fn wrap(&self, text: &str, first: &str, other: &str) -> String {
        let mut lines = vec![first.to_string()];
        let mut used = first.chars().count();
        let mut empty = true;
        // A word that fits no line is broken where the line ends: long paths in a narrow column.
        let room = self.width.saturating_sub(other.chars().count());
        let most = if room < NARROWEST { usize::MAX } else { room };
        let words = text.split(' ').filter(|w| !w.is_empty()).flat_map(|w| pieces(w, most));
        for word in words {
            let length = word.chars().count();
            if !empty && used + 1 + length > self.width {
                lines.push(other.to_string());
                (used, empty) = (other.chars().count(), true);
            }
            let Some(line) = lines.last_mut() else { break };
            if !empty {
                line.push(' ');
                used += 1;
            }
            line.push_str(word);
            (used, empty) = (used + length, false);
        }
        lines.iter().map(|l| format!("{}\n", l.trim_end())).collect()
    }
}

/// A column so narrow that breaking words in it would only hide them.
const NARROWEST: usize = 12;

/// A word in pieces of at most so many characters.
fn pieces(mut word: &str, most: usize) -> Vec<&str> {
    let mut out = Vec::new();
    while let Some((at, _)) = word.char_indices().nth(most) {
        let (piece, rest) = word.split_at(at);
        out.push(piece);
        word = rest;
    }
    out.push(word);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_broken_between_words_to_the_width() {
        for width in [40, 80, 120] {
            let screen = Screen { width, ..Screen::default() };
            let text = screen.wrap(&"twelve chars ".repeat(20), "  ", "    ");
            assert!(text.lines().all(|l| l.chars().count() <= width), "{text}");
            assert!(text.starts_with("  twelve") && text.contains("\n    "), "{text}");
        }
        let screen = Screen { width: 5, ..Screen::default() };
        assert_eq!(screen.wrap("a longer one", "", " "), "a\n longer\n one\n");
    }

    #[test]
    fn colour_never_changes_what_is_read() {
        let plain = Screen::default();
        assert_eq!(plain.tint(Tone::Good, "met"), "met");
        let colour = Screen { colour: true, ..plain };
        let text = colour.tint(Tone::Good, "met");
        assert!(text.starts_with('\u{1b}') && text.contains("met") && text.ends_with("\u{1b}[0m"));
        assert_eq!(colour.tint(Tone::Bad, ""), "");
    }
}
