//! Numbers as people read them: mm, g, Ω, kHz, with a real minus sign and no more digits than they deserve.

/// Keeps a number and its unit on one line.
pub const NBSP: char = '\u{a0}';

/// `value` with `digits` decimals; an en dash for what is not a number.
pub fn fixed(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return "–".into();
    }
    let text = format!("{value:.digits$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.into(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

/// `value` with `digits` significant digits, without exponent between 10⁻⁴ and 10⁶.
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".into() } else { "–".into() };
    }
    let exponent =
        format!("{value:.*e}", digits - 1).split_once('e').and_then(|(_, e)| e.parse().ok()).unwrap_or(0);
    if (-4..6).contains(&exponent) {
        fixed(value, (digits as i32 - 1 - exponent).max(0) as usize)
    } else {
        let mantissa = value / 10f64.powi(exponent);
        format!("{} × 10{}", fixed(mantissa, digits - 1), superscript(exponent))
    }
}

/// An integer as superscript digits.
pub fn superscript(exponent: i32) -> String {
    const DIGITS: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    let raise = |c: char| c.to_digit(10).map_or('⁻', |d| DIGITS[d as usize]);
    exponent.to_string().chars().map(raise).collect()
}

/// Trailing zeros behind a decimal point removed.
fn trimmed(text: &str) -> &str {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text }
}

/// A frequency with its unit: `63.4 Hz`, `1.25 kHz`.
pub fn hertz(frequency: f64) -> String {
    if frequency < 999.5 {
        format!("{}{NBSP}Hz", trimmed(&significant(frequency, 3)))
    } else {
        format!("{}{NBSP}kHz", trimmed(&significant(frequency / 1e3, 3)))
    }
}

/// A nominal band frequency, short: `31.5`, `800`, `1.25k`.
pub fn band_label(frequency: f64) -> String {
    let (value, suffix) = if frequency < 1e3 { (frequency, "") } else { (frequency / 1e3, "k") };
    format!("{}{suffix}", trimmed(&fixed(value, 2)))
}

/// A nominal band frequency with its unit.
pub fn band(frequency: f64) -> String {
    let (value, unit) = if frequency < 1e3 { (frequency, "Hz") } else { (frequency / 1e3, "kHz") };
    format!("{}{NBSP}{unit}", trimmed(&fixed(value, 2)))
}

/// A length [m] in millimetres, whole ones.
pub fn millimetres(length: f64) -> String {
    format!("{}{NBSP}mm", fixed(length * 1e3, 0))
}

/// A length [m] in millimetres with as many of `digits` significant digits as it needs.
pub fn millimetres_fine(length: f64, digits: usize) -> String {
    format!("{}{NBSP}mm", trimmed(&significant(length * 1e3, digits)))
}

/// An area [m²] in square centimetres; what is smaller than a tenth is said to be so.
pub fn area(square_metres: f64) -> String {
    match square_metres * 1e4 {
        small if small < 0.1 => format!("< 0.1{NBSP}cm²"),
        middling if middling < 10.0 => format!("{}{NBSP}cm²", fixed(middling, 1)),
        large => format!("{}{NBSP}cm²", fixed(large, 0)),
    }
}

/// A sentence whose numbers do not part from their units at the end of a line.
pub fn bound(sentence: &str) -> String {
    const UNITS: [&str; 8] = ["Hz", "kHz", "mm", "m", "dB", "W", "V", "%"];
    let mut words = sentence.split(' ');
    let mut text = words.next().unwrap_or_default().to_owned();
    for word in words {
        let unit = UNITS.contains(&word.trim_end_matches([',', '.', ':', ';', ')']));
        text.push(if unit && text.ends_with(|c: char| c.is_ascii_digit()) { NBSP } else { ' ' });
        text.push_str(word);
    }
    text
}

/// A mass [kg] in grams or kilograms.
pub fn mass(kilograms: f64) -> String {
    if kilograms < 1.0 {
        format!("{}{NBSP}g", trimmed(&significant(kilograms * 1e3, 3)))
    } else {
        format!("{}{NBSP}kg", significant(kilograms, 3))
    }
}

/// A quantity with three significant digits and its unit.
pub fn quantity(value: f64, unit: &str) -> String {
    format!("{}{NBSP}{unit}", trimmed(&significant(value, 3)))
}

/// Decibels with one decimal.
pub fn decibels(level: f64) -> String {
    format!("{}{NBSP}dB", fixed(level, 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_and_minus_signs() {
        assert_eq!(fixed(-7.1234, 1), "−7.1");
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(significant(0.0123456, 3), "0.0123");
        assert_eq!(significant(12345.6, 3), "12346");
        assert_eq!(significant(1.234e-7, 3), "1.23 × 10⁻⁷");
        assert_eq!(significant(9.996, 3), "10.0");
        assert_eq!(fixed(f64::NAN, 1), "–");
    }

    #[test]
    fn frequencies_change_unit_at_a_kilohertz() {
        assert_eq!(hertz(63.42), "63.4\u{a0}Hz");
        assert_eq!(hertz(71.0), "71\u{a0}Hz");
        assert_eq!(hertz(999.9), "1\u{a0}kHz");
        assert_eq!(band_label(31.5), "31.5");
        assert_eq!(band_label(12500.0), "12.5k");
        assert_eq!(band(1250.0), "1.25\u{a0}kHz");
    }

    #[test]
    fn units_stay_with_their_numbers() {
        assert_eq!(
            bound("from 50 Hz to 4 kHz, 6 dB under it"),
            "from 50\u{a0}Hz to 4\u{a0}kHz, 6\u{a0}dB under it"
        );
        assert_eq!(bound("the W of 2 words"), "the W of 2 words");
    }

    #[test]
    fn workshop_units() {
        assert_eq!([4e-9, 3.26e-4, 0.0123].map(area), ["< 0.1\u{a0}cm²", "3.3\u{a0}cm²", "123\u{a0}cm²"]);
        assert_eq!(millimetres(0.1234), "123\u{a0}mm");
        assert_eq!(mass(0.0853), "85.3\u{a0}g");
        assert_eq!(mass(1.2345), "1.23\u{a0}kg");
        assert_eq!(quantity(4.0, "Ω"), "4\u{a0}Ω");
    }
}
