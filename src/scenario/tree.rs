//! One TOML file as a tree whose every node knows where it was written.
//!
//! Key paths count the items of a list from 0: `list.ingress[0].takes` is in the first row.
//!
//! The reader walks this tree by hand rather than through serde, because laws and rows choose
//! their form by the keys they hold, and a derived reader loses the place of such values.

use super::finding::Finding;
use super::rules;
use super::spec::{At, Place, Sources};
use super::strict;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value and its place.
#[derive(Clone, Debug)]
pub(super) struct Node {
    /// Where the value stands (a table with a header: where its key stands).
    pub at: At,
    /// What it is.
    pub value: Value,
}

/// What can be written behind a key.
#[derive(Clone, Debug)]
pub(super) enum Value {
    /// A string.
    Text(String),
    /// An integer.
    Whole(i128),
    /// A number with a decimal point or exponent.
    Real(f64),
    /// `true` or `false`.
    Flag(bool),
    /// A date or time: no key takes one.
    Date,
    /// An array.
    List(Vec<Node>),
    /// A table, keys in the order of the file.
    Table(Vec<Entry>),
}

/// One key of a table.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    /// The key.
    pub key: String,
    /// Where the key stands.
    pub key_at: At,
    /// What stands behind it.
    pub node: Node,
}

impl Node {
    /// The kind of value in words, with its article.
    pub fn kind(&self) -> &'static str {
        match &self.value {
            Value::Text(_) => "a text",
            Value::Whole(_) | Value::Real(_) => "a bare number",
            Value::Flag(_) => "true or false",
            Value::Date => "a date",
            Value::List(_) => "a list",
            Value::Table(_) => "a table",
        }
    }

    /// The entries, if it is a table.
    pub fn entries(&self) -> Option<&[Entry]> {
        match &self.value {
            Value::Table(entries) => Some(entries),
            _ => None,
        }
    }

    /// The entry `key`, if it is a table that has one.
    pub fn get(&self, key: &str) -> Option<&Entry> {
        self.entries()?.iter().find(|e| e.key == key)
    }
}

/// Longest piece of a value that is shown in a message, in characters.
const SHOWN: usize = 48;

/// Turns the text of one file into a tree, recording every place in `sources`.
///
/// # Errors
/// One finding per syntax error.
pub(super) fn parse(text: &str, file: u16, sources: &mut Sources) -> Result<Node, Vec<Finding>> {
    let (table, mut errors) = DeTable::parse_recoverable(text);
    errors.sort_by_key(|error| error.span().map_or(0, |span| span.start));
    let mut planter = Planter { text, file, lines: line_starts(text), sources };
    let newer = match errors.is_empty() {
        true => strict::newer_than_1_0(text, table.get_ref()),
        false => Vec::new(),
    };
    if errors.is_empty() && newer.is_empty() {
        let at = planter.place(0..0, String::new(), String::new());
        let value = planter.table(table.get_ref(), "");
        return Ok(Node { at, value });
    }
    let mut finding = |span: Range<usize>, what: &str| {
        let at = planter.place(span, String::new(), String::new());
        Finding::new(&rules::TOML_SYNTAX, at, what)
    };
    let newer: Vec<_> = newer.into_iter().map(|(at, what)| finding(at..at, what)).collect();
    let errors = errors.iter().map(|e| finding(e.span().unwrap_or(0..0), e.message().trim()));
    Err(errors.chain(newer).collect())
}

/// Byte offsets at which lines begin.
fn line_starts(text: &str) -> Vec<usize> {
    let after_breaks = text.match_indices('\n').map(|(i, _)| i + 1);
    std::iter::once(0).chain(after_breaks).collect()
}

/// Copies a parsed file into our own tree, giving each node a place.
struct Planter<'a> {
    text: &'a str,
    file: u16,
    lines: Vec<usize>,
    sources: &'a mut Sources,
}

