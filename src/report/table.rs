//! A table and its one CSV form: RFC 4180 quoting, comma, LF, `.` decimals, shortest round-trip
//! numbers, empty cell for "not estimable".

use super::columns::{Column, Holds};

/// One cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Text from our own vocabulary (names, units, methods).
    Text(String),
    /// Free text from files: one that begins with `=`, `+`, `-` or `@` is written with a leading
    /// apostrophe, so that no spreadsheet runs it (rule 40).
    Free(String),
    /// A finite number.
    Number(f64),
    /// A whole number.
    Whole(u64),
    /// Not estimable, or nothing to say.
    Empty,
}

impl Cell {
    /// Text.
    pub fn text(s: impl Into<String>) -> Cell {
        Cell::Text(s.into())
    }
    /// A number, or empty.
    pub fn maybe(x: Option<f64>) -> Cell {
        match x {
            Some(x) if x.is_finite() => Cell::Number(x),
            _ => Cell::Empty,
        }
    }
    /// May it stand in such a column? An empty cell may stand anywhere.
    fn fits(&self, holds: Holds) -> bool {
        match self {
            Cell::Text(_) | Cell::Free(_) => holds == Holds::Text,
            Cell::Number(_) => holds == Holds::Number,
            Cell::Whole(_) => holds != Holds::Text,
            Cell::Empty => true,
        }
    }
    /// As it stands in a CSV file, before quoting.
    pub fn written(&self) -> String {
        match self {
            Cell::Text(s) => s.clone(),
            Cell::Free(s) if s.starts_with(['=', '+', '-', '@']) => format!("'{s}"),
            Cell::Free(s) => s.clone(),
            Cell::Number(x) => number(*x),
            Cell::Whole(n) => n.to_string(),
            Cell::Empty => String::new(),
        }
    }
}

/// Shortest digits that read back as the same number.
pub fn number(x: f64) -> String {
    let x = if x == 0.0 { 0.0 } else { x }; // no negative zero
    let plain = format!("{x}");
    let exponent = format!("{x:e}");
    if plain.len() <= 20 { plain } else { exponent }
}

/// A table: its columns and rows.
#[derive(Clone, Debug)]
pub struct Table {
    /// Columns before the others whose names are not ours (factors of a sweep): name and what they hold.
    pub head: Vec<(String, Holds)>,
    /// Columns, in the order of the file.
    pub columns: Vec<Column>,
    /// Rows, each as long as `head` and `columns`.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// An empty table.
    pub fn new(columns: &[Column]) -> Table {
        Table::headed(Vec::new(), columns)
    }

    /// An empty table with columns of other names before ours.
    pub fn headed(head: Vec<(String, Holds)>, columns: &[Column]) -> Table {
        Table { head, columns: columns.to_vec(), rows: Vec::new() }
    }

    /// Name and kind of every column.
    fn all(&self) -> impl Iterator<Item = (&str, Holds)> {
        let head = self.head.iter().map(|(name, holds)| (name.as_str(), *holds));
        head.chain(self.columns.iter().map(|c| (c.name, c.holds)))
    }

    /// Adds a row.
    ///
    /// # Panics
    /// If it is not as long as the columns, or a cell is not what its column holds.
    pub fn push(&mut self, row: Vec<Cell>) {
        let columns = self.head.len() + self.columns.len();
        assert_eq!(row.len(), columns, "a row as long as the columns");
        for (cell, (name, holds)) in row.iter().zip(self.all()) {
            assert!(cell.fits(holds), "{cell:?} in column {name}");
        }
        self.rows.push(row);
    }

    /// Its rows as JSON objects by column; an empty cell is null.
    pub fn json(&self) -> serde_json::Value {
        let cell = |c: &Cell| match c {
            Cell::Text(s) | Cell::Free(s) => serde_json::json!(s),
            Cell::Number(x) => serde_json::json!(x),
            Cell::Whole(n) => serde_json::json!(n),
            Cell::Empty => serde_json::Value::Null,
        };
        let row = |r: &Vec<Cell>| -> serde_json::Map<String, serde_json::Value> {
            let pairs = self.columns.iter().zip(r);
            pairs.map(|(column, c)| (column.name.to_string(), cell(c))).collect()
        };
        self.rows.iter().map(row).collect::<Vec<_>>().into()
    }

    /// Writes it as CSV.
    ///
    /// # Errors
    /// What the writer says.
    pub fn write(&self, out: impl std::io::Write) -> Result<(), csv::Error> {
        let mut w = csv::WriterBuilder::new().from_writer(out);
        w.write_record(self.all().map(|(name, _)| name))?;
        for row in &self.rows {
            w.write_record(row.iter().map(Cell::written))?;
        }
        w.flush()?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_back_and_text_is_never_a_formula() {
        for x in [0.1, 1e-7, 123456789.125, -0.0, 5e-324, 1.7976931348623157e308] {
            assert_eq!(number(x).parse::<f64>().unwrap(), x);
        }
        assert_eq!(Cell::Free("=1+1".into()).written(), "'=1+1");
        assert_eq!(Cell::maybe(Some(f64::NAN)).written(), "");
    }

    #[test]
    fn csv_is_quoted_and_ends_lines_with_lf() {
        let column = |name, holds| Column { name, holds, unit: "", meaning: "" };
        let mut t = Table::new(&[column("a", Holds::Text), column("b", Holds::Number)]);
        t.push(vec![Cell::text("x, \"y\""), Cell::Whole(3)]);
        let mut out = Vec::new();
        t.write(&mut out).unwrap();
        assert_eq!(String::from_utf8(out).unwrap(), "a,b\n\"x, \"\"y\"\"\",3\n");
    }

    #[test]
    #[should_panic(expected = "in column b")]
    fn text_does_not_stand_among_numbers() {
        let column = |name, holds| Column { name, holds, unit: "", meaning: "" };
        let mut t = Table::new(&[column("a", Holds::Text), column("b", Holds::Number)]);
        t.push(vec![Cell::text("x"), Cell::text("0.5")]);
    }
}
