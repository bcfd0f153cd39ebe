//! What riders write is understood as meant.

use loambook::quantity::{
    Amount, Fault, Kind, Unit, UnitDefaults, Units, Way, amount, interval, number, quantity, repeats, unit,
};

fn none() -> UnitDefaults {
    UnitDefaults::default()
}

fn in_bar() -> UnitDefaults {
    let mut units = Units::default();
    units.set(Kind::GaugePressure, Unit::Bar);
    UnitDefaults::from(&units)
}

/// The number in its own unit, as it is read.
fn read(text: &str, kind: Kind) -> (f64, Unit) {
    let quantity = quantity(text, &[kind], &none()).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
    assert_eq!(quantity.kind, kind);
    (quantity.unit.from_si(kind, quantity.value), quantity.unit)
}

#[track_caller]
fn reads(text: &str, kind: Kind, number: f64, unit: Unit) {
    let (found, found_unit) = read(text, kind);
    assert!((found - number).abs() <= 1e-12 * number.abs(), "{text}: {found}");
    assert_eq!(found_unit, unit, "{text}");
}

#[test]
fn the_quantities_of_the_language() {
    reads("152 psi", Kind::GaugePressure, 152.0, Unit::Psi);
    reads("13 bar", Kind::GaugePressure, 13.0, Unit::Bar);
    reads("105 mm", Kind::Length, 105.0, Unit::Millimetre);
    reads("4 1/8 in", Kind::Length, 4.125, Unit::Inch);
    reads("26.9°", Kind::Angle, 26.9, Unit::Degree);
    reads("0.46 kgf/mm", Kind::Rate, 0.46, Unit::KilogramForcePerMillimetre);
    reads("5.2 N/mm", Kind::Rate, 5.2, Unit::NewtonPerMillimetre);
    reads("12 clicks", Kind::Clicks, 12.0, Unit::Click);
    reads("1 click", Kind::Clicks, 1.0, Unit::Click);
    reads("1.5 turns", Kind::Turns, 1.5, Unit::Turn);
    reads("9 °C", Kind::Temperature, 9.0, Unit::Celsius);
    reads("48 °F", Kind::Temperature, 48.0, Unit::Fahrenheit);
    reads("78 kg", Kind::Mass, 78.0, Unit::Kilogram);
    reads("172 lb", Kind::Mass, 172.0, Unit::Pound);
    reads("2:04.1", Kind::Time, 124.1, Unit::LapTime);
    reads("30 days", Kind::Time, 30.0, Unit::Day);
    reads("6 h", Kind::Time, 6.0, Unit::Hour);
}

#[test]
fn hands_differ_and_mean_the_same() {
    for text in
        ["4 1/8 in", "4⅛ in", "4 ⅛ in", "4 1/8\"", "4 2/16 inches", "4-1/8 in", "4\u{a0}1/8\u{202f}in"]
    {
        reads(text, Kind::Length, 4.125, Unit::Inch);
    }
    for text in ["½ turn", "1/2 turn", "0.5 turns", ".5 turns"] {
        reads(text, Kind::Turns, 0.5, Unit::Turn);
    }
    for text in ["-3 °C", "−3 °C", "– 3 °C", "-3C", "-3 º C", "-3 ℃"] {
        reads(text, Kind::Temperature, -3.0, Unit::Celsius);
    }
    for text in ["22 Nm", "22 N·m", "22 N m", "22Nm", "+22 N*m"] {
        reads(text, Kind::Torque, 22.0, Unit::NewtonMetre);
    }
    for text in ["1 485 mm", "1485mm"] {
        reads(&text.replace(' ', "\u{2009}"), Kind::Length, 1485.0, Unit::Millimetre);
    }
    for text in ["105\u{2009}mm", "105\u{202f}mm", "  105 mm  "] {
        reads(text, Kind::Length, 105.0, Unit::Millimetre);
    }
    reads("1:02:04.1", Kind::Time, 3724.1, Unit::LapTime);
    reads("50T", Kind::Teeth, 50.0, Unit::Tooth);
    reads("0.46 kg/mm", Kind::Rate, 0.46, Unit::KilogramForcePerMillimetre);
}

