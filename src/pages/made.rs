//! The figures from a block's readings, shown beside it.

use crate::speech::Message;
use crate::vocabulary::settings::SettingId;
use crate::vocabulary::{AnyBlock, FigureName, Setting};

/// The figures that a block's readings are taken for.
pub fn names(block: &AnyBlock) -> Vec<FigureName> {
    match block {
        AnyBlock::Sag(sag) => {
            let of_sag = [FigureName::SAG_STATIC, FigureName::SAG_RIDER, FigureName::SPRING_COLLAR_TURNS];
            sag.header.end().map(|end| of_sag.map(|row| row.of(end)).into()).unwrap_or_default()
        }
        AnyBlock::Pressures(pressures) => {
            let others = &pressures.others;
            let mut read: Vec<Setting> = Vec::new();
            for reading in others.found.iter().chain(&others.pressures) {
                if !read.contains(&reading.name) {
                    read.push(reading.name);
                }
            }
            let gates = read.into_iter().filter_map(at_gate);
            let leaks = others.found.iter().filter_map(|reading| lost(reading.name));
            gates.chain(leaks).collect()
        }
        AnyBlock::Conditions(_) => vec![FigureName::AIR_RELATIVE_DENSITY, FigureName::AIR_DENSITY_ALTITUDE],
        AnyBlock::Steering(_) => vec![FigureName::STEERING_BREAKAWAY],
        AnyBlock::Stint(stint) if stint.laps.is_some() => {
            vec![FigureName::LAPS_BEST, FigureName::LAPS_MEDIAN, FigureName::LAPS_SPREAD]
        }
        _ => Vec::new(),
    }
}

/// The figure of what is in a chamber or tyre at the track.
pub(super) fn at_gate(setting: Setting) -> Option<FigureName> {
    match setting.row {
        SettingId::CHAMBER => setting.word().map(|chamber| FigureName::GATE_CHAMBER.of(chamber)),
        SettingId::TYRE => setting.end().map(|end| FigureName::GATE_TYRE.of(end)),
        _ => None,
    }
}

/// The figure of the pressure to pump a chamber or tyre to on the bench.
pub(super) fn at_bench(setting: Setting) -> Option<FigureName> {
    match setting.row {
        SettingId::CHAMBER => setting.word().map(|chamber| FigureName::BENCH_CHAMBER.of(chamber)),
        SettingId::TYRE => setting.end().map(|end| FigureName::BENCH_TYRE.of(end)),
        _ => None,
    }
}

/// The figure of what a chamber lost.
fn lost(setting: Setting) -> Option<FigureName> {
    Setting::CHAMBER.word_of(setting).map(|chamber| FigureName::LEAK_CHAMBER.named(chamber))
}

/// The label of a loss beside its block: its value already says that it is one.
pub fn label(figure: FigureName) -> Option<Message> {
    FigureName::LEAK_CHAMBER.word_of(figure).map(|chamber| Setting::CHAMBER.named(chamber).label())
}
