//! How often each spot of a picture is crossed by thousands of lines, as one picture with transparent ground.
//!
//! Thousands of lines drawn over each other are a blot; counted, they show where the many are and where the few. Shades follow the logarithm of
//! the count, so that a single line can still be seen.

use super::colour;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// Shades of the picture, besides nothing.
const SHADES: usize = 48;
/// Lightest and darkest shade, as shares of the way from paper to the dark end of the diverging map.
const LIGHTEST: f64 = 0.17;
const DARKEST: f64 = 0.95;

/// A grid of counts, row by row from the top.
pub struct Density {
    width: usize,
    height: usize,
    counts: Vec<u32>,
}

impl Density {
    /// Nothing yet.
    pub fn new(width: usize, height: usize) -> Self {
        Self { width, height, counts: vec![0; width * height] }
    }

    /// Counts a straight line from one place to a lower one. A place that is not a number draws none.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64)) {
        if ![from.0, from.1, to.0, to.1].iter().all(|v| v.is_finite()) || to.1 <= from.1 {
            return;
        }
        let across = |y: f64| from.0 + (to.0 - from.0) * ((y.clamp(from.1, to.1) - from.1) / (to.1 - from.1));
        for row in from.1.floor().max(0.0) as usize..(to.1.ceil().max(0.0) as usize).min(self.height) {
            let (a, b) = (across(row as f64), across(row as f64 + 1.0));
            let (left, right) = (a.min(b).round().max(0.0) as usize, a.max(b).round().max(0.0) as usize);
            (left..=right).for_each(|column| self.count(column, row));
        }
    }

    /// Counts a spot three cells wide.
    pub fn spot(&mut self, (x, y): (f64, f64)) {
        if !(x.is_finite() && y.is_finite()) {
            return;
        }
        for (dx, dy) in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (dx, dy))) {
            let (column, row) = (x.round() as i64 + dx, y.round() as i64 + dy);
            if column >= 0 && row >= 0 {
                self.count(column as usize, row as usize);
            }
        }
    }

    fn count(&mut self, column: usize, row: usize) {
        if column < self.width && row < self.height {
            self.counts[row * self.width + column] += 1;
        }
    }

    /// Number of the shade of every cell; 0 is nothing.
    fn shades(&self) -> Vec<u8> {
        let most = f64::from(self.counts.iter().copied().max().unwrap_or(0)).ln_1p();
        let shade = |&count: &u32| match count {
            0 => 0,
            count => 1 + (f64::from(count).ln_1p() / most * (SHADES - 1) as f64).round() as u8,
        };
        self.counts.iter().map(shade).collect()
    }

    /// The picture as a data address of a PNG file; `None` if it cannot be made.
    pub fn address(&self) -> Option<String> {
        let mut file = vec![];
        let mut encoder = png::Encoder::new(&mut file, self.width as u32, self.height as u32);
        encoder.set_color(png::ColorType::Indexed);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_compression(png::Compression::High);
        encoder.set_palette(palette());
        encoder.set_trns(vec![0u8]);
        let mut writer = encoder.write_header().ok()?;
        writer.write_image_data(&self.shades()).ok()?;
        writer.finish().ok()?;
        Some(format!("data:image/png;base64,{}", STANDARD.encode(file)))
    }
}

/// Red, green and blue of every shade, white first.
fn palette() -> Vec<u8> {
    let share = |shade: usize| LIGHTEST + (DARKEST - LIGHTEST) * (shade - 1) as f64 / (SHADES - 1) as f64;
    let shades = (1..=SHADES).map(|shade| colour::diverging(0.5 - 0.5 * share(shade)).rgb());
    std::iter::once([255; 3]).chain(shades).flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn crossed_more_often_is_darker_and_untouched_is_clear() {
        let mut density = Density::new(9, 5);
        for x in 0..9 {
            density.line((f64::from(x), 0.0), (4.0, 5.0));
        }
        let shades = density.shades();
        assert!(shades[4 * 9 + 4] > shades[4] && shades[4] > 0);
        assert_eq!(shades[4 * 9], 0);
        density.line((f64::NAN, 0.0), (4.0, 5.0));
        assert_eq!(density.shades(), shades, "what is not a number draws nothing");
    }

    #[test]
    fn lines_have_no_gaps_and_stay_in_the_picture() {
        let mut density = Density::new(40, 4);
        density.line((-5.0, 0.0), (60.0, 4.0));
        let columns: Vec<bool> = (0..40).map(|x| (0..4).any(|y| density.counts[y * 40 + x] > 0)).collect();
        assert_eq!(columns, vec![true; 40]);
    }

    #[test]
    fn the_picture_is_a_png_of_its_size() {
        let mut density = Density::new(300, 20);
        density.spot((5.0, 5.0));
        let address = density.address().expect("can be made");
        let bytes = STANDARD.decode(address.trim_start_matches("data:image/png;base64,")).expect("base 64");
        assert!(bytes.starts_with(b"\x89PNG"));
        assert_eq!((&bytes[16..20], &bytes[20..24]), (&300u32.to_be_bytes()[..], &20u32.to_be_bytes()[..]));
    }
}
