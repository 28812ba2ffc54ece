//! Colours built in OKLab, where equal steps look equal (B. Ottosson, "A perceptual color space for image processing", 2020).
//!
//! Both maps vary mainly between blue and yellow or orange, which people with red–green colour blindness tell apart,
//! and their lightness alone carries the order, so they survive a grey printer.

/// A colour: lightness 0…1 and two opponent axes (green–red, blue–yellow).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OkLab {
    /// Perceived lightness.
    pub lightness: f64,
    /// Green (−) to red (+).
    pub a: f64,
    /// Blue (−) to yellow (+).
    pub b: f64,
}

impl OkLab {
    const fn new(lightness: f64, a: f64, b: f64) -> Self {
        Self { lightness, a, b }
    }

    fn mix(self, other: Self, share: f64) -> Self {
        let blend = |p: f64, q: f64| p + (q - p) * share;
        Self::new(blend(self.lightness, other.lightness), blend(self.a, other.a), blend(self.b, other.b))
    }

    /// Under light of this brightness, 0 (black) to 1.
    pub fn lit(self, brightness: f64) -> Self {
        Self::new(self.lightness * brightness, self.a * brightness, self.b * brightness)
    }

    /// Linear-light sRGB, outside 0…1 where the screen cannot show the colour.
    fn linear_rgb(self) -> [f64; 3] {
        let Self { lightness: l, a, b } = self;
        let [l, m, s] = [
            l + 0.396_337_777_4 * a + 0.215_803_757_3 * b,
            l - 0.105_561_345_8 * a - 0.063_854_172_8 * b,
            l - 0.089_484_177_5 * a - 1.291_485_548_0 * b,
        ]
        .map(|v| v.powi(3));
        [
            4.076_741_662_1 * l - 3.307_711_591_3 * m + 0.230_969_929_2 * s,
            -1.268_438_004_6 * l + 2.609_757_401_1 * m - 0.341_319_396_5 * s,
            -0.004_196_086_3 * l - 0.703_418_614_7 * m + 1.707_614_701_0 * s,
        ]
    }

    /// Red, green and blue of sRGB, 0 to 255.
    pub fn rgb(self) -> [u8; 3] {
        self.linear_rgb().map(|v| (gamma(v.clamp(0.0, 1.0)) * 255.0).round() as u8)
    }

    /// `#rrggbb`.
    pub fn hex(self) -> String {
        let [r, g, b] = self.rgb();
        format!("#{r:02x}{g:02x}{b:02x}")
    }
}

/// Transfer curve of IEC 61966-2-1 (sRGB).
fn gamma(linear: f64) -> f64 {
    if linear <= 0.003_130_8 { 12.92 * linear } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 }
}

/// Night blue through sea green to straw: quiet to loud, low to high.
const SEQUENTIAL: [OkLab; 5] = [
    OkLab::new(0.22, 0.010, -0.085),
    OkLab::new(0.40, -0.035, -0.085),
    OkLab::new(0.58, -0.065, -0.030),
    OkLab::new(0.76, -0.070, 0.070),
    OkLab::new(0.94, -0.025, 0.115),
];

/// Blue through paper white to rust: minus to plus.
const DIVERGING: [OkLab; 5] = [
    OkLab::new(0.40, -0.020, -0.125),
    OkLab::new(0.69, -0.030, -0.075),
    OkLab::new(0.97, 0.000, 0.004),
    OkLab::new(0.69, 0.075, 0.080),
    OkLab::new(0.40, 0.105, 0.080),
];

/// Lines of a chart. Each also has its own dash pattern, see [`DASHES`].
const CATEGORICAL: [OkLab; 6] = [
    OkLab::new(0.380, -0.020, -0.120),
    OkLab::new(0.700, 0.070, 0.130),
    OkLab::new(0.460, -0.080, 0.030),
    OkLab::new(0.580, 0.130, -0.060),
    OkLab::new(0.740, -0.050, -0.085),
    OkLab::new(0.300, 0.030, 0.035),
];

/// Dash patterns in screen pixels, one per categorical colour.
pub const DASHES: [&str; 6] = ["none", "9 3", "2.5 2.5", "12 3 2.5 3", "5 2.5", "1 3"];

fn along(stops: &[OkLab], share: f64) -> OkLab {
    let place = share.clamp(0.0, 1.0) * (stops.len() - 1) as f64;
    let index = (place as usize).min(stops.len() - 2);
    stops[index].mix(stops[index + 1], place - index as f64)
}

/// Colour of the sequential map at `share` 0…1.
pub fn sequential(share: f64) -> OkLab {
    along(&SEQUENTIAL, share)
}

