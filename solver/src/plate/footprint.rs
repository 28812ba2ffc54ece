//! Where a part touches the panel.

use std::f64::consts::TAU;

/// A load or probe spread over points of the panel; the weights sum to one.
#[derive(Clone, Debug, PartialEq)]
pub struct Footprint {
    /// Points `[x, y]` [m].
    pub points: Vec<[f64; 2]>,
    /// Share of each point.
    pub weights: Vec<f64>,
}

impl Footprint {
    /// A single point.
    pub fn point(position: [f64; 2]) -> Self {
        Self { points: vec![position], weights: vec![1.0] }
    }

    /// A ring of `diameter` [m] around `centre`, sampled evenly. The average of a bending wave of wavenumber k over it is
    /// `J₀(k · diameter / 2)`; with 32 points the error stays below 1e-9 up to k · diameter / 2 = 12. A ring without
    /// diameter is a point.
    pub fn ring(centre: [f64; 2], diameter: f64) -> Self {
        const COUNT: usize = 32;
        if diameter == 0.0 {
            return Self::point(centre);
        }
        let radius = 0.5 * diameter;
        let at = |i: usize| {
            let (sin, cos) = (TAU * i as f64 / COUNT as f64).sin_cos();
            [centre[0] + radius * cos, centre[1] + radius * sin]
        };
        Self { points: (0..COUNT).map(at).collect(), weights: vec![1.0 / COUNT as f64; COUNT] }
    }
}
