//! One outside check, and the few words to write one down.

use vestibule::base::units::{Dimension, parse};

/// Kind of an expected value, and so how firmly it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// A published value: the figure stood in the text that was read.
    Read,
    /// A published value, read in another document that quotes it.
    SecondHand,
    /// A formula of a handbook or standard, worked out apart from this program.
    Handbook,
    /// A general-purpose library of another language.
    Library,
    /// Our own re-statement or arithmetic apart from this program: pins the code to its formula, proves
    /// nothing of nature.
    Restated,
    /// The trade simply knows it.
    CommonPractice,
    /// Part of the expected value was recalled, not read.
    FromMemory,
}

impl Standing {
    /// As the page says it.
    pub fn word(self) -> &'static str {
        match self {
            Standing::Read => "published value",
            Standing::SecondHand => "published, second-hand",
            Standing::Handbook => "handbook formula",
            Standing::Library => "reference library",
            Standing::Restated => "own re-statement",
            Standing::CommonPractice => "common practice",
            Standing::FromMemory => "from memory",
        }
    }
}

/// How far a value may lie from the expected one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// In the unit of the value.
    Plain(f64),
    /// As a share of the expected value.
    Relative(f64),
}

/// A tolerance in the unit of the value.
pub fn plain(size: f64) -> Tolerance {
    Tolerance::Plain(size)
}

/// A tolerance as a share of the expected value.
pub fn relative(share: f64) -> Tolerance {
    Tolerance::Relative(share)
}

impl Tolerance {
    /// In the unit of the value.
    pub fn size(self, expected: f64) -> f64 {
        match self {
            Tolerance::Plain(size) => size,
            Tolerance::Relative(share) => share * expected.abs(),
        }
    }
}

/// What is expected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Expected {
    /// A value.
    Near(f64, Tolerance),
    /// A published value that the formula misses; `ours` pins what it gives instead.
    Missed {
        /// As published.
        value: f64,
        /// Within this the two would have agreed.
        tolerance: Tolerance,
        /// What the formula gives, worked out apart from the code, to a thousandth of it.
        ours: f64,
    },
    /// A range, ends included: of a demo number, or of a bound.
    Between(f64, f64),
}

/// One outside check.
#[derive(Clone, Debug)]
pub struct Check {
    /// What is compared.
    pub what: String,
    /// Unit of the values; empty for pure numbers.
    pub unit: &'static str,
    /// What is expected.
    pub expected: Expected,
    /// Computed now, by calling the crate or by reading a demo file; a demo law gives both ends.
    pub got: (f64, f64),
    /// How firmly the expected value stands.
    pub standing: Standing,
    /// Where it is from.
    pub source: String,
    /// What a reader must know; needed where a value is missed.
    pub note: String,
    /// Functions of `RELATIONS` whose result is compared.
    pub of: &'static [&'static str],
}

/// A check that `got` is near `expected`; its source and the rest follow.
pub fn check(what: &str, unit: &'static str, got: f64, expected: f64, by: Tolerance) -> Check {
    bounded(what, unit, (got, got), Expected::Near(expected, by))
}

/// A published value that the formula misses, giving `ours` instead.
pub fn missed(
    what: &str,
    unit: &'static str,
    got: f64,
    value: f64,
    by: Tolerance,
    ours: f64,
) -> Check {
    bounded(what, unit, (got, got), Expected::Missed { value, tolerance: by, ours })
}

/// A check that all of `got` lies in a range, ends included.
pub fn between(what: &str, unit: &'static str, got: (f64, f64), range: (f64, f64)) -> Check {
    bounded(what, unit, got, Expected::Between(range.0, range.1))
}

fn bounded(what: &str, unit: &'static str, got: (f64, f64), expected: Expected) -> Check {
    Check {
        what: what.into(),
        unit,
        expected,
        got,
        standing: Standing::Restated,
        source: String::new(),
        note: String::new(),
        of: &[],
    }
}

impl Check {
    /// Where the expected value is from and how firmly it stands.
    pub fn from(mut self, standing: Standing, source: &str) -> Check {
        self.standing = standing;
        self.source = source.into();
        self
    }

    /// The same for arithmetic of our own that pins a formula.
    pub fn formula(self) -> Check {
        self.from(Standing::Restated, "arithmetic apart from this program")
    }

    /// A remark for the reader.
    pub fn note(mut self, text: &str) -> Check {
        self.note = text.into();
        self
    }

    /// Functions of `RELATIONS` whose result is compared.
    pub fn of(mut self, functions: &'static [&'static str]) -> Check {
        self.of = functions;
        self
    }

    /// What is wrong with it, if anything.
    pub fn fault(&self) -> Option<String> {
        let (low, high) = self.got;
        let off = |value: f64, by: f64| (low - value).abs().max((high - value).abs()) > by;
        let broken = match self.expected {
            _ if low.is_nan() || high.is_nan() => true,
            Expected::Near(value, by) => off(value, by.size(value)),
            // The miss is as it was pinned, and it is one.
            Expected::Missed { value, tolerance, ours } => {
                off(ours, 1e-3 * ours.abs()) || !off(value, tolerance.size(value))
            }
            Expected::Between(least, most) => low < least || high > most,
        };
        if broken {
            return Some(format!(
                "{}: got {:?}, expected {:?}",
                self.what, self.got, self.expected
            ));
        }
        let silent = matches!(self.expected, Expected::Missed { .. }) && self.note.is_empty();
        if silent {
            return Some(format!("{}: a miss without a reason", self.what));
        }
        self.source.is_empty().then(|| format!("{}: no source", self.what))
    }
}

/// A group of checks under one heading of the page.
pub struct Group {
    /// Heading.
    pub title: String,
    /// What a reader must know first.
    pub about: &'static str,
    /// Its checks.
    pub checks: Vec<Check>,
}

/// A quantity as a file would write it, in SI, read by the program's own reader of units.
pub fn q(text: &str) -> f64 {
    Dimension::all()
        .find_map(|dimension| parse(text, dimension).ok())
        .unwrap_or_else(|| panic!("{text} is no quantity"))
}

#[test]
fn a_check_can_fail_in_every_way() {
    let made = |c: Check| c.from(Standing::Read, "a book");
    assert_eq!(made(check("near", "", 1.01, 1.0, plain(0.02))).fault(), None);
    assert!(made(check("far", "", 1.03, 1.0, plain(0.02))).fault().is_some());
    assert!(made(check("far", "", 1.03, 1.0, relative(0.02))).fault().is_some());
    assert!(made(check("nothing", "", f64::NAN, 1.0, plain(0.02))).fault().is_some());
    assert!(check("no source", "", 1.0, 1.0, plain(0.0)).fault().is_some());
    let miss = |got, ours| made(missed("miss", "", got, 1.0, plain(0.02), ours));
    assert_eq!(miss(1.2, 1.2).note("why").fault(), None);
    assert!(miss(1.2, 1.2).fault().is_some(), "without a reason");
    assert!(miss(1.3, 1.2).note("why").fault().is_some(), "another miss than it was");
    assert!(miss(1.0, 1.0).note("why").fault().is_some(), "no miss any more");
    let range = |low, high| made(between("range", "", (low, high), (1.0, 2.0)));
    assert_eq!(range(1.0, 2.0).fault(), None);
    assert!(range(0.9, 2.0).fault().is_some() && range(1.0, 2.1).fault().is_some());
}
