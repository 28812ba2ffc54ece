//! A small driver near the panel, and the surrounds that are to be compared.
//!
//! Places are in panel coordinates: origin at the lower left corner of the panel's bounding box, z = 0 its front face, z towards the
//! listener. Without a panel the origin is wherever the case puts it.

use super::{PlateSection, PolarArc, Seat};
use crate::air::Air;
use panelwright_mesh::{Outline, Surface};
use serde::Serialize;

/// Everything that a comparison of surrounds needs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DriverScene {
    /// Title of the case, for reports.
    pub title: String,
    /// The driver.
    pub driver: SmallDriver,
    /// What is behind it.
    pub behind: Behind,
    /// What is put around it, one at a time; the first is the one that others are compared with.
    pub surrounds: Vec<Surround>,
    /// State of the air.
    pub air: Air,
    /// Listening points.
    pub seats: Vec<Seat>,
    /// Distance [m] of the near microphone on the driver's axis, from its front.
    pub near: f64,
    /// Horizontal and vertical arcs about the middle of the driver's front.
    pub arc: PolarArc,
    /// Frequencies [Hz], ascending, geometric.
    pub frequencies: Vec<f64>,
    /// Frequencies [Hz] at which the sound on and around the body is pictured, the nearest computed ones.
    pub pictured: Vec<f64>,
    /// Elements per wavelength that meshes keep to at every frequency.
    pub elements_per_wavelength: f64,
}

/// A small electrodynamic driver in its housing, facing +z.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SmallDriver {
    /// Name in reports.
    pub name: String,
    /// Middle [m] of the diaphragm's edge, in the plane of the housing's front.
    pub place: [f64; 3],
    /// Coil and suspension.
    pub motor: DriverMotor,
    /// What moves the air.
    pub diaphragm: Diaphragm,
    /// What it sits in.
    pub housing: Housing,
    /// Voltage of the amplifier [V RMS].
    pub voltage: f64,
    /// Output and cable resistance [Ω].
    pub source_resistance: f64,
}

impl SmallDriver {
    /// True where boxes about its housing and that of another driver near the same panel meet; of round ones where the cylinders do.
    pub fn meets(&self, other: &Self) -> bool {
        let back = |driver: &Self| driver.place[2] - driver.housing.depth;
        let (front, back) = (self.place[2].min(other.place[2]), back(self).max(back(other)));
        let [wide, high] = [0, 1].map(|i| (self.place[i] - other.place[i]).abs());
        let (one, two) = (self.housing.front.half_extents(), other.housing.front.half_extents());
        let boxed = |driver: &Self| matches!(driver.housing.front, HousingFront::Rectangular { .. });
        let across = match boxed(self) || boxed(other) {
            true => wide < one[0] + two[0] && high < one[1] + two[1],
            false => wide.hypot(high) < one[0] + two[0],
        };
        across && back < front
    }
}

/// Electromechanical parameters of a driver in vacuo (A. N. Thiele, J. Audio Eng. Soc. 19, 1971; R. H. Small, ibid. 20, 1972).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DriverMotor {
    /// DC resistance of the coil R_e [Ω].
    pub coil_resistance: f64,
    /// Inductance of the coil L_e [H].
    pub coil_inductance: f64,
    /// Force factor Bl [N/A].
    pub force_factor: f64,
    /// Mass of diaphragm and coil without air M_md [kg]; of coil and former alone when the diaphragm is a bending disc.
    pub moving_mass: f64,
    /// Stiffness of the suspension 1/C_ms [N/m], without the air of a box.
    pub suspension_stiffness: f64,
    /// Mechanical resistance of the suspension R_ms [N s/m].
    pub mechanical_resistance: f64,
    /// Rated electrical power [W], if the part states one.
    pub rated_power: Option<f64>,
    /// Rated peak excursion, one way [m], if the part states one.
    pub rated_excursion: Option<f64>,
}

/// A round diaphragm.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Diaphragm {
    /// Radius of what moves [m].
    pub radius: f64,
    /// Its shape and how it moves.
    pub form: DiaphragmForm,
}

/// Shape of a diaphragm, and how it moves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub enum DiaphragmForm {
    /// A stiff disc.
    Flat,
    /// A stiff cone that opens towards the front.
    Cone {
        /// How far its apex lies behind the edge [m].
        depth: f64,
    },
    /// A stiff spherical cap towards the front.
    Dome {
        /// How far its top lies before the edge [m].
        height: f64,
    },
    /// A ring held at its edge and in the middle, driven by a coil between: the velocity falls linearly from the coil to both rims.
    Ring {
        /// Radius of the part in the middle that does not move [m].
        inner_radius: f64,
        /// Radius of the coil [m].
        coil_radius: f64,
    },
    /// A plate that bends: a free disc driven at the coil's ring.
    BendingDisc {
        /// The plate.
        section: PlateSection,
        /// Radius of the coil [m].
        coil_radius: f64,
        /// Rings of mass glued to it.
        masses: Vec<RingMass>,
    },
}

/// A mass spread evenly over a circle on a disc.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RingMass {
    /// Radius of the circle [m]; 0 for the middle.
    pub radius: f64,
    /// Mass [kg].
    pub mass: f64,
}

/// What a driver sits in; its front is flush with the diaphragm's edge.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Housing {
    /// Front outline.
    pub front: HousingFront,
    /// Extent along z [m].
    pub depth: f64,
    /// Radius of the round-over of the front's edge [m]; 0 leaves it sharp.
    pub rounding: f64,
    /// What is behind the diaphragm.
    pub back: HousingBack,
}

