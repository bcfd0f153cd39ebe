//! What follows from the settings: sags on their bands, balance, geometry, pressures.

use serde::Serialize;

use crate::book::PlaceName;
use crate::figures::{Bench, Figure, Number, Recorder, Source};
use crate::quantity::Quantity;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{Pressures, Sag, Scales, Steering, Typed as _};
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::settings::MOUSSE;
use crate::vocabulary::values::Bounds;
use crate::vocabulary::{End, FigureName, Load, Setting, Symbol};

use super::super::dates;
use super::super::gauge::{ToPump, by_hand, in_short};
use super::super::say::{Said, wanted};
use super::super::told::{Verdict, verdict_on};
use super::Desk;
use super::settings::ToSet;

/// A figure as a sheet shows it: a value, or what it needs.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Reading {
    /// The number alone, or words.
    pub value: Option<String>,
    /// Its uncertainty, in its unit.
    pub expanded: Option<String>,
    pub unit: Option<String>,
    /// Both in one, as in a line of text.
    pub told: Option<String>,
    /// What to measure or write, where there is no value.
    pub wanted: Option<String>,
    /// What to do instead, where nobody may set a number.
    pub instead: Option<String>,
    /// Its assumptions.
    pub assumed: Vec<String>,
    /// What was read only once, and is behind it.
    pub read_once: Vec<String>,
}

/// A figure with its name, and its difference from the standard setting where that matters.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tile {
    /// The name of the figure; `None` where it is not a figure.
    pub figure: Option<FigureName>,
    pub label: String,
    #[serde(flatten)]
    pub reading: Reading,
    pub change: Option<String>,
    pub band: Option<BandMark>,
    /// Where it is on its band, in words: colour and place are never the only sign.
    pub verdict: Option<Verdict>,
    /// The verdict, and when it was read where that was not today.
    pub note: Option<String>,
}

/// A mark on a band, in the unit given.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BandMark {
    pub low: f64,
    pub high: f64,
    pub value: Option<f64>,
    /// The reading's uncertainty, either way.
    pub error: Option<f64>,
    pub unit: &'static str,
}

/// A chamber or tyre.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PressureLine {
    pub setting: Setting,
    pub label: String,
    /// What to set, at the track and on the bench, each with its place; without uncertainty.
    pub by_hand: Option<String>,
    /// The same in short, for a page with little room that says what the numbers are for.
    #[serde(skip)]
    pub in_short: Option<String>,
    /// How warm the bench is, where it needs another number.
    #[serde(skip)]
    pub bench_at: Option<String>,
    /// The aim: what to set at the track, cold.
    pub aim: Reading,
    /// What to set on the bench, so that the aim holds at the track.
    pub bench: Reading,
    /// What is inside, brought to the gate; `None` where nobody read or set it that day.
    pub inside: Option<Reading>,
    /// How the aim differs from the last time out.
    pub change: Option<String>,
    /// Whether the bench needs another number than the track, or something else.
    #[serde(skip)]
    pub is_for_bench: bool,
}

/// A pressure as read straight off the track: hot by an unknown amount, so nothing is worked out from it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AfterRide {
    pub setting: Setting,
    pub label: String,
    pub told: String,
}

/// The figures that are side by side.
pub(super) struct Tiles {
    pub sags: Vec<Tile>,
    pub balance: Vec<Tile>,
    pub geometry: Vec<Tile>,
}

impl Tiles {
    pub fn of<R: Recorder>(desk: &Desk<'_>, bench: &Bench<'_, R>) -> Self {
        Self { sags: sags(desk, bench), balance: balance(desk, bench), geometry: geometry(desk, bench) }
    }
}

/// The assumptions of the sheet's figures, each once.
pub(super) fn assumed<R: Recorder>(
    desk: &Desk<'_>,
    tiles: &Tiles,
    pressures: &[PressureLine],
    bench: &Bench<'_, R>,
) -> Vec<String> {
    let tiles = tiles.sags.iter().chain(&tiles.balance).chain(&tiles.geometry).map(|tile| &tile.reading);
    let pressures = pressures.iter().flat_map(|line| [Some(&line.bench), line.inside.as_ref()]);
    // The force curve rests on what its force at full travel rests on.
    let force = bench.figure(FigureName::FORK_FORCE.of(100)).assumed;
    let force: Vec<String> = force.iter().map(|text| desk.say.text(text)).collect();
    let mut all: Vec<String> = Vec::new();
    for text in tiles.chain(pressures.flatten()).flat_map(|reading| &reading.assumed).chain(&force) {
        if !all.contains(text) {
            all.push(text.clone());
        }
    }
    // Where one says all that another says, and more, the other is left out.
    let whole = all.clone();
    all.retain(|text| !whole.iter().any(|other| other != text && other.contains(text.as_str())));
    all
}

