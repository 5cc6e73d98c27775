//! The tables behind [`super`]: unit symbols with their exact factors, and for every dimension the
//! units to name in a message and the units to show a number in. No rule lives here.

use super::Dimension;

/// Powers of kilogram, metre, second and kelvin.
pub(super) type Powers = [i32; 4];

pub(super) const ONE: Powers = [0, 0, 0, 0];
const MASS: Powers = [1, 0, 0, 0];
const LENGTH: Powers = [0, 1, 0, 0];
const VOLUME: Powers = [0, 3, 0, 0];
const TIME: Powers = [0, 0, 1, 0];
const TEMPERATURE: Powers = [0, 0, 0, 1];
const PRESSURE: Powers = [1, -1, -2, 0];
const ENERGY: Powers = [1, 2, -2, 0];
const POWER: Powers = [1, 2, -3, 0];

/// International foot, m, exact by definition (international yard and pound agreement of 1959;
/// from memory).
const FOOT: f64 = 0.3048;
/// International inch, m, exact: a twelfth of a foot.
const INCH: f64 = 0.0254;
/// Avoirdupois pound, kg, exact by the same agreement.
const POUND: f64 = 0.453_592_37;
/// Standard acceleration of gravity, m/s2, exact by definition (CGPM 1901; from memory). It defines
/// the pound-force and the conventional millimetre of mercury, whatever body the crew stand on.
const STANDARD_GRAVITY: f64 = 9.806_65;
/// Pound-force per square inch, Pa: 6894.757293168...
const PSI: f64 = POUND * STANDARD_GRAVITY / (INCH * INCH);
/// Standard atmosphere, Pa, exact by definition (CGPM 1954; from memory).
const ATMOSPHERE: f64 = 101_325.0;
/// Conventional millimetre of mercury, Pa: 13595.1 kg/m3 under standard gravity, 133.322387415
/// exactly (from memory). The torr, a 760th of an atmosphere, differs in the seventh digit.
const MMHG: f64 = 133.322_387_415;
/// International table British thermal unit, J: 2326 J/kg per degree by the pound, exact
/// (from memory).
const BTU: f64 = 1_055.055_852_62;
/// International table kilocalorie, J, exact; so that 1 kcal/h = 1.163 W (from memory).
const KCAL: f64 = 4_186.8;

/// One unit symbol: `value in SI = value * factor + offset`.
pub(super) struct Unit {
    pub(super) symbol: &'static str,
    pub(super) powers: Powers,
    pub(super) factor: f64,
    /// Only for temperatures: kelvin at the zero of the scale.
    pub(super) offset: f64,
}

const fn unit(symbol: &'static str, powers: Powers, factor: f64) -> Unit {
    Unit { symbol, powers, factor, offset: 0.0 }
}

/// Every symbol. A digit after a length or time symbol is its power (`m3`, `in2`, `s2`), so powers
/// are not listed.
pub(super) const UNITS: &[Unit] = &[
    // A count of something counted, so that `1/h` and `cfu/m3` can be written.
    unit("1", ONE, 1.0),
    unit("cfu", ONE, 1.0),
    unit("kg", MASS, 1.0),
    unit("g", MASS, 1e-3),
    unit("mg", MASS, 1e-6),
    unit("ug", MASS, 1e-9),
    unit("t", MASS, 1e3),
    unit("lbm", MASS, POUND),
    unit("lb", MASS, POUND),
    unit("oz", MASS, POUND / 16.0),
    unit("m", LENGTH, 1.0),
    unit("km", LENGTH, 1e3),
    unit("cm", LENGTH, 1e-2),
    unit("mm", LENGTH, 1e-3),
    unit("um", LENGTH, 1e-6),
    unit("in", LENGTH, INCH),
    unit("ft", LENGTH, FOOT),
    unit("mi", LENGTH, 5_280.0 * FOOT),
    unit("l", VOLUME, 1e-3),
    unit("L", VOLUME, 1e-3),
    unit("ml", VOLUME, 1e-6),
    unit("s", TIME, 1.0),
    unit("ms", TIME, 1e-3),
    unit("min", TIME, 60.0),
    unit("h", TIME, 3_600.0),
    unit("d", TIME, 86_400.0),
    unit("wk", TIME, 7.0 * 86_400.0),
    // Julian year: 365.25 d.
    unit("a", TIME, 365.25 * 86_400.0),
    unit("K", TEMPERATURE, 1.0),
    Unit { symbol: "degC", powers: TEMPERATURE, factor: 1.0, offset: 273.15 },
    Unit {
        symbol: "degF",
        powers: TEMPERATURE,
        factor: 5.0 / 9.0,
        offset: 273.15 - 32.0 * 5.0 / 9.0,
    },
    unit("Pa", PRESSURE, 1.0),
    unit("hPa", PRESSURE, 1e2),
    unit("kPa", PRESSURE, 1e3),
    unit("MPa", PRESSURE, 1e6),
    unit("bar", PRESSURE, 1e5),
    unit("mbar", PRESSURE, 1e2),
    unit("atm", PRESSURE, ATMOSPHERE),
    unit("psi", PRESSURE, PSI),
    unit("psia", PRESSURE, PSI),
    unit("psid", PRESSURE, PSI),
    unit("mmHg", PRESSURE, MMHG),
    unit("torr", PRESSURE, ATMOSPHERE / 760.0),
    unit("J", ENERGY, 1.0),
    unit("kJ", ENERGY, 1e3),
    unit("MJ", ENERGY, 1e6),
    unit("Wh", ENERGY, 3.6e3),
    unit("kWh", ENERGY, 3.6e6),
    unit("btu", ENERGY, BTU),
    unit("kcal", ENERGY, KCAL),
    unit("W", POWER, 1.0),
    unit("kW", POWER, 1e3),
    // Cubic feet per minute.
    unit("cfm", [0, 3, -1, 0], FOOT * FOOT * FOOT / 60.0),
];

