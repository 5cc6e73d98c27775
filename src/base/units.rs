//! Quantities with a unit: `"10.2 psi"` read into SI, and one rule for showing a number to people.
//!
//! A quantity is a number, a space and a unit. Units combine freely: terms are divided with `/`, a
//! digit after a symbol is its power, and a unit may begin with `/` (`"1e-4 /h"`). Whether the
//! combination fits is decided by its powers of kilogram, metre, second and kelvin, so `kPa/min`,
//! `lbm/d` and `mg/m3` need no entry of their own. A missing unit is never guessed.
//!
//! Not done here: whether a value makes sense (a negative volume is a matter for the checks).

mod mended;
mod table;

pub use mended::mended;
use std::fmt;
use table::{DIMENSIONS, Entry, LONG_NAMES, ONE, Powers, UNITS, Unit};

/// What kind of quantity a key holds; SI unit of the value in the second column.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    /// Bare number without a unit: shares, factors, counts.
    Pure,
    /// s
    Time,
    /// m
    Length,
    /// m2
    Area,
    /// m3
    Volume,
    /// kg
    Mass,
    /// Pa
    Pressure,
    /// Pa/s
    PressureRate,
    /// K, absolute; `degC` and `degF` have their zero elsewhere.
    Temperature,
    /// W
    Power,
    /// J
    Energy,
    /// kg/s
    MassFlow,
    /// m3/s
    VolumeFlow,
    /// m/s
    Speed,
    /// m/s2
    Acceleration,
    /// kg/m3
    Density,
    /// kg/m2
    AreaDensity,
    /// 1/s
    PerTime,
    /// 1/m
    PerLength,
    /// 1/m3
    PerVolume,
    /// kg/W
    MassPerPower,
}

impl Dimension {
    /// Every dimension, in the order of the enum.
    pub fn all() -> impl Iterator<Item = Dimension> {
        DIMENSIONS.iter().map(|e| e.dimension)
    }

    /// What it is called in a sentence, with its article: `"a pressure"`.
    pub fn name(self) -> &'static str {
        self.entry().name
    }

    /// Units to name in a message or in documentation; other combinations that fit are read too.
    pub fn usual_units(self) -> &'static [&'static str] {
        self.entry().usual
    }

    /// A quantity of this dimension as written in a file: `"10.2 psi"`.
    pub fn example(self) -> &'static str {
        self.entry().example
    }

    fn entry(self) -> &'static Entry {
        // The table stands in the order of the enum; a test holds it to that.
        &DIMENSIONS[self as usize]
    }
}

/// Every unit symbol that can be written, alone or in a combination.
pub fn symbols() -> impl Iterator<Item = &'static str> {
    UNITS.iter().map(|u| u.symbol)
}

/// Why a text is not a quantity of the wanted dimension. `Display` gives a whole sentence: what was
/// found and what to write instead.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitError {
    /// The text as written.
    pub found: String,
    /// What was wanted.
    pub wanted: Dimension,
    /// What is wrong with it.
    pub fault: Fault,
}

/// What is wrong with a text that should be a quantity.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Nothing but blanks.
    Empty,
    /// The text does not begin with a number followed by a blank.
    NotANumber,
    /// Infinite, not a number, or too large once in SI.
    NotFinite,
    /// A number and no unit.
    NoUnit,
    /// A unit where a bare number is wanted.
    UnitOnPure,
    /// A symbol nobody knows, and the whole unit with the nearest known symbol in its place.
    UnknownUnit {
        /// The unknown symbol.
        symbol: String,
        /// What was probably meant.
        nearest: Option<String>,
    },
    /// A unit of something else, and what that is, if it has a name here.
    WrongDimension {
        /// The unit as written.
        unit: String,
        /// The dimension it belongs to.
        is: Option<Dimension>,
    },
    /// A temperature below absolute zero.
    BelowAbsoluteZero,
}

