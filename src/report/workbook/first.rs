//! The first sheet: who is best at what and how sure it is, then the limits, then where the rest
//! stands. Every number is a typed cell, also the limits of intervals, so that no language of the
//! spreadsheet reads it wrongly.

use super::{COLUMNS, FIRST, Listed, OF_A_SWEEP, heading, sheet_name, wrapped};
use crate::measure::glossary::title;
use crate::measure::measure;
use crate::report::book::{Book, Row};
use crate::report::page::{Place, Standing, standings};
use rust_xlsxwriter::{Color, Format, FormatAlign, FormatBorder, Url, Worksheet, XlsxError};

/// Columns before the first architecture: what, and its unit.
const BEFORE: u16 = 2;
/// Least columns that headings and sentences go over.
const LEAST_WIDE: u16 = 6;

/// Writes the sheet.
pub(super) fn write(book: &Book, tables: &[Listed], w: &mut Worksheet) -> Result<(), XlsxError> {
    let swept = book.manifest.sweep.is_some();
    w.set_name(if swept { OF_A_SWEEP } else { FIRST })?;
    w.set_column_width(0, 38)?;
    w.set_column_width(1, 16)?;
    let arms = book.arms().len() as u16;
    for column in 0..arms.max(LEAST_WIDE) {
        w.set_column_width(BEFORE + column, 15)?;
    }
    let mut pen = Pen { w, row: 0, last: BEFORE + arms.max(LEAST_WIDE) - 1 };
    head(book, &mut pen)?;
    // A sweep has estimates at its points, and none of the base campaign.
    if !swept {
        matrix(book, &mut pen)?;
    }
    limits(book, &mut pen)?;
    architectures(book, &mut pen)?;
    rest(book, tables, &mut pen)?;
    w.set_landscape().set_print_fit_to_pages(1, 0).set_footer("&L&A&Rpage &P of &N");
    Ok(())
}

/// Writes row by row.
struct Pen<'a> {
    w: &'a mut Worksheet,
    row: u32,
    last: u16,
}

impl Pen<'_> {
    /// A sentence over all columns.
    fn line(&mut self, text: &str, format: &Format) -> Result<(), XlsxError> {
        self.w.merge_range(self.row, 0, self.row, self.last, text, format)?;
        // A merged cell does not grow by itself.
        let wide = 38 + 16 + 15 * (self.last as usize + 1 - BEFORE as usize);
        let lines = text.chars().count().div_ceil(wide).max(1);
        self.w.set_row_height(self.row, 15.0 * lines as f64)?;
        self.row += 1;
        Ok(())
    }

    /// A row of headings: two words and the architectures.
    fn headings(&mut self, first: [&str; 2], arms: &[String]) -> Result<(), XlsxError> {
        let head = heading().set_text_wrap().set_align(FormatAlign::Top);
        let right = head.clone().set_align(FormatAlign::Right);
        for (i, text) in first.into_iter().enumerate() {
            self.w.write_string_with_format(self.row, i as u16, text, &head)?;
        }
        for (i, arm) in arms.iter().enumerate() {
            self.w.write_string_with_format(self.row, BEFORE + i as u16, arm, &right)?;
        }
        self.w.set_row_height(self.row, 30)?;
        self.row += 1;
        Ok(())
    }
}

fn head(book: &Book, pen: &mut Pen) -> Result<(), XlsxError> {
    let m = &book.manifest;
    pen.line("Ways out and back in, compared", &Format::new().set_bold().set_font_size(14))?;
    pen.w.set_row_height(0, 22)?;
    let setting = m.setting.as_ref();
    let setting =
        setting.map_or(String::new(), |s| format!(" of {} days, crew of {}", s.length_d, s.crew));
    let file = m.files.first().map_or("", String::as_str);
    let played = format!(
        "{} campaigns{setting}; {file}, seed {}, fingerprint {}; {} {}",
        m.campaigns, m.seed, m.fingerprint, m.program, m.version
    );
    pen.line(&played, &wrapped())?;
    pen.line(&m.caution, &wrapped().set_bold())?;
    pen.row += 1;
    Ok(())
}

/// How a number of the matrix looks.
struct Look {
    mean: Format,
    best: Format,
    limit: Format,
    words: Format,
    rule: Format,
}

