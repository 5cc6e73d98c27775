//! What a key of a file takes: the types of the registry in [`super::keys`].

use crate::base::units::Dimension;

/// How a number that is given as a law is drawn, unless the file says `per`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Draw {
    /// Differs from occasion to occasion: durations, grams, watts, distances walked.
    Varies,
    /// Has one value that is not known: rates, probabilities, efficiencies, volumes. Drawn once
    /// per parameter set.
    Unknown,
    /// Must be certain: a design choice, a limit, or something the calendar is laid out from.
    Structural,
}

impl Draw {
    /// The word used in documentation.
    pub fn word(self) -> &'static str {
        match self {
            Draw::Varies => "varies",
            Draw::Unknown => "unknown",
            Draw::Structural => "structural",
        }
    }
}

/// Values that mean something, in SI.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Range {
    /// Above zero.
    Positive,
    /// Zero or above.
    NonNegative,
    /// 0 to 1, both included: a share or a probability.
    Fraction,
}

impl Range {
    /// The range in words.
    pub fn words(self) -> &'static str {
        match self {
            Range::Positive => "above 0",
            Range::NonNegative => "0 or above",
            Range::Fraction => "from 0 to 1",
        }
    }
}

/// What is written behind a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A quantity or a law.
    Number(Dimension, Draw, Range),
    /// A whole number, at least this.
    Count(u32),
    /// A whole number from 0 to 2^63 - 1.
    Seed,
    /// `true` or `false`
    Flag,
    /// Free text, or the name of something.
    Text,
    /// One text or a list of texts.
    Texts,
    /// One word of the vocabulary of this name.
    Word(&'static str),
    /// A table with the keys of this section.
    Table(&'static str),
    /// A list of tables, each with the keys of this section.
    Tables(&'static str),
    /// A table of named entries, each with the keys of this section.
    Entries(&'static str),
    /// Something else, in words.
    Form(&'static str),
}

/// Must it be written?
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// Yes.
    Required,
    /// No; without it there is no such thing.
    Optional,
    /// No; without it this is read, spelled as in a file.
    Default(&'static str),
}

/// One key of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    /// As written.
    pub name: &'static str,
    /// What stands behind it.
    pub kind: Kind,
    /// Must it be written?
    pub need: Need,
    /// Least and greatest value that nobody in the trade would ask about, spelled as in a file; zero,
    /// where the range allows it, means that there is none of it and is never asked about.
    pub plausible: Option<(&'static str, &'static str)>,
    /// Meaning in one line.
    pub doc: &'static str,
}

/// A kind of table with its keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Section {
    /// As in a header, with `NAME` for names that the user chooses: `suit.NAME`.
    pub name: &'static str,
    /// Meaning in one line.
    pub doc: &'static str,
    /// May it carry `source` and `basis`?
    pub sourced: bool,
    /// Its keys in the order of the documentation.
    pub keys: &'static [Key],
}

impl Section {
    /// The key `name`, if the section has one (`source` and `basis` apart).
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|k| k.name == name)
    }
}

impl Key {
    const fn new(name: &'static str, kind: Kind, doc: &'static str) -> Self {
        Key { name, kind, need: Need::Required, plausible: None, doc }
    }

    /// It may be left out.
    pub(super) const fn optional(mut self) -> Self {
        self.need = Need::Optional;
        self
    }

    /// Values outside are asked about.
    pub(super) const fn plausible(mut self, least: &'static str, most: &'static str) -> Self {
        self.plausible = Some((least, most));
        self
    }

    /// It may be left out and then counts as this.
    pub(super) const fn or(mut self, default: &'static str) -> Self {
        self.need = Need::Default(default);
        self
    }

    /// What counts where it is left out, in words for documentation; nothing where it must be written.
    pub fn left_out(&self) -> String {
        match self.need {
            Need::Required => String::new(),
            Need::Optional => ", may be left out".into(),
            Need::Default(text) => format!(", default {text}"),
        }
    }

    /// A number in words for documentation: `"a pressure, above 0"`; other kinds likewise.
    pub fn takes(&self) -> String {
        match self.kind {
            Kind::Number(d, draw, range) => {
                let usual =
                    self.plausible.map_or(String::new(), |(a, b)| format!(", usually {a} to {b}"));
                format!("{}, {}{usual} ({})", d.name(), range.words(), draw.word())
            }
            Kind::Count(least) => format!("a whole number, at least {least}"),
            Kind::Seed => "a whole number from 0 to 2^63 - 1".to_string(),
            Kind::Flag => "true or false".to_string(),
            Kind::Text => "a text".to_string(),
            Kind::Texts => "a text or a list of texts".to_string(),
            Kind::Word(what) => format!("a word: {what}"),
            Kind::Table(section) => format!("a table: {section}"),
            Kind::Tables(section) => format!("a list of tables: {section}"),
            Kind::Entries(section) => format!("a table of named entries: {section}"),
            Kind::Form(words) => words.to_string(),
        }
    }
}

/// A number that varies from occasion to occasion.
pub(super) const fn varies(n: &'static str, d: Dimension, r: Range, doc: &'static str) -> Key {
    Key::new(n, Kind::Number(d, Draw::Varies, r), doc)
}

/// A number with one value that may not be known.
pub(super) const fn unknown(n: &'static str, d: Dimension, r: Range, doc: &'static str) -> Key {
    Key::new(n, Kind::Number(d, Draw::Unknown, r), doc)
}

/// A number that must be certain.
pub(super) const fn certain(n: &'static str, d: Dimension, r: Range, doc: &'static str) -> Key {
    Key::new(n, Kind::Number(d, Draw::Structural, r), doc)
}

/// A share or probability that may not be known.
pub(super) const fn share(n: &'static str, doc: &'static str) -> Key {
    unknown(n, Dimension::Pure, Range::Fraction, doc)
}

/// Any other kind of key.
pub(super) const fn key(name: &'static str, kind: Kind, doc: &'static str) -> Key {
    Key::new(name, kind, doc)
}
