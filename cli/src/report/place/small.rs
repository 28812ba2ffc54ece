//! Small maps, one for each score.

use crate::report::chart::heat::{self, Shading};
use crate::report::chart::plane::Plane;
use crate::report::chart::scale::extent;
use maud::{Markup, html};
use ndarray::Array2;

/// Places left out of the colours at the bad end, as a share: one bad corner must not bleach a whole map.
const OUTLIERS: f64 = 0.03;

/// A map with its heading and the key of its colours.
pub fn picture(title: &str, plane: &Plane, shapes: &Markup, key: Markup) -> Markup {
    let (corner, far) = (plane.near_corner(), plane.far_corner());
    let [width, height] = [far.0 - corner.0, far.1 - corner.1];
    let middle = format!("{}px 0", corner.0 + 0.5 * width);
    html! {
        div {
            h4 { (title) }
            svg.shape viewBox={ (corner.0) " " (corner.1) " " (width) " " (height) } role="img" aria-label={ (title) " at every place" } {
                rect.field x=(corner.0) y=(corner.1) width=(width) height=(height) {}
                g.plane style={ "transform-origin:" (middle) } { (shapes) }
            }
            (key)
        }
    }
}

/// From bad to good; `less` is better or not.
pub fn shading(values: &Array2<f64>, less: bool) -> Shading {
    let mut sorted: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    if less {
        sorted.reverse();
    }
    let outlying = (OUTLIERS * sorted.len() as f64) as usize;
    let kept = &sorted[outlying.min(sorted.len())..];
    let (low, high) = extent(kept.iter().copied()).unwrap_or((0.0, 1.0));
    let high = if high > low { high } else { low + 1.0 };
    if less { heat::quiet_to_loud(high, low) } else { heat::quiet_to_loud(low, high) }
}

/// Worst and best with the colours between.
pub fn key(shading: &Shading, words: fn(f64) -> String) -> Markup {
    let ramp = shading.ramp().join(",");
    html! {
        p.key { (words(shading.low)) i style={ "background:linear-gradient(90deg," (ramp) ")" } {} (words(shading.high)) }
    }
}
