//! `runs/evidence/README.md`: the table as a page, made here and compared with what is committed.

use super::record::{Check, Expected, Group, Tolerance};
use super::{groups, relations};
use std::fmt::Write;
use std::fs;
use std::path::Path;

const HEAD: &str = "\
# Evidence: every comparison with a number from outside

This page lists every check of this program against a value that was not made by it: what is
compared, the expected value, how far off it may be, what the program gives, and where the
expected value is from. It is written by `tests/evidence/published/` from the numbers that the tests
compute, and a test compares it with what is committed, so it cannot go stale;
`VESTIBULE_UPDATE_GOLDEN=1 cargo test --test evidence published::` rewrites it.

Caution. The kind says how firmly a value stands: *published value* (the figure stood in the text
that was read), *published, second-hand* (read in another document that quotes it), *handbook
formula* (a formula of a handbook or standard, worked out apart from this program), *reference
library* (a general-purpose library of another language), *own re-statement* (arithmetic or a
program of our own apart from this one: it pins the code to its equation and proves nothing about
nature), *common practice* (the trade simply knows it), *from memory* (recalled, not read: it is no
oracle). A
published value that a formula does not meet stays in the table, marked **not met**, with its size and
its reason. Agreement with these values says that the formulas are what they claim to be. It
does not say that a campaign of them predicts what will happen: most inputs of the demos are
assumed, and no test here validates an architecture against experience, because there is none.
Historic programmes are named only as sources.

Where a row begins with a number (C1 ..), the number counts the rows of one table and means
nothing else.
";

/// A number to some significant digits, the same on any machine.
fn digits(x: f64, significant: usize) -> String {
    if x.is_infinite() {
        return "any".into();
    }
    if x == 0.0 {
        return "0".into();
    }
    let size = x.abs().log10().floor() as i32;
    if !(-3..7).contains(&size) {
        let text = format!("{x:.*e}", significant - 1);
        let (number, power) = text.split_once('e').expect("an exponent");
        let number = if number.contains('.') {
            number.trim_end_matches('0').trim_end_matches('.')
        } else {
            number
        };
        return format!("{number}e{power}");
    }
    let places = (significant as i32 - 1 - size).max(0) as usize;
    let text = format!("{x:.places$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').into() } else { text }
}

/// Digits that show a value as finely as its tolerance asks, at least four and at most eight:
/// beyond that machines may differ.
fn fine(value: f64, size: f64) -> usize {
    let share = if value == 0.0 || size == 0.0 { 1e-3 } else { size / value.abs() };
    (2.0 - share.log10()).ceil().clamp(4.0, 8.0) as usize
}

fn tolerance(by: Tolerance) -> String {
    match by {
        Tolerance::Plain(0.0) => "exact".into(),
        Tolerance::Plain(size) => digits(size, 3),
        Tolerance::Relative(share) if share >= 1e-3 => format!("{} %", digits(100.0 * share, 3)),
        Tolerance::Relative(share) => format!("{} relative", digits(share, 3)),
    }
}

fn range((low, high): (f64, f64), significant: usize) -> String {
    match low == high {
        true => digits(low, significant),
        false if high.is_infinite() => format!("at least {}", digits(low, significant)),
        false => format!("{} to {}", digits(low, significant), digits(high, significant)),
    }
}

/// Expected, tolerance and got, as the page says them.
fn cells(check: &Check) -> [String; 3] {
    match check.expected {
        Expected::Near(value, by) => {
            let significant = fine(value, by.size(value));
            // Noise about an expected 0 differs between machines: shown as finely as it may differ.
            let got = if value == 0.0 && check.got.0.abs() < 1e-3 * by.size(value) {
                0.0
            } else {
                check.got.0
            };
            let shown = if value == 0.0 { digits(got, 2) } else { digits(got, significant) };
            [digits(value, 12), tolerance(by), shown]
        }
        Expected::Missed { value, tolerance: by, .. } => {
            let off = 100.0 * (check.got.0 - value) / value;
            let got = format!("{} (**not met** by {off:+.1} %)", digits(check.got.0, 4));
            [digits(value, 12), tolerance(by), got]
        }
        Expected::Between(low, high) => {
            [range((low, high), 4), "within".into(), range(check.got, 4)]
        }
    }
}

/// Text that stands in one cell.
fn cell(text: &str) -> String {
    text.replace('|', "\\|")
        .replace(['<', '>'], "")
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

fn section(out: &mut String, group: &Group) {
    let _ = writeln!(out, "\n## {}\n\n{}\n", group.title, cell(group.about));
    let _ = writeln!(out, "| what | expected | tolerance | got | kind | source and note |");
    let _ = writeln!(out, "|---|---|---|---|---|---|");
    for c in &group.checks {
        let what =
            if c.unit.is_empty() { c.what.clone() } else { format!("{}, {}", c.what, c.unit) };
        let [expected, by, got] = cells(c);
        let note = if c.note.is_empty() { String::new() } else { format!(". *{}*", c.note) };
        let from = cell(&format!("{}{note}", c.source));
        let _ = writeln!(
            out,
            "| {} | {expected} | {by} | {got} | {} | {from} |",
            cell(&what),
            c.standing.word()
        );
    }
}

fn summary(out: &mut String, groups: &[Group]) {
    let all: Vec<&Check> = groups.iter().flat_map(|g| &g.checks).collect();
    let mut counts: Vec<(&str, usize)> = Vec::new();
    for c in &all {
        match counts.iter_mut().find(|(word, _)| *word == c.standing.word()) {
            Some((_, n)) => *n += 1,
            None => counts.push((c.standing.word(), 1)),
        }
    }
    counts.sort_by_key(|&(word, n)| (usize::MAX - n, word));
    let parts: Vec<String> = counts.iter().map(|(word, n)| format!("{n} {word}")).collect();
    let missed: Vec<&str> = all
        .iter()
        .filter(|c| matches!(c.expected, Expected::Missed { .. }))
        .map(|c| c.what.as_str())
        .collect();
    let _ = writeln!(out, "\n{} checks: {}.", all.len(), parts.join(", "));
    let _ = writeln!(out, "Published values that are not met: {}.", missed.join("; "));
    out.push_str(&relations::unchecked());
}

fn page() -> String {
    let groups = groups();
    let mut out = String::from(HEAD);
    summary(&mut out, &groups);
    for group in &groups {
        section(&mut out, group);
    }
    out
}

#[test]
fn the_page_of_evidence_is_what_the_tests_compute() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("runs/evidence/README.md");
    let got = page();
    if std::env::var_os("VESTIBULE_UPDATE_GOLDEN").is_some() {
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, &got).unwrap();
    }
    let want = fs::read_to_string(&file).expect("runs/evidence/README.md");
    for (g, w) in got.lines().zip(want.lines()) {
        assert_eq!(
            g, w,
            "the page is stale; if it was meant, see the head of tests/evidence/published/mod.rs"
        );
    }
    assert_eq!(got.lines().count(), want.lines().count());
}

#[test]
fn numbers_are_shown_to_their_significant_digits() {
    for (x, significant, shown) in [
        (0.0, 4, "0"),
        (4.4689999, 4, "4.469"),
        (100.0, 4, "100"),
        (10_000_002.0, 8, "1.0000002e7"),
        (1.8133e-5, 4, "1.813e-5"),
        (0.5, 8, "0.5"),
        (1234.0, 4, "1234"),
        (-0.00196, 2, "-0.002"),
    ] {
        assert_eq!(digits(x, significant), shown);
    }
}
