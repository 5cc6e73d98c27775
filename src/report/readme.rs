//! `README.txt` of a results folder: which file to open, how to read decimals, what every file is.

use super::book::Book;
use super::files::{ResultFile, by_name};
use super::parquet::COLUMNAR;
use super::{PACKAGE, PAGE, WORKBOOK};
use std::fmt::Write;

/// The name of the text in a results folder.
pub const README: &str = "README.txt";

/// Widest line, characters.
const WIDTH: usize = 78;

/// The text of a folder; `columnar` are its tables that are there as Parquet too.
pub(super) fn readme(book: &Book, columnar: &[&str]) -> String {
    let m = &book.manifest;
    let mut out = String::from("Ways out and back in, compared\n\n");
    let file = m.files.first().map_or("", String::as_str);
    let played = format!(
        "{} campaigns of {file} with seed {}, {} architectures on common random numbers. Made by \
         {} {} from files with fingerprint {}.",
        m.campaigns,
        m.seed,
        m.architectures.len(),
        m.program,
        m.version,
        m.fingerprint
    );
    paragraph(&mut out, &played);
    if let Some(s) = &m.sweep {
        let swept = format!(
            "A sweep of {} points over {} factors ({}), with that many campaigns at each. Random \
            numbers of the points: {}: {}. An empty cell of a factor means: as in the base \
            campaign.",
            s.points,
            s.factors.len(),
            s.design,
            s.luck,
            s.noise
        );
        paragraph(&mut out, &swept);
    }
    paragraph(&mut out, &m.caution);
    out.push_str("Open first\n\n");
    first(&mut out, m.sweep.is_some());
    decimals(&mut out);
    out.push_str("For programs\n\n");
    entry(&mut out, PACKAGE, "columns, types, units, meanings and keys of every table");
    entry(&mut out, "manifest.json", "seed, fingerprint and options; under `run` what may differ");
    let first = m.tables.iter().find(|t| *t == "summary.csv").or(m.tables.first());
    let first = first.map_or("summary", |t| t.trim_end_matches(".csv"));
    let _ = write!(out, "\nIn Python: pandas.read_csv(\"{first}.csv\")");
    let _ = write!(out, "\n           pandas.read_excel(\"{WORKBOOK}\", \"{first}\")");
    if let Some(name) = columnar.first() {
        let _ = write!(out, "\n           pandas.read_parquet(\"{name}\")");
    }
    let _ = write!(out, "\nIn R:      read.csv(\"{first}.csv\")\n\nTables\n\n");
    let tables = m.tables.iter().filter_map(|name| by_name(name));
    for table in tables {
        entry(&mut out, table.name, table.title);
        if let Some((_, name)) = as_parquet(table).filter(|(_, name)| columnar.contains(name)) {
            entry(&mut out, name, "the same for programs, typed and compact");
        }
    }
    out.push_str("\nNot modelled\n\n");
    paragraph(&mut out, &format!("{}.", m.not_modelled.join("; ")));
    out.truncate(out.trim_end().len());
    out + "\n"
}

/// Which files to open first.
fn first(out: &mut String, swept: bool) {
    let page = match swept {
        true => "in a browser: where choices change, which factors matter, figures, assumptions",
        false => "in a browser: the matrix, figures, why each loses, assumptions",
    };
    let book = match swept {
        true => "in a spreadsheet: every table",
        false => "in a spreadsheet: the matrix and limits, then every table",
    };
    entry(out, PAGE, page);
    entry(out, WORKBOOK, book);
}

/// What a spreadsheet does to the decimals of a CSV file, and what an empty cell means.
fn decimals(out: &mut String) {
    out.push_str("\nDecimals\n\n");
    paragraph(
        out,
        "Do not open a .csv file by a double click. Its decimals are points, and a spreadsheet set \
         to a language that writes decimal commas (German, French, Spanish, Italian, ...) turns \
         0.001 into 1 and 12.500 into 12500, or into text, without a word. Open summary.xlsx \
         instead: it holds the same tables as typed cells, which no language changes. If you must \
         import a .csv file: comma between columns, quotes around text, UTF-8, and English (USA) \
         as the language of the numbers.",
    );
    paragraph(
        out,
        "An empty cell means \"not estimable\", and the column `note` says why. It is never a zero. \
         Intervals are 95 %.",
    );
}

fn as_parquet(table: &ResultFile) -> Option<(&'static str, &'static str)> {
    COLUMNAR.iter().find(|(csv, _)| *csv == table.name).copied()
}

/// A name and what it is.
fn entry(out: &mut String, name: &str, what: &str) {
    let _ = write!(out, "  {name:20} ");
    out.push_str(&lines(what, 23));
    out.push('\n');
}

/// Text in lines, and an empty line.
fn paragraph(out: &mut String, text: &str) {
    out.push_str(&lines(text, 0));
    out.push_str("\n\n");
}

/// Text in lines, all but the first behind so many blanks, which stand before the first already.
fn lines(text: &str, indent: usize) -> String {
    let mut out = String::new();
    let mut width = indent;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if width > indent && width + 1 + length > WIDTH {
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            width = indent;
        } else if width > indent {
            out.push(' ');
            width += 1;
        }
        out.push_str(word);
        width += length;
    }
    out
}
