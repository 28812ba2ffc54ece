//! Reads lists of biquads.

use super::problem::Problem;
use super::reader::{Found, Reader, number_text};
use super::schema::Key;
use super::section::{Coefficients, Value};
use std::ops::Range;
use toml::Spanned;
use toml::de::DeValue;

impl Reader {
    /// All biquads, or none if one of them cannot be read.
    pub(super) fn biquads(
        &mut self,
        key: &Key,
        list: &[Spanned<DeValue<'_>>],
        span: Range<usize>,
    ) -> Option<Value> {
        if list.is_empty() {
            let problem = Problem::error(span, format!("`{}` is empty", key.name)).because("no biquad in it");
            self.problems.push(problem.instead(format!("write {} = {}", key.name, key.example)));
            return None;
        }
        // Every biquad is read before any can fail, so that every problem is shown.
        let biquads: Vec<_> = list.iter().map(|element| self.five(key, element)).collect();
        biquads.into_iter().collect::<Option<Vec<_>>>().map(Value::Biquads)
    }

    fn five(&mut self, key: &Key, element: Found) -> Option<Coefficients> {
        let values = match element.get_ref() {
            DeValue::Array(entries) => entries.iter().map(coefficient).collect::<Option<Vec<_>>>(),
            _ => None,
        };
        let five = values.and_then(|values| <[f64; 5]>::try_from(values).ok());
        if five.is_none() {
            let problem =
                Problem::error(element.span(), "a biquad is a list of five numbers: b0, b1, b2, a1, a2");
            let label = match element.get_ref() {
                DeValue::Array(entries) if entries.len() != 5 => format!("{} in it", entries.len()),
                _ => "this is something else".into(),
            };
            let help =
                format!("write {} = {}; divide all by a0 if the tool gives one", key.name, key.example);
            self.problems.push(problem.because(label).instead(help));
        }
        Some(Coefficients { span: element.span(), values: five? })
    }
}

fn coefficient(value: &Spanned<DeValue<'_>>) -> Option<f64> {
    number_text(value.get_ref()).parse::<f64>().ok().filter(|number| number.is_finite())
}
