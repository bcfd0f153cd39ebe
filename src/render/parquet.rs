//! A table of an export as Apache Parquet: typed columns in groups of rows, so that no whole table is held in memory.

use std::io::{self, Write};
use std::sync::Arc;

use jiff::civil::Date;
use parquet::basic::Compression;
use parquet::column::writer::ColumnWriter;
use parquet::data_type::ByteArray;
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::{EnabledStatistics, WriterProperties};
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::parser::parse_message_type;

use crate::pages::export::{Cell, Column, Holds, SCHEMA, Table};

use super::mark::parquet_writer;

/// How many rows are held before they are written.
const GROUP_ROWS: usize = 1 << 15;
/// **Source** Apache Parquet's logical type `DATE`: days since this one.
const EPOCH: Date = Date::constant(1970, 1, 1);

/// A table being written.
pub struct ParquetTable<W: Write + Send> {
    file: SerializedFileWriter<W>,
    columns: Vec<Waiting>,
    rows: usize,
}

/// The cells of a column that are not written yet: those with a value, and which ones they are.
struct Waiting {
    cells: Cells,
    /// 1 for a cell with a value, 0 for an empty one.
    levels: Vec<i16>,
}

enum Cells {
    Texts(Vec<ByteArray>),
    Dates(Vec<i32>),
    Numbers(Vec<f64>),
    Counts(Vec<i64>),
}

impl<W: Write + Send> ParquetTable<W> {
    /// Begins a table.
    ///
    /// # Errors
    /// Where `sink` cannot be written to.
    pub fn new(sink: W, table: Table) -> io::Result<Self> {
        let field = |column: &Column| {
            let (physical, logical) = match column.holds {
                Holds::Text => ("binary", " (STRING)"),
                Holds::Date => ("int32", " (DATE)"),
                Holds::Number => ("double", ""),
                Holds::Count => ("int64", ""),
            };
            format!("optional {physical} {}{logical};", column.name)
        };
        let fields: String = table.columns().map(field).collect();
        let schema =
            parse_message_type(&format!("message {} {{{fields}}}", table.name())).map_err(io_error)?;
        let about = |key: &str, value: String| KeyValue::new(key.to_owned(), value);
        let properties = WriterProperties::builder()
            .set_created_by(parquet_writer(table.name()))
            .set_compression(Compression::SNAPPY)
            // Statistics of pages would be held to the end, and grow with the rows.
            .set_statistics_enabled(EnabledStatistics::Chunk)
            .set_offset_index_disabled(true)
            .set_key_value_metadata(Some(vec![
                about("table", table.name().to_owned()),
                about("schema", SCHEMA.to_string()),
            ]))
            .build();
        let file =
            SerializedFileWriter::new(sink, Arc::new(schema), Arc::new(properties)).map_err(io_error)?;
        Ok(Self {
            file,
            columns: table.columns().map(|column| Waiting::new(column.holds)).collect(),
            rows: 0,
        })
    }

    /// Writes rows, each as wide as the table.
    ///
    /// # Errors
    /// Where the sink cannot be written to.
    pub fn rows(&mut self, rows: Vec<Vec<Cell>>) -> io::Result<()> {
        for row in rows {
            for (column, cell) in self.columns.iter_mut().zip(row) {
                column.push(cell);
            }
            self.rows += 1;
            if self.rows == GROUP_ROWS {
                self.pass_on()?;
            }
        }
        Ok(())
    }

    /// Writes the remaining rows and the foot, and returns the sink.
    ///
    /// # Errors
    ///
    /// Where the sink cannot be written to.
    pub fn finish(mut self) -> io::Result<W> {
        if self.rows > 0 {
            self.pass_on()?;
        }
        self.file.into_inner().map_err(io_error)
    }

    fn pass_on(&mut self) -> io::Result<()> {
        let mut group = self.file.next_row_group().map_err(io_error)?;
        for column in &mut self.columns {
            if let Some(mut writer) = group.next_column().map_err(io_error)? {
                column.write(&mut writer).map_err(io_error)?;
                writer.close().map_err(io_error)?;
            }
        }
        group.close().map_err(io_error)?;
        self.rows = 0;
        Ok(())
    }
}

impl Waiting {
    fn new(holds: Holds) -> Self {
        let cells = match holds {
            Holds::Text => Cells::Texts(Vec::new()),
            Holds::Date => Cells::Dates(Vec::new()),
            Holds::Number => Cells::Numbers(Vec::new()),
            Holds::Count => Cells::Counts(Vec::new()),
        };
        Self { cells, levels: Vec::new() }
    }

    /// Takes a cell; one of another type than the column's counts as empty.
    fn push(&mut self, cell: Cell) {
        let is_held = match (&mut self.cells, cell) {
            (Cells::Texts(texts), Cell::Text(text)) => {
                texts.push(text.into_bytes().into());
                true
            }
            (Cells::Dates(dates), Cell::Text(text)) => {
                let date = text.parse::<Date>().ok();
                let days = date.map(|date| date.duration_since(EPOCH).as_hours() / 24);
                let days = days.and_then(|days| i32::try_from(days).ok());
                dates.extend(days);
                days.is_some()
            }
            (Cells::Numbers(numbers), Cell::Number(number)) => {
                numbers.push(number);
                true
            }
            (Cells::Counts(counts), Cell::Count(count)) => {
                let count = i64::try_from(count).ok();
                counts.extend(count);
                count.is_some()
            }
            _ => false,
        };
        self.levels.push(i16::from(is_held));
    }

    fn write(&mut self, writer: &mut SerializedColumnWriter<'_>) -> Result<(), ParquetError> {
        let levels = Some(self.levels.as_slice());
        match (&mut self.cells, writer.untyped()) {
            (Cells::Texts(cells), ColumnWriter::ByteArrayColumnWriter(writer)) => {
                writer.write_batch(cells, levels, None)?;
                cells.clear();
            }
            (Cells::Dates(cells), ColumnWriter::Int32ColumnWriter(writer)) => {
                writer.write_batch(cells, levels, None)?;
                cells.clear();
            }
            (Cells::Numbers(cells), ColumnWriter::DoubleColumnWriter(writer)) => {
                writer.write_batch(cells, levels, None)?;
                cells.clear();
            }
            (Cells::Counts(cells), ColumnWriter::Int64ColumnWriter(writer)) => {
                writer.write_batch(cells, levels, None)?;
                cells.clear();
            }
            _ => return Err(ParquetError::General("a column of another type".to_owned())),
        }
        self.levels.clear();
        Ok(())
    }
}

/// The sink's own error where it was one, else Parquet's.
fn io_error(error: ParquetError) -> io::Error {
    match error {
        ParquetError::External(error) => match error.downcast::<io::Error>() {
            Ok(error) => *error,
            Err(error) => io::Error::other(error),
        },
        other => io::Error::other(other),
    }
}