/// Words people write for a unit that has a shorter symbol: only used to suggest the symbol.
pub(super) const LONG_NAMES: &[(&str, &str)] = &[
    ("sec", "s"),
    ("second", "s"),
    ("seconds", "s"),
    ("minute", "min"),
    ("minutes", "min"),
    ("mins", "min"),
    ("hr", "h"),
    ("hrs", "h"),
    ("hour", "h"),
    ("hours", "h"),
    ("day", "d"),
    ("days", "d"),
    ("week", "wk"),
    ("weeks", "wk"),
    ("y", "a"),
    ("yr", "a"),
    ("year", "a"),
    ("years", "a"),
    ("gram", "g"),
    ("grams", "g"),
    ("lbs", "lbm"),
    ("pound", "lbm"),
    ("pounds", "lbm"),
    ("meter", "m"),
    ("metre", "m"),
    ("meters", "m"),
    ("metres", "m"),
    ("foot", "ft"),
    ("feet", "ft"),
    ("inch", "in"),
    ("inches", "in"),
    ("mile", "mi"),
    ("miles", "mi"),
    ("micron", "um"),
    ("litre", "l"),
    ("liter", "l"),
    ("litres", "l"),
    ("liters", "l"),
    ("watt", "W"),
    ("watts", "W"),
    ("c", "degC"),
    ("°c", "degC"),
    ("f", "degF"),
    ("°f", "degF"),
];

/// What one dimension is called, accepts and is shown in.
pub(super) struct Entry {
    pub(super) dimension: Dimension,
    /// With its article, for a sentence.
    pub(super) name: &'static str,
    pub(super) powers: Powers,
    /// Units named in messages; any other combination of the right dimension is accepted too.
    pub(super) usual: &'static [&'static str],
    pub(super) example: &'static str,
    /// (unit, smallest size in SI shown in it), largest first; the last is for all that is smaller.
    pub(super) shown: &'static [(&'static str, f64)],
}

const fn entry(
    dimension: Dimension,
    name: &'static str,
    powers: Powers,
    usual: &'static [&'static str],
    example: &'static str,
    shown: &'static [(&'static str, f64)],
) -> Entry {
    Entry { dimension, name, powers, usual, example, shown }
}

