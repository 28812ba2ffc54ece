//! The few operations on points of the plane that contours need.

/// `a − b`.
pub fn difference(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

/// `point + share · direction`.
pub fn along(point: [f64; 2], direction: [f64; 2], share: f64) -> [f64; 2] {
    [point[0] + share * direction[0], point[1] + share * direction[1]]
}

/// z of the cross product.
pub fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// Euclidean length.
pub fn length(a: [f64; 2]) -> f64 {
    a[0].hypot(a[1])
}

/// Turned counter-clockwise by `angle` [rad].
pub fn turned(a: [f64; 2], angle: f64) -> [f64; 2] {
    let (sin, cos) = angle.sin_cos();
    [cos * a[0] - sin * a[1], sin * a[0] + cos * a[1]]
}
