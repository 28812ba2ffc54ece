//! The findings of a prediction: everything a report shows, in SI units and decibels, computed nowhere else.

use crate::Warning;
use crate::drive::{ChannelLoad, NaturalModes, PowerBalance};
use ndarray::{Array1, Array2};
use num_complex::Complex64;
use serde::Serialize;

/// All findings of one prediction.
#[derive(Clone, Debug, Serialize)]
pub struct Findings {
    /// Plain sentences for the top of a report, most important first.
    pub summary: Vec<String>,
    /// Doubts, to be shown beside what they concern.
    pub warnings: Vec<Warning>,
    /// Frequencies [Hz] of every curve below unless it says otherwise.
    pub frequencies: Vec<f64>,
    /// The variations of the panel that bands of uncertainty and stabilities below are taken from; `None` when there are none.
    pub variations: Option<Variations>,
    /// The panel by itself.
    pub panel: PanelFindings,
    /// One per seat.
    pub seats: Vec<SeatFindings>,
    /// On the panel's axis, 1 m away, scaled to 2.83 V from the channel with the highest voltage.
    pub sensitivity: Sensitivity,
    /// Polar patterns.
    pub polar: Polar,
    /// Sound power level re 1 pW [dB].
    pub power_level: Vec<f64>,
    /// Directivity index on the panel's axis [dB]: level on axis over the mean of the half space as if radiated into 4π.
    pub directivity_index: Vec<f64>,
    /// Output map.
    pub map: OutputMap,
    /// Band mean of the panel's own velocity level re 1 m/s [dB] on its face.
    pub panel_map: OutputMap,
    /// Dead spots of the output map.
    pub dead_spots: Vec<DeadSpot>,
    /// Quiet places of the panel's own velocity: not to drive there, not to measure there.
    pub quiet_places: Vec<DeadSpot>,
    /// Acoustic centre per band.
    pub centres: Vec<AcousticCentre>,
    /// One per exciter.
    pub exciters: Vec<ExciterFindings>,
    /// One per amplifier channel.
    pub channels: Vec<ChannelFindings>,
    /// Where the electrical power goes, over frequency [W]; and the sound power [W] beside it.
    pub balance: PowerBalance,
    /// Sound power [W] over frequency that reaches the room: in a baffle or before a wall to the front, with an open back to both sides. What a
    /// wall keeps is in the balance only.
    pub radiated: Vec<f64>,
}

/// Variations of the panel within its spread of material and workmanship.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Variations {
    /// How many.
    pub count: usize,
    /// Seed of their sequence.
    pub seed: u32,
}

/// How a number is spread over the variations.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Quantiles {
    /// Smallest.
    pub lowest: f64,
    /// One in ten lies below.
    pub tenth: f64,
    /// One in ten lies above.
    pub ninetieth: f64,
    /// Largest.
    pub highest: f64,
}

/// How a curve of levels [dB] is spread over the variations, frequency by frequency; the parts of [`Quantiles`].
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct LevelBand {
    /// Smallest.
    pub lowest: Vec<f64>,
    /// One in ten lies below.
    pub tenth: Vec<f64>,
    /// One in ten lies above.
    pub ninetieth: Vec<f64>,
    /// Largest.
    pub highest: Vec<f64>,
}

/// In how many variations a dead spot is still there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Stability {
    /// In so many.
    pub still_there: usize,
    /// Of so many.
    pub variations: usize,
}

impl Stability {
    /// Share of the variations, 0 to 1; not-a-number without variations.
    pub fn share(&self) -> f64 {
        self.still_there as f64 / self.variations as f64
    }

    /// True when it is there in at least half of the variations.
    pub fn likely(&self) -> bool {
        2 * self.still_there >= self.variations
    }
}

/// A fractional-octave band (IEC 61260-1:2014, base ten).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Band {
    /// Exact mid-band frequency [Hz].
    pub centre: f64,
    /// Lower edge [Hz].
    pub lower: f64,
    /// Upper edge [Hz].
    pub upper: f64,
    /// Nominal mid-band frequency [Hz], the round number on the label.
    pub nominal: f64,
}

