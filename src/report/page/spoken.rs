//! The sentences of the answer as plain text, for whoever compares two pages.

use super::{standing, told};
use crate::report::book::Book;

/// What the answer says of all (no name) and of each architecture.
pub(in crate::report) fn sentences(book: &Book) -> Vec<(String, String)> {
    let standings = standing::standings(book);
    let mut out = vec![(String::new(), plain(&told::headline(book, &standings)))];
    for (a, arm) in book.arms().iter().enumerate() {
        out.push((arm.clone(), plain(&told::sentence(book, &standings, a))));
    }
    out
}

/// Markup as text.
fn plain(html: &str) -> String {
    let mut out = String::with_capacity(html.len());
    let mut inside = false;
    for c in html.chars() {
        match c {
            '<' => inside = true,
            '>' if inside => inside = false,
            _ if inside => {}
            '\u{a0}' => out.push(' '),
            c => out.push(c),
        }
    }
    for (entity, text) in
        [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")]
    {
        out = out.replace(entity, text);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn markup_becomes_text() {
        assert_eq!(plain("<b>a &amp;lt; b</b>, 3\u{a0}kg"), "a &lt; b, 3 kg");
    }
}
