//! Units as people write them.

use crate::case::quantity::{
    ANGLE, DENSITY, FORCE_FACTOR, FREQUENCY, INDUCTANCE, LENGTH, LEVEL, MASS, MODULUS, NotAQuantity, POWER,
    PRESSURE, Quantity, RESISTANCE, SHARE, SPRING, TEMPERATURE, TIME, VOLTAGE,
};
use approx::assert_relative_eq;

#[track_caller]
fn reads(quantity: &Quantity, text: &str, si: f64) {
    let amount = quantity.parse(text).unwrap_or_else(|e| panic!("{text}: {e}"));
    assert_relative_eq!(amount.si, si, max_relative = 1e-12, epsilon = 1e-300);
}

#[test]
fn units_as_people_write_them() {
    let table: [(&Quantity, &str, f64); 58] = [
        (&LENGTH, "760 mm", 0.76),
        (&LENGTH, "760mm", 0.76),
        (&LENGTH, " 4\u{a0}mm ", 4e-3),
        (&LENGTH, "50 µm", 50e-6),
        (&LENGTH, "50 μm", 50e-6),
        (&LENGTH, "50 um", 50e-6),
        (&LENGTH, "2.4 m", 2.4),
        (&LENGTH, "1.5 in", 0.0381),
        (&LENGTH, "2 ft", 0.6096),
        (&LENGTH, "-800 mm", -0.8),
        (&LENGTH, "−800 mm", -0.8),
        (&LENGTH, "+.5 cm", 5e-3),
        (&LENGTH, "7.6e2 mm", 0.76),
        (&MASS, "25 g", 0.025),
        (&MASS, "600 mg", 6e-4),
        (&MASS, "0.1 kg", 0.1),
        (&DENSITY, "450 kg/m3", 450.0),
        (&DENSITY, "450 kg/m³", 450.0),
        (&DENSITY, "450 kg·m⁻3", 450.0),
        (&DENSITY, "0.45 g/cm³", 450.0),
        (&MODULUS, "8.5 GPa", 8.5e9),
        (&MODULUS, "450 MPa", 4.5e8),
        (&MODULUS, "450 N/mm²", 4.5e8),
        (&MODULUS, "450 N/mm^2", 4.5e8),
        (&PRESSURE, "101.3 kPa", 101_300.0),
        (&PRESSURE, "1013 hPa", 101_300.0),
        (&PRESSURE, "1013 mbar", 101_300.0),
        (&SPRING, "9 N/mm", 9000.0),
        (&SPRING, "9 kN/m", 9000.0),
        (&SPRING, "9000 N/m", 9000.0),
        (&VOLTAGE, "2.83 V", 2.83),
        (&VOLTAGE, "500 mV", 0.5),
        (&RESISTANCE, "3.4 Ω", 3.4),
        (&RESISTANCE, "3.4 \u{2126}", 3.4),
        (&RESISTANCE, "3.4 ohm", 3.4),
        (&RESISTANCE, "3.4 Ohms", 3.4),
        (&RESISTANCE, "200 mΩ", 0.2),
        (&INDUCTANCE, "0.5 mH", 5e-4),
        (&INDUCTANCE, "60 µH", 6e-5),
        (&FORCE_FACTOR, "4 N/A", 4.0),
        (&FORCE_FACTOR, "4 T m", 4.0),
        (&FORCE_FACTOR, "4 T·m", 4.0),
        (&FORCE_FACTOR, "4 Tm", 4.0),
        (&TIME, "2 ms", 2e-3),
        (&TIME, "250 µs", 2.5e-4),
        (&FREQUENCY, "1.2 kHz", 1200.0),
        (&FREQUENCY, "50 Hz", 50.0),
        (&POWER, "10 W", 10.0),
        (&LEVEL, "-3 dB", -3.0),
        (&ANGLE, "15°", std::f64::consts::PI / 12.0),
        (&ANGLE, "15 deg", std::f64::consts::PI / 12.0),
        (&ANGLE, "0.1 rad", 0.1),
        (&TEMPERATURE, "20 °C", 293.15),
        (&TEMPERATURE, "20C", 293.15),
        (&TEMPERATURE, "-5 °C", 268.15),
        (&TEMPERATURE, "68 °F", 293.15),
        (&TEMPERATURE, "293.15 K", 293.15),
        (&SHARE, "40 %", 0.4),
    ];
    for (quantity, text, si) in table {
        reads(quantity, text, si);
    }
}

#[test]
fn units_mean_what_their_letters_say() {
    assert!(matches!(LENGTH.parse("4 Mm"), Err(NotAQuantity::UnknownUnit(_, _, Some(near))) if near == "mm"));
    assert!(
        matches!(MODULUS.parse("8.5 gpa"), Err(NotAQuantity::UnknownUnit(_, _, Some(near))) if near == "GPa")
    );
    assert!(matches!(LENGTH.parse("4 furlongs"), Err(NotAQuantity::UnknownUnit(_, _, None))));
    assert!(matches!(
        LENGTH.parse("4 GPa"),
        Err(NotAQuantity::OtherQuantity(_, _, "a modulus of elasticity"))
    ));
    assert!(matches!(FREQUENCY.parse("1.2.3 kHz"), Err(NotAQuantity::NoNumber)));
    assert!(
        matches!(FREQUENCY.parse("1,200 Hz"), Err(NotAQuantity::DecimalComma(fixed)) if fixed == "1.200 Hz")
    );
    assert!(matches!(FREQUENCY.parse("2 eV"), Err(NotAQuantity::UnknownUnit(..))));
    for text in ["", " ", "mm", "-", ".", "nan mm", "inf mm", "e5 mm"] {
        assert_eq!(LENGTH.parse(text), Err(NotAQuantity::NoNumber), "{text}");
    }
}

#[test]
fn what_is_shown_can_be_read_back() {
    for (quantity, si, symbol) in
        [(&LENGTH, 0.76, "mm"), (&TEMPERATURE, 293.15, "°C"), (&RESISTANCE, 3.4, "Ω"), (&MODULUS, 7e9, "GPa")]
    {
        reads(quantity, &quantity.show(si, symbol), si);
    }
    assert_eq!(LENGTH.show(0.1 + 0.2, "mm"), "300 mm");
}
