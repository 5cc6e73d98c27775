//! One table of a file, read key by key as its section of the registry says.

mod counted;

use super::context::{Context, nearest};
use super::finding::Finding;
use super::key::{Key, Kind, Need, Section};
use super::keys::PROVENANCE;
use super::name;
use super::number::{self, Wanted};
use super::rules;
use super::spec::{At, Named, Num, Provenance, Spot};
use super::tree::{Entry, Node, Value};
use super::vocabulary::Vocabulary;

/// A table being read. Every getter reports what is wrong and then goes on with a placeholder:
/// a scenario is only handed out when nothing was reported as an error.
///
/// # Panics
/// Getters panic when asked for a key that the registry does not have: a slip in the reader, which
/// the test that reads every section would show.
pub(super) struct Table<'a> {
    pub ctx: &'a Context,
    pub at: At,
    section: &'static Section,
    entries: &'a [Entry],
    /// The whole table is missing and that was reported: its keys are not missed one by one.
    absent: bool,
}

impl<'a> Table<'a> {
    /// Opens the table at `node`, where `at` is the place that speaks for it (its key, usually).
    /// Unknown keys are reported here.
    pub fn open(ctx: &'a Context, section: &'static Section, at: At, node: &'a Node) -> Self {
        let table = |entries, absent| Table { ctx, at, section, entries, absent };
        let Value::Table(entries) = &node.value else {
            ctx.wrong(node, "a table");
            return table(&[], true);
        };
        let table = table(entries, false);
        table.refuse_unknown_keys();
        table
    }

    /// Stands for a table that is missing and was reported.
    fn missing(ctx: &'a Context, section: &'static Section, at: At) -> Self {
        Table { ctx, at, section, entries: &[], absent: true }
    }

    fn refuse_unknown_keys(&self) {
        let beside = if self.section.sourced { PROVENANCE } else { &[] };
        let known = || self.section.keys.iter().chain(beside).map(|k| k.name);
        for entry in self.entries {
            if known().any(|name| name == entry.key) {
                continue;
            }
            let what = format!("`{}` is not a key of {}", entry.key, title(self.section));
            let list = known().collect::<Vec<_>>().join(", ");
            let remedy = match nearest(&entry.key, known()) {
                Some(near) => format!("did you mean `{near}`? known keys: {list}"),
                None => format!("known keys: {list}"),
            };
            let finding = Finding::new(&rules::UNKNOWN_KEY, entry.key_at, what).remedy(remedy);
            self.ctx.report(finding);
        }
    }

