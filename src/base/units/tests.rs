//! Checks of reading and showing quantities.

use super::*;
use proptest::prelude::*;

#[track_caller]
fn near(text: &str, dimension: Dimension, expected: f64, relative: f64) {
    let found = parse(text, dimension).unwrap_or_else(|e| panic!("{e}"));
    let error = (found - expected).abs();
    assert!(error <= relative * expected.abs(), "{text}: {found}, not {expected}");
}

#[track_caller]
fn refused(text: &str, dimension: Dimension) -> String {
    parse(text, dimension).expect_err(text).to_string()
}

#[test]
fn the_table_stands_in_the_order_of_the_enum() {
    for (place, entry) in DIMENSIONS.iter().enumerate() {
        assert_eq!(entry.dimension as usize, place, "{}", entry.name);
    }
    assert_eq!(Dimension::MassPerPower as usize + 1, DIMENSIONS.len());
}

#[test]
fn every_unit_of_the_tables_is_read() {
    for entry in &DIMENSIONS[1..] {
        let shown = entry.shown.iter().map(|(unit, _)| unit);
        for unit in entry.usual.iter().chain(shown) {
            let text = format!("300 {unit}");
            assert!(parse(&text, entry.dimension).is_ok(), "{text}");
        }
        assert!(parse(entry.example, entry.dimension).is_ok());
        assert!(entry.shown.last().is_some_and(|(_, least)| *least == 0.0));
    }
    for (long, symbol) in LONG_NAMES {
        assert!(find(long).is_none(), "{long} is a unit itself");
        assert!(find(symbol).is_some(), "{symbol}");
    }
}

#[test]
fn symbols_are_unique() {
    for (i, unit) in UNITS.iter().enumerate() {
        assert!(UNITS[i + 1..].iter().all(|u| u.symbol != unit.symbol));
    }
}

/// Values that the trade knows (common practice), to the digits they are usually given in.
#[test]
fn values_of_the_trade() {
    near("10.2 psi", Dimension::Pressure, 70.3e3, 5e-4);
    near("8.2 psia", Dimension::Pressure, 56.5e3, 1e-3);
    near("4.3 psi", Dimension::Pressure, 29.65e3, 1e-3);
    near("14.7 psi", Dimension::Pressure, 101.35e3, 1e-4);
    near("760 mmHg", Dimension::Pressure, 101_325.0, 1e-6);
    near("150 ft3", Dimension::Volume, 4.2475, 1e-5);
    near("1000 btu/h", Dimension::Power, 293.071, 1e-5);
    near("252 kcal/h", Dimension::Power, 293.076, 1e-5);
    near("40 in", Dimension::Length, 1.016, 1e-15);
    near("70 degF", Dimension::Temperature, 294.261, 1e-5);
}

/// Factors that are exact by definition; one rounding of a division or product is allowed.
#[test]
fn exact_factors() {
    near("1 lbm", Dimension::Mass, 0.453_592_37, 0.0);
    near("1 ft", Dimension::Length, 0.3048, 0.0);
    near("1 mi", Dimension::Length, 1_609.344, 1e-15);
    near("1 ft3", Dimension::Volume, 0.028_316_846_592, 4e-16);
    near("1 in3", Dimension::Volume, 16.387_064e-6, 1e-15);
    near("1 psi", Dimension::Pressure, 6_894.757_293_168_361, 4e-16);
    near("760 torr", Dimension::Pressure, 101_325.0, 4e-16);
    near("1 kcal/h", Dimension::Power, 1.163, 4e-16);
    near("1 a", Dimension::Time, 31_557_600.0, 0.0);
    near("0.0011 kg/d", Dimension::MassFlow, 0.0011 / 86_400.0, 0.0);
    near("1 lbm/d", Dimension::MassFlow, 0.453_592_37 / 86_400.0, 0.0);
    near("2 lbm/h", Dimension::MassFlow, 0.907_184_74 / 3_600.0, 0.0);
    near("1 cfm", Dimension::VolumeFlow, 0.028_316_846_592 / 60.0, 1e-15);
    near("90 kPa/min", Dimension::PressureRate, 1_500.0, 0.0);
    near("13.5 psi/min", Dimension::PressureRate, 13.5 * 6_894.757_293_168_361 / 60.0, 1e-15);
    near("0.3 mg/m3", Dimension::Density, 3e-7, 4e-16);
    near("2 g/cm3", Dimension::Density, 2_000.0, 1e-15);
    near("0.5 g/m2", Dimension::AreaDensity, 5e-4, 0.0);
    near("36 km/h", Dimension::Speed, 10.0, 0.0);
    near("1.62 m/s2", Dimension::Acceleration, 1.62, 0.0);
    near("3.6 /h", Dimension::PerTime, 1e-3, 4e-16);
    near("3.6 1/h", Dimension::PerTime, 1e-3, 4e-16);
    near("1 /a", Dimension::PerTime, 1.0 / 31_557_600.0, 0.0);
    near("2 /km", Dimension::PerLength, 2e-3, 0.0);
    near("200 cfu/m3", Dimension::PerVolume, 200.0, 0.0);
    near("0.40 m3/min", Dimension::VolumeFlow, 0.4 / 60.0, 0.0);
}