impl Planter<'_> {
    /// Records the place that begins where `span` does.
    fn place(&mut self, span: Range<usize>, path: String, value: String) -> At {
        let line = self.lines.partition_point(|&start| start <= span.start);
        let start = self.lines[line - 1];
        let before = self.text.get(start..span.start).unwrap_or("");
        let column = before.trim_start_matches('\u{feff}').chars().count() + 1;
        self.sources.add(Place {
            file: self.file,
            line: u32::try_from(line).unwrap_or(u32::MAX),
            column: u32::try_from(column).unwrap_or(u32::MAX),
            path,
            value,
        })
    }

    /// The value as written, on one line and not too long.
    fn shown(&self, span: Range<usize>) -> String {
        let written = self.text.get(span).unwrap_or("");
        let words: Vec<&str> = written.split_whitespace().collect();
        let line = words.join(" ");
        if line.chars().count() <= SHOWN {
            return line;
        }
        let cut: String = line.chars().take(SHOWN).collect();
        format!("{cut}...")
    }

    fn table(&mut self, table: &DeTable<'_>, path: &str) -> Value {
        let mut pairs: Vec<_> = table.iter().collect();
        // The parser keeps keys in the order of the alphabet; rows of a file mean file order.
        pairs.sort_by_key(|(key, _)| key.span().start);
        let entries = pairs.into_iter().map(|(key, value)| {
            let path = join(path, key.get_ref());
            self.entry(key, value, path)
        });
        Value::Table(entries.collect())
    }

    fn entry(
        &mut self,
        key: &Spanned<std::borrow::Cow<'_, str>>,
        value: &Spanned<DeValue<'_>>,
        path: String,
    ) -> Entry {
        // What stands under a header `[a.b]` has no text of its own to show.
        let inline = value.span().start >= key.span().end;
        let shown = match value.get_ref() {
            DeValue::Table(_) => String::new(),
            _ if inline => self.shown(value.span()),
            _ => String::new(),
        };
        let key_at = self.place(key.span(), path.clone(), shown);
        let node = match value.get_ref() {
            DeValue::Table(table) if !inline => {
                Node { at: key_at, value: self.table(table, &path) }
            }
            _ => self.node(value, path),
        };
        Entry { key: key.get_ref().to_string(), key_at, node }
    }

    fn node(&mut self, value: &Spanned<DeValue<'_>>, path: String) -> Node {
        let shown = match value.get_ref() {
            DeValue::Table(_) | DeValue::Array(_) => String::new(),
            _ => self.shown(value.span()),
        };
        let at = self.place(value.span(), path.clone(), shown);
        let value = match value.get_ref() {
            DeValue::String(text) => Value::Text(text.to_string()),
            DeValue::Integer(number) => {
                // The parser admits any number of digits; what does not fit is no count of ours.
                i128::from_str_radix(number.as_str(), number.radix())
                    .map_or(Value::Real(f64::INFINITY), Value::Whole)
            }
            DeValue::Float(number) => Value::Real(number.as_str().parse().unwrap_or(f64::INFINITY)),
            DeValue::Boolean(flag) => Value::Flag(*flag),
            DeValue::Datetime(_) => Value::Date,
            DeValue::Array(items) => Value::List(
                (0..)
                    .zip(items.iter())
                    .map(|(i, item): (usize, _)| self.node(item, format!("{path}[{i}]")))
                    .collect(),
            ),
            DeValue::Table(table) => self.table(table, &path),
        };
        Node { at, value }
    }
}

/// Key path one level down; a key that is not a bare TOML key is quoted.
fn join(path: &str, key: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    let key =
        if !key.is_empty() && key.chars().all(bare) { key.to_string() } else { format!("{key:?}") };
    if path.is_empty() { key } else { format!("{path}.{key}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn planted(text: &str) -> (Node, Sources) {
        let mut sources = Sources::default();
        let node = parse(text, 0, &mut sources).expect("valid TOML");
        (node, sources)
    }

    fn where_is(sources: &Sources, at: At) -> (u32, u32, &str, &str) {
        let place = sources.place(at);
        (place.line, place.column, &place.path, &place.value)
    }

    #[test]
    fn every_node_knows_its_line_column_path_and_text() {
        let text = "[a.\"b c\"]\nx = \"1 m\"\n  list = [ { y = 2 },\n   { y = 3.5 } ]\n";
        let (root, sources) = planted(text);
        let a = root.get("a").unwrap();
        let bc = a.node.get("b c").unwrap();
        assert_eq!(where_is(&sources, bc.node.at), (1, 4, "a.\"b c\"", ""));
        let x = bc.node.get("x").unwrap();
        assert_eq!(where_is(&sources, x.key_at), (2, 1, "a.\"b c\".x", "\"1 m\""));
        assert_eq!(where_is(&sources, x.node.at), (2, 5, "a.\"b c\".x", "\"1 m\""));
        let Value::List(items) = &bc.node.get("list").unwrap().node.value else {
            panic!("a list");
        };
        let y = items[1].get("y").unwrap();
        assert_eq!(where_is(&sources, y.node.at), (4, 10, "a.\"b c\".list[1].y", "3.5"));
    }

    #[test]
    fn keys_keep_the_order_of_the_file() {
        let (root, _) = planted("[s.z]\n[s.a]\nk = 1\nb = 2\n[s.m]\n[s.a.y]\n");
        let names = |n: &Node| -> Vec<String> {
            n.entries().unwrap().iter().map(|e| e.key.clone()).collect()
        };
        assert_eq!(names(&root.get("s").unwrap().node), ["z", "a", "m"]);
        let a = &root.get("s").unwrap().node.get("a").unwrap().node;
        assert_eq!(names(a), ["k", "b", "y"]);
    }

    #[test]
    fn tables_in_arrays_are_placed_at_their_header() {
        let (root, sources) = planted("[[row]]\na = 1\n\n[[row]]\na = 2\n");
        let Value::List(rows) = &root.get("row").unwrap().node.value else {
            panic!("a list");
        };
        let places: Vec<_> = rows.iter().map(|r| where_is(&sources, r.at)).collect();
        assert_eq!(places, [(1, 1, "row[0]", ""), (4, 1, "row[1]", "")]);
    }

    #[test]
    fn columns_count_characters_and_long_values_are_cut() {
        let long = "é".repeat(60);
        let (root, sources) = planted(&format!("a = [\"é\", {{ b = \"{long}\" }}]\n"));
        let Value::List(items) = &root.get("a").unwrap().node.value else {
            panic!("a list");
        };
        let b = items[1].get("b").unwrap();
        let (line, column, _, value) = where_is(&sources, b.node.at);
        assert_eq!((line, column), (1, 17));
        assert_eq!(value.chars().count(), SHOWN + 3);
    }

    #[test]
    fn all_syntax_errors_of_a_file_are_found() {
        let mut sources = Sources::default();
        let text = "a = \nb = 2\nb = 3\n[c\n";
        let findings = parse(text, 0, &mut sources).unwrap_err();
        let lines: Vec<_> = findings.iter().map(|f| sources.place(f.at).line).collect();
        assert_eq!(lines, [1, 3, 4]);
        assert!(findings.iter().all(|f| f.rule == "toml-syntax"));
    }
}
