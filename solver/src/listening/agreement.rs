//! Do two parts sound as one source? The angle between their acoustic centres as a seat sees it, beside the blur of human hearing.

use super::findings::Band;
use crate::scene::Seat;
use crate::words::{hertz, listed, millimetres};
use serde::Serialize;

/// Level difference [dB] from which the weaker of two parts adds nothing that could be heard apart (our own convention: it then moves the
/// level of the sum by less than 3 dB in any phase).
pub const MASKED: f64 = 10.0;

/// Angles [rad] below which hearing tells no two places apart.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Blur {
    /// Sideways, in front of the listener.
    pub horizontal: f64,
    /// Up and down in front, for steady noise.
    pub vertical_noise: f64,
    /// Up and down in front, for unknown voices.
    pub vertical_speech: f64,
    /// Where the values come from.
    pub source: &'static str,
}

/// The localisation blur in front of the listener.
pub fn localisation_blur() -> Blur {
    Blur {
        horizontal: 3.6f64.to_radians(),
        vertical_noise: 4f64.to_radians(),
        vertical_speech: 17f64.to_radians(),
        source: "J. Blauert, Spatial Hearing, revised ed., MIT Press 1997, § 2.1 and 2.3, from memory",
    }
}

/// What is to be compared in one band: places in panel coordinates [m].
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Centred {
    /// The band.
    pub band: Band,
    /// The panel's centre by intensity.
    pub intensity: Option<[f64; 3]>,
    /// The panel's centre by wave fronts.
    pub wave_front: Option<[f64; 3]>,
    /// The driver's centre by wave fronts, its place where that is not defined.
    pub driver: [f64; 3],
    /// How much later the driver's channel is fed than the panel's [s].
    pub later: f64,
}

/// How far apart two centres are for a listener.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Apart {
    /// Driver to the right of the panel's centre, as seen from the panel's front: difference of azimuths [rad].
    pub horizontal: f64,
    /// Driver above the panel's centre: difference of elevations [rad].
    pub vertical: f64,
    /// Distance between the centres [m].
    pub distance: f64,
    /// How much later the driver's sound arrives [s], ways and channel delays together.
    pub later: f64,
}

/// What a listener makes of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Heard {
    /// One part is so much weaker that there is nothing to hear apart.
    OneLeads,
    /// Within the blur.
    AsOne,
    /// Beyond the vertical blur of steady noise, within that of unknown voices.
    PerhapsApart,
    /// Beyond the blur.
    Apart,
}

/// One band at one seat.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BandAgreement {
    /// The band.
    pub band: Band,
    /// From the panel's centre by intensity to the driver's.
    pub from_intensity: Option<Apart>,
    /// From the panel's centre by wave fronts to the driver's.
    pub from_wave_front: Option<Apart>,
    /// Level of the panel minus that of the driver [dB].
    pub panel_leads: f64,
    /// By wave fronts, by intensity where those are not defined.
    pub heard: Heard,
}

/// All bands at one seat.
#[derive(Clone, Debug, Serialize)]
pub struct AgreementAt {
    /// Name of the seat.
    pub seat: String,
    /// Name of the driver.
    pub driver: String,
    /// Band by band.
    pub bands: Vec<BandAgreement>,
    /// What it comes to, in plain words.
    pub verdict: String,
}

/// How loud panel and driver are in a band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loudness {
    /// Level of the panel minus that of the driver [dB].
    pub panel_leads: f64,
    /// By how much the quieter of the two is below the loudest of all that plays [dB]: where others drown it, there is nothing of it to hear apart.
    pub under: f64,
}

impl Loudness {
    /// From levels [dB] of panel and driver, and of the loudest part besides.
    pub fn of(panel: f64, driver: f64, besides: f64) -> Self {
        Self { panel_leads: panel - driver, under: panel.max(driver).max(besides) - panel.min(driver) }
    }
}

