//! Numbers, names and commands as a person reads them on a terminal.

/// Widest line on a terminal, characters.
pub(super) const WIDTH: usize = 100;

/// Three significant digits, at most four decimals; below 0.001 as a power of ten.
pub(super) fn figure(x: f64) -> String {
    if x == 0.0 {
        return "0".into();
    }
    if x.abs() < 1e-3 {
        return format!("{x:.1e}");
    }
    let digits = (2 - x.abs().log10().floor() as i32).clamp(0, 4) as usize;
    format!("{x:.digits$}")
}

/// `text` in lines of at most 100 characters: two spaces before the first, four before others.
/// A word that is longer than a line stays whole.
pub fn wrapped(text: &str) -> String {
    let mut out = String::from(" ");
    let mut width = 1;
    for word in text.split(' ') {
        let length = word.chars().count() + 1;
        if width + length > WIDTH && width > 1 {
            out.push_str("\n   ");
            width = 3;
        }
        out.push(' ');
        out.push_str(word);
        width += length;
    }
    out.push('\n');
    out
}

/// A name in lines of at most `width` characters, broken behind `-`, `_` or a space where it can be.
pub(super) fn in_lines(name: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut rest: Vec<char> = name.chars().collect();
    while rest.len() > width {
        let cut = rest[..width].iter().rposition(|c| "-_ ".contains(*c)).map_or(width, |i| i + 1);
        lines.push(rest.drain(..cut).collect::<String>().trim_end().to_string());
    }
    lines.push(rest.into_iter().collect());
    lines
}

/// The first letter large.
pub(super) fn first_large(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().chain(chars).collect())
}

/// An argument as a shell takes it: quoted where it has to be.
pub fn quoted(argument: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_./:,+=@%".contains(c);
    if !argument.is_empty() && argument.chars().all(plain) {
        return argument.into();
    }
    format!("'{}'", argument.replace('\'', r"'\''"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_keep_three_digits() {
        let cases = [
            (0.0, "0"),
            (1496.4, "1496"),
            (257.67, "258"),
            (82.14, "82.1"),
            (0.8126, "0.813"),
            (0.0553, "0.0553"),
            (0.00994, "0.0099"),
            (-0.00259, "-0.0026"),
            (3.2e-5, "3.2e-5"),
        ];
        for (x, text) in cases {
            assert_eq!(figure(x), text);
        }
    }

    #[test]
    fn long_text_is_broken_between_words() {
        let text = wrapped(&"twelve chars ".repeat(20));
        assert!(text.lines().count() > 2);
        assert!(text.lines().all(|l| l.len() <= WIDTH), "{text}");
        assert_eq!(wrapped("a b"), "  a b\n");
    }

    #[test]
    fn names_are_broken_where_they_can_be() {
        assert_eq!(in_lines("single-chamber", 14), ["single-chamber"]);
        assert_eq!(in_lines("single-chamber-low", 14), ["single-", "chamber-low"]);
        assert_eq!(in_lines("abcdefgh", 3), ["abc", "def", "gh"]);
        assert_eq!(in_lines("two words", 6), ["two", "words"]);
    }

    #[test]
    fn arguments_are_quoted_where_a_shell_would_split_them() {
        assert_eq!(quoted("runs/a.toml"), "runs/a.toml");
        assert_eq!(quoted("my base/a.toml"), "'my base/a.toml'");
        assert_eq!(quoted("it's"), r"'it'\''s'");
        assert_eq!(quoted(""), "''");
    }
}