impl Look {
    fn new() -> Look {
        let grey = Color::RGB(0x59_5F_66);
        let right = Format::new().set_align(FormatAlign::Right);
        let top = FormatBorder::Hair;
        Look {
            mean: right.clone().set_border_top(top),
            best: right
                .clone()
                .set_border_top(top)
                .set_bold()
                .set_background_color(Color::RGB(0xDD_EF_E0)),
            limit: right.clone().set_font_color(grey).set_font_size(9),
            words: right.set_border_top(top),
            rule: Format::new().set_border_top(top),
        }
    }
}

/// Measures down, architectures across: the mean, and below it both ends of its interval.
fn matrix(book: &Book, pen: &mut Pen) -> Result<(), XlsxError> {
    let look = Look::new();
    pen.headings(["measure", "unit"], book.arms())?;
    let all = standings(book);
    for s in &all {
        let unit = match (s.spoken.share, s.unit.as_str()) {
            (true, _) => "share of campaigns",
            (false, "") => "number",
            (false, unit) => unit,
        };
        pen.w.write_string_with_format(pen.row, 0, s.words(), &look.rule)?;
        pen.w.write_string_with_format(pen.row, 1, unit, &look.rule)?;
        let small = look.limit.clone().set_align(FormatAlign::Left).set_indent(1);
        pen.w.write_string_with_format(pen.row + 1, 0, "95 % interval, from", &small)?;
        pen.w.write_string_with_format(pen.row + 2, 0, "to", &small)?;
        for arm in 0..book.arms().len() {
            matrix_cell(s, arm, book.arms().len() > 1, &look, pen)?;
        }
        pen.row += 3;
    }
    if book.arms().len() > 1 && !all.is_empty() {
        pen.line(
            "\u{25cf} best; \u{25cb} not distinguishable from the best: the 95 % interval of the \
            paired difference (common random numbers) includes 0; other numbers are behind the \
            best. Paired differences are sharper than the intervals shown, which are those of \
            each architecture alone.",
            &wrapped(),
        )?;
    }
    pen.row += 1;
    Ok(())
}

fn matrix_cell(
    s: &Standing,
    arm: usize,
    compared: bool,
    look: &Look,
    pen: &mut Pen,
) -> Result<(), XlsxError> {
    let column = BEFORE + arm as u16;
    let Some((e, mean)) = s.estimates[arm].as_ref().and_then(|e| Some((e, e.mean?))) else {
        pen.w.write_string_with_format(pen.row, column, "not estimable", &look.words)?;
        return Ok(());
    };
    let half = match (e.low, e.high) {
        (Some(low), Some(high)) => 0.5 * (high - low),
        _ => 0.0,
    };
    let digits = digits(mean, half, s.spoken.share);
    let (mark, base) = match s.places[arm] {
        Place::Best if compared => ("\"\u{25cf} \"", &look.best),
        Place::Even if compared => ("\"\u{25cb} \"", &look.mean),
        _ => ("", &look.mean),
    };
    // The mark is part of how the number is shown: the cell holds the number alone.
    let shown = match mean == 0.0 {
        true => format!("{mark}\"none seen\""),
        false => format!("{mark}{digits}"),
    };
    let shown = base.clone().set_num_format(shown);
    pen.w.write_number_with_format(pen.row, column, mean, &shown)?;
    let limit = look.limit.clone().set_num_format(&digits);
    for (below, end) in [(1, e.low), (2, e.high)] {
        if let Some(x) = end {
            pen.w.write_number_with_format(pen.row + below, column, x, &limit)?;
        }
    }
    Ok(())
}

/// Format of a number whose digits end at the first digit of the half-width of its interval, or
/// after three where it has none.
fn digits(mean: f64, half: f64, share: bool) -> String {
    let scale = if share { 100.0 } else { 1.0 };
    let end = match half > 0.0 {
        true => (half * scale).log10().floor(),
        false if mean != 0.0 => (mean.abs() * scale).log10().floor() - 2.0,
        false => 0.0,
    };
    let decimals = (-end).clamp(0.0, 12.0) as usize;
    let point = if decimals > 0 { "." } else { "" };
    let percent = if share { "%" } else { "" };
    format!("0{point}{}{percent}", "0".repeat(decimals))
}