/// What to read three times, so that the sheet's figures are surer, each once.
pub(super) fn read_once(tiles: &Tiles) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let tiles = tiles.sags.iter().chain(&tiles.balance).chain(&tiles.geometry);
    for what in tiles.flat_map(|tile| &tile.reading.read_once) {
        if !all.contains(what) {
            all.push(what.clone());
        }
    }
    all
}

/// What is read in a block, in a rider's words.
fn what_is_read(place: &PlaceName) -> Message {
    let (word, end) = place.block.split_once(' ').unwrap_or((&place.block, ""));
    match word {
        _ if word == Sag::SPEC.word && end == End::Front.word() => say!("sag front"),
        _ if word == Sag::SPEC.word => say!("sag rear"),
        _ if word == Scales::SPEC.word => say!("wheel loads"),
        _ if word == Steering::SPEC.word => say!("steering pull"),
        _ if word == Pressures::SPEC.word => say!("pressures"),
        _ => Message::text(place.block.as_str()),
    }
}

impl Reading {
    pub(super) fn known(shown: impl Into<Said>) -> Self {
        let Said { number, expanded, unit, told, .. } = shown.into();
        Self { value: Some(number), expanded, unit, told: Some(told), ..Self::default() }
    }

    /// What to set, or the words instead of a number that nobody may set.
    fn to_pump(to_pump: ToPump) -> Self {
        match to_pump {
            Ok(set) => Self::known(set.shown),
            Err(instead) => Self { told: Some(instead.clone()), instead: Some(instead), ..Self::default() },
        }
    }

    fn of(desk: &Desk<'_>, figure: &Figure) -> Self {
        match figure.absent() {
            Some(absent) => Self { wanted: Some(desk.say.text(&wanted(absent))), ..Self::default() },
            None => {
                let known = desk.say.figure(figure).map(Self::known).unwrap_or_default();
                let once = figure.number().into_iter().flat_map(Number::read_once);
                let what =
                    |source: &Source| Some(desk.say.text(&what_is_read(&desk.book.name_of(source.span?)?)));
                Self {
                    assumed: figure.assumed.iter().map(|text| desk.say.text(text)).collect(),
                    read_once: once.filter_map(what).collect(),
                    ..known
                }
            }
        }
    }
}

/// Static and rider sags; where settings changed since the rider sag was read, also the model's present
/// expectation.
fn sags<R: Recorder>(desk: &Desk<'_>, bench: &Bench<'_, R>) -> Vec<Tile> {
    let mut marks = Vec::new();
    for end in End::BOTH {
        let rider = FigureName::SAG_RIDER.of(end);
        marks.push(mark(desk, bench, rider, rider));
        let expected = FigureName::SAG_RIDER_EXPECTED.of(end);
        let values = (bench.value(rider), bench.value(expected));
        if let (Some(read), Some(now)) = values
            && (read - now).abs() > SAME_SAG
        {
            marks.push(Tile {
                label: desk.say.text(&say!("expected as set")),
                ..mark(desk, bench, expected, rider)
            });
        }
        let static_sag = FigureName::SAG_STATIC.of(end);
        marks.push(mark(desk, bench, static_sag, static_sag));
    }
    marks
}

/// m. An expected sag this near to the reading is the reading: a tenth of the finest division of a tape.
const SAME_SAG: f64 = 1e-4;

/// A figure on the band of a name: its own, or that of the figure it replaces.
fn mark<R: Recorder>(desk: &Desk<'_>, bench: &Bench<'_, R>, name: FigureName, band_of: FigureName) -> Tile {
    let figure = bench.figure(name);
    let on = bench.band(band_of);
    let verdict = verdict_on(&figure, on);
    let band = on.and_then(|on| band_mark(desk, &on.within?, &figure));
    let read = figure.value().and_then(|_| read_earlier(desk, name));
    let note: Vec<String> =
        verdict.map(|verdict| desk.say.text(&verdict.told())).into_iter().chain(read).collect();
    let note = (!note.is_empty()).then(|| note.join("; "));
    Tile { verdict, band, note, ..tile(desk, bench, name, None) }
}

