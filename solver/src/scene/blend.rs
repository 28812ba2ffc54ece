//! A panel and the small drivers that play with it.

use super::{Channel, DriverScene, Scene};
use serde::Serialize;

/// Parts that are to sound as one source. All are in the panel's coordinates.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BlendScene {
    /// The panel with its exciters and their channels.
    pub panel: Scene,
    /// The drivers.
    pub drivers: Vec<FedDriver>,
}

/// A small driver and what feeds it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FedDriver {
    /// The driver with its surrounds.
    pub scene: DriverScene,
    /// Its amplifier channel, which drives nothing else: `exciters` is empty. Voltage and source resistance are also the driver's own, which
    /// knows nothing of gain, delay and filters.
    pub channel: Channel,
}
