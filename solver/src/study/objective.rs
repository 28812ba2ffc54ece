//! What variants are judged by: one number each, in builders' words.

use serde::{Deserialize, Serialize};

/// A range of frequencies [Hz], both ends included.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Range {
    /// Lowest [Hz].
    pub from: f64,
    /// Highest [Hz].
    pub to: f64,
}

impl Range {
    /// All frequencies.
    pub const ALL: Self = Self { from: 0.0, to: f64::INFINITY };

    /// True for a frequency [Hz] of the range; ends count in spite of rounding.
    pub fn holds(&self, frequency: f64) -> bool {
        frequency >= self.from * (1.0 - 1e-9) && frequency <= self.to * (1.0 + 1e-9)
    }
}

/// Which seat counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Over {
    /// The energy averaged over all seats.
    Average,
    /// The seat that is worst.
    WorstSeat,
}

/// Which arc.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Across {
    /// From left to right.
    Horizontal,
    /// Up and down.
    Vertical,
}

/// Which values are better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Better {
    /// Small ones.
    Lower,
    /// Large ones.
    Higher,
}

/// What a number is asked of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// The panel.
    Panel,
    /// The small driver with its surround.
    Driver,
    /// Panel and driver together.
    Blend,
}

/// One number about a variant.
///
/// All are those that a prediction, a comparison of surrounds or a blend reports, or follow from their curves as said here; where a number does
/// not exist it is not-a-number, with a reason.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "kebab-case")]
pub enum Objective {
    /// Unevenness at the seats [dB]: standard deviation over the range of the level smoothed to a sixth of an octave.
    Flatness {
        /// Range.
        band: Range,
        /// Which seat.
        over: Over,
    },
    /// Lower limit of the usable band [Hz] of the worst seat: where the third-octave curve comes to stay within 6 or 10 dB of its mean from 200 Hz
    /// to 4 kHz.
    LowEnd {
        /// Allowed drop [dB]: 6 or 10.
        drop: f64,
    },
    /// How far the deepest place of the output map before the panel lies under the plane's mean [dB], over the third octaves of the range.
    DeadSpot {
        /// Range.
        band: Range,
    },
    /// Share of the plane before the panel [%] that lies in dead spots, 10 dB or more under the plane's mean; mean over the third octaves of the range.
    DeadArea {
        /// Range.
        band: Range,
    },
    /// Mean of the third-octave levels on the axis at 1 m for 2.83 V [dB]; from 200 Hz to 4 kHz it is the sensitivity that predictions state.
    Sensitivity {
        /// Range.
        band: Range,
    },
    /// Width of the beam [°] between its −6 dB edges, mean over the third octaves of the range; 180° where the level does not fall so far.
    Beamwidth {
        /// Range.
        band: Range,
        /// Arc.
        across: Across,
    },
    /// How much the width of the beam changes [°]: largest minus smallest over the third octaves of the range.
    BeamChange {
        /// Range.
        band: Range,
        /// Arc.
        across: Across,
    },
    /// How far the acoustic centre by intensity moves [mm]: diagonal of the box that holds the centres of the third octaves of the range.
    Wander {
        /// Range.
        band: Range,
    },
    /// Largest peak excursion of any exciter's coil [mm] over the range.
    Excursion {
        /// Range.
        band: Range,
    },
    /// Smallest magnitude of any amplifier's load [Ω] over the range.
    Impedance {
        /// Range.
        band: Range,
    },
    /// Mass of the panel with all that is on it [kg]: exciters, masses, patches, bars.
    Mass,
    /// Area of the panel [m²].
    Area,
    /// Angle between the centres of panel and driver [°] as seen from the worst seat, in the worst third octave of the range in which both are heard.
    Agreement {
        /// Range.
        band: Range,
    },
    /// Unevenness of the sum of panel and driver [dB], see [`Flatness`](Self::Flatness).
    SumFlatness {
        /// Range.
        band: Range,
        /// Which seat.
        over: Over,
    },
    /// Level that the last surround gains over the bare driver [dB] at the near microphone, mean over the third octaves of the top octave.
    TopOctave,
    /// Ripple of the driver with its last surround [dB]: standard deviation over the range of what its level at the near microphone, smoothed to 1/24 octave, departs from
    /// the same smoothed to an octave.
    Ripple {
        /// Range.
        band: Range,
    },
    /// Unevenness of the driver with its last surround at the seats [dB], see [`Flatness`](Self::Flatness): a rise that is smoothed is less of it.
    DriverFlatness {
        /// Range.
        band: Range,
        /// Which seat.
        over: Over,
    },
    /// Upper limit of the driver with its last surround [Hz] at the seat where it is lowest: from there on the third-octave curve stays more than 6 dB below
    /// its mean over the range; the highest frequency that is computed where it does not.
    DriverTopEnd {
        /// Range.
        band: Range,
    },
    /// Width of the beam of the driver with its last surround [°], as [`Beamwidth`](Self::Beamwidth).
    DriverBeamwidth {
        /// Range.
        band: Range,
        /// Arc.
        across: Across,
    },
    /// How much that changes [°], as [`BeamChange`](Self::BeamChange).
    DriverBeamChange {
        /// Range.
        band: Range,
        /// Arc.
        across: Across,
    },
}

