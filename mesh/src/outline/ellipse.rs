//! Distance to an ellipse.

/// Distance [m] from `point` to the ellipse of half axes `radii` [m] about the origin, negative outside.
///
/// With `y ≥ 0` and a ≥ b the nearest point of the ellipse is `(a² x/(t + a²), b² y/(t + b²))`, t > −b² the one root of
/// `(a x/(t + a²))² + (b y/(t + b²))² = 1`, which falls steadily with t: found by bisection to the last bit
/// (D. Eberly, Distance from a Point to an Ellipse, 2013, § 2).
pub fn distance_inside(radii: [f64; 2], point: [f64; 2]) -> f64 {
    if !point.iter().all(|value| value.abs() < 1e100) {
        return f64::NEG_INFINITY;
    }
    let ([a, b], [x, y]) = sorted(radii, point.map(f64::abs));
    let inside = (x / a).hypot(y / b) <= 1.0;
    let distance = distance([a, b], [x, y]);
    if inside { distance } else { -distance }
}

/// The longer half axis first.
fn sorted([a, b]: [f64; 2], [x, y]: [f64; 2]) -> ([f64; 2], [f64; 2]) {
    if a >= b { ([a, b], [x, y]) } else { ([b, a], [y, x]) }
}

fn distance([a, b]: [f64; 2], [x, y]: [f64; 2]) -> f64 {
    if y == 0.0 {
        return from_the_long_axis([a, b], x);
    }
    // Counted from −b², where the root may lie very near: s = t + b².
    let focal = a * a - b * b;
    let excess = |s: f64| (a * x / (s + focal)).powi(2) + (b * y / s).powi(2) - 1.0;
    let (mut low, mut high) = (b * y, (a * x).hypot(b * y));
    loop {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if excess(middle) > 0.0 { low = middle } else { high = middle }
    }
    let s = 0.5 * (low + high);
    (x - a * a * x / (s + focal)).hypot(y - b * b * y / s)
}

/// From a point on the long axis the nearest point may lie off it: inside the centres of curvature of the two tips.
fn from_the_long_axis([a, b]: [f64; 2], x: f64) -> f64 {
    let focal = a * a - b * b;
    if a * x < focal {
        let share = a * x / focal;
        (x - a * share).hypot(b * (1.0 - share * share).sqrt())
    } else {
        (x - a).abs()
    }
}
