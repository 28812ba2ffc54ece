//! Places that builders pass on.

/// Places of one exciter in shares of the panel's width and height that circulate for panels driven in many modes: fractions that keep clear of
/// the middle and of simple divisions of the sides. Common practice, no source; here to be scored like any other place.
pub const CUSTOMARY: [[f64; 2]; 6] = [
    [1.0 / 2.0, 1.0 / 2.0],
    [2.0 / 5.0, 3.0 / 5.0],
    [2.0 / 5.0, 4.0 / 9.0],
    [3.0 / 7.0, 4.0 / 9.0],
    [4.0 / 9.0, 3.0 / 7.0],
    [5.0 / 13.0, 4.0 / 9.0],
];