impl Diaphragm {
    /// The cap within `radius` [m] of a ball of the radius `ball` [m]: a dome of the ball's own curvature. The radius must be smaller.
    pub fn cap(radius: f64, ball: f64) -> Self {
        let height = ball - to_edge(radius, ball);
        Self { radius, form: DiaphragmForm::Dome { height } }
    }
}

impl Housing {
    /// A closed ball of `radius` [m] around this volume of air [m³]; its diaphragm is the [`Diaphragm::cap`] of the radius `cap` [m], whose
    /// edge is its front: the depth is what lies behind that.
    pub fn ball(radius: f64, cap: f64, volume: f64) -> Self {
        let front = HousingFront::Ball { radius };
        let depth = radius + to_edge(cap, radius);
        Self { front, depth, rounding: 0.0, back: HousingBack::Sealed { volume } }
    }
}

/// From the middle of a ball to the plane of its cap's edge [m].
fn to_edge(cap: f64, ball: f64) -> f64 {
    (ball * ball - cap * cap).sqrt()
}

/// Outline of a housing's front, centred on the diaphragm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum HousingFront {
    /// A cylinder.
    Round {
        /// Radius [m].
        radius: f64,
    },
    /// A box.
    Rectangular {
        /// Extent along x [m].
        width: f64,
        /// Extent along y [m].
        height: f64,
    },
    /// A ball, a cap of which is the diaphragm; see [`Housing::ball`].
    Ball {
        /// Radius [m].
        radius: f64,
    },
}

impl HousingFront {
    /// Half its extents [m] along x and y.
    pub fn half_extents(&self) -> [f64; 2] {
        match *self {
            Self::Round { radius } | Self::Ball { radius } => [radius; 2],
            Self::Rectangular { width, height } => [0.5 * width, 0.5 * height],
        }
    }
}

/// What is behind a diaphragm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum HousingBack {
    /// Closed: an air spring of this volume.
    Sealed {
        /// Volume of the air inside [m³].
        volume: f64,
    },
    /// A tube open at the back, of this wall; the diaphragm's back radiates, too.
    Open {
        /// Thickness of the tube's wall [m].
        wall: f64,
    },
}

/// What stands behind a driver.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub enum Behind {
    /// Nothing.
    Nothing,
    /// A rigid plane without end at z = 0.
    Plane,
    /// The panel as a thin rigid board at z = 0.
    Board(Outline),
}

/// Something put around, beside or before a driver; rigid unless lined.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Surround {
    /// Name in reports.
    pub name: String,
    /// Shape.
    pub form: SurroundForm,
    /// Share of the energy that its surface absorbs at normal incidence, 0 to below 1; 0 is rigid.
    pub absorption: f64,
}

/// Shape of a surround. Its reference plane is the housing's front, its axis the driver's.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub enum SurroundForm {
    /// The bare driver.
    Bare,
    /// Flat wings that stand around the driver.
    Wings {
        /// How many.
        count: usize,
        /// Extent away from the driver [m].
        length: f64,
        /// Extent around the driver [m].
        height: f64,
        /// Angle [rad] between the driver's axis and a wing: a right angle makes a flat baffle.
        opening: f64,
        /// Thickness [m].
        thickness: f64,
        /// Air between housing and wings [m].
        gap: f64,
        /// Radius of the round-over of all edges [m].
        rounding: f64,
        /// Angle [rad] that the first wing is turned from the listener's right towards the top.
        turned: f64,
    },
    /// A flare around the housing.
    Flare {
        /// How its inside widens.
        profile: FlareProfile,
        /// Inner radius at the mouth [m].
        mouth_radius: f64,
        /// Extent along the axis [m].
        length: f64,
        /// Thickness of its wall [m].
        wall: f64,
        /// Air between housing and throat [m].
        gap: f64,
    },
    /// The round housing itself, widened by this radius and rounded over by it.
    RoundOver {
        /// Radius of the rounding [m].
        radius: f64,
    },
    /// A plain plate around the housing, flush with its front.
    Baffle {
        /// Extent along x [m].
        width: f64,
        /// Extent along y [m].
        height: f64,
        /// Thickness [m].
        thickness: f64,
        /// Air between housing and plate [m].
        gap: f64,
        /// Radius of the round-over of the front's edges [m].
        rounding: f64,
    },
    /// A round post across the driver, before it.
    Post {
        /// Diameter [m].
        diameter: f64,
        /// Length [m].
        length: f64,
        /// Its middle [m], from the middle of the front.
        middle: [f64; 3],
        /// Angle [rad] between the listener's right and the post.
        turned: f64,
    },
    /// An angle bracket before the driver.
    Bracket {
        /// Legs along x and y [m].
        legs: [f64; 2],
        /// Thickness of both [m].
        thickness: f64,
        /// Extent along z [m].
        width: f64,
        /// The outer corner of the angle [m], at the side that faces the listener, from the middle of the front.
        corner: [f64; 3],
    },
    /// A part from a file, checked and mended; its origin is the middle of the front, +z towards the listener.
    Part {
        /// Its surface [m].
        #[serde(skip)]
        surface: Surface,
        /// Where it came from.
        file: String,
    },
}

/// How the inside of a flare widens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FlareProfile {
    /// In proportion to the distance.
    Conical,
    /// By a constant factor per distance.
    Exponential,
    /// A quarter of an ellipse.
    Elliptic,
}
