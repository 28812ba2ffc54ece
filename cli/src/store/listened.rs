//! What is heard, laid out for `results.h5`: seats, patterns, maps, dead spots, centres.

use super::node::{DB_SPL, FREQUENCIES, Node, over, stack, stack_complex};
use ndarray::{Array1, Array2, Array3, Axis};
use panelwright_solver::listening::{
    AcousticCentre, Band, DeadSpot, LevelBand, OutputMap, Polar, SeatFindings,
};

pub fn seats(node: &Node, seats: &[SeatFindings]) -> hdf5::Result<()> {
    let names = "/seats/name";
    let curve = &[names, FREQUENCIES];
    node.texts("name", seats.iter().map(|s| s.name.as_str()), over(&["seat"], "", "Names of the seats."))?;
    let positions: Vec<&[f64]> = seats.iter().map(|s| &s.position[..]).collect();
    node.array("position", &stack(&positions), over(&[names, "x, y, z"], "m", "Positions of the seats."))?;
    let pressure: Vec<_> = seats.iter().map(|s| &s.pressure[..]).collect();
    node.array("pressure", &stack_complex(&pressure), over(curve, "Pa", "Complex RMS sound pressure."))?;
    let level: Vec<_> = seats.iter().map(|s| &s.level[..]).collect();
    node.array("level", &stack(&level), over(curve, DB_SPL, "Level, unsmoothed."))?;
    let weighted: Array1<f64> = seats.iter().map(|s| s.a_weighted).collect();
    node.array(
        "a_weighted",
        &weighted,
        over(&[names], "dB re 20 uPa, A-weighted", "A-weighted level of pink noise."),
    )?;
    smoothed(node, seats)?;
    spread(node, seats)?;
    third_octaves(node, seats)?;
    usable(node, seats)
}

fn smoothed(node: &Node, seats: &[SeatFindings]) -> hdf5::Result<()> {
    let Some(first) = seats.first() else { return Ok(()) };
    for index in 0..first.smoothed.len() {
        let rows: Vec<&[f64]> =
            seats.iter().map(|s| s.smoothed.get(index).map_or(&[][..], |curve| &curve.level[..])).collect();
        let fraction = first.smoothed[index].fraction;
        node.array(
            &format!("level_1_{fraction}_octave"),
            &stack(&rows),
            over(&["/seats/name", FREQUENCIES], DB_SPL, &format!("Level smoothed over 1/{fraction} octave.")),
        )?;
    }
    Ok(())
}

/// Bands of uncertainty; nothing without variations.
fn spread(node: &Node, seats: &[SeatFindings]) -> hdf5::Result<()> {
    let Some(first) = seats.first() else { return Ok(()) };
    let bands = |pick: &dyn Fn(&SeatFindings) -> Option<&LevelBand>, name: &str| {
        let bands: Vec<&LevelBand> = seats.iter().filter_map(pick).collect();
        if bands.len() == seats.len() { level_bands(node, &bands, name) } else { Ok(()) }
    };
    bands(&|seat| seat.band.as_ref(), "level")?;
    for (index, smoothed) in first.smoothed.iter().enumerate() {
        let name = format!("level_1_{}_octave", smoothed.fraction);
        bands(&|seat| seat.smoothed.get(index)?.band.as_ref(), &name)?;
    }
    Ok(())
}

/// The four datasets of a band.
fn level_bands(node: &Node, bands: &[&LevelBand], name: &str) -> hdf5::Result<()> {
    type Part = (&'static str, fn(&LevelBand) -> &[f64], &'static str);
    let parts: [Part; 4] = [
        ("lowest", |b| &b.lowest, "Lowest of the variations."),
        ("percentile_10", |b| &b.tenth, "One variation in ten lies below."),
        ("percentile_90", |b| &b.ninetieth, "One variation in ten lies above."),
        ("highest", |b| &b.highest, "Highest of the variations."),
    ];
    for (part, values, description) in parts {
        let rows: Vec<&[f64]> = bands.iter().map(|band| values(band)).collect();
        let meaning = over(&["/seats/name", FREQUENCIES], DB_SPL, description);
        node.array(&format!("{name}_{part}"), &stack(&rows), meaning)?;
    }
    Ok(())
}

