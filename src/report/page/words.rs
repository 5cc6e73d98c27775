//! Words and numbers of the page: escaping, figures with units, lists, plain names of measures.

use crate::measure::glossary::title;
use crate::measure::{Measure, measure};
use crate::report::book::Estimate;
use crate::report::digits::Digits;
use crate::report::figures::figure;

/// `text` as HTML: nothing in it can begin an element, an entity or end an attribute.
pub(in crate::report) fn esc(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in crate::base::text::visible(text).chars() {
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
    raised(&figure(x))
}

/// A number as a program writes it with a true minus sign, a power of ten raised.
fn raised(text: &str) -> String {
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

/// A number to the first digit of half the width of its interval: what the run can tell. Three digits
/// without an interval.
pub(super) fn rounded(x: f64, half: Option<f64>) -> String {
    let text = Digits::of(x, half).show(x);
    raised(&text)
}

/// Mean of an estimate without its unit, to the first digit of half the width of its interval.
pub(super) fn figures_of(e: &Estimate, spoken: &Spoken) -> String {
    let Some(mean) = e.mean else { return "not estimable".into() };
    let half = e.low.zip(e.high).map(|(l, h)| 0.5 * (h - l));
    if spoken.share { percent(mean, half) } else { rounded(mean, half) }
}

/// Mean of an estimate with its unit, to the first digit of half the width of its interval.
pub(super) fn measured(e: &Estimate, spoken: &Spoken) -> String {
    let figures = figures_of(e, spoken);
    match (e.mean, spoken.share, e.unit.as_str()) {
        (None, ..) | (_, true, _) | (_, _, "") => figures,
        (_, _, unit) => format!("{figures}\u{a0}{}", unit_words(unit)),
    }
}

/// A share in per cent to the first digit of half the width of its interval.
pub(super) fn percent(x: f64, half: Option<f64>) -> String {
    if x == 0.0 || x.abs() >= 1e-4 {
        return format!("{}\u{a0}%", rounded(100.0 * x, half.map(|h| 100.0 * h)));
    }
    num(x)
}

/// The interval of an estimate: plus-minus where it is even, both limits where it is not.
pub(super) fn interval(e: &Estimate, spoken: &Spoken) -> String {
    const EVEN: f64 = 0.15;
    let (Some(mean), Some(low), Some(high)) = (e.mean, e.low, e.high) else {
        return String::new();
    };
    let half = 0.5 * (high - low);
    if half <= 0.0 {
        return String::new();
    }
    let times = if spoken.share { 100.0 } else { 1.0 };
    let of = |x: f64| rounded(times * x, Some(times * half));
    if (mean - 0.5 * (low + high)).abs() < EVEN * half {
        return format!("\u{b1}{}", of(half));
    }
    format!("{} to {}", of(low), of(high))
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
    /// a word for it, where the matrix beside it says the rest
    pub short: &'static str,
    /// the quantity of the breakdown that says why
    pub quantity: Option<&'static str>,
    /// it is a share
    pub share: bool,
}

/// Fewer events than these are told as a number and drawn without a bar: they rank nothing.
pub(super) const FEW: f64 = crate::report::contributors::FEW as f64;

/// The words of a measure of [`SPOKEN`].
pub(super) fn spoken(name: &str) -> Option<&'static Spoken> {
    SPOKEN.iter().find(|s| s.name == name)
}

/// A round number without zeros behind it.
pub(super) fn plain(x: f64) -> String {
    let text = format!("{x:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

impl Spoken {
    /// What people call it.
    pub fn words(&self) -> &'static str {
        title(self.name)
    }
}

const fn say(name: &'static str, short: &'static str, quantity: Option<&'static str>) -> Spoken {
    Spoken { name, short, quantity, share: false }
}

/// Measures that the answer weighs, in the order in which they are told. None is worth more than
/// another: the page never adds them up.
pub(in crate::report) const SPOKEN: &[Spoken] = &[
    Spoken { name: MISSED, short: "safety", quantity: None, share: true },
    say("eva_lost_h", "EVA crew-hours", Some("eva_lost_h")),
    say("gas_lost_kg", "gas", Some("gas_lost_kg")),
    say("system_mass_kg", "system mass", Some("system_mass_kg")),
    say(DUST, "dust", Some("dust_to_cabin_g")),
    say("door_to_door_min", "EVA overhead", Some("door_to_door_min")),
    say("upkeep_h", "maintenance", Some("upkeep_h")),
];

/// The measure of risk.
pub(super) const MISSED: &str = "campaign_haven_missed";
/// The measure of dust in the air.
pub(super) const DUST: &str = "dust_average_max_mg_m3";

/// Factor that makes less better: -1 where more is.
pub(super) fn sense(name: &str) -> f64 {
    measure(name).map_or(1.0, Measure::sense)
}

/// A measure by what people call it, with its unit: "gas lost, kg".
pub(super) fn headed(name: &str) -> String {
    measure(name).map_or(name.into(), Measure::heading)
}

/// Name of an architecture as a person writes it in a sentence.
pub(super) fn name(arm: &str) -> String {
    format!("<b>{}</b>", esc(arm))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Page and first sheet have rows of the matrix of the terminal, in its order.
    #[test]
    fn what_is_spoken_of_are_rows_of_the_matrix() {
        let rows = crate::report::places::ROWS;
        let place = |s: &Spoken| rows.iter().position(|r| *r == s.name).expect(s.name);
        let places: Vec<usize> = SPOKEN.iter().map(place).collect();
        assert!(places.is_sorted(), "{places:?}");
    }

    #[test]
    fn nothing_in_a_text_is_taken_for_markup() {
        let text = r#"<script>alert("x & 'y'")</script>"#;
        let safe = esc(text);
        assert!(!safe.contains(['<', '>', '"', '\'']), "{safe}");
        assert_eq!(safe.matches('&').count(), 9);
        assert_eq!(cell("'=1+1"), "=1+1");
        assert_eq!(cell("'tis"), "&#39;tis");
    }

    /// The digits of a number end where the interval makes them meaningless.
    #[test]
    fn digits_end_at_the_first_digit_of_the_half_width() {
        let cases = [
            (123.368, 0.75, "123.4"),
            (0.5538, 0.6, "0.6"),
            (31.4, 14.0, "30"),
            (12.7, 3.0, "13"),
            (3926.2, 240.0, "3900"),
            (3.0, 20.0, "3"),
            (-0.0421, 0.002, "\u{2212}0.042"),
            (0.0, 1.0, "0"),
        ];
        for (x, half, text) in cases {
            assert_eq!(rounded(x, Some(half)), text, "{x} {half}");
        }
        assert_eq!(rounded(119.27, None), "119");
        assert_eq!(rounded(2.0e-5, Some(1e-6)), "2.0\u{a0}\u{d7}\u{a0}10\u{207b}\u{2075}");
        let e = |mean, low, high| Estimate {
            mean: Some(mean),
            low: Some(low),
            high: Some(high),
            ..Estimate::default()
        };
        assert_eq!(interval(&e(10.0, 9.0, 11.0), &SPOKEN[2]), "\u{b1}1");
        assert_eq!(interval(&e(0.02, 0.01, 0.05), &SPOKEN[0]), "1 to 5");
        assert_eq!(measured(&e(0.02, 0.01, 0.05), &SPOKEN[0]), "2\u{a0}%");
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
