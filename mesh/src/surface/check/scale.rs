//! Metres, millimetres and inches taken for one another.

use super::fault::Fault;
use crate::Surface;

/// Units that files come in: name, metres.
const UNITS: [(&str, f64); 3] = [("millimetres", 1e-3), ("metres", 1.0), ("inches", 0.0254)];
/// The size [m] that surrounds and drivers scatter around: among several units that would do, the one that comes nearest is named.
const USUAL: f64 = 0.15;

/// The fault of a surface whose largest extent is not within `believed` [m], read from a file with `unit` metres per unit.
pub fn wrong(surface: &Surface, believed: [f64; 2], unit: f64) -> Option<Fault> {
    let [low, high] = surface.bounds();
    let size = (high - low).max();
    let fits = (believed[0]..=believed[1]).contains(&size);
    (!fits).then(|| Fault::Scale { size, likely: likely(size / unit, believed) })
}

/// The unit that makes `extent` file units a believable size.
fn likely(extent: f64, believed: [f64; 2]) -> Option<(&'static str, f64)> {
    let fits =
        UNITS.into_iter().filter(|(_, metres)| (believed[0]..=believed[1]).contains(&(extent * metres)));
    let far = |metres: f64| (extent * metres / USUAL).ln().abs();
    fits.min_by(|a, b| far(a.1).total_cmp(&far(b.1)))
}
