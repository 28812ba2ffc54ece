//! A minimum near a start, without derivatives.

/// Steps are halved this often; the last ones are a millionth of the first.
const HALVINGS: usize = 20;
/// Most rounds over all coordinates; a round that finds nothing halves the steps.
const ROUNDS: usize = 400;

/// Compass search: tries a step forward and back along every coordinate, keeps what is lower, halves all steps when nothing is. Coordinates
/// stay within `bounds`. The result is never higher than the start.
///
/// T. G. Kolda, R. M. Lewis & V. Torczon, SIAM Review 45 (2003) 385: converges to a stationary point of a smooth function; from memory.
pub(super) fn descend<const N: usize>(
    start: [f64; N],
    steps: [f64; N],
    bounds: [[f64; 2]; N],
    mut cost: impl FnMut(&[f64; N]) -> f64,
) -> ([f64; N], f64) {
    let (mut best, mut lowest) = (start, cost(&start));
    let (mut scale, mut halvings) = (1.0, 0);
    for _ in 0..ROUNDS {
        let before = lowest;
        for axis in 0..N {
            for sign in [1.0, -1.0] {
                let mut tried = best;
                let moved = tried[axis] + sign * scale * steps[axis];
                tried[axis] = moved.clamp(bounds[axis][0], bounds[axis][1]);
                let found = cost(&tried);
                if found < lowest {
                    (best, lowest) = (tried, found);
                    break;
                }
            }
        }
        if lowest < before {
            continue;
        }
        (scale, halvings) = (0.5 * scale, halvings + 1);
        if halvings > HALVINGS {
            break;
        }
    }
    (best, lowest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bottom_of_a_slanted_valley_is_found() {
        let valley = |&[x, y]: &[f64; 2]| (x - 1.0).powi(2) + 3.0 * (y + 0.5).powi(2) + (x - 1.0) * (y + 0.5);
        let (found, lowest) = descend([4.0, 4.0], [1.0, 1.0], [[-9.0, 9.0]; 2], valley);
        assert!((found[0] - 1.0).abs() < 1e-4 && (found[1] + 0.5).abs() < 1e-4, "{found:?}");
        assert!(lowest < 1e-8);
    }

    #[test]
    fn bounds_hold() {
        let (found, _) = descend([0.5], [0.3], [[0.0, 1.0]], |&[x]| -x);
        assert_eq!(found, [1.0]);
    }
}
