//! The air around a gauge: at one place of a day, and with everything cold.

use std::sync::Arc;

use crate::book::Day;
use crate::vocabulary::blocks::{AnyBlock, Conditions, Pressures};
use crate::vocabulary::values::{Given, Written};

/// The air at one place of a day: the last `conditions` above it, else the first below.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Gate {
    /// The day's place in the book; `None` where there is no day.
    pub day: Option<usize>,
    pub conditions: Option<Arc<Conditions>>,
}

/// A day with everything cold: the one state for which an aim is a number.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Cold {
    pub gate: Gate,
    /// The temperature of the legs when first read at the track; else they were in the day's air.
    pub legs: Option<Legs>,
}

/// A temperature of the legs.
#[derive(Debug, Clone, PartialEq)]
pub struct Legs {
    pub at: Given,
    pub thermometer: Option<Written>,
}

impl Gate {
    /// The air at a block of a day.
    pub(super) fn of_block(day: &Day, index: usize, block: usize) -> Self {
        let blocks = &day.notebook.blocks;
        let conditions = |any: &AnyBlock| match any {
            AnyBlock::Conditions(conditions) => Some(Arc::clone(conditions)),
            _ => None,
        };
        let above = blocks.iter().take(block).rev().find_map(conditions);
        Self {
            day: Some(index),
            conditions: above.or_else(|| blocks.iter().skip(block).find_map(conditions)),
        }
    }
}

impl Cold {
    /// The air of a day, from whichever block first gives it.
    pub(super) fn of_day(day: &Day, index: usize) -> Self {
        let blocks = || day.notebook.all::<Pressures>();
        let reads =
            |block: &&Pressures| !(block.others.pressures.is_empty() && block.others.found.is_empty());
        let legs = blocks()
            .filter(reads)
            .filter(|block| block.elevation.is_none())
            .find_map(|block| Some(Legs { at: block.at?, thermometer: block.thermometer.clone() }));
        let all = || {
            day.notebook.blocks.iter().filter_map(|block| match block {
                AnyBlock::Conditions(conditions) => Some(conditions),
                _ => None,
            })
        };
        let first = all().find(|conditions| conditions.air.is_some()).or_else(|| all().next());
        let conditions = first.cloned();
        Self { gate: Gate { day: Some(index), conditions }, legs }
    }
}