#[test]
fn temperatures_have_their_zero_elsewhere() {
    near("-40 degC", Dimension::Temperature, 233.15, 1e-15);
    near("-40 degF", Dimension::Temperature, 233.15, 1e-14);
    near("32 degF", Dimension::Temperature, 273.15, 1e-15);
    near("0 K", Dimension::Temperature, 0.0, 0.0);
    let said = refused("-300 degC", Dimension::Temperature);
    assert!(said.contains("absolute zero"), "{said}");
    assert!(parse("1 W/degC", Dimension::Power).is_err());
}

#[test]
fn bare_numbers() {
    assert_eq!(parse("0.85", Dimension::Pure), Ok(0.85));
    assert_eq!(parse(" 1e-3 ", Dimension::Pure), Ok(1e-3));
    let said = refused("5 kg", Dimension::Pure);
    assert!(said.contains("\"5 kg\" has a unit"), "{said}");
    assert!(said.contains("number alone"), "{said}");
}

#[test]
fn what_is_refused_says_what_to_write() {
    let said = refused("4.25", Dimension::Volume);
    assert_eq!(
        said,
        "\"4.25\" has no unit where a volume is expected; write for example \"4.25 m3\" (units: \
        m3, l, ml, cm3, ft3, in3)"
    );
    let said = refused("4.25 kg", Dimension::Volume);
    assert!(said.contains("\"kg\" is a unit of a mass where a volume is expected"), "{said}");
    let said = refused("4.25 kg/K", Dimension::Volume);
    assert!(said.contains("\"kg/K\" is not a unit of a volume"), "{said}");
    for text in ["4.25m3", "some m3", "m3", "4,25 m3", "1_0 m3", "0x10 m3"] {
        let said = refused(text, Dimension::Volume);
        assert!(said.contains(&format!("\"{text}\" is not a volume")), "{said}");
    }
    for text in ["inf m3", "NaN m3", "-infinity m3", "1e999 m3", "1e308 kW"] {
        let dimension = if text.ends_with('W') { Dimension::Power } else { Dimension::Volume };
        let said = refused(text, dimension);
        assert!(said.contains("not a finite number"), "{said}");
    }
    assert!(refused("  ", Dimension::Time).contains("nothing is written"));
}

#[test]
fn the_nearest_unit_is_suggested() {
    let cases = [
        ("3 hours", Dimension::Time, "h"),
        ("10.2 PSI", Dimension::Pressure, "psi"),
        ("10.2 pis", Dimension::Pressure, "psi"),
        ("0.1 kg/day", Dimension::MassFlow, "kg/d"),
        ("4 m³", Dimension::Volume, "m3"),
        ("4 BTU/h", Dimension::Power, "btu/h"),
        ("4 kPa/minute", Dimension::PressureRate, "kPa/min"),
    ];
    for (text, dimension, meant) in cases {
        let said = refused(text, dimension);
        assert!(said.contains(&format!("did you mean \"{meant}\"?")), "{said}");
    }
    let said = refused("4 furlongs", Dimension::Length);
    assert!(said.contains("unknown unit \"furlongs\"; write"), "{said}");
    for text in ["4 m/", "4 m//s", "4 m4", "4 kg2"] {
        let said = refused(text, Dimension::Length);
        assert!(said.contains("unknown unit"), "{said}");
    }
}