#[test]
fn gauge_and_absolute_are_different_quantities() {
    let both = [Kind::AbsolutePressure, Kind::GaugePressure];
    let kind = |text: &str, kinds: &[Kind]| quantity(text, kinds, &none()).map(|read| read.kind);
    assert_eq!(kind("152 psi", &both), Ok(Kind::GaugePressure));
    assert_eq!(kind("152 psi abs", &both), Ok(Kind::AbsolutePressure));
    assert_eq!(kind("1013 hPa", &[Kind::AbsolutePressure]), Ok(Kind::AbsolutePressure));
    assert_eq!(kind("1013 hPa abs", &[Kind::AbsolutePressure]), Ok(Kind::AbsolutePressure));
    assert_eq!(kind("152 psi gauge", &[Kind::GaugePressure]), Ok(Kind::GaugePressure));
    let fault = |text: &str, kind: Kind| quantity(text, &[kind], &none()).unwrap_err().fault;
    assert_eq!(fault("152 psi abs", Kind::GaugePressure), Fault::AbsoluteWhereGauge);
    assert_eq!(fault("0 psi gauge", Kind::AbsolutePressure), Fault::GaugeWhereAbsolute);
}

#[test]
fn a_temperature_and_a_difference_are_different_quantities() {
    let value = |kind: Kind| quantity("9 °F", &[kind], &none()).unwrap().value;
    assert!((value(Kind::Temperature) - 260.372_222_222_222_2).abs() < 1e-9);
    assert!((value(Kind::TemperatureDifference) - 5.0).abs() < 1e-12);
}

#[test]
fn what_stands_behind_plus_minus_is_expanded() {
    for text in ["105 ± 1 mm", "105 mm ± 1 mm", "105±1mm", "105 +/- 1 mm", "105 mm ± 1"] {
        let read = quantity(text, &[Kind::Length], &none()).unwrap();
        assert!((read.value - 0.105).abs() < 1e-15, "{text}");
        assert_eq!(read.plus_minus, Some(0.001), "{text}");
        assert_eq!(read.standard_uncertainty(), Some(0.0005));
    }
    // A width has no zero to be measured from.
    let warm = quantity("20 ± 2 °C", &[Kind::Temperature], &none()).unwrap();
    assert_eq!(warm.plus_minus, Some(2.0));
    let shared = repeats("105 ± 1 106 ± 2 mm", &[Kind::Length], &none()).unwrap();
    let widths: Vec<_> = shared.values.iter().map(|(read, _)| read.plus_minus).collect();
    assert_eq!(widths, [Some(0.001), Some(0.002)]);
}

#[test]
fn the_last_digit_says_how_exactly_it_was_meant() {
    let digit = |text: &str| quantity(text, &[Kind::Length], &none()).unwrap().last_digit;
    assert!((digit("105 mm") - 0.001).abs() < 1e-18);
    assert!((digit("105.0 mm") - 0.0001).abs() < 1e-18);
    assert!((digit("4 1/8 in") - 0.003_175).abs() < 1e-18);
}

#[test]
fn a_bare_number_has_the_books_unit_or_none() {
    let bar = quantity("13", &[Kind::GaugePressure], &in_bar()).unwrap();
    assert_eq!((bar.unit, bar.value), (Unit::Bar, 1.3e6));
    let bar = number(13.0, &[Kind::GaugePressure], &in_bar()).unwrap();
    assert_eq!((bar.unit, bar.value, bar.last_digit), (Unit::Bar, 1.3e6, 1e5));
    let missing = number(13.0, &[Kind::GaugePressure], &none()).unwrap_err();
    assert!(matches!(missing.fault, Fault::MissingUnit { .. }));
    assert_eq!(missing.range, 0..0);
    assert!(quantity("13", &[Kind::Length], &in_bar()).is_err());
}

#[test]
fn what_is_counted_needs_no_unit() {
    for kind in [Kind::Teeth, Kind::Links, Kind::Count, Kind::Number, Kind::Share] {
        assert_eq!(number(1.0, &[kind], &none()).map(|read| read.value), Ok(1.0), "{kind:?}");
    }
    assert_eq!(number(-0.25, &[Kind::Number], &none()).map(|read| read.value), Ok(-0.25));
    assert!(number(12.0, &[Kind::Clicks, Kind::Turns], &none()).is_err());
    assert!(number(f64::NAN, &[Kind::Number], &none()).is_err());
    assert!(number(f64::INFINITY, &[Kind::Number], &none()).is_err());
    assert!(number(1e300, &[Kind::Number], &none()).is_err());
}

fn values(text: &str, kind: Kind) -> Vec<(f64, String)> {
    let read = repeats(text, &[kind], &none()).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
    read.values
        .into_iter()
        .map(|(read, range)| (read.unit.from_si(kind, read.value).round(), text[range].to_owned()))
        .collect()
}

