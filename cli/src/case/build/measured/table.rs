//! Text tables of a response: frequency, level, phase.
//!
//! Lines that do not start like a number are headings and remarks. In every other line each of tab, semicolon, space and comma may part the
//! columns, and a comma between two digits is a decimal comma where another sign parts them.

use std::fmt;

/// One line: frequency [Hz], level [dB], phase [degrees].
pub type Row = [f64; 3];

/// Most lines.
const LINES: usize = 1_000_000;
/// Levels beyond are a mistake [dB].
const LEVEL: f64 = 250.0;
/// Letters of an offending line that are shown.
const SHOWN: usize = 60;

/// Why a table cannot be used.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Line, counted from 1; 0 for the whole file.
    pub line: usize,
    /// The offending text.
    pub text: String,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub help: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            0 => f.write_str(&self.what),
            line => write!(f, "line {line}, “{}”: {}", self.text, self.what),
        }
    }
}

/// The lines of a table in order, at least two, frequencies ascending.
///
/// # Errors
/// The first fault.
pub fn read(bytes: &[u8]) -> Result<Vec<Row>, Fault> {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) || bytes.contains(&0) {
        return Err(whole("is not plain text", "export it as text in UTF-8 or ASCII"));
    }
    let text = String::from_utf8_lossy(bytes);
    let mut rows: Vec<Row> = vec![];
    for (i, line) in text.trim_start_matches('\u{feff}').lines().enumerate().take(LINES + 1) {
        if i == LINES {
            return Err(whole("has more than a million lines", "export fewer frequencies"));
        }
        let fault = |(what, help): (String, &str)| Fault {
            line: i + 1,
            text: line.trim().chars().take(SHOWN).collect(),
            what,
            help: help.into(),
        };
        let Some(row) = row(line).map_err(fault)? else { continue };
        if let Some(row) = follows(rows.last(), row).map_err(fault)? {
            rows.push(row);
        }
    }
    match rows.len() {
        0 => {
            Err(whole("has no line that starts with a number", "each line holds frequency, level and phase"))
        }
        1 => Err(whole("has a single frequency", "export a response over frequency")),
        _ => Ok(rows),
    }
}

fn whole(what: &str, help: &str) -> Fault {
    Fault { line: 0, text: String::new(), what: what.into(), help: help.into() }
}