/// One entry per dimension, in the order of the enum.
#[rustfmt::skip]
pub(super) const DIMENSIONS: &[Entry] = &[
    entry(Dimension::Pure, "a bare number", ONE, &[], "0.85", &[]),
    entry(Dimension::Time, "a time", TIME,
        &["s", "min", "h", "d", "wk", "a"], "45 min",
        &[("d", 172_800.0), ("h", 7_200.0), ("min", 60.0), ("s", 0.0)]),
    entry(Dimension::Length, "a length", LENGTH,
        &["um", "mm", "cm", "m", "km", "in", "ft", "mi"], "0.91 m",
        &[("km", 1e3), ("m", 0.1), ("mm", 1e-4), ("um", 0.0)]),
    entry(Dimension::Area, "an area", [0, 2, 0, 0],
        &["mm2", "cm2", "m2", "in2", "ft2"], "12 cm2",
        &[("m2", 0.1), ("cm2", 1e-5), ("mm2", 0.0)]),
    entry(Dimension::Volume, "a volume", VOLUME,
        &["m3", "l", "ml", "cm3", "ft3", "in3"], "4.25 m3",
        &[("m3", 0.01), ("l", 1e-4), ("cm3", 0.0)]),
    entry(Dimension::Mass, "a mass", MASS,
        &["ug", "mg", "g", "kg", "t", "oz", "lb", "lbm"], "120 kg",
        &[("kg", 1.0), ("g", 1e-3), ("mg", 1e-6), ("ug", 0.0)]),
    entry(Dimension::Pressure, "a pressure", PRESSURE,
        &["Pa", "hPa", "kPa", "mbar", "bar", "atm", "psi", "psia", "mmHg", "torr"], "10.2 psi",
        &[("kPa", 1e3), ("Pa", 0.0)]),
    entry(Dimension::PressureRate, "a rate of pressure change", [1, -1, -3, 0],
        &["Pa/s", "kPa/min", "psi/min", "mmHg/min"], "90 kPa/min",
        &[("kPa/min", 1.0), ("Pa/min", 0.0)]),
    entry(Dimension::Temperature, "a temperature", TEMPERATURE,
        &["K", "degC", "degF"], "21 degC",
        &[("K", 0.0)]),
    entry(Dimension::Power, "a power", POWER,
        &["W", "kW", "btu/h", "kcal/h"], "293 W",
        &[("kW", 1e3), ("W", 0.0)]),
    entry(Dimension::Energy, "an energy", ENERGY,
        &["J", "kJ", "MJ", "Wh", "kWh", "btu", "kcal"], "2.05 kWh",
        &[("kWh", 3.6e6), ("Wh", 3.6e3), ("J", 0.0)]),
    entry(Dimension::MassFlow, "a mass per time", [1, 0, -1, 0],
        &["kg/s", "kg/h", "kg/d", "g/min", "g/h", "lbm/h", "lbm/d"], "0.0011 kg/d",
        &[("kg/h", 1.0 / 3_600.0), ("kg/d", 1.0 / 86_400.0), ("g/d", 0.0)]),
    entry(Dimension::VolumeFlow, "a volume per time", [0, 3, -1, 0],
        &["m3/s", "m3/min", "m3/h", "l/min", "cfm"], "0.40 m3/min",
        &[("m3/h", 1.0 / 3_600.0), ("l/min", 0.0)]),
    entry(Dimension::Speed, "a speed", [0, 1, -1, 0],
        &["m/s", "km/h", "ft/s", "mi/h"], "4 km/h",
        &[("km/h", 0.1), ("m/h", 0.0)]),
    entry(Dimension::Acceleration, "an acceleration", [0, 1, -2, 0],
        &["m/s2", "ft/s2"], "1.62 m/s2",
        &[("m/s2", 0.0)]),
    entry(Dimension::Density, "a mass per volume", [1, -3, 0, 0],
        &["kg/m3", "g/m3", "mg/m3", "ug/m3", "g/cm3", "lbm/ft3"], "0.3 mg/m3",
        &[("kg/m3", 0.1), ("g/m3", 1e-3), ("mg/m3", 0.0)]),
    entry(Dimension::AreaDensity, "a mass per area", [1, -2, 0, 0],
        &["kg/m2", "g/m2", "mg/cm2"], "0.5 g/m2",
        &[("kg/m2", 1.0), ("g/m2", 0.0)]),
    entry(Dimension::PerTime, "a rate per time", [0, 0, -1, 0],
        &["/s", "/min", "/h", "/d", "/wk", "/a"], "1e-4 /h",
        &[("/s", 0.1), ("/min", 1.0 / 60.0), ("/h", 1e-3 / 3_600.0), ("/a", 0.0)]),
    entry(Dimension::PerLength, "a rate per distance", [0, -1, 0, 0],
        &["/m", "/km", "/mi"], "2e-4 /km",
        &[("/m", 1.0), ("/km", 0.0)]),
    entry(Dimension::PerVolume, "a number per volume", [0, -3, 0, 0],
        &["/m3", "cfu/m3", "/l", "/ft3"], "200 /m3",
        &[("/m3", 0.0)]),
    entry(Dimension::MassPerPower, "a mass per power", [0, -2, 3, 0],
        &["kg/W", "kg/kW", "lbm/kW"], "100 kg/kW",
        &[("kg/kW", 0.0)]),
];