#[test]
fn repeats_share_the_unit_behind_them() {
    let three = values("506 508 507 mm", Kind::Length);
    let read: Vec<(f64, &str)> = three.iter().map(|(number, text)| (*number, text.as_str())).collect();
    assert_eq!(read, [(506.0, "506"), (508.0, "508"), (507.0, "507 mm")]);
    let numbers =
        |text: &str| values(text, Kind::Length).into_iter().map(|(number, _)| number).collect::<Vec<_>>();
    assert_eq!(numbers("506, 508, 507 mm"), [506.0, 508.0, 507.0]);
    assert_eq!(numbers("506 mm 508 mm"), [506.0, 508.0]);
    assert_eq!(numbers("506 mm 508"), [506.0, 508.0]);
    assert_eq!(numbers("507 mm"), [507.0]);
    let mixed = repeats("20 in 506 508 mm", &[Kind::Length], &none()).unwrap();
    let units: Vec<Unit> = mixed.values.iter().map(|(read, _)| read.unit).collect();
    assert_eq!(units, [Unit::Inch, Unit::Millimetre, Unit::Millimetre]);
}

#[test]
fn beside_lap_times_a_number_is_seconds() {
    let laps = repeats("2:04.1 59.8 1:00", &[Kind::Time], &none()).unwrap();
    let seconds: Vec<f64> = laps.values.iter().map(|(lap, _)| lap.value).collect();
    assert_eq!(seconds, [124.1, 59.8, 60.0]);
    assert!(repeats("59.8 58.2", &[Kind::Time], &none()).is_err());
    assert!(repeats("59.8 58.2", &[Kind::Time], &UnitDefaults::seconds()).is_ok());
}

#[test]
fn one_unit_serves_both_ends_of_a_range() {
    let ends = |text: &str, kind: Kind| {
        let read = interval(text, &[kind], &none()).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        let number = |end: loambook::quantity::Quantity| end.unit.from_si(kind, end.value).round();
        (read.low.map(number), read.high.map(number))
    };
    for text in
        ["150..154 psi", "150 psi..154 psi", "150 .. 154 psi", "150 psi..154", "150…154 psi", "150...154 psi"]
    {
        assert_eq!(ends(text, Kind::GaugePressure), (Some(150.0), Some(154.0)), "{text}");
    }
    assert_eq!(ends("..240 psi", Kind::GaugePressure), (None, Some(240.0)));
    assert_eq!(ends("30.. mm", Kind::Length), (Some(30.0), None));
    assert_eq!(ends("-2..2 mm", Kind::Length), (Some(-2.0), Some(2.0)));
    assert_eq!(ends("59..1:02", Kind::Time), (Some(59.0), Some(62.0)));
    assert_eq!(ends("48..49 %", Kind::Share), (Some(48.0), Some(49.0)));
}

#[test]
fn a_change_says_which_way() {
    let change = |text: &str, kind: Kind| match amount(text, &[kind], &none()) {
        Ok(Amount::By(size, way)) => (size.unit.from_si(size.kind, size.value), way),
        other => panic!("{text}: {other:?}"),
    };
    assert_eq!(change("2 clicks in", Kind::Clicks), (2.0, Way::In));
    assert_eq!(change("1 turn out", Kind::Turns), (1.0, Way::Out));
    assert_eq!(change("2 mm down", Kind::Length), (2.0, Way::Down));
    assert_eq!(change("2 in up", Kind::Length), (2.0, Way::Up));
    let (size, way) = change("+3 psi", Kind::GaugePressure);
    assert!((size - 3.0).abs() < 1e-12 && way == Way::Plus);
    assert_eq!(change("−2 clicks", Kind::Clicks), (2.0, Way::Minus));
    let at = amount("2 in", &[Kind::Length], &none()).unwrap();
    assert!(matches!(at, Amount::At(length) if length.unit == Unit::Inch));
    let either = amount("1 turn in", &[Kind::Length, Kind::Turns], &none()).unwrap();
    assert!(matches!(either, Amount::By(size, Way::In) if size.kind == Kind::Turns));
}

#[test]
fn units_are_chosen_by_name() {
    assert_eq!(unit("°F", Kind::Temperature), Ok(Unit::Fahrenheit));
    assert_eq!(unit(" psi ", Kind::GaugePressure), Ok(Unit::Psi));
    assert!(matches!(unit("psi", Kind::Length).unwrap_err().fault, Fault::WrongKind { .. }));
    assert!(matches!(unit("", Kind::Length).unwrap_err().fault, Fault::Empty { .. }));
}

#[test]
fn the_difference_of_two_readings_keeps_what_is_known_of_them() {
    let read = |text: &str| quantity(text, &[Kind::Length, Kind::Clicks], &none()).unwrap();
    let change = read("108.5 ± 0.4 mm").since(&read("105 ± 0.3 mm")).unwrap();
    assert!((change.value - 0.0035).abs() < 1e-15);
    assert!((change.plus_minus.unwrap() - 0.0005).abs() < 1e-15);
    assert!((change.last_digit - 0.001).abs() < 1e-15);
    assert_eq!(read("3 clicks").since(&read("105 mm")), None);
}
