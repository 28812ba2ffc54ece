//! Heat maps as the page's script needs them to repaint and to read them.

use super::heat::Shading;
use ndarray::ArrayView2;
use serde_json::{Value, json};

/// A heat map with the levels of all its bands.
pub struct Painted {
    /// Borders of the drawn cells in user units, along x and along y.
    pub borders: (Vec<f64>, Vec<f64>),
    /// Colours, relative to the reference of each band.
    pub shading: Shading,
    /// Unit of the levels.
    pub unit: &'static str,
    /// How many drawn cells there are from one position to the next.
    pub factor: usize,
    /// Columns and rows of positions.
    pub size: (usize, usize),
    /// True where the outline cuts the map.
    pub clipped: bool,
    /// What the reference is called.
    pub reference: &'static str,
    /// What is said where there is no value; nothing is if it is empty.
    pub blank: &'static str,
    /// The bands, see [`band`].
    pub bands: Vec<Value>,
}

impl Painted {
    /// The map as JSON.
    pub fn json(&self) -> Value {
        let tenths = |values: &[f64]| values.iter().map(|v| (v * 10.0).round() / 10.0).collect::<Vec<_>>();
        let Self { shading, size, .. } = self;
        json!({
            "x": tenths(&self.borders.0), "y": tenths(&self.borders.1), "low": shading.low, "high": shading.high, "ramp": shading.ramp(),
            "unit": self.unit, "factor": self.factor, "columns": size.0, "rows": size.1, "clipped": self.clipped,
            "reference": self.reference, "blank": self.blank, "bands": self.bands,
        })
    }
}

/// Levels in tenths of a decibel, the first axis slow, and their reference; `null` for what is not a number.
pub fn band(levels: ArrayView2<f64>, reference: f64) -> Value {
    let tenths = |v: f64| if v.is_finite() { json!((v * 10.0).round() as i64) } else { Value::Null };
    json!({ "mean": tenths(reference), "level": levels.iter().map(|&v| tenths(v)).collect::<Vec<_>>() })
}