/// Agreement of the centres of a panel and of the driver `name` at a seat, which are so loud in every band.
pub fn agreement_at(
    seat: &Seat,
    name: &str,
    centres: &[Centred],
    loud: &[Loudness],
    sound_speed: f64,
) -> AgreementAt {
    let one = |(centred, loud): (&Centred, &Loudness)| {
        let from =
            |place: Option<[f64; 3]>| place.map(|panel| apart(seat.position, panel, centred, sound_speed));
        let (intensity, wave_front) = (from(centred.intensity), from(centred.wave_front));
        let heard = match wave_front.or(intensity) {
            Some(apart) if loud.under < MASKED => judged(&apart, &localisation_blur()),
            _ => Heard::OneLeads,
        };
        let band = centred.band;
        BandAgreement {
            band,
            from_intensity: intensity,
            from_wave_front: wave_front,
            panel_leads: loud.panel_leads,
            heard,
        }
    };
    let bands: Vec<BandAgreement> = centres.iter().zip(loud).map(one).collect();
    let verdict = verdict(&seat.name, name, &bands);
    AgreementAt { seat: seat.name.clone(), driver: name.to_owned(), verdict, bands }
}

/// Differences of direction from `ear`: azimuth about the upright axis, elevation above the horizontal plane.
fn apart(ear: [f64; 3], panel: [f64; 3], centred: &Centred, sound_speed: f64) -> Apart {
    let driver = centred.driver;
    let way = |to: [f64; 3]| [0, 1, 2].map(|i| to[i] - ear[i]);
    let length = |[x, y, z]: [f64; 3]| x.hypot(y).hypot(z);
    // The listener looks along −z: what is at larger x is to the right.
    let azimuth = |[x, _, z]: [f64; 3]| x.atan2(-z);
    let elevation = |[x, y, z]: [f64; 3]| y.atan2(x.hypot(z));
    let (a, b) = (way(panel), way(driver));
    Apart {
        horizontal: azimuth(b) - azimuth(a),
        vertical: elevation(b) - elevation(a),
        distance: length([0, 1, 2].map(|i| driver[i] - panel[i])),
        later: (length(b) - length(a)) / sound_speed + centred.later,
    }
}

fn judged(apart: &Apart, blur: &Blur) -> Heard {
    let (across, upright) = (apart.horizontal.abs(), apart.vertical.abs());
    if across > blur.horizontal || upright > blur.vertical_speech {
        Heard::Apart
    } else if upright > blur.vertical_noise {
        Heard::PerhapsApart
    } else {
        Heard::AsOne
    }
}

fn verdict(seat: &str, driver: &str, bands: &[BandAgreement]) -> String {
    let of = |heard: Heard| bands.iter().filter(|band| band.heard == heard).collect::<Vec<_>>();
    let (apart, perhaps, one) = (of(Heard::Apart), of(Heard::PerhapsApart), of(Heard::AsOne));
    let (found, words) = match (apart.is_empty(), perhaps.is_empty(), one.is_empty()) {
        (false, _, _) => (apart, "you would hear it apart"),
        (true, false, _) => (perhaps, "noise-like sounds may be heard apart, voices hardly"),
        (true, true, false) => {
            return format!("{seat}: “{driver}” and the panel blend {}.", stretches(bands, Heard::AsOne));
        }
        (true, true, true) => {
            return format!(
                "{seat}: in every band one of panel and “{driver}” leads by {MASKED} dB or more: nothing to hear apart."
            );
        }
    };
    let angle = |band: &BandAgreement| {
        let apart = band.from_wave_front.or(band.from_intensity);
        apart.map_or((0.0, 0.0), |apart| (apart.horizontal, apart.vertical))
    };
    let worst = found.iter().max_by(|a, b| size(angle(a)).total_cmp(&size(angle(b))));
    let (across, upright) = worst.map_or((0.0, 0.0), |band| angle(band));
    let heard = found.first().map_or(Heard::AsOne, |band| band.heard);
    let distance =
        worst.and_then(|band| band.from_wave_front.or(band.from_intensity)).map_or(0.0, |a| a.distance);
    format!(
        "{seat}: {} “{driver}” sits up to {} the panel's centre, {} away from it: {words}.",
        stretches(bands, heard),
        direction(across, upright),
        millimetres(distance)
    )
}

fn size((across, upright): (f64, f64)) -> f64 {
    let blur = localisation_blur();
    (across.abs() / blur.horizontal).max(upright.abs() / blur.vertical_speech)
}

/// "9° above", "5° to the right of and 4° below".
fn direction(across: f64, upright: f64) -> String {
    let degrees = |angle: f64| format!("{:.0}°", angle.to_degrees().abs());
    let mut words = vec![];
    if across.abs() >= 0.5f64.to_radians() {
        words.push(format!("{} to the {} of", degrees(across), if across > 0.0 { "right" } else { "left" }));
    }
    if upright.abs() >= 0.5f64.to_radians() {
        words.push(format!("{} {}", degrees(upright), if upright > 0.0 { "above" } else { "below" }));
    }
    if words.is_empty() { "0° from".into() } else { words.join(" and ") }
}