/// The panel by itself.
#[derive(Clone, Debug, Serialize)]
pub struct PanelFindings {
    /// Mass of the bare panel [kg].
    pub mass: f64,
    /// Natural frequencies [Hz] with patches and bars, rigid-body modes left out.
    pub natural_frequencies: Vec<f64>,
    /// Natural frequencies [Hz] of the bare panel, rigid-body modes left out.
    pub bare_frequencies: Vec<f64>,
    /// The first natural modes with everything on it: exciters, masses, hangs, patches, bars; rigid-body motion left out.
    pub assembled: NaturalModes,
    /// Number of rigid-body modes.
    pub rigid_modes: usize,
    /// Pictures of the first modes.
    pub first_shapes: Vec<ModeShape>,
    /// Modal density [1/Hz] of the bending waves, the large-plate value.
    pub modal_density: f64,
    /// Modal overlap (density × loss factor × frequency) over `Findings::frequencies`.
    pub modal_overlap: Vec<f64>,
    /// Frequency [Hz] above which overlap exceeds 1, if inside the range.
    pub overlap_one: Option<f64>,
    /// Lowest and highest coincidence frequency over the directions in the panel [Hz].
    pub coincidence: (f64, f64),
}

/// One mode on a small lattice.
#[derive(Clone, Debug, Serialize)]
pub struct ModeShape {
    /// Natural frequency [Hz].
    pub frequency: f64,
    /// Node coordinates along x [m].
    pub x: Array1<f64>,
    /// Node coordinates along y [m].
    pub y: Array1<f64>,
    /// Shape (nx, ny) scaled to a largest magnitude of 1.
    pub shape: Array2<f64>,
}

/// What arrives at a seat.
#[derive(Clone, Debug, Serialize)]
pub struct SeatFindings {
    /// Name.
    pub name: String,
    /// Position [m].
    pub position: [f64; 3],
    /// Complex pressure [Pa RMS].
    pub pressure: Vec<Complex64>,
    /// Level [dB re 20 µPa], unsmoothed.
    pub level: Vec<f64>,
    /// Spread of `level` over the variations.
    pub band: Option<LevelBand>,
    /// Smoothed levels at the same frequencies.
    pub smoothed: Vec<SmoothedLevel>,
    /// Band levels for pink noise that carries the drive voltage's power in every band: mean square of the response in the band.
    pub third_octaves: Vec<BandLevel>,
    /// Usable band at −6 dB and at −10 dB.
    pub usable: Vec<UsableBand>,
    /// A-weighted level [dB] of pink noise of the stated voltage over the computed range.
    pub a_weighted: f64,
}

/// A smoothed curve.
#[derive(Clone, Debug, Serialize)]
pub struct SmoothedLevel {
    /// Octave fraction: 24 means 1/24 octave.
    pub fraction: u32,
    /// Level [dB re 20 µPa].
    pub level: Vec<f64>,
    /// Spread over the variations, each smoothed alike.
    pub band: Option<LevelBand>,
}

/// Level of a band.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct BandLevel {
    /// The band.
    pub band: Band,
    /// Level [dB].
    pub level: f64,
}

/// The stretch of the range that stays within `drop` of the reference level.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct UsableBand {
    /// Allowed drop [dB], positive.
    pub drop: f64,
    /// Reference level [dB re 20 µPa]: mean of the third-octave levels from 200 Hz to 4 kHz.
    pub reference: f64,
    /// Lower limit [Hz]; `None` if the curve never rises into the band.
    pub lower: Option<f64>,
    /// Upper limit [Hz].
    pub upper: Option<f64>,
    /// True if the lower limit is only the start of the computed range.
    pub lower_open: bool,
    /// True if the upper limit is only the end of the computed range.
    pub upper_open: bool,
    /// Spread of the lower limit [Hz] over the variations that have one.
    pub lower_spread: Option<Quantiles>,
}

/// Sensitivity.
#[derive(Clone, Debug, Serialize)]
pub struct Sensitivity {
    /// Level [dB re 20 µPa] on axis at 1 m for 2.83 V, over frequency.
    pub level: Vec<f64>,
    /// Mean of the third-octave levels from 200 Hz to 4 kHz.
    pub mean: f64,
    /// Spread of the mean over the variations [dB].
    pub mean_spread: Option<Quantiles>,
}

