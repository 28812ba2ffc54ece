//! A place in a case file where one value stands.

use crate::case::quantity::{LENGTH, Quantity, SHARE};
use crate::case::schema::{Key, Kind, Limits, limits_in_words, quoted};
use std::ops::Range;
use toml::Spanned;
use toml::de::DeValue;

/// A place in a case file where one value stands.
#[derive(Clone, Debug)]
pub struct Slot {
    /// How it is reached: `panel.thickness`.
    pub path: String,
    /// Bytes of the text that are exchanged.
    pub span: Range<usize>,
    /// The key it belongs to.
    pub key: &'static Key,
    /// What may stand there.
    pub kind: SlotKind,
    /// What stands there now, without quotes.
    pub now: String,
}

/// What may stand in a slot.
#[derive(Clone, Copy, Debug)]
pub enum SlotKind {
    /// A number with its unit.
    Quantity(&'static Quantity, Limits),
    /// A length or a percentage.
    Coordinate,
    /// A bare number.
    Number(Limits),
    /// A bare whole number.
    Count(Limits),
    /// One of a few words.
    Word(&'static [&'static str]),
    /// Any text.
    Text,
    /// `true` or `false`.
    Flag,
}

impl SlotKind {
    /// What `kind` is where `value` stands; `None` where that is not one value.
    pub(super) fn of(kind: &Kind, value: &DeValue<'_>) -> Option<Self> {
        match (kind, value) {
            (Kind::Quantity(quantity, limits), DeValue::String(_)) => Some(Self::Quantity(quantity, *limits)),
            (Kind::Number(limits) | Kind::Curve(limits), DeValue::Float(_) | DeValue::Integer(_)) => {
                Some(Self::Number(*limits))
            }
            (Kind::Count(limits), DeValue::Integer(_)) => Some(Self::Count(*limits)),
            (Kind::Choice(words) | Kind::ChoiceOrTable(words, _), DeValue::String(_)) => {
                Some(Self::Word(words))
            }
            (Kind::Text | Kind::TextOrTable(_), DeValue::String(_)) => Some(Self::Text),
            (Kind::Flag, DeValue::Boolean(_)) => Some(Self::Flag),
            _ => None,
        }
    }

    /// True when values between two others make sense.
    pub fn is_number(&self) -> bool {
        matches!(self, Self::Quantity(..) | Self::Coordinate | Self::Number(_) | Self::Count(_))
    }

    /// A value as it stands in the file: text in quotes, numbers bare.
    fn written(&self, text: &str) -> String {
        match self {
            Self::Number(_) | Self::Count(_) | Self::Flag => text.into(),
            _ => toml::Value::String(text.into()).to_string(),
        }
    }
}

impl Slot {
    pub(super) fn new(
        path: &str,
        (key, kind): (&'static Key, SlotKind),
        value: &Spanned<DeValue<'_>>,
    ) -> Self {
        let now = match value.get_ref() {
            DeValue::String(text) => text.to_string(),
            DeValue::Boolean(flag) => flag.to_string(),
            number => crate::case::reader::number_text(number),
        };
        Self { path: path.into(), span: value.span(), key, kind, now }
    }

    /// What `text` amounts to in SI units; `None` for words.
    ///
    /// # Errors
    /// Says what is wrong with it, and what to write.
    pub fn read(&self, text: &str) -> Result<Option<f64>, String> {
        let limited = |number: f64, quantity, limits: Limits| match limits.contain(number) {
            true => Ok(Some(number)),
            false => Err(format!("this key takes values {}", limits_in_words(self.key, quantity, limits))),
        };
        match self.kind {
            SlotKind::Quantity(quantity, limits) => {
                let amount = quantity
                    .parse(text)
                    .map_err(|reason| format!("{reason}; needed is {}", quantity.name))?;
                limited(amount.si, Some(quantity), limits)
            }
            SlotKind::Coordinate => {
                let quantity = if text.trim_end().ends_with('%') { &SHARE } else { &LENGTH };
                let amount = quantity
                    .parse(text)
                    .map_err(|reason| format!("{reason}; needed is a length or a percentage"))?;
                Ok(Some(amount.si))
            }
            SlotKind::Number(limits) => match text.parse::<f64>() {
                Ok(number) => limited(number, None, limits),
                Err(_) => Err("needed is a bare number".into()),
            },
            SlotKind::Count(limits) => match text.parse::<u32>() {
                Ok(number) => limited(number.into(), None, limits),
                Err(_) => Err("needed is a whole number".into()),
            },
            SlotKind::Word(words) => {
                match words.contains(&text.trim().to_lowercase().replace(['-', '_'], " ").as_str()) {
                    true => Ok(None),
                    false => Err(format!("possible are {}", quoted(words))),
                }
            }
            SlotKind::Text => Ok(None),
            SlotKind::Flag => match text {
                "true" | "false" => Ok(None),
                _ => Err("possible are true and false".into()),
            },
        }
    }
}

/// `text` with the values of some slots exchanged.
pub fn exchanged<'a>(text: &str, values: impl IntoIterator<Item = (&'a Slot, &'a str)>) -> String {
    let mut pieces: Vec<(Range<usize>, String)> =
        values.into_iter().map(|(slot, value)| (slot.span.clone(), slot.kind.written(value))).collect();
    pieces.sort_by_key(|(span, _)| span.start);
    let mut made = String::with_capacity(text.len() + 64);
    let mut at = 0;
    for (span, value) in pieces {
        made.push_str(&text[at..span.start]);
        made.push_str(&value);
        at = span.end;
    }
    made + &text[at..]
}