/// "at 2 kHz", "from 2 to …": the runs of bands that are heard so.
fn stretches(bands: &[BandAgreement], heard: Heard) -> String {
    let mut runs: Vec<(f64, f64)> = vec![];
    let mut running = false;
    for band in bands {
        let here = band.heard == heard;
        match (here, running, runs.last_mut()) {
            (true, true, Some(run)) => run.1 = band.band.nominal,
            (true, ..) => runs.push((band.band.nominal, band.band.nominal)),
            _ => {}
        }
        running = here;
    }
    let words = |&(from, to): &(f64, f64)| match from == to {
        true => format!("at {}", hertz(from)),
        false => format!("from {} to {}", hertz(from), hertz(to)),
    };
    listed(&runs.iter().map(words).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::listening::fractional_octaves;

    fn seat(position: [f64; 3]) -> Seat {
        Seat { name: "sofa".into(), position }
    }

    /// One driver at `driver`, the panel's centres at the origin, in the octaves from 500 Hz to 4 kHz.
    fn heard(driver: [f64; 3], leads: [f64; 4]) -> AgreementAt {
        let centred =
            |band| Centred { band, intensity: Some([0.0; 3]), wave_front: None, driver, later: 1e-3 };
        let centres: Vec<Centred> = fractional_octaves(1, 500.0, 4000.0).into_iter().map(centred).collect();
        assert_eq!(centres.len(), 4);
        let loud = leads.map(|leads| Loudness::of(leads, 0.0, f64::NEG_INFINITY));
        agreement_at(&seat([0.0, 0.0, 2.0]), "treble", &centres, &loud, 340.0)
    }

    #[test]
    fn angles_distance_and_time_are_those_of_geometry() {
        let found = heard([0.2, 0.3, 0.0], [0.0; 4]).bands[0].from_intensity.expect("defined");
        assert!((found.horizontal - (0.1f64).atan()).abs() < 1e-12);
        let reach = (0.04f64 + 4.0).sqrt();
        assert!((found.vertical - (0.3 / reach).atan()).abs() < 1e-12);
        assert!((found.distance - 0.13f64.sqrt()).abs() < 1e-12);
        let way = (4.0f64 + 0.13).sqrt() - 2.0;
        assert!((found.later - way / 340.0 - 1e-3).abs() < 1e-12);
    }

    #[test]
    fn a_driver_in_the_centre_blends_and_one_above_does_not() {
        let blends = heard([0.0, 0.05, 0.0], [20.0, 3.0, -4.0, -30.0]);
        assert_eq!(blends.verdict, "sofa: “treble” and the panel blend from 1 kHz to 2 kHz.");
        let above = heard([0.0, 0.7, 0.0], [20.0, 3.0, -4.0, -30.0]);
        assert_eq!(
            above.verdict,
            "sofa: from 1 kHz to 2 kHz “treble” sits up to 19° above the panel's centre, 700 mm away from it: you would hear it apart."
        );
        let between = heard([0.0, 0.3, 0.0], [20.0, 12.0, -4.0, -30.0]);
        assert_eq!(between.bands[2].heard, Heard::PerhapsApart);
        assert!(
            between.verdict.starts_with("sofa: at 2 kHz “treble” sits up to 9° above"),
            "{}",
            between.verdict
        );
        let beside = heard([-0.2, 0.0, 0.0], [0.0; 4]);
        assert!(beside.verdict.contains("6° to the left of") && beside.bands[0].heard == Heard::Apart);
    }

    #[test]
    fn what_a_third_part_drowns_is_not_heard_apart() {
        let drowned = Loudness::of(60.0, 63.0, 80.0);
        assert_eq!((drowned.panel_leads, drowned.under), (-3.0, 20.0));
        assert_eq!(Loudness::of(60.0, 63.0, 62.0).under, 3.0);
    }

    #[test]
    fn where_one_part_leads_there_is_nothing_to_hear_apart() {
        let leads = heard([0.0, 1.5, 0.0], [10.0, 30.0, -10.0, -12.0]);
        assert!(leads.bands.iter().all(|band| band.heard == Heard::OneLeads));
        assert!(leads.verdict.contains("nothing to hear apart"));
    }
}