/// When a sag was read, if not on this day.
fn read_earlier(desk: &Desk<'_>, name: FigureName) -> Option<String> {
    let load = match name.row {
        FigureId::SAG_STATIC => Load::Static,
        FigureId::SAG_RIDER => Load::Rider,
        _ => return None,
    };
    let mark = desk.state().read_sag(name.end()?, load)?.ok()?;
    (mark.place.day != desk.index).then(|| {
        let date = match mark.date.year() == desk.day.date.year() {
            true => dates::short(mark.date),
            false => dates::short_with_year(mark.date),
        };
        desk.say.text(&say!("read {date}", date))
    })
}

/// A band open at an end has no place on a strip.
fn band_mark(desk: &Desk<'_>, within: &Bounds, figure: &Figure) -> Option<BandMark> {
    let (low, high) = (within.low?, within.high?);
    let unit = desk.say.unit(low.kind);
    let drawn = |value: f64| unit.from_si(low.kind, value);
    Some(BandMark {
        low: drawn(low.value),
        high: drawn(high.value),
        value: figure.value().map(drawn),
        error: figure.expanded().map(|expanded| unit.width_from_si(expanded)),
        unit: unit.symbol(),
    })
}

fn balance<R: Recorder>(desk: &Desk<'_>, bench: &Bench<'_, R>) -> Vec<Tile> {
    [FigureName::BALANCE_SAG, FigureName::BALANCE_FREQUENCY].map(|name| tile(desk, bench, name, None)).into()
}

fn geometry<R: Recorder>(desk: &Desk<'_>, bench: &Bench<'_, R>) -> Vec<Tile> {
    [
        (FigureName::RAKE, FigureName::CHANGE_RAKE),
        (FigureName::TRAIL, FigureName::CHANGE_TRAIL),
        (FigureName::WHEELBASE, FigureName::CHANGE_WHEELBASE),
    ]
    .map(|(name, change)| tile(desk, bench, name, Some(change)))
    .into()
}

pub(super) fn tile<R: Recorder>(
    desk: &Desk<'_>,
    bench: &Bench<'_, R>,
    name: FigureName,
    change: Option<FigureName>,
) -> Tile {
    let change = change.and_then(|change| desk.say.against_standard(&bench.figure(change)));
    Tile {
        figure: Some(name),
        label: desk.say.text(&name.label()),
        reading: Reading::of(desk, &bench.figure(name)),
        change,
        band: None,
        verdict: None,
        note: None,
    }
}

/// The last readings of each chamber and tyre straight off the track, in the day's notebook.
pub(super) fn after_ride(desk: &Desk<'_>) -> Vec<AfterRide> {
    let mut all: Vec<AfterRide> = Vec::new();
    let blocks = desk.day.notebook.all::<Pressures>();
    for reading in blocks.flat_map(|block| &block.others.after_ride) {
        let setting = reading.name;
        let Some((mean, first)) = reading.readings.mean().zip(reading.readings.values.first()) else {
            continue;
        };
        let told =
            desk.say.quantity(&Quantity { value: mean, plus_minus: None, ..first.quantity }).to_string();
        let label = desk.say.text(&setting.label());
        all.retain(|earlier| earlier.setting != setting);
        all.push(AfterRide { setting, label, told });
    }
    all
}