#[test]
fn numbers_are_shown_in_the_unit_that_suits_them() {
    let cases = [
        (2_700.0, Dimension::Time, "45 min"),
        (30.0, Dimension::Time, "30 s"),
        (7.0 * 3_600.0, Dimension::Time, "7 h"),
        (165.0 * 86_400.0, Dimension::Time, "165 d"),
        (-120.0, Dimension::Time, "-2 min"),
        (0.0, Dimension::Time, "0 min"),
        (3e-7, Dimension::Density, "0.3 mg/m3"),
        (0.0011 / 86_400.0, Dimension::MassFlow, "1.1 g/d"),
        (70_326.5, Dimension::Pressure, "70.33 kPa"),
        (1_012.0, Dimension::Pressure, "1.012 kPa"),
        (4.247_53, Dimension::Volume, "4.248 m3"),
        (0.218, Dimension::Mass, "218 g"),
        (4.0 / 3.6, Dimension::Speed, "4 km/h"),
        (1.0 / 3_600.0, Dimension::PerTime, "1 /h"),
        (293.07, Dimension::Power, "293.1 W"),
        (999_960.0, Dimension::Pure, "1e6"),
        (0.000_999_96, Dimension::Pure, "0.001"),
        (0.000_123_44, Dimension::Pure, "1.234e-4"),
        (123_456.0, Dimension::Pure, "123456"),
        (f64::INFINITY, Dimension::Time, "infinite"),
        (f64::NAN, Dimension::Mass, "undefined"),
    ];
    for (si, dimension, text) in cases {
        assert_eq!(show(si, dimension), text);
    }
}

proptest! {
    /// What is shown can be read again and differs by the rounding to four digits only.
    #[test]
    fn shown_is_read_again(mantissa in 1.0..10.0f64, exponent in -12..9i32, kind in 0..20usize) {
        let si = mantissa * 10f64.powi(exponent);
        let dimension = DIMENSIONS[kind].dimension;
        let text = show(si, dimension);
        let back = parse(&text, dimension).map_err(|e| TestCaseError::fail(e.to_string()))?;
        prop_assert!((back - si).abs() <= 5.001e-4 * si, "{si} was shown as {text}");
    }

    /// Reading turns into SI and back without losing more than rounding.
    #[test]
    fn reading_inverts(value in -1e6..1e6f64, kind in 1..20usize, which in 0..10usize) {
        let entry = &DIMENSIONS[kind];
        let unit = entry.usual[which % entry.usual.len()];
        let scale = Scale::read(unit).map_err(|e| TestCaseError::fail(format!("{e:?}")))?;
        let back = scale.of_si(scale.to_si(value));
        prop_assert!((back - value).abs() <= 1e-12 * value.abs().max(1e3));
    }

    /// No text makes reading panic.
    #[test]
    fn reading_never_panics(text in "\\PC{0,12}", kind in 0..20usize) {
        if let Err(error) = parse(&text, DIMENSIONS[kind].dimension) {
            prop_assert!(!error.to_string().is_empty());
        }
    }
}

#[test]
fn what_was_meant_by_slips_of_writing() {
    let volume = |text: &str| mended(text, Dimension::Volume);
    assert_eq!(volume("80m3").as_deref(), Some("80 m3"));
    assert_eq!(volume("4,25 m3").as_deref(), Some("4.25 m3"));
    assert_eq!(volume("4.25\u{a0}m3").as_deref(), Some("4.25 m3"));
    assert_eq!(volume("4.25 m3"), None, "that is a quantity already");
    assert_eq!(volume("80 kPa"), None, "no other dimension is guessed");
    assert_eq!(volume("1.000,5 m3"), None, "which of the two is the decimal?");
    assert_eq!(mended("70,3 kPa", Dimension::Pressure).as_deref(), Some("70.3 kPa"));
    assert_eq!(mended("2e-4Pa", Dimension::Pressure).as_deref(), Some("2e-4 Pa"));
    assert_eq!(mended("26.5 %", Dimension::Pure).as_deref(), Some("0.265"));
    assert_eq!(mended("0,265", Dimension::Pure).as_deref(), Some("0.265"));
    assert_eq!(mended("many", Dimension::Pure), None);
}