impl Objective {
    /// Short name for tables.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Flatness { over: Over::Average, .. } => "unevenness at the seats",
            Self::Flatness { over: Over::WorstSeat, .. } => "unevenness at the worst seat",
            Self::LowEnd { .. } => "low end",
            Self::DeadSpot { .. } => "deepest dead spot",
            Self::DeadArea { .. } => "dead area",
            Self::Sensitivity { .. } => "sensitivity",
            Self::Beamwidth { across: Across::Horizontal, .. } => "beamwidth",
            Self::Beamwidth { across: Across::Vertical, .. } => "upright beamwidth",
            Self::BeamChange { across: Across::Horizontal, .. } => "change of beamwidth",
            Self::BeamChange { across: Across::Vertical, .. } => "change of upright beamwidth",
            Self::Wander { .. } => "wander of the centre",
            Self::Excursion { .. } => "excursion",
            Self::Impedance { .. } => "lowest impedance",
            Self::Mass => "mass",
            Self::Area => "area",
            Self::Agreement { .. } => "centres apart",
            Self::SumFlatness { over: Over::Average, .. } => "unevenness of the sum",
            Self::SumFlatness { over: Over::WorstSeat, .. } => "unevenness of the sum at the worst seat",
            Self::TopOctave => "gain in the top octave",
            Self::Ripple { .. } => "ripple of the driver",
            Self::DriverFlatness { over: Over::Average, .. } => "unevenness of the driver",
            Self::DriverFlatness { over: Over::WorstSeat, .. } => {
                "unevenness of the driver at the worst seat"
            }
            Self::DriverTopEnd { .. } => "top end of the driver",
            Self::DriverBeamwidth { across: Across::Horizontal, .. } => "driver's beamwidth",
            Self::DriverBeamwidth { across: Across::Vertical, .. } => "driver's upright beamwidth",
            Self::DriverBeamChange { across: Across::Horizontal, .. } => "change of driver's beamwidth",
            Self::DriverBeamChange { across: Across::Vertical, .. } => "change of driver's upright beamwidth",
        }
    }

    /// Unit of the number.
    pub fn unit(&self) -> &'static str {
        match self {
            Self::Flatness { .. }
            | Self::DeadSpot { .. }
            | Self::Sensitivity { .. }
            | Self::SumFlatness { .. }
            | Self::TopOctave
            | Self::DriverFlatness { .. }
            | Self::Ripple { .. } => "dB",
            Self::LowEnd { .. } | Self::DriverTopEnd { .. } => "Hz",
            Self::DeadArea { .. } => "%",
            Self::Beamwidth { .. }
            | Self::BeamChange { .. }
            | Self::Agreement { .. }
            | Self::DriverBeamwidth { .. }
            | Self::DriverBeamChange { .. } => "°",
            Self::Wander { .. } | Self::Excursion { .. } => "mm",
            Self::Impedance { .. } => "Ω",
            Self::Mass => "kg",
            Self::Area => "m²",
        }
    }

    /// Which values are better; of what is neither, small ones.
    pub fn better(&self) -> Better {
        match self {
            Self::Sensitivity { .. }
            | Self::Beamwidth { .. }
            | Self::Impedance { .. }
            | Self::TopOctave
            | Self::DriverTopEnd { .. }
            | Self::DriverBeamwidth { .. } => Better::Higher,
            _ => Better::Lower,
        }
    }

    /// What it is asked of.
    pub fn subject(&self) -> Subject {
        match self {
            Self::Agreement { .. } | Self::SumFlatness { .. } => Subject::Blend,
            Self::TopOctave
            | Self::Ripple { .. }
            | Self::DriverFlatness { .. }
            | Self::DriverTopEnd { .. }
            | Self::DriverBeamwidth { .. }
            | Self::DriverBeamChange { .. } => Subject::Driver,
            _ => Subject::Panel,
        }
    }
}