impl fmt::Display for UnitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let found = &self.found;
        let wanted = self.wanted.name();
        match &self.fault {
            Fault::Empty => write!(f, "nothing is written; {wanted} is expected")?,
            Fault::NotANumber => {
                write!(f, "\"{found}\" is not {wanted}: write a number, a space and a unit")?
            }
            Fault::NotFinite => write!(f, "\"{found}\" is not a finite number")?,
            Fault::NoUnit => write!(f, "\"{found}\" has no unit where {wanted} is expected")?,
            Fault::UnitOnPure => write!(f, "\"{found}\" has a unit where {wanted} is expected")?,
            Fault::UnknownUnit { symbol, nearest } => {
                write!(f, "\"{found}\" has the unknown unit \"{symbol}\"")?;
                if let Some(nearest) = nearest {
                    write!(f, "; did you mean \"{nearest}\"?")?;
                }
            }
            Fault::WrongDimension { unit, is } => {
                write!(f, "\"{found}\": \"{unit}\" is ")?;
                match is {
                    Some(d) => write!(f, "a unit of {} where {wanted} is expected", d.name())?,
                    None => write!(f, "not a unit of {wanted}")?,
                }
            }
            Fault::BelowAbsoluteZero => write!(f, "\"{found}\" is below absolute zero")?,
        }
        let example = self.wanted.example();
        if self.wanted == Dimension::Pure {
            return write!(f, "; write a number alone, for example {example}");
        }
        let units = self.wanted.usual_units().join(", ");
        write!(f, "; write for example \"{example}\" (units: {units})")
    }
}

impl std::error::Error for UnitError {}

/// Reads a quantity into SI.
///
/// # Errors
/// [`UnitError`], when the text is not a finite number with a unit of this dimension (or, for
/// [`Dimension::Pure`], not a bare finite number). The sign is not judged, except that a
/// temperature must not lie below absolute zero.
///
/// ```
/// use vestibule::base::units::{Dimension, parse};
/// assert_eq!(parse("45 min", Dimension::Time), Ok(2700.0));
/// assert!(parse("45", Dimension::Time).is_err());
/// ```
pub fn parse(text: &str, dimension: Dimension) -> Result<f64, UnitError> {
    read(text.trim(), dimension).map_err(|fault| UnitError {
        found: text.to_owned(),
        wanted: dimension,
        fault,
    })
}

fn read(text: &str, dimension: Dimension) -> Result<f64, Fault> {
    if text.is_empty() {
        return Err(Fault::Empty);
    }
    let (number, unit) = match text.split_once(char::is_whitespace) {
        Some((number, unit)) => (number, unit.trim_start()),
        None => (text, ""),
    };
    let value: f64 = number.parse().map_err(|_| Fault::NotANumber)?;
    if !value.is_finite() {
        return Err(Fault::NotFinite);
    }
    if dimension == Dimension::Pure {
        return match unit {
            "" => Ok(value),
            _ => Err(Fault::UnitOnPure),
        };
    }
    if unit.is_empty() {
        return Err(Fault::NoUnit);
    }
    let scale = Scale::read(unit)?;
    if scale.powers != dimension.entry().powers {
        let is = DIMENSIONS
            .iter()
            .find(|e| e.dimension != Dimension::Pure && e.powers == scale.powers)
            .map(|e| e.dimension);
        let unit = unit.to_owned();
        return Err(Fault::WrongDimension { unit, is });
    }
    let si = scale.to_si(value);
    if !si.is_finite() {
        return Err(Fault::NotFinite);
    }
    if dimension == Dimension::Temperature && si < 0.0 {
        return Err(Fault::BelowAbsoluteZero);
    }
    Ok(si)
}

/// A compound unit. Numerator and denominator stay apart, so that `kg/d` divides by 86400 once
/// and is as exact as a division can be.
#[derive(Clone, Copy, Debug)]
struct Scale {
    powers: Powers,
    above: f64,
    below: f64,
    offset: f64,
}

impl Scale {
    fn read(unit: &str) -> Result<Self, Fault> {
        let mut scale = Scale { powers: ONE, above: 1.0, below: 1.0, offset: 0.0 };
        let compound = unit.contains('/');
        for (place, term) in unit.split('/').map(str::trim).enumerate() {
            if term.is_empty() && place == 0 {
                continue;
            }
            let (known, power) = find(term).ok_or_else(|| unknown(unit, term))?;
            // A scale with its zero elsewhere has no meaning inside a quotient.
            if known.offset != 0.0 && compound {
                return Err(unknown(unit, term));
            }
            let sign = if place == 0 { 1 } else { -1 };
            for (sum, p) in scale.powers.iter_mut().zip(known.powers) {
                *sum += sign * power * p;
            }
            let factor = known.factor.powi(power);
            match place {
                0 => scale.above *= factor,
                _ => scale.below *= factor,
            }
            scale.offset = known.offset;
        }
        Ok(scale)
    }

