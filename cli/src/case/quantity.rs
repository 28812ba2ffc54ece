//! Values with their unit, as people write them: `"4 mm"`, `"8.5 GPa"`, `"3.4 Ω"`. One table of units, one way to read them.

use std::fmt;

/// A kind of quantity and the units it may be written in.
#[derive(Debug)]
pub struct Quantity {
    /// With its article, for sentences: "a length".
    pub name: &'static str,
    /// The accepted units; the first is the one shown by default.
    pub units: &'static [Unit],
}

/// A unit: `value in SI = (number + offset) · scale`.
#[derive(Debug)]
pub struct Unit {
    /// As shown in messages.
    pub symbol: &'static str,
    /// As accepted, after [`plain`] has been applied.
    spellings: &'static [&'static str],
    scale: f64,
    offset: f64,
    /// SI prefixes that may stand before it.
    prefixes: &'static str,
}

/// A quantity that was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Amount {
    /// The number as written.
    pub number: f64,
    /// In SI units.
    pub si: f64,
}

/// Why a text is not the quantity that is needed.
#[derive(Clone, Debug, PartialEq)]
pub enum NotAQuantity {
    /// No number in front.
    NoNumber,
    /// "3,4 mm": the number written with a point instead.
    DecimalComma(String),
    /// "1 000 mm".
    SplitNumber,
    /// "760" (the number).
    NoUnit(String),
    /// Number and unit that nobody knows, with the spelling that comes close.
    UnknownUnit(String, String, Option<String>),
    /// Number, its unit, and the quantity this is a unit of.
    OtherQuantity(String, String, &'static str),
    /// Number too large to be held.
    TooLarge,
}

const fn unit(symbol: &'static str, spellings: &'static [&'static str], scale: f64) -> Unit {
    Unit { symbol, spellings, scale, offset: 0.0, prefixes: "" }
}

const fn prefixed(symbol: &'static str, spellings: &'static [&'static str], prefixes: &'static str) -> Unit {
    Unit { symbol, spellings, scale: 1.0, offset: 0.0, prefixes }
}

/// Lengths [m].
pub static LENGTH: Quantity = Quantity {
    name: "a length",
    units: &[
        prefixed("m", &["m", "metre", "metres", "meter", "meters"], "kcmun"),
        unit("in", &["in", "inch", "inches"], 0.0254),
        unit("ft", &["ft", "foot", "feet"], 0.3048),
    ],
};
/// Masses [kg].
pub static MASS: Quantity = Quantity {
    name: "a mass",
    units: &[
        unit("kg", &["kg"], 1.0),
        unit("g", &["g", "gram", "grams"], 1e-3),
        unit("mg", &["mg"], 1e-6),
        unit("oz", &["oz"], 0.028_349_523_125),
        unit("lb", &["lb", "lbs"], 0.453_592_37),
    ],
};
/// Densities [kg/m³].
pub static DENSITY: Quantity = Quantity {
    name: "a density",
    units: &[
        unit("kg/m³", &["kg/m3", "kgm-3"], 1.0),
        unit("g/cm³", &["g/cm3", "gcm-3", "g/cc"], 1000.0),
        unit("g/l", &["g/l", "g/L"], 1.0),
    ],
};
/// Moduli of elasticity [Pa].
pub static MODULUS: Quantity = Quantity {
    name: "a modulus of elasticity",
    units: &[
        prefixed("Pa", &["Pa", "N/m2"], "GMk"),
        unit("N/mm²", &["N/mm2"], 1e6),
        unit("psi", &["psi"], 6894.757),
    ],
};
/// Air pressure [Pa].
pub static PRESSURE: Quantity = Quantity {
    name: "a pressure",
    units: &[
        prefixed("Pa", &["Pa"], "kh"),
        unit("mbar", &["mbar"], 100.0),
        unit("bar", &["bar"], 1e5),
        unit("atm", &["atm"], 101_325.0),
    ],
};
/// Stiffness of a spring [N/m].
pub static SPRING: Quantity = Quantity {
    name: "a stiffness",
    units: &[prefixed("N/m", &["N/m"], "Mk"), unit("N/mm", &["N/mm"], 1000.0)],
};
/// RMS voltages [V].
pub static VOLTAGE: Quantity =
    Quantity { name: "a voltage", units: &[prefixed("V", &["V", "volt", "volts"], "kmu")] };
/// Electrical resistance [Ω].
pub static RESISTANCE: Quantity =
    Quantity { name: "a resistance", units: &[prefixed("Ω", &["ohm", "ohms", "Ohm", "Ohms"], "Mkm")] };
/// Inductance [H].
pub static INDUCTANCE: Quantity =
    Quantity { name: "an inductance", units: &[prefixed("H", &["H", "henry"], "mun")] };
/// Force factor Bl [N/A].
pub static FORCE_FACTOR: Quantity =
    Quantity { name: "a force factor", units: &[unit("N/A", &["N/A", "Tm"], 1.0)] };
/// Times [s].
pub static TIME: Quantity =
    Quantity { name: "a time", units: &[prefixed("s", &["s", "sec", "second", "seconds"], "mun")] };
/// Frequencies [Hz].
pub static FREQUENCY: Quantity =
    Quantity { name: "a frequency", units: &[prefixed("Hz", &["Hz", "hz", "HZ"], "Mk")] };
/// Powers [W].
pub static POWER: Quantity =
    Quantity { name: "a power", units: &[prefixed("W", &["W", "watt", "watts"], "km")] };
/// Levels [dB].
pub static LEVEL: Quantity = Quantity { name: "a level", units: &[unit("dB", &["dB", "db", "DB"], 1.0)] };
/// Angles [rad].
pub static ANGLE: Quantity = Quantity {
    name: "an angle",
    units: &[
        unit("°", &["°", "deg", "degree", "degrees"], std::f64::consts::PI / 180.0),
        unit("rad", &["rad"], 1.0),
    ],
};
/// Temperatures [K].
pub static TEMPERATURE: Quantity = Quantity {
    name: "a temperature",
    units: &[
        Unit { symbol: "°C", spellings: &["°C", "C", "degC"], scale: 1.0, offset: 273.15, prefixes: "" },
        Unit {
            symbol: "°F",
            spellings: &["°F", "F", "degF"],
            scale: 5.0 / 9.0,
            offset: 459.67,
            prefixes: "",
        },
        unit("K", &["K"], 1.0),
    ],
};
/// Shares of a whole, 0…1 for 0…100 %.
pub static SHARE: Quantity =
    Quantity { name: "a percentage", units: &[unit("%", &["%", "percent", "%rh", "%RH"], 0.01)] };
/// Compliance of a spring [m/N].
pub static COMPLIANCE: Quantity = Quantity {
    name: "a compliance",
    units: &[
        unit("mm/N", &["mm/N"], 1e-3),
        unit("µm/N", &["um/N"], 1e-6),
        unit("m/N", &["m/N"], 1.0),
        unit("cm/dyn", &["cm/dyn"], 1e3),
    ],
};
/// Mechanical resistance, force per velocity [N s/m].
pub static MECHANICAL_RESISTANCE: Quantity =
    Quantity { name: "a mechanical resistance", units: &[unit("N s/m", &["Ns/m", "kg/s"], 1.0)] };
/// Volumes [m³].
pub static VOLUME: Quantity = Quantity {
    name: "a volume",
    units: &[
        unit("l", &["l", "L", "dm3", "litre", "litres", "liter", "liters"], 1e-3),
        unit("ml", &["ml", "mL", "cm3", "cc"], 1e-6),
        unit("m³", &["m3"], 1.0),
    ],
};
/// Mass per area [kg/m²].
pub static SURFACE_MASS: Quantity = Quantity {
    name: "a mass per area",
    units: &[unit("kg/m²", &["kg/m2", "kgm-2"], 1.0), unit("g/m²", &["g/m2", "gsm", "gm-2"], 1e-3)],
};
/// Stiffness of an edge strip for each length of edge [N/m²].
pub static EDGE_STIFFNESS: Quantity = Quantity {
    name: "a stiffness per length of edge",
    units: &[prefixed("N/m²", &["N/m2", "N/m/m"], "GMk"), unit("N/mm²", &["N/mm2"], 1e6)],
};
/// Stiffness of an edge strip against turning for each length of edge [N], a moment per angle and length.
pub static EDGE_TURNING: Quantity = Quantity {
    name: "a stiffness against turning per length of edge",
    units: &[prefixed("N", &["N", "Nm/m", "Nm/rad/m"], "Mk")],
};
/// Areas [m²].
pub static AREA: Quantity = Quantity {
    name: "an area",
    units: &[unit("m²", &["m2"], 1.0), unit("cm²", &["cm2"], 1e-4), unit("mm²", &["mm2"], 1e-6)],
};

/// Every quantity, to say what a misplaced unit measures.
static ALL: [&Quantity; 24] = [
    &LENGTH,
    &MASS,
    &DENSITY,
    &MODULUS,
    &PRESSURE,
    &SPRING,
    &VOLTAGE,
    &RESISTANCE,
    &INDUCTANCE,
    &FORCE_FACTOR,
    &TIME,
    &FREQUENCY,
    &POWER,
    &LEVEL,
    &ANGLE,
    &TEMPERATURE,
    &SHARE,
    &COMPLIANCE,
    &MECHANICAL_RESISTANCE,
    &VOLUME,
    &SURFACE_MASS,
    &EDGE_STIFFNESS,
    &EDGE_TURNING,
    &AREA,
];

const PREFIXES: [(char, f64); 9] = [
    ('G', 1e9),
    ('M', 1e6),
    ('k', 1e3),
    ('h', 1e2),
    ('c', 1e-2),
    ('m', 1e-3),
    ('u', 1e-6),
    ('n', 1e-9),
    ('d', 1e-1),
];

impl Quantity {
    /// Reads number and unit.
    ///
    /// # Errors
    /// Says what is wrong with the text.
    pub fn parse(&self, text: &str) -> Result<Amount, NotAQuantity> {
        let (digits, rest) = split(text.trim())?;
        let number: f64 = digits.parse().map_err(|_| NotAQuantity::NoNumber)?;
        let written = rest.trim();
        if !number.is_finite() {
            return Err(NotAQuantity::TooLarge);
        }
        if written.is_empty() {
            return Err(NotAQuantity::NoUnit(digits));
        }
        let (scale, offset) = self.find(&plain(written)).ok_or_else(|| self.explain(digits, written))?;
        let si = (number + offset) * scale;
        if si.is_finite() { Ok(Amount { number, si }) } else { Err(NotAQuantity::TooLarge) }
    }

    /// `si` written in `symbol` (a symbol as [`parse`](Self::parse) reads it), for messages.
    pub fn show(&self, si: f64, symbol: &str) -> String {
        let (scale, offset) = self.find(&plain(symbol)).unwrap_or((1.0, 0.0));
        format!("{} {symbol}", short(si / scale - offset))
    }

    /// Scale and offset of a unit written plainly.
    fn find(&self, written: &str) -> Option<(f64, f64)> {
        let exact = self.units.iter().find(|u| u.spellings.contains(&written)).map(|u| (u.scale, u.offset));
        exact.or_else(|| self.units.iter().find_map(|u| u.prefixed_scale(written)).map(|scale| (scale, 0.0)))
    }

    fn explain(&self, digits: String, written: &str) -> NotAQuantity {
        let plain_unit = plain(written);
        if let Some(other) = ALL.iter().find(|q| q.find(&plain_unit).is_some()) {
            return NotAQuantity::OtherQuantity(digits, written.to_owned(), other.name);
        }
        if plain_unit.starts_with(|c: char| c.is_ascii_digit()) {
            return NotAQuantity::SplitNumber;
        }
        let nearest = self.spelled_symbols().find(|s| plain(s).eq_ignore_ascii_case(&plain_unit));
        NotAQuantity::UnknownUnit(digits, written.to_owned(), nearest)
    }

    /// Symbols with and without prefixes.
    fn spelled_symbols(&self) -> impl Iterator<Item = String> {
        self.units.iter().flat_map(|u| {
            let with_prefix =
                u.prefixes.chars().map(|p| format!("{}{}", if p == 'u' { 'µ' } else { p }, u.symbol));
            std::iter::once(u.symbol.to_owned()).chain(with_prefix)
        })
    }

    /// Symbols to choose from, for documentation: "m (km, cm, mm, µm), in, ft".
    pub fn symbols(&self) -> String {
        let list: Vec<_> = self.spelled_symbols().collect();
        list.join(", ")
    }
}

impl Unit {
    fn prefixed_scale(&self, written: &str) -> Option<f64> {
        let mut letters = written.chars();
        let first = letters.next().filter(|c| self.prefixes.contains(*c))?;
        let (_, factor) = PREFIXES.iter().find(|(letter, _)| *letter == first)?;
        self.spellings.contains(&letters.as_str()).then_some(factor * self.scale)
    }
}

/// A unit without spaces, dots and typographic characters.
fn plain(unit: &str) -> String {
    let letter = |c: char| match c {
        ' ' | '\t' | '\u{a0}' | '\u{202f}' | '·' | '⋅' | '*' | '^' => None,
        '²' => Some('2'),
        '³' => Some('3'),
        'µ' | 'μ' => Some('u'),
        'º' | '˚' => Some('°'),
        '−' | '⁻' => Some('-'),
        other => Some(other),
    };
    let text: String = unit.chars().filter_map(letter).collect();
    text.replace(['Ω', '\u{2126}'], "ohm")
}

/// Number (with ASCII signs) and what follows it.
fn split(text: &str) -> Result<(String, &str), NotAQuantity> {
    let bytes: Vec<(usize, char)> = text.char_indices().collect();
    let end = number_length(&bytes);
    let byte = |i: usize| bytes.get(i).map_or(text.len(), |(at, _)| *at);
    let digits: String = text[..byte(end)].replace('−', "-");
    if !digits.contains(|c: char| c.is_ascii_digit()) {
        return Err(NotAQuantity::NoNumber);
    }
    let rest = &text[byte(end)..];
    if rest.strip_prefix(',').is_some_and(|r| r.starts_with(|c: char| c.is_ascii_digit())) {
        return Err(NotAQuantity::DecimalComma(text.replacen(',', ".", 1)));
    }
    Ok((digits, rest))
}

/// Characters that belong to the number in front.
fn number_length(letters: &[(usize, char)]) -> usize {
    let at = |i: usize| letters.get(i).map(|(_, c)| *c);
    let digit = |i: usize| at(i).is_some_and(|c| c.is_ascii_digit());
    let sign = |i: usize| matches!(at(i), Some('+' | '-' | '−'));
    let mut i = usize::from(sign(0));
    while digit(i) || at(i) == Some('.') {
        i += 1;
    }
    // "2e3 Hz" is a number; "2 eV" is not.
    let exponent = if sign(i + 1) { i + 2 } else { i + 1 };
    if matches!(at(i), Some('e' | 'E')) && digit(exponent) {
        i = exponent;
        while digit(i) {
            i += 1;
        }
    }
    i
}

/// A number without the noise of binary fractions, for messages.
pub fn short(value: f64) -> String {
    let rounded: f64 = format!("{value:.5e}").parse().unwrap_or(value);
    if rounded == 0.0 || (1e-4..1e7).contains(&rounded.abs()) {
        format!("{rounded}")
    } else {
        format!("{rounded:e}")
    }
}

impl fmt::Display for NotAQuantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoNumber => write!(f, "does not start with a number"),
            Self::DecimalComma(_) => write!(f, "a comma in the number"),
            Self::SplitNumber => write!(f, "a space inside the number"),
            Self::NoUnit(_) => write!(f, "the unit is missing"),
            Self::UnknownUnit(_, unit, _) => write!(f, "unknown unit \"{unit}\""),
            Self::OtherQuantity(_, unit, quantity) => write!(f, "\"{unit}\" is a unit of {quantity}"),
            Self::TooLarge => write!(f, "the number is too large"),
        }
    }
}
