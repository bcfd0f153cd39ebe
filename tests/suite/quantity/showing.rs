//! What is shown, and in which unit.

use loambook::quantity::{
    Kind, Unit, UnitDefaults, Units, Way, interval, quantity, show, show_change, show_interval,
    show_measured_change, show_picked, show_value, show_with_uncertainty,
};

fn usual() -> Units {
    Units::default()
}

fn imperial() -> Units {
    let mut units = Units::default();
    units.set(Kind::Length, Unit::Inch);
    units.set(Kind::GaugePressure, Unit::Psi);
    units.set(Kind::Mass, Unit::Pound);
    units.set(Kind::Temperature, Unit::Fahrenheit);
    units
}

fn shown(text: &str, kind: Kind, units: &Units) -> String {
    show(&quantity(text, &[kind], &UnitDefaults::default()).unwrap(), units).to_string()
}

#[test]
fn what_was_written_is_shown_as_it_was_written() {
    for (text, kind) in [
        ("105 mm", Kind::Length),
        ("105.0 mm", Kind::Length),
        ("4 1/8 in", Kind::Length),
        ("1/2 turn", Kind::Turns),
        ("26.90°", Kind::Angle),
        ("1 click", Kind::Clicks),
        ("12 clicks", Kind::Clicks),
        ("2:04.1", Kind::Time),
        ("1:02:04", Kind::Time),
        ("30 days", Kind::Time),
        ("105 ± 1 mm", Kind::Length),
        ("203 psi abs", Kind::AbsolutePressure),
        ("1013 hPa", Kind::AbsolutePressure),
        ("0.48", Kind::Share),
        ("48 %", Kind::Share),
        ("116 links", Kind::Links),
    ] {
        assert_eq!(shown(text, kind, &usual()), text);
    }
    assert_eq!(shown("-3 °C", Kind::Temperature, &usual()), "−3 °C");
}

#[test]
fn a_chosen_unit_keeps_about_the_digits_that_were_written() {
    assert_eq!(shown("105 mm", Kind::Length, &imperial()), "4.13 in");
    assert_eq!(shown("13 bar", Kind::GaugePressure, &imperial()), "189 psi");
    assert_eq!(shown("0.8 bar", Kind::GaugePressure, &imperial()), "11.6 psi");
    assert_eq!(shown("78 kg", Kind::Mass, &imperial()), "172 lb");
    assert_eq!(shown("9 °C", Kind::Temperature, &imperial()), "48 °F");
    assert_eq!(shown("420 m", Kind::Length, &imperial()), "1378 ft");
    assert_eq!(shown("6 h", Kind::Time, &imperial()), "6 h");
    assert_eq!(shown("105 ± 1 mm", Kind::Length, &imperial()), "4.13 ± 0.04 in");
}

#[test]
fn computed_values_have_the_digits_that_are_worth_showing() {
    let text = |kind, value| show_value(kind, value, &usual()).to_string();
    assert_eq!(text(Kind::Length, 0.105_04), "105.0 mm");
    assert_eq!(text(Kind::Length, 420.2), "420 m");
    assert_eq!(text(Kind::Angle, 0.469_49), "26.90°");
    assert_eq!(text(Kind::Share, 0.336), "33.6 %");
    assert_eq!(text(Kind::Rate, 5204.0), "5.20 N/mm");
    assert_eq!(text(Kind::Time, 121.66), "2:01.7");
    assert_eq!(text(Kind::Time, 0.4), "0.40 s");
    assert_eq!(text(Kind::Time, 31.5 * 3600.0), "31.5 h");
    assert_eq!(text(Kind::TemperatureDifference, 5.0), "5.0 °C");
    assert_eq!(text(Kind::AbsolutePressure, 101_325.0), "1013.3 hPa");
    assert_eq!(text(Kind::Count, 2.0), "2");
    assert_eq!(text(Kind::Links, 115.96), "116.0 links");
    assert_eq!(text(Kind::Number, f64::NAN), "—");
    // 59.96 s rounds up into the minute and not to sixty seconds.
    assert_eq!(text(Kind::Time, 119.96), "2:00.0");
}

