//! Defaults and limits of a key, as numbers and as words.

use super::{Key, Kind, Limits};
use crate::case::quantity::{NotAQuantity, Quantity, short};

/// Reads a default of the schema, which is written like a value of the file but without quotes.
pub fn default_number(key: &Key, text: &str) -> f64 {
    let read = match &key.kind {
        Kind::Quantity(quantity, _) => quantity.parse(text).map(|a| a.si),
        _ => text.parse().map_err(|_| NotAQuantity::NoNumber),
    };
    read.expect("the schema's defaults are read by a test")
}

/// `limits` in words, in the unit of the key's example.
pub fn limits_in_words(key: &Key, quantity: Option<&Quantity>, limits: Limits) -> String {
    let show = |value: f64| quantity.map_or_else(|| short(value), |q| q.show(value, key.unit()));
    if limits.above {
        format!("more than {} and at most {}", show(limits.low), show(limits.high))
    } else {
        format!("from {} to {}", show(limits.low), show(limits.high))
    }
}
