//! Properties: what is shown reads back as the same quantity, and no text crashes the parser.

use loambook::quantity::{
    Interval, Kind, Quantity, Unit, UnitDefaults, Units, amount, interval, quantity, repeats, show,
    show_interval,
};
use proptest::prelude::*;

/// A number as it may be written: sign, digits, decimals or a fraction.
fn numerals() -> impl Strategy<Value = String> {
    let decimal = (0_u32..1_000_000, 0_usize..5, any::<u32>()).prop_map(|(whole, places, behind)| {
        let behind = format!("{behind:010}");
        if places == 0 { whole.to_string() } else { format!("{whole}.{}", &behind[..places]) }
    });
    let fraction = (0_u32..40, 0_u32..7, 1_u32..64).prop_map(|(whole, power, above)| {
        let below = 2_u32.pow(power);
        let above = above % below;
        match (whole, above) {
            (whole, 0) => whole.to_string(),
            (0, above) => format!("{above}/{below}"),
            (whole, above) => format!("{whole} {above}/{below}"),
        }
    });
    prop_oneof![4 => decimal, 1 => fraction]
}

/// A lap or a race as it may be timed.
fn clocks() -> impl Strategy<Value = String> {
    (0_u32..200, 0_u32..60, 0_usize..4, 0_u32..1000).prop_map(|(minutes, seconds, places, behind)| {
        let behind = format!("{behind:03}");
        let decimals = if places == 0 { String::new() } else { format!(".{}", &behind[..places]) };
        if minutes < 60 {
            format!("{minutes}:{seconds:02}{decimals}")
        } else {
            format!("{}:{:02}:{seconds:02}{decimals}", minutes / 60, minutes % 60)
        }
    })
}

fn is_whole(kind: Kind) -> bool {
    matches!(kind, Kind::Count | Kind::Clicks | Kind::Teeth | Kind::Links)
}

/// Any quantity, in any unit that measures its kind.
fn quantities() -> impl Strategy<Value = Quantity> {
    let unit = prop::sample::select(Unit::ALL);
    let spread = prop::option::weighted(0.3, (0_u32..1000, 0_usize..3));
    (unit, any::<prop::sample::Index>(), numerals(), clocks(), any::<bool>(), spread).prop_map(
        |(unit, kind, numeral, clock, is_below_zero, spread)| {
            let kind = *kind.get(unit.kinds());
            let whole = numeral.split(['.', ' ']).next().unwrap_or("1").replace('/', "");
            let number = match unit {
                Unit::LapTime => clock,
                _ if is_whole(kind) => whole,
                // Nothing is as cold as absolute zero.
                Unit::Kelvin if kind == Kind::Temperature => format!("1{numeral}"),
                _ => numeral,
            };
            let can_be_below = matches!(kind, Kind::Length | Kind::Angle | Kind::Number | Kind::Force);
            let sign = if is_below_zero && can_be_below { "-" } else { "" };
            let abs = if kind == Kind::AbsolutePressure { " abs" } else { "" };
            let spread =
                spread.map_or(String::new(), |(size, places)| format!(" ± {size}.{}", &"250"[..=places]));
            let text = format!("{sign}{number}{spread} {}{abs}", unit.symbol());
            quantity(&text, &[kind], &UnitDefaults::default())
                .unwrap_or_else(|problem| panic!("{text:?} as {kind:?}: {problem:?}"))
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2000) })]

    #[test]
    fn parse_show_parse_is_the_identity(written in quantities()) {
        let text = show(&written, &Units::default()).to_string();
        let again = quantity(&text, &[written.kind], &UnitDefaults::default());
        prop_assert_eq!(again, Ok(written), "{}", text);
    }

    #[test]
    fn ranges_come_back_too(one in quantities(), other in 0.0..2.0_f64) {
        prop_assume!(one.value >= 0.0 && one.unit != Unit::LapTime && !is_whole(one.kind));
        let end = Quantity { plus_minus: None, ..one };
        // The other end on the same digits.
        let steps = (one.value * other / one.last_digit).floor();
        let high = quantity(
            &show(&Quantity { value: one.value + steps * one.last_digit, ..end }, &Units::default()).to_string(),
            &[one.kind],
            &UnitDefaults::default(),
        );
        let range = Interval { low: Some(end), high: high.ok() };
        prop_assert!(range.high.is_some());
        // A notebook parts the ends by dots.
        let text = show_interval(&range, &Units::default()).replace('–', "..").replace(" to ", "..");
        prop_assert_eq!(interval(&text, &[one.kind], &UnitDefaults::default()), Ok(range), "{}", text);
    }

    #[test]
    fn no_text_makes_the_parser_fall_over(text in "[-+−–±0-9.,:;/ \u{2009}½°%a-zA-Z\"'é…]{0,24}") {
        let defaults = UnitDefaults::default();
        let kinds = Kind::ALL;
        let problems = [
            quantity(&text, &kinds, &defaults).err(),
            repeats(&text, &kinds, &defaults).err(),
            interval(&text, &kinds, &defaults).err(),
            amount(&text, &kinds, &defaults).err(),
        ];
        for problem in problems.into_iter().flatten() {
            prop_assert!(text.get(problem.range.clone()).is_some(), "{:?}", problem);
        }
    }

    #[test]
    fn any_bytes_at_all(text in ".{0,40}") {
        for problem in [quantity(&text, &Kind::ALL, &UnitDefaults::default()).err()].into_iter().flatten() {
            prop_assert!(text.get(problem.range.clone()).is_some());
        }
    }
}

/// `Kind::ALL` leaves none out: the table names each.
#[test]
fn every_kind_of_the_table_is_listed() {
    let listed: std::collections::BTreeSet<Kind> = Kind::ALL.into_iter().collect();
    assert_eq!(listed.len(), Kind::ALL.len());
    for unit in Unit::ALL {
        assert!(unit.kinds().iter().all(|kind| listed.contains(kind)), "{unit:?}");
    }
}