/// Colour of the diverging map at `share` 0…1, neutral at ½.
pub fn diverging(share: f64) -> OkLab {
    along(&DIVERGING, share)
}

/// Colour of line number `index`; starts again when the list is used up.
pub fn categorical(index: usize) -> OkLab {
    CATEGORICAL[index % CATEGORICAL.len()]
}

/// Number of different line colours.
pub fn categories() -> usize {
    CATEGORICAL.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Machado, Oliveira & Fernandes, "A physiologically-based model for simulation of color vision deficiency", IEEE
    /// TVCG 15 (2009), severity 1.0, written down from memory; the test below checks that white stays white.
    const PROTANOPIA: [[f64; 3]; 3] =
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]];
    const DEUTERANOPIA: [[f64; 3]; 3] =
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]];
    const FULL_SIGHT: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn seen(colour: OkLab, eye: &[[f64; 3]; 3]) -> OkLab {
        let rgb = colour.linear_rgb();
        from_linear(eye.map(|row| (0..3).map(|i| row[i] * rgb[i]).sum::<f64>().clamp(0.0, 1.0)))
    }

    fn from_linear([r, g, b]: [f64; 3]) -> OkLab {
        let [l, m, s] = [
            0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b,
            0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b,
            0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b,
        ]
        .map(f64::cbrt);
        OkLab::new(
            0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s,
            1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s,
            0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s,
        )
    }

    fn distance(p: OkLab, q: OkLab) -> f64 {
        ((p.lightness - q.lightness).powi(2) + (p.a - q.a).powi(2) + (p.b - q.b).powi(2)).sqrt()
    }

    fn steps(map: fn(f64) -> OkLab) -> Vec<OkLab> {
        (0..=64).map(|i| map(f64::from(i) / 64.0)).collect()
    }

    fn assert_shown(colour: OkLab) {
        for channel in colour.linear_rgb() {
            assert!((-2e-3..=1.002).contains(&channel), "{colour:?} is outside sRGB: {channel}");
        }
    }

    #[test]
    fn eyes_and_colour_space_leave_white_alone() {
        for eye in [PROTANOPIA, DEUTERANOPIA] {
            eye.iter().for_each(|row| assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-5));
        }
        assert_eq!(OkLab::new(1.0, 0.0, 0.0).hex(), "#ffffff");
        let colour = OkLab::new(0.5, -0.05, 0.08);
        assert!(distance(from_linear(colour.linear_rgb()), colour) < 1e-6);
    }

    #[test]
    fn every_colour_can_be_shown() {
        steps(sequential).into_iter().chain(steps(diverging)).for_each(assert_shown);
        (0..categories()).map(categorical).for_each(assert_shown);
    }

    #[test]
    fn sequential_map_rises_evenly_for_every_eye() {
        for eye in [FULL_SIGHT, PROTANOPIA, DEUTERANOPIA] {
            let seen: Vec<OkLab> = steps(sequential).into_iter().map(|c| seen(c, &eye)).collect();
            assert!(seen.windows(2).all(|pair| pair[1].lightness > pair[0].lightness));
            let gaps: Vec<f64> = seen.windows(2).map(|pair| distance(pair[0], pair[1])).collect();
            let (low, high) = gaps.iter().fold((f64::MAX, 0.0_f64), |(l, h), &g| (l.min(g), h.max(g)));
            assert!(high / low < 2.5, "steps differ by {}", high / low);
        }
    }

    #[test]
    fn diverging_map_peaks_in_the_middle_and_its_arms_differ_for_every_eye() {
        for eye in [FULL_SIGHT, PROTANOPIA, DEUTERANOPIA] {
            let seen: Vec<OkLab> = steps(diverging).into_iter().map(|c| seen(c, &eye)).collect();
            assert!(seen[..33].windows(2).all(|pair| pair[1].lightness > pair[0].lightness));
            assert!(seen[32..].windows(2).all(|pair| pair[1].lightness < pair[0].lightness));
            for i in 0..24 {
                let gap = distance(seen[i], seen[64 - i]);
                assert!(gap > 0.08, "arms {i} steps from the ends differ by {gap}");
            }
        }
    }

    #[test]
    fn line_colours_differ_for_every_eye_and_stand_out_from_paper() {
        for eye in [FULL_SIGHT, PROTANOPIA, DEUTERANOPIA] {
            for i in 0..categories() {
                assert!(seen(categorical(i), &eye).lightness < 0.8);
                for j in 0..i {
                    let gap = distance(seen(categorical(i), &eye), seen(categorical(j), &eye));
                    assert!(gap > 0.12, "colours {j} and {i} differ by {gap}");
                }
            }
        }
    }
}
