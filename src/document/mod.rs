//! Templates and pages into a layout-neutral tree.