/// Tyres first, then the chambers that push, then those that pull: in the order of the work.
pub(super) fn pressures<R: Recorder>(
    desk: &Desk<'_>,
    bench: &Bench<'_, R>,
    to_set: &ToSet,
) -> Vec<PressureLine> {
    let pump = desk.pump();
    let line = |setting: Setting, at_bench: FigureName, at_gate: FigureName| {
        let figure = bench.figure(at_bench);
        let at_track = pump.at_track(setting);
        // Without an aim, or with one that nobody may set, there is nothing to pump on the bench.
        let on_bench = pump.on_bench(setting, &figure);
        let is_read = desk.state().pressure(setting).of_today().is_some();
        let is_for_bench = match (&at_track, &on_bench) {
            (Some(Ok(aim)), Some(Ok(bench))) => !aim.is_as(bench),
            (_, bench) => bench.is_some(),
        };
        let bench_at = bench_temperature(desk, setting);
        PressureLine {
            is_for_bench,
            in_short: in_short(desk.say, at_track.as_ref(), on_bench.as_ref()),
            by_hand: by_hand(desk.say, at_track.as_ref(), on_bench.as_ref(), bench_at.clone()),
            bench_at: bench_at.filter(|_| is_for_bench),
            aim: match at_track {
                Some(to_pump) => Reading::to_pump(to_pump),
                None => Reading { wanted: Some(setting.to_string()), ..Reading::default() },
            },
            bench: match on_bench {
                Some(to_pump) => Reading {
                    assumed: figure.assumed.iter().map(|text| desk.say.text(text)).collect(),
                    ..Reading::to_pump(to_pump)
                },
                None => Reading::of(desk, &figure),
            },
            inside: is_read.then(|| Reading::of(desk, &bench.figure(at_gate))),
            change: to_set.lines.iter().find(|line| line.id == setting).and_then(|line| line.change.clone()),
            setting,
            label: desk.say.text(&setting.label()),
        }
    };
    // What another chamber fills is not pumped by itself.
    let chambers = desk.machine.into_iter().flat_map(|machine| machine.chambers());
    let chambers = chambers.filter(|(_, chamber)| chamber.charged_from.is_none());
    let mut chambers: Vec<Symbol> = chambers.map(|(name, _)| Symbol::of(name)).collect();
    let order = |name: &Symbol| desk.machine?.chamber_order(Setting::CHAMBER.of(*name));
    chambers.sort_by_key(order);
    let chambers = chambers.into_iter().map(|name| {
        line(Setting::CHAMBER.of(name), FigureName::BENCH_CHAMBER.of(name), FigureName::GATE_CHAMBER.of(name))
    });
    let tyres = End::BOTH.into_iter().filter(|end| {
        let insert = desk.state().setting(Setting::INSERT.of(*end));
        insert.and_then(|held| held.value.word()) != Some(MOUSSE)
    });
    let tyres = tyres.map(|end| {
        line(Setting::TYRE.of(end), FigureName::BENCH_TYRE.of(end), FigureName::GATE_TYRE.of(end))
    });
    tyres.chain(chambers).collect()
}

/// The temperature at which a chamber or tyre is set on the bench.
fn bench_temperature(desk: &Desk<'_>, setting: Setting) -> Option<String> {
    let at = desk.state().bench(setting)?.temperature()?;
    Some(desk.say.quantity(&at.quantity).to_string())
}

/// The temperature of the legs at the track, cold: as read there, else the day's air.
pub(super) fn track_at(desk: &Desk<'_>) -> Option<String> {
    let cold = desk.state().cold();
    let legs = cold.legs.as_ref().map(|legs| &legs.at);
    let air = cold.gate.conditions.as_ref().and_then(|conditions| conditions.air.as_ref());
    Some(desk.say.quantity(&legs.or(air)?.quantity).to_string())
}

/// Why pressures cannot be set on the bench, each reason once with the names that it is about.
pub(super) fn not_on_bench(pressures: &[PressureLine]) -> Vec<String> {
    let mut all: Vec<(&str, Vec<&str>)> = Vec::new();
    for line in pressures {
        let Some(reason) = line.bench.instead.as_deref() else { continue };
        match all.iter_mut().find(|(known, _)| *known == reason) {
            Some((_, names)) => names.push(&line.label),
            None => all.push((reason, vec![&line.label])),
        }
    }
    all.into_iter().map(|(reason, names)| format!("{}: {reason}", names.join(", "))).collect()
}

/// Whether any pressure has another number on the bench than at the track.
pub(super) fn is_for_bench(desk: &Desk<'_>, pressures: &[PressureLine]) -> bool {
    let is_asked = desk.state().conditions().is_some_and(|conditions| conditions.bench.is_some());
    is_asked || pressures.iter().any(|line| line.is_for_bench)
}

/// The temperature at which all pressures are set, if it is the same.
pub(super) fn bench_at(desk: &Desk<'_>) -> Option<String> {
    let chambers = desk.machine.into_iter().flat_map(|machine| machine.chambers());
    let chambers = chambers.filter(|(_, chamber)| chamber.charged_from.is_none());
    let names = chambers.map(|(name, _)| Setting::CHAMBER.named(name));
    let names = names.chain(End::BOTH.into_iter().map(|end| Setting::TYRE.of(end)));
    let mut all: Vec<String> = names.filter_map(|name| bench_temperature(desk, name)).collect();
    all.dedup();
    match all.as_slice() {
        [one] => Some(one.clone()),
        _ => None,
    }
}