#[test]
fn uncertainty_has_one_digit_from_three_on_else_two_and_the_value_as_many_decimals() {
    let text = |kind, value, expanded| show_with_uncertainty(kind, value, expanded, &usual()).to_string();
    assert_eq!(text(Kind::Length, 0.105, 0.001_939_75), "105.0 ± 1.9 mm");
    assert_eq!(text(Kind::Angle, 0.495_666_6, 0.002_041_5), "28.40 ± 0.12°");
    assert_eq!(text(Kind::Time, 124.13, 0.21), "2:04.1 ± 0.2");
    assert_eq!(text(Kind::Temperature, 282.15, 0.5), "9.0 ± 0.5 °C");
    assert_eq!(text(Kind::Length, 0.105, 0.0), "105.0 mm");
    // Rounding that carries keeps two digits, not three; large uncertainties end in zeros. A value far below its
    // uncertainty is shown as zero to that digit.
    assert_eq!(text(Kind::Length, 0.105_26, 0.009_96), "105 ± 10 mm");
    assert_eq!(text(Kind::Length, 0.105_26, 0.009_94), "105 ± 10 mm");
    assert_eq!(text(Kind::Length, 0.099_96, 0.000_996), "100.0 ± 1.0 mm");
    assert_eq!(text(Kind::Force, 2767.0, 137.0), "2770 ± 140 N");
    assert_eq!(text(Kind::Force, 123_456.0, 9_960.0), "123000 ± 10000 N");
    assert_eq!(text(Kind::Length, -0.000_01, 0.001_2), "0.0 ± 1.2 mm");
    assert_eq!(text(Kind::Length, 0.105, f64::NAN), "105.0 mm");
    assert_eq!(text(Kind::Length, 0.105, f64::INFINITY), "105.0 mm");
    let shown = show_with_uncertainty(Kind::Length, 0.105, 0.0012, &usual());
    assert_eq!(shown.at_point(), ("105", ".0"));
    assert_eq!(show_value(Kind::Count, 2.0, &usual()).at_point(), ("2", ""));
}

#[test]
fn changes_speak_the_trades_words() {
    let text = |kind, change, more| show_change(kind, change, &usual(), more).to_string();
    assert_eq!(text(Kind::Length, -0.002, Way::Up), "2 mm down");
    assert_eq!(text(Kind::Clicks, -3.0, Way::Out), "3 clicks in");
    assert_eq!(text(Kind::Clicks, 1.0, Way::Out), "1 click out");
    assert_eq!(text(Kind::Turns, 1.0, Way::In), "1 turn in");
    assert_eq!(text(Kind::Turns, -0.25, Way::In), "0.25 turn out");
    assert_eq!(text(Kind::GaugePressure, 3.0 * 6_894.757_293_168, Way::Plus), "+3 psi");
    assert_eq!(text(Kind::GaugePressure, -20_684.271_879_5, Way::Plus), "−3 psi");
    assert_eq!(text(Kind::Length, 0.0, Way::Up), "no change");
    assert_eq!(text(Kind::Length, -0.000_01, Way::Up), "no change");
}

#[test]
fn a_change_smaller_than_its_uncertainty_is_none() {
    let text = |change, expanded| {
        show_measured_change(Kind::Length, change, expanded, &usual(), Way::Plus).to_string()
    };
    assert_eq!(text(0.0006, Some(0.0011)), "no measurable change");
    assert_eq!(text(0.004, Some(0.0011)), "+4.0 ± 1.1 mm");
    assert_eq!(text(-0.0121, None), "−12.1 mm");
}

#[test]
fn ranges_are_shown_as_people_write_them() {
    let text = |text: &str, kind: Kind| {
        show_interval(&interval(text, &[kind], &UnitDefaults::default()).unwrap(), &usual())
    };
    assert_eq!(text("150 .. 154 psi", Kind::GaugePressure), "150–154 psi");
    assert_eq!(text("..240 psi", Kind::GaugePressure), "240 psi or less");
    assert_eq!(text("30.. mm", Kind::Length), "30 mm or more");
    assert_eq!(text("1..2 clicks", Kind::Clicks), "1–2 clicks");
    assert_eq!(text("2:00..2:10.5", Kind::Time), "2:00–2:10.5");
    // A dash is read as a minus sign beside one.
    assert_eq!(text("-12..20 mm", Kind::Length), "−12 to 20 mm");
    assert_eq!(text("3 mm..1 in", Kind::Length), "3 mm to 1 in");
}

#[test]
fn a_riders_units_lie_over_the_books() {
    let mut book = Units::default();
    book.set(Kind::Length, Unit::Centimetre);
    book.set(Kind::Mass, Unit::Kilogram);
    let both = book.overlaid(&imperial());
    assert_eq!(both.chosen(Kind::Length), Some(Unit::Inch));
    assert_eq!(book.overlaid(&Units::default()), book);
    // A unit that does not measure the kind is refused.
    book.set(Kind::Mass, Unit::Psi);
    assert_eq!(book.chosen(Kind::Mass), Some(Unit::Kilogram));
}

#[test]
fn what_was_picked_from_a_list_is_shown_as_it_is_stamped() {
    let text = |kind, value| show_picked(kind, value, &usual()).to_string();
    assert_eq!(text(Kind::Number, 370.0), "370");
    assert_eq!(text(Kind::Rate, 48_000.0), "48 N/mm");
    assert_eq!(text(Kind::Rate, 3_150.0), "3.15 N/mm");
}
