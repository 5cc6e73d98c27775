//! Words and numbers of the page: escaping, figures with units, lists, plain names of measures.

use crate::measure::{Measure, measure};
use crate::report::figures::figure;

/// `text` as HTML: nothing in it can begin an element, an entity or end an attribute.
pub(in crate::report) fn esc(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(c),
        }
    }
    out
}

/// A cell of a table as a reader wants it: without the apostrophe that keeps spreadsheets from
/// running it.
pub(super) fn cell(text: &str) -> String {
    let rest = text.strip_prefix('\'').filter(|r| r.starts_with(['=', '+', '-', '@']));
    esc(rest.unwrap_or(text))
}

/// A key path, which may be broken behind its dots.
pub(super) fn path(text: &str) -> String {
    format!("<code>{}</code>", cell(text).replace('.', ".<wbr>"))
}

/// A number with a true minus sign; small ones as a power of ten.
pub(super) fn num(x: f64) -> String {
    let text = figure(x);
    let Some((mantissa, exponent)) = text.split_once('e') else {
        return text.replace('-', "\u{2212}");
    };
    let raised = |c: char| match c {
        '-' => '\u{207b}',
        '1' => '\u{b9}',
        '2' => '\u{b2}',
        '3' => '\u{b3}',
        digit => char::from_u32(0x2070 + digit.to_digit(10).unwrap_or(0)).unwrap_or(digit),
    };
    let exponent: String = exponent.chars().map(raised).collect();
    format!("{}\u{a0}\u{d7}\u{a0}10{exponent}", mantissa.replace('-', "\u{2212}"))
}

/// A number with its sign.
pub(super) fn signed(x: f64) -> String {
    if x > 0.0 { format!("+{}", num(x)) } else { num(x) }
}

/// A share: per cent where it is not too small for that.
pub(super) fn share(x: f64) -> String {
    if x == 0.0 || x.abs() >= 1e-3 { format!("{} %", num(100.0 * x)) } else { num(x) }
}

/// A value of a measure with its unit; a measure without unit that is a share as such.
pub(super) fn value(x: f64, spoken: &Spoken, unit: &str) -> String {
    match (spoken.share, unit) {
        (true, _) => share(x),
        (false, "") => num(x),
        (false, unit) => format!("{} {}", num(x), unit_words(unit)),
    }
}

/// A difference of a measure with its unit.
pub(super) fn difference(x: f64, spoken: &Spoken, unit: &str) -> String {
    match (spoken.share, unit) {
        (true, _) if x.abs() >= 1e-3 => format!("{} % points", signed(100.0 * x)),
        (true, _) | (false, "") => signed(x),
        (false, unit) => format!("{} {}", signed(x), unit_words(unit)),
    }
}

/// A unit as it is printed.
pub(super) fn unit_words(unit: &str) -> String {
    unit.replace("m3", "m\u{b3}").replace("m2", "m\u{b2}")
}

/// "a, b and c"
pub(super) fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// The first letter large.
pub(super) fn sentence_case(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().chain(chars).collect())
}

/// A measure that sentences speak of.
#[derive(Clone, Copy, Debug)]
pub(in crate::report) struct Spoken {
    /// name in the files
    pub name: &'static str,
    /// in a sentence
    pub words: &'static str,
    /// the quantity of the breakdown that says why
    pub quantity: Option<&'static str>,
    /// it is a share
    pub share: bool,
}

const fn spoken(name: &'static str, words: &'static str, quantity: Option<&'static str>) -> Spoken {
    Spoken { name, words, quantity, share: false }
}

/// Measures that the answer weighs, in the order in which they are told. None is worth more than
/// another: the page never adds them up.
pub(super) const SPOKEN: &[Spoken] = &[
    Spoken {
        name: MISSED,
        words: "chance that somebody is late or never safe",
        quantity: None,
        share: true,
    },
    spoken("eva_lost_h", "hours outside lost", Some("eva_lost_h")),
    spoken("gas_lost_kg", "gas lost", Some("gas_lost_kg")),
    spoken("system_mass_kg", "equivalent system mass", Some("system_mass_kg")),
    spoken(DUST, "worst 24-hour dust average", Some("dust_to_cabin_g")),
    spoken("door_to_door_min", "time door to door", Some("door_to_door_min")),
    spoken("upkeep_h", "upkeep", Some("upkeep_h")),
];

/// The measure of risk.
pub(super) const MISSED: &str = "campaign_haven_missed";
/// The measure of dust in the air.
pub(super) const DUST: &str = "dust_average_max_mg_m3";

/// Factor that makes less better: -1 where more is.
pub(super) fn sense(name: &str) -> f64 {
    measure(name).map_or(1.0, Measure::sense)
}

/// Name of an architecture as a person writes it in a sentence.
pub(super) fn name(arm: &str) -> String {
    format!("<b>{}</b>", esc(arm))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_text_is_taken_for_markup() {
        let text = r#"<script>alert("x & 'y'")</script>"#;
        let safe = esc(text);
        assert!(!safe.contains(['<', '>', '"', '\'']), "{safe}");
        assert_eq!(safe.matches('&').count(), 9);
        assert_eq!(cell("'=1+1"), "=1+1");
        assert_eq!(cell("'tis"), "&#39;tis");
    }

    #[test]
    fn shares_are_per_cent_until_they_are_small() {
        assert_eq!(share(0.0355), "3.55 %");
        assert_eq!(share(2e-5), "2.0\u{a0}\u{d7}\u{a0}10\u{207b}\u{2075}");
        let risk = &SPOKEN[0];
        assert_eq!(difference(0.029, risk, ""), "+2.90 % points");
        assert_eq!(difference(-11.6, &SPOKEN[1], "h"), "\u{2212}11.6 h");
    }

    #[test]
    fn lists_read_as_english() {
        let of = |n: usize| listed(&["a", "b", "c"].map(String::from)[..n]);
        assert_eq!([of(0), of(1), of(2), of(3)], ["", "a", "a and b", "a, b and c"]);
        assert_eq!(sentence_case("gas"), "Gas");
    }
}
