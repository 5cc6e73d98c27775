//! `summary.xlsx`: a first sheet with the matrix and the limits, a sheet of columns, and the tables
//! of a results folder as typed cells, one sheet each with its names in the first row. Numbers are
//! numbers in any language of the spreadsheet, text never runs as a formula, and the same files
//! give the same bytes.

mod first;
mod sheet;

use super::book::{Book, PageError, Sheet};
use super::columns::{Column, Holds};
use super::files::{ResultFile, by_name};
use super::manifest::FactorFacts;
use rust_xlsxwriter::{
    Color, DocProperties, ExcelDateTime, Format, FormatAlign, Workbook, Worksheet, XlsxError,
};

/// The name of the workbook in a results folder.
pub const WORKBOOK: &str = "summary.xlsx";

/// Name of the first sheet.
const FIRST: &str = "matrix";
/// The same of a sweep, which has no matrix.
const OF_A_SWEEP: &str = "overview";
/// Name of the sheet that says what every column is.
const COLUMNS: &str = "columns";

/// A table of the folder with what is known of it.
type Listed<'a> = (&'a ResultFile, &'a Sheet);

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
    let tables: Vec<Listed> = book
        .manifest
        .tables
        .iter()
        .filter_map(|name| Some((by_name(name)?, book.sheet(name)?)))
        .collect();
    first::write(book, &tables, out.add_worksheet())?;
    columns_sheet(book, &tables, out.add_worksheet())?;
    for (file, table) in &tables {
        sheet::write(file, factors(book, file), table, out.add_worksheet())?;
    }
    out.save_to_buffer()
}

/// Factors of a sweep whose columns stand before those of a table.
fn factors<'a>(book: &'a Book, file: &ResultFile) -> &'a [FactorFacts] {
    let sweep = book.manifest.sweep.as_ref().filter(|_| file.factors());
    sweep.map_or(&[], |s| &s.factors)
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

/// What every column of every sheet holds: one table.
fn columns_sheet(book: &Book, tables: &[Listed], w: &mut Worksheet) -> Result<(), XlsxError> {
    w.set_name(COLUMNS)?;
    let names = ["sheet", "column", "unit", "holds", "meaning"];
    for (i, (name, width)) in names.into_iter().zip([16.0, 30.0, 20.0, 12.0, 100.0]).enumerate() {
        w.set_column_width(i as u16, width)?;
        w.write_string_with_format(0, i as u16, name, &heading())?;
    }
    let wrap = wrapped();
    let mut row = 0;
    for (file, _) in tables {
        let of_factor = |f: &FactorFacts| {
            let unit = if f.unit.is_empty() { "none" } else { &f.unit };
            let holds = if f.number { "number" } else { "text" };
            let meaning = format!("factor, set at {}", f.keys.join(", "));
            [f.name.clone(), unit.into(), holds.into(), meaning]
        };
        let own = |c: &Column| [c.name, unit(c), holds(c), c.meaning].map(String::from);
        let columns = file.columns();
        for cells in factors(book, file).iter().map(of_factor).chain(columns.iter().map(own)) {
            row += 1;
            let link = format!("internal:'{}'!A1", sheet_name(file));
            w.write_url_with_text(row, 0, link.as_str(), sheet_name(file))?;
            for (i, cell) in cells.iter().enumerate() {
                let column = i as u16 + 1;
                match i {
                    3 => w.write_string_with_format(row, column, cell, &wrap)?,
                    _ => w.write_string(row, column, cell)?,
                };
            }
        }
    }
    w.set_freeze_panes(1, 0)?;
    w.autofilter(0, 0, row, 4)?;
    w.set_landscape().set_print_fit_to_pages(1, 0).set_repeat_rows(0, 0)?;
    Ok(())
}

/// The unit of a column in words.
fn unit(c: &Column) -> &'static str {
    match c.unit {
        "unit" => "see column unit",
        "" => "none",
        unit => unit,
    }
}

/// What a column holds in a word.
fn holds(c: &Column) -> &'static str {
    match c.holds {
        Holds::Text => "text",
        Holds::Whole => "whole number",
        Holds::Number => "number",
    }
}