    fn to_si(self, value: f64) -> f64 {
        value * self.above / self.below + self.offset
    }

    fn of_si(self, si: f64) -> f64 {
        (si - self.offset) * self.below / self.above
    }
}

/// The unit of one term and its power: `m3` is `m` to the third.
fn find(term: &str) -> Option<(&'static Unit, i32)> {
    let exact = |symbol: &str| UNITS.iter().find(|u| u.symbol == symbol);
    if let Some(unit) = exact(term) {
        return Some((unit, 1));
    }
    let (symbol, power) = match term.strip_suffix('2') {
        Some(symbol) => (symbol, 2),
        None => (term.strip_suffix('3')?, 3),
    };
    // Powers of anything but a length or a time are nothing anybody means.
    let unit = exact(symbol).filter(|u| matches!(u.powers, [0, 1, 0, 0] | [0, 0, 1, 0]))?;
    Some((unit, power))
}

/// The fault for an unknown term, with the nearest known symbol put in its place.
fn unknown(unit: &str, term: &str) -> Fault {
    let nearest = nearest(term).map(|known| unit.replacen(term, &known, 1));
    Fault::UnknownUnit { symbol: term.to_owned(), nearest }
}

fn nearest(term: &str) -> Option<String> {
    let lower = term.to_lowercase();
    if let Some((_, symbol)) = LONG_NAMES.iter().find(|(long, _)| *long == lower) {
        return Some((*symbol).to_owned());
    }
    let plain = term.replace('³', "3").replace('²', "2").replace(['µ', 'μ'], "u");
    if find(&plain).is_some() {
        return Some(plain);
    }
    // Units as they are usually written come first: `cm3` before `cm`.
    let usual = DIMENSIONS.iter().flat_map(|e| e.usual.iter().copied());
    let known = usual.chain(UNITS.iter().map(|u| u.symbol));
    // One slip in short symbols, two in longer ones; otherwise everything is near everything.
    let slips = if lower.chars().count() > 4 { 2 } else { 1 };
    known
        .filter(|symbol| symbol.chars().count() > 1)
        .map(|symbol| (strsim::osa_distance(&symbol.to_lowercase(), &lower), symbol))
        .filter(|(distance, _)| *distance <= slips)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, symbol)| symbol.to_owned())
}

/// A quantity for people: four significant digits in the unit that suits its size, as it could be
/// written in a file (`show(2700.0, Dimension::Time)` is `"45 min"`). Zero, tiny and huge values
/// keep their meaning (`0`, exponents); what is not a number is said to be `undefined`.
pub fn show(si: f64, dimension: Dimension) -> String {
    let shown = dimension.entry().shown;
    let largest = shown.iter().find(|(_, least)| si.abs() >= *least);
    // Zero has no size: it is shown in the middle of the list, where most values of its kind are.
    let choice = if si == 0.0 { shown.get(shown.len() / 2) } else { largest.or(shown.last()) };
    let Some((unit, _)) = choice else {
        return digits(si);
    };
    if !si.is_finite() {
        return digits(si);
    }
    match Scale::read(unit) {
        Ok(scale) => format!("{} {unit}", digits(scale.of_si(si))),
        // Cannot happen (a test reads every unit of the table); SI is then still the truth.
        Err(_) => format!("{} (SI)", digits(si)),
    }
}

/// Four significant digits without trailing zeros; an exponent below 0.001 and from a million on.
fn digits(x: f64) -> String {
    if x.is_nan() {
        return "undefined".to_owned();
    }
    if x.is_infinite() {
        return if x > 0.0 { "infinite" } else { "-infinite" }.to_owned();
    }
    if x == 0.0 {
        return "0".to_owned();
    }
    // The exponent after rounding to four digits, read from the formatted number itself.
    let rounded = format!("{x:.3e}");
    let (mantissa, exponent) = rounded.split_once('e').unwrap_or((&rounded, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    if !(-3..6).contains(&exponent) {
        return format!("{}e{exponent}", without_zeros(mantissa));
    }
    let places = usize::try_from(3 - exponent).unwrap_or(0);
    without_zeros(&format!("{x:.places$}")).to_owned()
}

/// Drops zeros after the decimal point, and the point when nothing is left behind it.
fn without_zeros(number: &str) -> &str {
    if !number.contains('.') {
        return number;
    }
    number.trim_end_matches('0').trim_end_matches('.')
}

#[cfg(test)]
mod tests;
