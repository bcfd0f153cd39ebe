//! Markdown into documents, with places.
