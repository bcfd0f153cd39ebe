//! What a sheet, a season or a comparison says, as plain values.
