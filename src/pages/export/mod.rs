//! A book as tidy tables for other programs: a row a value, in SI base units, with the place where it was written.
//!
//! Rows come a day at a time, so that nobody need hold a whole season. What the tables are is data, written beside them.

mod rows;
mod tables;

use serde::Serialize;

pub use rows::Export;
pub use tables::Table;

/// The version of the tables; a reader that knows another one should stop. A new column at the end does not change it.
pub const SCHEMA: u32 = 1;

/// The contents of a cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Unknown, or not written.
    Empty,
    Text(String),
    Number(f64),
    Count(u64),
}

impl Cell {
    fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    /// As plain text, numbers with all their digits; empty where unknown.
    pub fn into_text(self) -> String {
        match self {
            Self::Empty => String::new(),
            Self::Text(text) => text,
            Self::Number(number) => number.to_string(),
            Self::Count(count) => count.to_string(),
        }
    }
}

impl<T: Into<Cell>> From<Option<T>> for Cell {
    fn from(cell: Option<T>) -> Self {
        cell.map_or(Self::Empty, Into::into)
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::text(text)
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<f64> for Cell {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl From<u32> for Cell {
    fn from(count: u32) -> Self {
        Self::Count(count.into())
    }
}

/// One column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Column {
    pub name: &'static str,
    /// The cells that are not empty.
    #[serde(rename = "type")]
    pub holds: Holds,
    /// The unit of its numbers, where it is always the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<&'static str>,
    /// The column with the unit of its numbers.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit_in: Option<&'static str>,
    pub help: &'static str,
}

/// The type of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Holds {
    Text,
    /// A date, such as 2026-05-02.
    Date,
    /// A decimal number, with `.`.
    Number,
    /// A whole number, not negative.
    Count,
}

/// The description of the tables, written beside them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Schema {
    schema: u32,
    /// The ending of the tables' file names.
    format: &'static str,
    tables: Vec<TableLine>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
struct TableLine {
    name: &'static str,
    /// What a row of it is.
    row: &'static str,
    /// How many there are.
    rows: u64,
    columns: Vec<Column>,
}

/// The schema of all tables, each with the number of its rows.
pub fn schema(format: &'static str, tables: impl IntoIterator<Item = (Table, u64)>) -> Schema {
    let tables = tables.into_iter().map(|(table, rows)| TableLine {
        name: table.name(),
        row: table.row(),
        rows,
        columns: table.columns().copied().collect(),
    });
    Schema { schema: SCHEMA, format, tables: tables.collect() }
}