    fn key(&self, name: &str) -> &'static Key {
        let key = self.section.key(name);
        let key = key.unwrap_or_else(|| panic!("{} has no key {name}", self.section.name));
        #[cfg(test)]
        self.ctx.asked.borrow_mut().insert((self.section.name, key.name));
        key
    }

    /// The entry behind a key; a missing key is reported if it has to be written.
    pub fn entry(&self, name: &str) -> Option<&'a Entry> {
        let key = self.key(name);
        let entry = self.entries.iter().find(|e| e.key == name);
        if entry.is_none() && key.need == Need::Required && !self.absent {
            let what = match key.kind {
                Kind::Table(_) | Kind::Entries(_) if self.section.name.is_empty() => {
                    format!("there is no section [{name}]")
                }
                _ => format!("{} has no `{name}`", title(self.section)),
            };
            let remedy = format!("write `{name}`: {}, {}", key.doc, key.takes());
            let finding = Finding::new(&rules::MISSING_KEY, self.at, what).remedy(remedy);
            self.ctx.report(finding);
        }
        entry
    }

    /// The value behind a key.
    pub fn node(&self, name: &str) -> Option<&'a Node> {
        self.entry(name).map(|e| &e.node)
    }

    /// Is the key written?
    pub fn has(&self, name: &str) -> bool {
        self.entries.iter().any(|e| e.key == name)
    }

    /// `source` and `basis` of this entry.
    pub fn provenance(&self) -> Provenance {
        self.ctx.provenance(self.at, self.entries)
    }

    // Numbers

    fn wanted(&self, name: &str) -> Wanted {
        let key = self.key(name);
        match key.kind {
            Kind::Number(dimension, draw, range) => {
                Wanted { plausible: key.plausible, ..Wanted::new(dimension, draw, range) }
            }
            _ => panic!("{}.{name} is not a number", self.section.name),
        }
    }

    /// The default of a key that is read in a form of its own.
    pub fn default(&self, name: &str, wanted: Wanted) -> Option<Num> {
        match self.key(name).need {
            Need::Default(text) => number::default(text, wanted, self.at),
            _ => None,
        }
    }

    /// A number that is required or has a default.
    pub fn num(&self, name: &str) -> Num {
        self.num_opt(name).unwrap_or_else(|| number::placeholder(self.at))
    }

    /// A number that may be left out.
    pub fn num_opt(&self, name: &str) -> Option<Num> {
        let wanted = self.wanted(name);
        if let Some(node) = self.node(name) {
            let read = number::read(self.ctx, node, wanted);
            return Some(read.unwrap_or_else(|| number::placeholder(node.at)));
        }
        self.default(name, wanted)
    }

    /// A bare number that must be certain, or may be left out.
    pub fn fixed_opt(&self, name: &str) -> Option<Spot<f64>> {
        let num = self.num_opt(name)?;
        let it = num.law.fixed().unwrap_or(f64::NAN);
        Some(Spot { it, at: num.at })
    }

    // Counts, flags, words

    /// A whole number.
    pub fn count(&self, name: &str) -> Spot<u32> {
        let spot = Spot { it: 1, at: self.at };
        self.count_opt(name).unwrap_or(spot)
    }

    /// A word of a vocabulary.
    pub fn word<V: Vocabulary>(&self, name: &str) -> Spot<V> {
        self.word_opt(name).unwrap_or(Spot { it: V::WORDS[0].0, at: self.at })
    }

    /// A word of a vocabulary that may be left out.
    pub fn word_opt<V: Vocabulary>(&self, name: &str) -> Option<Spot<V>> {
        if let Some(node) = self.node(name) {
            let it = self.ctx.word(node).unwrap_or(V::WORDS[0].0);
            return Some(Spot { it, at: node.at });
        }
        match self.key(name).need {
            Need::Default(text) => V::parse(text).map(|it| Spot { it, at: self.at }),
            _ => None,
        }
    }

    // Texts

    /// A text.
    pub fn text(&self, name: &str) -> Spot<String> {
        let at = self.at;
        let it = String::new();
        self.text_opt(name).unwrap_or(Spot { it, at })
    }

    /// A text that may be left out.
    pub fn text_opt(&self, name: &str) -> Option<Spot<String>> {
        let node = self.node(name)?;
        Some(self.spot(node))
    }

    fn spot(&self, node: &Node) -> Spot<String> {
        let it = self.ctx.text(node).unwrap_or_default();
        Spot { it, at: node.at }
    }

    /// One text or a list of texts; empty when left out. A required list must not be empty.
    pub fn texts(&self, name: &str) -> Vec<Spot<String>> {
        let Some(node) = self.node(name) else {
            return Vec::new();
        };
        let Value::List(items) = &node.value else {
            return vec![self.spot(node)];
        };
        if items.is_empty() && self.key(name).need == Need::Required {
            self.empty(name, node.at);
        }
        items.iter().map(|item| self.spot(item)).collect()
    }

    fn empty(&self, name: &str, at: At) {
        let what = format!("`{name}` of {} is empty", title(self.section));
        self.ctx.report(Finding::new(&rules::EMPTY_LIST, at, what));
    }

    /// A list of exactly `N` nodes.
    pub fn exactly<const N: usize>(&self, name: &str, what: &str) -> Option<&'a [Node; N]> {
        let node = self.node(name)?;
        if let Value::List(items) = &node.value
            && let Ok(items) = <&[Node; N]>::try_from(items.as_slice())
        {
            return Some(items);
        }
        let found = match &node.value {
            Value::List(items) => format!("a list of {}", items.len()),
            _ => node.kind().to_string(),
        };
        let text = format!("{what} is expected, but {found} is written");
        let finding = Finding::new(&rules::WRONG_TYPE, node.at, text);
        self.ctx.report(finding.remedy(format!("write {what}")));
        None
    }

    /// Shares by size bin: a list of four or, where `one_for_all`, one number for all.
    pub fn bins(&self, name: &str, wanted: Wanted, one_for_all: bool) -> [Num; 4] {
        let read = |node: &Node| {
            number::read(self.ctx, node, wanted).unwrap_or_else(|| number::placeholder(node.at))
        };
        match self.node(name) {
            Some(node) if one_for_all && !matches!(node.value, Value::List(_)) => [read(node); 4],
            Some(_) => match self.exactly::<4>(name, "a list of four shares") {
                Some(nodes) => nodes.each_ref().map(read),
                None => [number::placeholder(self.at); 4],
            },
            None => {
                let default = self.default(name, wanted);
                [default.unwrap_or_else(|| number::placeholder(self.at)); 4]
            }
        }
    }

    // Tables within

    /// The table behind a required key.
    pub fn table(&self, name: &str, section: &'static Section) -> Table<'a> {
        self.table_opt(name, section).unwrap_or_else(|| Table::missing(self.ctx, section, self.at))
    }

    /// The table behind a key that may be left out.
    pub fn table_opt(&self, name: &str, section: &'static Section) -> Option<Table<'a>> {
        let entry = self.entry(name)?;
        Some(Table::open(self.ctx, section, entry.key_at, &entry.node))
    }

    /// The nodes of a list of tables; empty when left out.
    pub fn list(&self, name: &str) -> &'a [Node] {
        let Some(node) = self.node(name) else {
            return &[];
        };
        match &node.value {
            Value::List(items) => {
                if items.is_empty() && self.key(name).need == Need::Required {
                    self.empty(name, node.at);
                }
                items
            }
            _ => {
                self.ctx.wrong(node, "a list of tables");
                &[]
            }
        }
    }

    /// Each table of a list, read with `read`.
    pub fn tables<T>(
        &self,
        name: &str,
        section: &'static Section,
        read: impl Fn(&Table<'a>) -> T,
    ) -> Vec<T> {
        let open = |node: &'a Node| Table::open(self.ctx, section, node.at, node);
        let read = |node| {
            let table = open(node);
            table.provenance();
            read(&table)
        };
        self.list(name).iter().map(read).collect()
    }

    /// The named entries behind a key, their names checked; empty when left out.
    pub fn entries(&self, name: &str) -> &'a [Entry] {
        let Some(entry) = self.entry(name) else {
            return &[];
        };
        let Value::Table(entries) = &entry.node.value else {
            self.ctx.wrong(&entry.node, "a table of named entries");
            return &[];
        };
        if entries.is_empty() && self.key(name).need == Need::Required {
            self.empty(name, entry.key_at);
        }
        for entry in entries {
            name::check(self.ctx, &entry.key, entry.key_at);
        }
        entries
    }

    /// Each named entry behind a key, read with `read`.
    pub fn named<T>(
        &self,
        name: &str,
        section: &'static Section,
        read: impl Fn(&Table<'a>) -> T,
    ) -> Vec<Named<T>> {
        let read = |entry: &'a Entry| {
            let table = Table::open(self.ctx, section, entry.key_at, &entry.node);
            Named {
                name: entry.key.clone(),
                at: entry.key_at,
                provenance: table.provenance(),
                it: read(&table),
            }
        };
        self.entries(name).iter().map(read).collect()
    }

    /// Reports unless exactly one of `keys` is written; gives the one that is.
    pub fn one_of(&self, keys: &[&'static str]) -> Option<&'static str> {
        let written: Vec<_> = keys.iter().copied().filter(|k| self.has(k)).collect();
        if let [one] = written[..] {
            return Some(one);
        }
        if !self.absent {
            let list = keys.join(", ");
            let what = match written.is_empty() {
                true => format!("{} has none of {list}", title(self.section)),
                false => format!("{} has {}", title(self.section), written.join(" and ")),
            };
            let finding = Finding::new(&rules::ONE_OF, self.at, what);
            self.ctx.report(finding.remedy(format!("write exactly one of {list}")));
        }
        None
    }
}

/// A section in a sentence.
fn title(section: &Section) -> String {
    match section.name {
        "" => "a campaign file".to_string(),
        name => format!("[{name}]"),
    }
}

/// A whole number within bounds.
pub(super) fn count(ctx: &Context, node: &Node, least: i128, greatest: i128) -> Option<i128> {
    let Value::Whole(n) = node.value else {
        ctx.wrong(node, "a whole number");
        return None;
    };
    if (least..=greatest).contains(&n) {
        return Some(n);
    }
    let what = format!("{n} is not a whole number from {least} to {greatest}");
    let finding = Finding::new(&rules::OUT_OF_RANGE, node.at, what);
    ctx.report(finding.remedy(format!("write a whole number from {least} to {greatest}")));
    None
}
