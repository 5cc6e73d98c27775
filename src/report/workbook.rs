//! `summary.xlsx`: the tables of a results folder as typed cells, one sheet each, behind a first
//! sheet that says what they are and carries the caution. Numbers are numbers in any language of the
//! spreadsheet, text never runs as a formula, and the same files give the same bytes.

use super::book::{Book, PageError, Sheet};
use super::columns::{Column, Holds};
use super::files::{ResultFile, by_name};
use super::manifest::FactorFacts;
use rust_xlsxwriter::{
    Color, DocProperties, ExcelDateTime, Format, FormatAlign, Workbook, Worksheet, XlsxError,
};

/// The name of the workbook in a results folder.
pub const WORKBOOK: &str = "summary.xlsx";

/// Rows of a table that a sheet can hold beside its two rows of heading.
const MOST_ROWS: usize = (1 << 20) - 2;
/// Widest column, characters.
const WIDEST: usize = 60;

/// The workbook of a folder.
///
/// # Errors
/// When a table cannot be held.
pub(super) fn workbook(book: &Book) -> Result<Vec<u8>, PageError> {
    made(book).map_err(|e| PageError::Workbook { source: Box::new(e) })
}

fn made(book: &Book) -> Result<Vec<u8>, XlsxError> {
    let mut out = Workbook::new();
    // The time of making would make the bytes of equal results differ.
    let no_time = ExcelDateTime::from_ymd(2000, 1, 1)?;
    let facts = DocProperties::new()
        .set_title("Ways out and back in, compared")
        .set_comment(&book.manifest.caution)
        .set_creation_datetime(&no_time);
    out.set_properties(&facts);
    let tables: Vec<(&ResultFile, &Sheet)> = book
        .manifest
        .tables
        .iter()
        .filter_map(|name| Some((by_name(name)?, book.sheet(name)?)))
        .collect();
    first_sheet(book, &tables, out.add_worksheet())?;
    for (file, sheet) in &tables {
        table_sheet(book, file, sheet, out.add_worksheet())?;
    }
    out.save_to_buffer()
}

/// Name of the sheet of a table.
fn sheet_name(file: &ResultFile) -> &'static str {
    file.name.trim_end_matches(".csv")
}

fn heading() -> Format {
    Format::new().set_bold().set_background_color(Color::RGB(0xE8_EC_EF))
}

fn wrapped() -> Format {
    Format::new().set_text_wrap().set_align(FormatAlign::Top)
}

fn first_sheet(
    book: &Book,
    tables: &[(&ResultFile, &Sheet)],
    w: &mut Worksheet,
) -> Result<(), XlsxError> {
    w.set_name("read me")?;
    for (column, width) in [24.0, 26.0, 20.0, 90.0].into_iter().enumerate() {
        w.set_column_width(column as u16, width)?;
    }
    let m = &book.manifest;
    let (bold, wrap) = (Format::new().set_bold(), wrapped());
    let mut row = 0;
    let strong = Format::new().set_bold().set_font_size(14);
    w.write_string_with_format(row, 0, "Ways out and back in, compared", &strong)?;
    row += 1;
    let caution = wrapped().set_bold();
    w.merge_range(row, 0, row, 3, &m.caution, &caution)?;
    w.set_row_height(row, 32)?;
    row += 2;
    let titles = m.setting.as_ref().map(|s| s.titles.clone()).unwrap_or_default();
    let mut facts: Vec<(&str, String)> = vec![
        ("program", format!("{} {}", m.program, m.version)),
        ("campaign file", m.files.first().cloned().unwrap_or_default()),
        ("fingerprint", m.fingerprint.clone()),
        ("seed", m.seed.clone()),
    ];
    for (i, a) in m.architectures.iter().enumerate() {
        let title = titles.get(i).filter(|t| !t.is_empty());
        let title = title.map_or(a.clone(), |t| format!("{a}: {t}"));
        facts.push((if i == 0 { "architectures" } else { "" }, title));
    }
    for (i, what) in m.not_modelled.iter().enumerate() {
        facts.push((if i == 0 { "not modelled" } else { "" }, what.clone()));
    }
    w.write_string_with_format(row, 0, "campaigns", &bold)?;
    w.write_number(row, 1, m.campaigns as f64)?;
    row += 1;
    for (name, value) in &facts {
        w.write_string_with_format(row, 0, *name, &bold)?;
        w.write_string(row, 1, value)?;
        row += 1;
    }
    row += 1;
    for line in [
        "An empty cell is not estimable, and the note of its row says why. It is never a zero.",
        "Numbers are shown with some three digits; the cells hold all of them.",
        "Intervals are 95 %. They count chance and what the files call uncertain; they do not say whether an assumed number is right.",
        "Single campaigns, where they were kept, stand in campaigns.csv only.",
    ] {
        w.merge_range(row, 0, row, 3, line, &wrap)?;
        row += 1;
    }
    row += 1;
    for (i, h) in ["sheet", "column", "unit", "what it is"].iter().enumerate() {
        w.write_string_with_format(row, i as u16, *h, &heading())?;
    }
    row += 1;
    for (file, sheet) in tables {
        let link = format!("internal:'{}'!A1", sheet_name(file));
        w.write_url_with_text(row, 0, link.as_str(), sheet_name(file))?;
        w.write_string(row, 1, format!("{} rows", sheet.rows.len()))?;
        w.write_string_with_format(row, 3, file.title, &bold)?;
        row += 1;
        for f in m.sweep.iter().filter(|_| file.factors()).flat_map(|s| &s.factors) {
            w.write_string(row, 1, &f.name)?;
            w.write_string(row, 2, &f.unit)?;
            w.write_string_with_format(row, 3, format!("factor: {}", f.keys.join(", ")), &wrap)?;
            row += 1;
        }
        for c in file.columns() {
            w.write_string(row, 1, c.name)?;
            w.write_string(row, 2, unit(&c))?;
            w.write_string_with_format(row, 3, c.meaning, &wrap)?;
            row += 1;
        }
    }
    w.set_landscape().set_print_fit_to_pages(1, 0);
    Ok(())
}

