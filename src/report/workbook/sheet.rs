//! One table as one sheet: names in the first row, cells from the second on, nothing else, so that
//! a program or a pivot table takes it as it is.

use super::{heading, sheet_name};
use crate::report::book::Sheet;
use crate::report::columns::Holds;
use crate::report::files::ResultFile;
use crate::report::manifest::FactorFacts;
use rust_xlsxwriter::{Format, Table, TableColumn, TableStyle, Worksheet, XlsxError};

/// Rows of a table that a sheet can hold beside its row of names.
pub(super) const MOST_ROWS: usize = (1 << 20) - 1;
/// Widest column, characters.
const WIDEST: usize = 60;
/// What goes on paper: so many rows, and columns until they are so many characters wide. The sheets
/// are for programs and for the screen; the first sheet is for paper.
const PRINTED: (usize, usize) = (50, 170);

/// Writes the sheet of a table.
pub(super) fn write(
    file: &ResultFile,
    factors: &[FactorFacts],
    table: &Sheet,
    w: &mut Worksheet,
) -> Result<(), XlsxError> {
    w.set_name(sheet_name(file))?;
    let numeric = numeric(file, factors, table);
    let widths = cells(&numeric, table, w)?;
    let Some(right) = widths.len().checked_sub(1).map(|c| c as u16) else {
        return Ok(());
    };
    for (i, width) in widths.iter().enumerate() {
        w.set_column_width(i as u16, *width as f64)?;
    }
    let last = table.rows.len().min(MOST_ROWS) as u32;
    if last > 0 {
        let column = |name: &String| {
            TableColumn::new().set_header(name.as_str()).set_header_format(heading())
        };
        let columns: Vec<TableColumn> = table.header.iter().map(column).collect();
        let named = Table::new()
            .set_name(sheet_name(file).replace('-', "_"))
            .set_columns(&columns)
            .set_style(TableStyle::None);
        w.add_table(0, 0, last, right, &named)?;
    }
    w.set_freeze_panes(1, 1)?;
    printed(table, &widths, last, w)
}

/// Which columns hold numbers.
fn numeric(file: &ResultFile, factors: &[FactorFacts], table: &Sheet) -> Vec<bool> {
    let columns = file.columns();
    let holds = |(i, name): (usize, &String)| match factors.get(i) {
        Some(f) => f.number,
        None => columns.iter().any(|c| c.name == name && c.holds != Holds::Text),
    };
    table.header.iter().enumerate().map(holds).collect()
}

/// Names and cells; gives the width of each column.
fn cells(numeric: &[bool], table: &Sheet, w: &mut Worksheet) -> Result<Vec<usize>, XlsxError> {
    let (shown, words) = (Shown::new(), Format::new().set_indent(1));
    let mut widths = vec![0; table.header.len()];
    for (i, name) in table.header.iter().enumerate() {
        w.write_string_with_format(0, i as u16, name, &heading())?;
        widths[i] = name.chars().count() + 3;
    }
    for (r, cells) in table.rows.iter().take(MOST_ROWS).enumerate() {
        let row = r as u32 + 1;
        for (i, text) in cells.iter().enumerate().filter(|(_, text)| !text.is_empty()) {
            let is_number = numeric.get(i).is_some_and(|n| *n);
            let number = is_number.then(|| text.parse().ok()).flatten();
            let width = match number.filter(|x: &f64| x.is_finite()) {
                Some(x) => {
                    w.write_number_with_format(row, i as u16, x, shown.of(x))?;
                    11
                }
                None => {
                    w.write_string_with_format(row, i as u16, bare(text), &words)?;
                    text.chars().count() + 2
                }
            };
            widths[i] = widths[i].max(width).min(WIDEST);
        }
    }
    Ok(widths)
}

/// What goes on paper, and a line on it that says how much of the table that is.
fn printed(table: &Sheet, widths: &[usize], last: u32, w: &mut Worksheet) -> Result<(), XlsxError> {
    let mut wide = 0;
    let fits = |width: &&usize| {
        wide += **width;
        wide <= PRINTED.1
    };
    let columns = widths.iter().take_while(fits).count().max(1);
    let rows = last.min(PRINTED.0 as u32);
    w.set_print_area(0, 0, rows, columns as u16 - 1)?;
    w.set_landscape().set_print_fit_to_pages(1, 0).set_repeat_rows(0, 0)?;
    let (all_rows, all_columns) = (table.rows.len(), widths.len());
    let part = match (rows as usize) < all_rows || columns < all_columns {
        true => format!(", {rows} of {all_rows} rows, {columns} of {all_columns} columns"),
        false => String::new(),
    };
    w.set_footer(format!("&L&A{part}&Rpage &P of &N"));
    Ok(())
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

/// Text without the apostrophe that keeps a spreadsheet from running it out of CSV: in a workbook
/// text is text.
fn bare(text: &str) -> &str {
    text.strip_prefix('\'').filter(|r| r.starts_with(['=', '+', '-', '@'])).unwrap_or(text)
}
