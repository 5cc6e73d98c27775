//! What was meant by a quantity with a slip in it.

use super::{Dimension, parse};

/// What was probably meant by a text that is no quantity: a decimal comma, a percent sign, no blank
/// before the unit. `None` if that does not make it one, or if it is one already.
pub fn mended(text: &str, dimension: Dimension) -> Option<String> {
    let blank = |c: char| c.is_whitespace() || c == '\u{a0}' || c == '\u{202f}';
    let text = text.trim_matches(blank);
    let number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | 'e' | 'E');
    // An exponent is digits behind `e`; any other letter begins the unit.
    let ends = |(i, c): &(usize, char)| {
        let exponent = matches!(c, 'e' | 'E')
            && !text[i + 1..].starts_with(|d: char| d.is_ascii_digit() || d == '-' || d == '+');
        !number(*c) || exponent
    };
    let end = text.char_indices().find(ends).map_or(text.len(), |(i, _)| i);
    let (digits, unit) = (text[..end].replace(',', "."), text[end..].trim_matches(blank));
    let value: f64 = digits.parse().ok().filter(|v: &f64| v.is_finite())?;
    let meant = match (dimension, unit) {
        (Dimension::Pure, "%") => (value / 100.0).to_string(),
        (_, "") => digits,
        (_, unit) => format!("{digits} {unit}"),
    };
    (meant != text || dimension == Dimension::Pure)
        .then_some(meant)
        .filter(|m| parse(m, dimension).is_ok())
}