/// The unit of a column in words.
fn unit(c: &Column) -> &'static str {
    match (c.unit, c.holds) {
        ("unit", _) => "see column unit",
        ("", Holds::Text) => "text",
        ("", _) => "none",
        (unit, _) => unit,
    }
}

/// How numbers are shown: some three digits; the cells hold them all.
struct Shown {
    whole: Format,
    some: Format,
    small: Format,
    tiny: Format,
}

impl Shown {
    fn new() -> Shown {
        let format = |f: &str| Format::new().set_num_format(f);
        Shown {
            whole: format("0"),
            some: format("0.00"),
            small: format("0.0000"),
            tiny: format("0.00E+00"),
        }
    }

    fn of(&self, x: f64) -> &Format {
        match x.abs() {
            _ if x == x.trunc() && x.abs() < 1e15 => &self.whole,
            a if a >= 1000.0 => &self.whole,
            a if a >= 1.0 => &self.some,
            a if a >= 1e-3 => &self.small,
            _ => &self.tiny,
        }
    }
}

/// A table: a row of units, a row of names, the cells.
fn table_sheet(
    book: &Book,
    file: &ResultFile,
    sheet: &Sheet,
    w: &mut Worksheet,
) -> Result<(), XlsxError> {
    w.set_name(sheet_name(file))?;
    let columns = file.columns();
    let factors: Vec<&FactorFacts> =
        book.manifest.sweep.iter().filter(|_| file.factors()).flat_map(|s| &s.factors).collect();
    let (shown, words) = (Shown::new(), Format::new().set_indent(1));
    let units = Format::new().set_italic().set_font_color(Color::RGB(0x50_58_60));
    let mut widths = vec![0; sheet.header.len()];
    for (i, name) in sheet.header.iter().enumerate() {
        let column = columns.iter().find(|c| c.name == name);
        let of_factor = factors.get(i).map(|f| f.unit.as_str());
        let unit = of_factor.unwrap_or_else(|| column.map_or("", unit));
        w.write_string_with_format(0, i as u16, unit, &units)?;
        w.write_string_with_format(1, i as u16, name, &heading())?;
        widths[i] = name.chars().count() + 3;
    }
    for (r, cells) in sheet.rows.iter().take(MOST_ROWS).enumerate() {
        for (i, text) in cells.iter().enumerate().filter(|(_, text)| !text.is_empty()) {
            let at = (r as u32 + 2, i as u16);
            let column = sheet.header.get(i).and_then(|h| columns.iter().find(|c| c.name == h));
            let numeric = match factors.get(i) {
                Some(f) => f.number,
                None => column.is_some_and(|c| c.holds != Holds::Text),
            };
            let number = numeric.then(|| text.parse().ok()).flatten();
            match number.filter(|x: &f64| x.is_finite()) {
                Some(x) => {
                    w.write_number_with_format(at.0, at.1, x, shown.of(x))?;
                    widths[i] = widths[i].max(11);
                }
                None => {
                    w.write_string_with_format(at.0, at.1, bare(text), &words)?;
                    widths[i] = widths[i].max(text.chars().count() + 1);
                }
            }
        }
    }
    for (i, width) in widths.iter().enumerate() {
        w.set_column_width(i as u16, (*width).min(WIDEST) as f64)?;
    }
    let last = (sheet.rows.len().min(MOST_ROWS) + 1) as u32;
    if let Some(right) = sheet.header.len().checked_sub(1) {
        w.autofilter(1, 0, last, right as u16)?;
    }
    w.set_freeze_panes(2, 1)?;
    w.set_landscape().set_print_fit_to_pages(1, 0).set_repeat_rows(0, 1)?;
    if sheet.rows.len() > MOST_ROWS {
        let what =
            format!("{} rows more stand in {} only", sheet.rows.len() - MOST_ROWS, file.name);
        w.write_string(0, sheet.header.len() as u16, what)?;
    }
    Ok(())
}

/// Text without the apostrophe that keeps a spreadsheet from running it out of CSV: in a workbook
/// text is text.
fn bare(text: &str) -> &str {
    text.strip_prefix('\'').filter(|r| r.starts_with(['=', '+', '-', '@'])).unwrap_or(text)
}
