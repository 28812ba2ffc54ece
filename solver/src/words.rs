//! Numbers as a builder reads them.

/// `"850 Hz"`, `"2.5 kHz"`, `"12.5 kHz"`: three digits at most.
pub(crate) fn hertz(frequency: f64) -> String {
    if frequency < 99.95 {
        format!("{} Hz", trimmed(frequency, 1))
    } else if frequency < 999.5 {
        format!("{frequency:.0} Hz")
    } else {
        format!("{} kHz", trimmed(frequency / 1000.0, if frequency < 9.995e3 { 2 } else { 1 }))
    }
}

/// `"210 mm"`; below 10 mm with one decimal.
pub(crate) fn millimetres(length: f64) -> String {
    let decimals = if length.abs() < 0.00995 { 1 } else { 0 };
    format!("{} mm", trimmed(1000.0 * length, decimals))
}

/// `"14 dB"`; below 10 dB with one decimal.
pub(crate) fn decibels(level: f64) -> String {
    let decimals = if level.abs() < 9.95 { 1 } else { 0 };
    format!("{} dB", trimmed(level, decimals))
}

/// A number with at most `decimals`, trailing zeros removed, no negative zero, and a true minus sign.
pub(crate) fn trimmed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    match text.strip_prefix('-') {
        Some("0") => "0".into(),
        Some(magnitude) => format!("\u{2212}{magnitude}"),
        None => text.into(),
    }
}

/// `"a"`, `"a and b"`, `"a, b and c"`.
pub(crate) fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_well() {
        assert_eq!(
            [31.5, 99.99, 850.4, 999.6, 2500.0, 12.5e3].map(hertz),
            ["31.5 Hz", "100 Hz", "850 Hz", "1 kHz", "2.5 kHz", "12.5 kHz"]
        );
        assert_eq!([0.2104, 0.0031, 0.0].map(millimetres), ["210 mm", "3.1 mm", "0 mm"]);
        assert_eq!([14.26, 6.04, -3.2, -0.01].map(decibels), ["14 dB", "6 dB", "\u{2212}3.2 dB", "0 dB"]);
    }

    #[test]
    fn lists_read_well() {
        let items = ["a", "b", "c"].map(String::from);
        assert_eq!(
            (listed(&items), listed(&items[..2]), listed(&[])),
            ("a, b and c".into(), "a and b".into(), String::new())
        );
    }
}