fn third_octaves(node: &Node, seats: &[SeatFindings]) -> hdf5::Result<()> {
    let Some(first) = seats.first() else { return Ok(()) };
    let node = node.child("third_octaves", "Band levels for pink noise.")?;
    let all: Vec<Band> = first.third_octaves.iter().map(|b| b.band).collect();
    bands(&node, &all)?;
    let rows: Vec<Vec<f64>> =
        seats.iter().map(|s| s.third_octaves.iter().map(|band| band.level).collect()).collect();
    let rows: Vec<&[f64]> = rows.iter().map(Vec::as_slice).collect();
    let dimensions = &["/seats/name", "/seats/third_octaves/band_nominal"];
    node.array("level", &stack(&rows), over(dimensions, DB_SPL, "Third-octave levels at the seats."))
}

fn usable(node: &Node, seats: &[SeatFindings]) -> hdf5::Result<()> {
    let rows: Vec<[f64; 7]> = seats
        .iter()
        .enumerate()
        .flat_map(|(seat, s)| {
            s.usable.iter().map(move |u| {
                let (low, high) = u.lower_spread.map_or((f64::NAN, f64::NAN), |s| (s.tenth, s.ninetieth));
                let limit = |limit: Option<f64>| limit.unwrap_or(f64::NAN);
                [seat as f64, u.drop, u.reference, limit(u.lower), limit(u.upper), low, high]
            })
        })
        .collect();
    let rows: Vec<&[f64]> = rows.iter().map(|row| &row[..]).collect();
    node.array(
        "usable_band",
        &stack(&rows),
        over(
            &["row", "seat index, drop, reference level, lower limit, upper limit, 10th and 90th percentile of the lower limit"],
            "1, dB, dB re 20 uPa, Hz, Hz, Hz, Hz",
            "Stretch of the range that stays within the drop of the reference level; NaN if there is none.",
        ),
    )
}

/// The datasets `band_nominal`, `band_centre`, `band_lower` and `band_upper` [Hz].
pub fn bands(node: &Node, bands: &[Band]) -> hdf5::Result<()> {
    type Column<'a> = (&'a str, fn(&Band) -> f64, &'a str);
    let columns: [Column; 4] = [
        ("band_nominal", |b| b.nominal, "Nominal mid-band frequency."),
        ("band_centre", |b| b.centre, "Exact mid-band frequency (base ten)."),
        ("band_lower", |b| b.lower, "Lower band edge."),
        ("band_upper", |b| b.upper, "Upper band edge."),
    ];
    for (name, field, description) in columns {
        let values: Array1<f64> = bands.iter().map(field).collect();
        node.array(name, &values, over(&["band"], "Hz", description))?;
    }
    Ok(())
}

pub fn polar(node: &Node, polar: &Polar) -> hdf5::Result<()> {
    bands(node, &polar.bands)?;
    let angles = Array1::from_vec(polar.angles.clone());
    node.array(
        "angles",
        &angles,
        over(&["angle"], "rad", "Angles from the axis; positive to the right, or up."),
    )?;
    node.number("distance", polar.distance, "m", "Distance the levels are stated at.")?;
    let dimensions = &["/polar/band_nominal", "/polar/angles"];
    node.array("horizontal", &polar.horizontal, over(dimensions, DB_SPL, "Horizontal arc."))?;
    node.array("vertical", &polar.vertical, over(dimensions, DB_SPL, "Vertical arc."))
}

