//! Text that comes from files and arguments, made safe to look at.

use std::borrow::Cow;

/// Is this a character that nobody sees and that changes what a terminal or page shows: a control
/// character, or one that turns the direction of writing or joins letters? Blank, tab and line end are
/// not.
pub fn unseen(c: char) -> bool {
    c.is_control() && !matches!(c, '\n' | '\t')
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
            | '\u{61c}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{2028}' | '\u{2029}')
}

/// The text with what cannot be seen written as its number: `\u{202e}`.
pub fn visible(text: &str) -> Cow<'_, str> {
    if !text.chars().any(unseen) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if unseen(c) { out.extend(c.escape_unicode()) } else { out.push(c) }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_turns_a_terminal_is_written_as_its_number() {
        assert_eq!(visible("a\u{1b}[31mb\u{202e}c\u{7}"), "a\\u{1b}[31mb\\u{202e}c\\u{7}");
        assert_eq!(visible("\u{feff}x\u{2066}y\u{9b}"), "\\u{feff}x\\u{2066}y\\u{9b}");
        assert!(matches!(visible("m\u{b2}, \u{b5}g, \u{e9}\n\tline"), Cow::Borrowed(_)));
    }
}