/// Limits down, architectures across: the verdict, and below it what it goes by.
fn limits(book: &Book, pen: &mut Pen) -> Result<(), XlsxError> {
    let rows: Vec<Row> = book.rows("requirements.csv").collect();
    let mut names: Vec<&str> = Vec::new();
    for r in &rows {
        if !names.contains(&r.text("limit")) {
            names.push(r.text("limit"));
        }
    }
    if names.is_empty() {
        return Ok(());
    }
    let look = Look::new();
    pen.headings(["limit of the campaign file", "asks for"], book.arms())?;
    for name in names {
        let of = |arm: &str| {
            rows.iter().find(|r| r.text("limit") == name && r.text("architecture") == arm)
        };
        let Some(any) = rows.iter().find(|r| r.text("limit") == name) else { continue };
        let what = format!("{name}: {}, {}", title(any.text("measure")), any.text("statistic"));
        let wrap = look.rule.clone().set_text_wrap().set_align(FormatAlign::Top);
        pen.w.write_string_with_format(pen.row, 0, what, &wrap)?;
        pen.w.write_string_with_format(pen.row, 1, any.text("bound"), &wrap)?;
        for (i, arm) in book.arms().iter().enumerate() {
            let column = BEFORE + i as u16;
            let Some(r) = of(arm) else {
                pen.w.write_string_with_format(pen.row, column, "not asked", &look.words)?;
                continue;
            };
            let verdict = match r.text("verdict") {
                "met" => look.best.clone(),
                "not met" => look.words.clone().set_background_color(Color::RGB(0xF6_DD_DA)),
                _ => look.words.clone(),
            };
            pen.w.write_string_with_format(pen.row, column, r.text("verdict"), &verdict)?;
            let half = r.number("low95").zip(r.number("high95")).map(|(l, h)| 0.5 * (h - l));
            if let Some(x) = r.number("estimate") {
                let never = x == 0.0 && measure(r.text("measure")).is_some_and(|m| m.is_share());
                let shown = match never {
                    true => "\"none seen\"".into(),
                    false => digits(x, half.unwrap_or(0.0), false),
                };
                let small = look.limit.clone().set_num_format(shown);
                pen.w.write_number_with_format(pen.row + 1, column, x, &small)?;
            }
        }
        pen.row += 2;
    }
    pen.row += 1;
    Ok(())
}

/// Titles of the architectures.
fn architectures(book: &Book, pen: &mut Pen) -> Result<(), XlsxError> {
    let titles = book.manifest.setting.as_ref().map(|s| s.titles.as_slice()).unwrap_or(&[]);
    for (arm, title) in book.arms().iter().zip(titles).filter(|(_, title)| !title.is_empty()) {
        pen.line(&format!("{arm}: {title}"), &wrapped())?;
    }
    pen.row += 1;
    Ok(())
}

/// What has to be known to read the sheets, and where they are.
fn rest(book: &Book, tables: &[Listed], pen: &mut Pen) -> Result<(), XlsxError> {
    let not = format!("Not modelled: {}.", book.manifest.not_modelled.join("; "));
    for line in [
        "Intervals are 95 %. They count chance and what the files call uncertain; they do not say \
         whether an assumed number is right.",
        "The other sheets are tables with their names in the first row. An empty cell is not \
        estimable, and the note of its row says why; it is never a zero. Numbers are shown with \
        about three digits; the cells hold all of them.",
        not.as_str(),
    ] {
        pen.line(line, &wrapped())?;
    }
    pen.row += 1;
    pen.headings(["sheet", "rows"], &[])?;
    pen.w.write_string_with_format(pen.row - 1, BEFORE, "what it holds", &heading())?;
    let link = |name: &str| Url::new(format!("internal:'{name}'!A1")).set_text(name);
    pen.w.write_url(pen.row, 0, link(COLUMNS))?;
    pen.w.write_string(pen.row, BEFORE, "what every column of every sheet holds, and its unit")?;
    pen.row += 1;
    for (file, table) in tables {
        pen.w.write_url(pen.row, 0, link(sheet_name(file)))?;
        pen.w.write_number(pen.row, 1, table.rows.len() as f64)?;
        let left_out = table.rows.len().saturating_sub(super::sheet::MOST_ROWS);
        let title = match left_out {
            0 => file.title.to_string(),
            n => format!("{}; the last {n} rows stand in {} only", file.title, file.name),
        };
        pen.w.write_string(pen.row, BEFORE, title)?;
        pen.row += 1;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::digits;

    #[test]
    fn digits_end_at_the_first_digit_of_the_half_width() {
        assert_eq!(digits(35.31, 0.42, false), "0.0");
        assert_eq!(digits(351.0, 12.0, false), "0");
        assert_eq!(digits(0.0062, 0.003, true), "0.0%");
        assert_eq!(digits(0.42, 0.0, false), "0.000");
        assert_eq!(digits(0.0, 0.0, false), "0");
        assert_eq!(digits(0.0553, 0.0007, false), "0.0000");
    }
}
