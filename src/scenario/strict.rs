//! Keeps files to TOML 1.0, so that any tool can read them: the parser in use also takes what
//! version 1.1 added. (Times without seconds, another addition, fit no key.)

use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// What of the text needs a later version: byte offset and a sentence each.
pub(super) fn newer_than_1_0(text: &str, table: &DeTable<'_>) -> Vec<(usize, &'static str)> {
    let mut search = Search { text, found: Vec::new() };
    search.table(table);
    search.found.sort_unstable();
    search.found
}

struct Search<'a> {
    text: &'a str,
    found: Vec<(usize, &'static str)>,
}

impl Search<'_> {
    fn table(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            self.escapes(key.span());
            self.value(value);
        }
    }

    fn value(&mut self, value: &Spanned<DeValue<'_>>) {
        match value.get_ref() {
            DeValue::String(_) => self.escapes(value.span()),
            DeValue::Array(items) => items.iter().for_each(|item| self.value(item)),
            DeValue::Table(table) => {
                if self.text[value.span()].starts_with('{') {
                    self.braces(value.span(), table);
                }
                self.table(table);
            }
            _ => {}
        }
    }

    /// Line breaks and a last comma between the braces of an inline table.
    fn braces(&mut self, span: Range<usize>, table: &DeTable<'_>) {
        let mut values = Vec::new();
        values_of(table, &mut values);
        values.sort_unstable_by_key(|value| value.start);
        let mut from = span.start;
        for value in values {
            self.one_line(from..value.start);
            from = value.end;
        }
        self.one_line(from..span.end);
        if let Some(comma) = self.text[from..span.end].find(',') {
            let what = "a comma after the last key of an inline table is not TOML 1.0";
            self.found.push((from + comma, what));
        }
    }

    fn one_line(&mut self, gap: Range<usize>) {
        if let Some(at) = self.text.get(gap.clone()).and_then(|gap| gap.find('\n')) {
            let what = "a line break between the keys of an inline table is not TOML 1.0";
            self.found.push((gap.start + at, what));
        }
    }

    /// The escapes `\e` and `\x` in a text or key in double quotes.
    fn escapes(&mut self, span: Range<usize>) {
        let written = &self.text[span.clone()];
        if !written.starts_with('"') {
            return;
        }
        let mut chars = written.char_indices();
        while let Some((i, c)) = chars.next() {
            if c == '\\' && chars.next().is_some_and(|(_, c)| matches!(c, 'e' | 'x')) {
                let what = "the escapes \\e and \\x are not TOML 1.0";
                self.found.push((span.start + i, what));
            }
        }
    }
}

/// Where the values of an inline table stand. Tables that only dotted keys make have no text.
fn values_of(table: &DeTable<'_>, spans: &mut Vec<Range<usize>>) {
    for (key, value) in table {
        match value.get_ref() {
            DeValue::Table(inner) if value.span().start < key.span().end => {
                values_of(inner, spans);
            }
            _ => spans.push(value.span()),
        }
    }
}
