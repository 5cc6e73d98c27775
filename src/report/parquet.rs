//! Tables as Parquet: the same columns and cells as the CSV file that they are made from, typed, for
//! programs. Long tables only; memory does not grow with their length.

use super::columns::Holds;
use super::files::{CAMPAIGNS, ResultFile};
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::parser::parse_message_type;
use std::fmt::Write as _;
use std::io::{Read, Write};
use std::sync::Arc;
use thiserror::Error;

/// Tables that `--parquet` writes as Parquet too, and the names of those files.
pub const COLUMNAR: &[(&str, &str)] =
    &[(CAMPAIGNS, "campaigns.parquet"), ("distribution.csv", "distribution.parquet")];

/// Rows of a group, which is held in memory.
const GROUP: usize = 1 << 15;

/// A table could not be made into Parquet.
#[derive(Debug, Error)]
pub enum ColumnarError {
    /// The CSV file could not be read.
    #[error(transparent)]
    Csv(#[from] csv::Error),
    /// The file could not be written.
    #[error(transparent)]
    Parquet(#[from] ParquetError),
    /// A cell is not what its column holds.
    #[error("line {line}, column {column}: `{text}` is no number")]
    Cell {
        /// Line of the CSV file.
        line: usize,
        /// Name of the column.
        column: String,
        /// What stands there.
        text: String,
    },
}

/// Reads the CSV of `table` and writes it as Parquet.
///
/// # Errors
/// When either fails, or a cell is not what its column holds.
pub(super) fn columnar(
    table: &ResultFile,
    csv: impl Read,
    out: impl Write + Send,
) -> Result<(), ColumnarError> {
    let mut reader = csv::Reader::from_reader(csv);
    let known = table.columns();
    let of = |name: &str| {
        let column = known.iter().find(|c| c.name == name);
        (name.to_string(), column.map_or(Holds::Text, |c| c.holds))
    };
    let columns: Vec<(String, Holds)> = reader.headers()?.iter().map(of).collect();
    let schema = Arc::new(parse_message_type(&message(&columns))?);
    let writer_facts = format!("{} {}", env!("CARGO_PKG_NAME"), env!("CARGO_PKG_VERSION"));
    let properties = WriterProperties::builder().set_created_by(writer_facts).build();
    let mut file = SerializedFileWriter::new(out, schema, Arc::new(properties))?;
    let (mut done, mut rows) = (0, Vec::with_capacity(GROUP));
    for record in reader.records() {
        rows.push(record?);
        if rows.len() == GROUP {
            group(&mut file, &columns, &rows, done)?;
            done += rows.len();
            rows.clear();
        }
    }
    if !rows.is_empty() {
        group(&mut file, &columns, &rows, done)?;
    }
    file.close()?;
    Ok(())
}

/// The schema as Parquet writes it; any cell may be empty.
fn message(columns: &[(String, Holds)]) -> String {
    let mut out = String::from("message table {");
    for (name, holds) in columns {
        let _ = match holds {
            Holds::Text => write!(out, " OPTIONAL BYTE_ARRAY {name} (UTF8);"),
            Holds::Whole => write!(out, " OPTIONAL INT64 {name};"),
            Holds::Number => write!(out, " OPTIONAL DOUBLE {name};"),
        };
    }
    out + " }"
}

/// One group of rows, column by column; `done` rows stand before it.
fn group<W: Write + Send>(
    file: &mut SerializedFileWriter<W>,
    columns: &[(String, Holds)],
    rows: &[csv::StringRecord],
    done: usize,
) -> Result<(), ColumnarError> {
    let mut group = file.next_row_group()?;
    for (i, (name, holds)) in columns.iter().enumerate() {
        let cells = || rows.iter().map(|r| r.get(i).unwrap_or(""));
        let there: Vec<i16> = cells().map(|c| i16::from(!c.is_empty())).collect();
        let wrong = |row: usize, text: &str| ColumnarError::Cell {
            line: done + row + 2,
            column: name.clone(),
            text: text.into(),
        };
        match holds {
            Holds::Text => {
                let bytes = |c: &str| ByteArray::from(bare(c).as_bytes().to_vec());
                let values: Vec<ByteArray> = cells().filter(|c| !c.is_empty()).map(bytes).collect();
                write_column::<W, ByteArrayType>(&mut group, &values, &there)?;
            }
            Holds::Whole => {
                let values = parsed::<i64>(cells(), wrong)?;
                write_column::<W, Int64Type>(&mut group, &values, &there)?;
            }
            Holds::Number => {
                let values = parsed::<f64>(cells(), wrong)?;
                write_column::<W, DoubleType>(&mut group, &values, &there)?;
            }
        }
    }
    group.close()?;
    Ok(())
}

fn write_column<W: Write + Send, T: parquet::data_type::DataType>(
    group: &mut SerializedRowGroupWriter<W>,
    values: &[T::T],
    there: &[i16],
) -> Result<(), ParquetError> {
    let Some(mut column) = group.next_column()? else {
        return Err(ParquetError::General("a column too many".into()));
    };
    column.typed::<T>().write_batch(values, Some(there), None)?;
    column.close()
}

/// Numbers of the cells that are not empty.
fn parsed<'a, T: std::str::FromStr>(
    cells: impl Iterator<Item = &'a str>,
    wrong: impl Fn(usize, &str) -> ColumnarError,
) -> Result<Vec<T>, ColumnarError> {
    let full = cells.enumerate().filter(|(_, c)| !c.is_empty());
    full.map(|(row, c)| c.parse().map_err(|_| wrong(row, c))).collect()
}

/// Text without the apostrophe that keeps a spreadsheet from running it out of CSV.
fn bare(text: &str) -> &str {
    text.strip_prefix('\'').filter(|r| r.starts_with(['=', '+', '-', '@'])).unwrap_or(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::files::by_name;
    use parquet::file::reader::{FileReader, SerializedFileReader};

    const CSV: &str = "architecture,measure,unit,low,high,count,n_used,method,note\n\
        lock,gas_lost_kg,kg,0.1,0.2,3,4,counted,\n\
        lock,gas_lost_kg,kg,,,1,4,counted,a miss\n";

    fn written(csv: &str) -> Result<Vec<u8>, ColumnarError> {
        let mut out = Vec::new();
        columnar(by_name("distribution.csv").unwrap(), csv.as_bytes(), &mut out)?;
        Ok(out)
    }

    #[test]
    fn cells_come_back_typed_and_empty_ones_empty() {
        let mut file = tempfile::tempfile().unwrap();
        file.write_all(&written(CSV).unwrap()).unwrap();
        let read = SerializedFileReader::new(file).unwrap();
        let rows: Vec<String> =
            read.get_row_iter(None).unwrap().map(|r| r.unwrap().to_string()).collect();
        assert_eq!(rows.len(), 2);
        assert!(rows[0].contains("low: 0.1, high: 0.2, count: 3"), "{}", rows[0]);
        assert!(rows[1].contains("low: null, high: null, count: 1"), "{}", rows[1]);
    }

    #[test]
    fn the_same_table_gives_the_same_bytes() {
        assert_eq!(written(CSV).unwrap(), written(CSV).unwrap());
    }

    #[test]
    fn a_word_among_numbers_is_named_with_its_line() {
        let error = written(&CSV.replace(",3,4,", ",three,4,")).unwrap_err().to_string();
        assert_eq!(error, "line 2, column count: `three` is no number");
    }
}