type Wrong = (String, &'static str);

/// The numbers of a line; nothing for headings and remarks.
fn row(line: &str) -> Result<Option<Row>, Wrong> {
    let line = line.trim();
    // Whatever starts like a number must be a line of them: a slip of the pen is no remark.
    if !line.starts_with(|sign: char| sign.is_ascii_digit() || "+-−.,".contains(sign)) {
        return Ok(None);
    }
    let (fields, strict) = fields(line);
    let count = fields.len();
    if count < 3 {
        return Err((
            format!("{count} of the columns frequency, level and phase"),
            "a sum needs the phase: export it, too; start remarks with #",
        ));
    }
    if strict && count > 3 {
        return Err((
            format!("commas part it into {count} columns: which are decimal commas?"),
            "part the columns by tabs or semicolons, or write decimal points",
        ));
    }
    let mut row = [0.0; 3];
    for (value, field) in row.iter_mut().zip(&fields) {
        *value = number(field).ok_or_else(|| {
            (
                format!("“{field}” is not a number"),
                "write numbers without units and without signs for thousands",
            )
        })?;
    }
    Ok(Some(row))
}

/// Columns of a line, and whether bare commas part them.
fn fields(line: &str) -> (Vec<&str>, bool) {
    let cleaned = |part: &'_ str| -> bool { !part.is_empty() };
    if let Some(sign) = ['\t', ';'].into_iter().find(|sign| line.contains(*sign)) {
        return (line.split(sign).map(str::trim).filter(|part| cleaned(part)).collect(), false);
    }
    let words: Vec<&str> = line.split_whitespace().collect();
    let within =
        |word: &&str| !word.starts_with(',') && !word.ends_with(',') && word.matches(',').count() <= 1;
    if words.len() > 1 && words.iter().all(within) {
        return (words, false);
    }
    let parted = line.split(|sign: char| sign == ',' || sign.is_whitespace());
    let parts: Vec<&str> = parted.filter(|part| cleaned(part)).collect();
    // Commas followed by spaces part columns without doubt.
    match parts.is_empty() {
        true => (vec![line], false),
        false => (parts, !line.contains(char::is_whitespace)),
    }
}

/// A finite number with a decimal point or a decimal comma.
fn number(field: &str) -> Option<f64> {
    let plain = field.trim_matches('"').replace('−', "-");
    let plain = match (plain.contains('.'), plain.matches(',').count()) {
        (_, 0) => plain,
        (false, 1) => plain.replace(',', "."),
        _ => return None,
    };
    plain.parse::<f64>().ok().filter(|value| value.is_finite())
}

/// The line if it goes on from the one before; nothing for that of 0 Hz.
fn follows(before: Option<&Row>, row: Row) -> Result<Option<Row>, Wrong> {
    let [frequency, level, _] = row;
    if frequency < 0.0 {
        return Err((format!("a frequency of {frequency} Hz"), "the first column is the frequency in Hz"));
    }
    if level.abs() > LEVEL {
        return Err((
            format!("{level} dB is no sound pressure level"),
            "the second column is the level in dB re 20 µPa",
        ));
    }
    if let Some([last, ..]) = before.filter(|[last, ..]| frequency <= *last) {
        return Err((
            format!("{frequency} Hz follows {last} Hz"),
            "frequencies must rise from line to line: one response per file",
        ));
    }
    Ok((frequency > 0.0).then_some(row))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rows(text: &str) -> Vec<Row> {
        read(text.as_bytes()).unwrap_or_else(|fault| panic!("{fault}"))
    }

    #[test]
    fn every_usual_way_to_write_a_table_says_the_same() {
        let expected = vec![[100.5, 80.25, -12.0], [200.0, 81.5, 170.25]];
        for text in [
            "100.5 80.25 -12\n200 81.5 170.25",
            "Freq(Hz)\tSPL(dB)\tPhase(deg)\r\n100.5\t80.25\t-12\r\n200\t81.5\t170.25\r\n",
            "* made on a Monday\n\n100,5;80,25;-12\n200;81,5;170,25",
            "# 1 2 3\n100,5 80,25 -12,0\n200,0 81,5 170,25",
            "100.5,80.25,-12\n200,81.5,170.25",
            "100.5, 80.25, -12, 0.99\n200, 81.5, 170.25, 0.97",
            "\"f\",\"dB\"\n100.5 , 80.25 , -12\n200 , 81.5 , 170.25",
            "\u{feff}Frequenz\n0 0 0\n1.005e2   80.25   −12\n2e2   8.15e1   170.25\n",
            "100,5\t80,25\t-12\t0,9\n200\t81,5\t170,25\t0,8",
        ] {
            assert_eq!(rows(text), expected, "{text}");
        }
    }

    #[test]
    fn faults_name_line_and_text() {
        for (text, line, said) in [
            ("100 80 0\n200 8o 0", 2, "“8o” is not a number"),
            ("100 80 0\n200 80", 2, "2 of the columns"),
            ("100\n200", 1, "1 of the columns"),
            ("head\n100,5,80,2,-12,3\n200 80 0", 2, "6 columns"),
            ("100,80,2,0\n", 1, "4 columns"),
            ("100 80 0\n1.200,5 80 0", 2, "“1.200,5” is not a number"),
            ("2024-05-01 12 5\n200 80 0", 1, "“2024-05-01” is not a number"),
            ("100 80 0\n; 90 80 0", 2, ""),
            ("200 80 0\n\n100 80 0", 3, "100 Hz follows 200 Hz"),
            ("200 80 0\n200 80 0", 2, "200 Hz follows 200 Hz"),
            ("-5 80 0\n200 80 0", 1, "a frequency of -5 Hz"),
            ("5 800 0\n200 80 0", 1, "800 dB is no"),
            ("5 80 inf\n200 80 0", 1, "“inf” is not a number"),
            ("only words", 0, "no line that starts with a number"),
            ("100 80 0", 0, "a single frequency"),
            ("1\u{0}", 0, "not plain text"),
        ] {
            if said.is_empty() {
                assert!(read(text.as_bytes()).is_err_and(|fault| fault.what.contains("single")), "a remark");
                continue;
            }
            let fault = read(text.as_bytes()).expect_err(text);
            assert!(
                fault.line == line && fault.what.contains(said) && !fault.help.is_empty(),
                "{text}: {fault:?}"
            );
            if line > 0 {
                assert_eq!(fault.text, text.lines().nth(line - 1).unwrap_or_default().trim(), "{text}");
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(3000))]

        #[test]
        fn any_bytes_are_answered(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
            let _ = read(&bytes);
        }

        #[test]
        fn any_scraps_of_a_table_are_answered(text in "([0-9]{1,3}|[,.;\t \n-]|e|#|nan|inf|−|\"|°){0,60}") {
            if let Ok(rows) = read(text.as_bytes()) {
                prop_assert!(rows.len() > 1 && rows.windows(2).all(|pair| pair[0][0] < pair[1][0]));
                prop_assert!(rows.iter().flatten().all(|value| value.is_finite()));
            }
        }
    }
}