pub fn map(node: &Node, map: &OutputMap, path: &str, unit: &str) -> hdf5::Result<()> {
    let all: Vec<Band> = map.bands.iter().map(|b| b.band).collect();
    bands(node, &all)?;
    node.number("distance", map.distance, "m", "Distance of the plane from the panel.")?;
    node.array("x", &Array1::from_vec(map.x.clone()), over(&["x"], "m", "Node coordinates along x."))?;
    node.array("y", &Array1::from_vec(map.y.clone()), over(&["y"], "m", "Node coordinates along y."))?;
    let (band, x, y) = (format!("{path}/band_nominal"), format!("{path}/x"), format!("{path}/y"));
    let means: Array1<f64> = map.bands.iter().map(|b| b.mean).collect();
    node.array("mean", &means, over(&[&band], unit, "Level of the plane's mean energy."))?;
    node.array("level", &levels(map), over(&[&band, &x, &y], unit, "Band levels on the plane."))
}

fn levels(map: &OutputMap) -> Array3<f64> {
    let mut all = Array3::from_elem((map.bands.len(), map.x.len(), map.y.len()), f64::NAN);
    for (mut target, band) in all.axis_iter_mut(Axis(0)).zip(&map.bands) {
        if target.dim() == band.level.dim() {
            target.assign(&band.level);
        }
    }
    all
}

pub fn spots(node: &Node, spots: &[DeadSpot]) -> hdf5::Result<()> {
    let all: Vec<Band> = spots.iter().map(|s| s.band).collect();
    bands(node, &all)?;
    let positions = pairs(spots.iter().map(|s| s.position));
    node.array("position", &positions, over(&["spot", "x, y"], "m", "Deepest points."))?;
    let extents = pairs(spots.iter().map(|s| s.extent));
    node.array("extent", &extents, over(&["spot", "x, y"], "m", "Largest extents along x and y."))?;
    let areas: Array1<f64> = spots.iter().map(|s| s.area).collect();
    node.array("area", &areas, over(&["spot"], "m2", "Areas."))?;
    let depths: Array1<f64> = spots.iter().map(|s| s.depth).collect();
    node.array("depth", &depths, over(&["spot"], "dB", "Depths under the plane's energy mean, positive."))?;
    let shares: Array1<f64> = spots.iter().map(|s| s.stability.map_or(f64::NAN, |s| s.share())).collect();
    let meaning =
        over(&["spot"], "1", "Share of the variations in which it is still there; NaN if not looked at.");
    node.array("stability", &shares, meaning)
}

pub fn pairs(values: impl Iterator<Item = [f64; 2]>) -> Array2<f64> {
    Array2::from(values.collect::<Vec<_>>())
}

fn triples(values: impl Iterator<Item = [f64; 3]>) -> Array2<f64> {
    Array2::from(values.collect::<Vec<_>>())
}

pub fn centres(node: &Node, centres: &[AcousticCentre]) -> hdf5::Result<()> {
    const NONE: [f64; 3] = [f64::NAN; 3];
    let all: Vec<Band> = centres.iter().map(|c| c.band).collect();
    bands(node, &all)?;
    let band = "/centres/band_nominal";
    let position = pairs(centres.iter().map(|c| c.intensity.position));
    let spread = pairs(centres.iter().map(|c| c.intensity.spread));
    node.array(
        "intensity_position",
        &position,
        over(&[band, "x, y"], "m", "Centroid of outgoing active intensity."),
    )?;
    node.array(
        "intensity_spread",
        &spread,
        over(&[band, "x, y"], "m", "Standard deviation about the centroid."),
    )?;
    let position = triples(centres.iter().map(|c| c.wave_front.map_or(NONE, |w| w.position)));
    let spread = triples(centres.iter().map(|c| c.wave_front.map_or(NONE, |w| w.spread)));
    let fit: Array1<f64> = centres.iter().map(|c| c.wave_front.map_or(f64::NAN, |w| w.fit)).collect();
    node.array(
        "wave_front_position",
        &position,
        over(
            &[band, "x, y, z"],
            "m",
            "Centre of the best-fitting spherical wave fronts; NaN where none fits.",
        ),
    )?;
    node.array(
        "wave_front_spread",
        &spread,
        over(&[band, "x, y, z"], "m", "Standard deviation over the frequencies of the band."),
    )?;
    node.array("wave_front_fit", &fit, over(&[band], "1", "Share of the energy the spherical wave explains."))
}