/// Far-field patterns.
#[derive(Clone, Debug, Serialize)]
pub struct Polar {
    /// Angles from the panel's axis [rad], −π/2…π/2; positive to the listener's right, or upwards.
    pub angles: Vec<f64>,
    /// Bands of the patterns.
    pub bands: Vec<Band>,
    /// Horizontal arc (bands, angles), level [dB re 20 µPa] at the arc's distance.
    pub horizontal: Array2<f64>,
    /// Vertical arc (bands, angles).
    pub vertical: Array2<f64>,
    /// Distance the levels are stated at [m].
    pub distance: f64,
}

/// Levels on a plane, band by band.
#[derive(Clone, Debug, Serialize)]
pub struct OutputMap {
    /// Distance of the plane from the panel [m].
    pub distance: f64,
    /// Node coordinates along x [m].
    pub x: Vec<f64>,
    /// Node coordinates along y [m].
    pub y: Vec<f64>,
    /// One per band.
    pub bands: Vec<BandMap>,
}

/// One band of a map.
#[derive(Clone, Debug, Serialize)]
pub struct BandMap {
    /// The band.
    pub band: Band,
    /// Levels (nx, ny) [dB].
    pub level: Array2<f64>,
    /// Level of the plane's mean energy [dB].
    pub mean: f64,
}

/// A connected quiet region of a map.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct DeadSpot {
    /// The band it was found in.
    pub band: Band,
    /// Deepest point [m].
    pub position: [f64; 2],
    /// Area [m²].
    pub area: f64,
    /// Largest extent along x and y [m].
    pub extent: [f64; 2],
    /// Depth of the deepest point under the plane's energy mean [dB], positive.
    pub depth: f64,
    /// In how many variations it is still there; `None` if that was not looked at.
    pub stability: Option<Stability>,
}

/// A centre and how far the sound is spread about it.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Centre {
    /// Position on the panel's plane [m].
    pub position: [f64; 2],
    /// Standard deviation along x and y [m].
    pub spread: [f64; 2],
}

/// Acoustic centre of a band, in two definitions.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct AcousticCentre {
    /// The band.
    pub band: Band,
    /// Centroid of the outgoing active intensity over the panel's plane.
    pub intensity: Centre,
    /// Centre of the spherical wave fronts that fit the pressure over the listening arcs best; `None` where no fit is meaningful.
    pub wave_front: Option<WaveFrontCentre>,
}

/// Centre of best-fitting spherical wave fronts.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct WaveFrontCentre {
    /// Position [m]; z is depth behind (−) or before (+) the panel.
    pub position: [f64; 3],
    /// Standard deviation over the frequencies of the band [m].
    pub spread: [f64; 3],
    /// Share of the pressure's energy that the spherical wave explains, 0…1.
    pub fit: f64,
}

/// An exciter against its ratings.
#[derive(Clone, Debug, Serialize)]
pub struct ExciterFindings {
    /// Name.
    pub name: String,
    /// Position [m].
    pub position: [f64; 2],
    /// Peak excursion [m] over frequency.
    pub excursion: Vec<f64>,
    /// Rated peak excursion [m].
    pub rated_excursion: Option<f64>,
    /// Frequency [Hz] and value [m] of the largest excursion.
    pub worst_excursion: (f64, f64),
    /// Real electrical power [W] over frequency for a sine at the drive voltage.
    pub power: Vec<f64>,
    /// Rated power [W].
    pub rated_power: Option<f64>,
    /// Frequency [Hz] and value [W] of the largest power.
    pub worst_power: (f64, f64),
}

/// An amplifier channel.
#[derive(Clone, Debug, Serialize)]
pub struct ChannelFindings {
    /// Name.
    pub name: String,
    /// What the amplifier sees.
    pub load: ChannelLoad,
    /// Frequency [Hz] and value [Ω] of the smallest magnitude of the impedance.
    pub lowest_impedance: (f64, f64),
}
