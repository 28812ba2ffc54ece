//! What a case will compute, in words.

use super::quantity::short;
use super::{Case, DriverCase, PANEL, around, filter_words, words};
use panelwright_solver::air::Air;
use panelwright_solver::scene::{
    Channel, DriverScene, Exciter, Measured, MeasuredPart, Mount, PolarArc, Scene, Seat, Wiring,
};

/// One fact of a case.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fact {
    /// What it is about: "panel", "exciter".
    pub subject: &'static str,
    /// The fact.
    pub text: String,
}

/// What is in the case and what will be computed, in the order of the file.
pub fn describe(case: &Case) -> Vec<Fact> {
    let scene = &case.scene;
    let fact = |subject, text| Fact { subject, text };
    let mut facts = vec![fact("panel", panel(case))];
    facts.extend(words::layers(&case.material.makeup).into_iter().map(|text| fact("layer", text)));
    facts.push(fact("edges", words::edges(&scene.panel)));
    facts.push(fact("back", words::back(scene.panel.back)));
    facts.extend(words::attachments(&scene.attachments));
    facts.extend(scene.exciters.iter().map(|e| fact("exciter", exciter(e))));
    if !scene.exciters.is_empty() {
        let gluing =
            "left and right are the listener's: from behind, where exciters are glued, they are swapped";
        facts.push(fact("gluing", gluing.into()));
    }
    facts.extend(scene.channels.iter().map(|c| fact("channel", channel(c, &driven(c, scene)))));
    facts.extend(seats(scene).into_iter().map(|text| fact("seat", text)));
    facts.push(fact("map", map(scene)));
    facts.push(fact("polar", polar(&scene.receivers.arc)));
    facts.push(fact("frequencies", frequencies(&scene.frequencies)));
    for fed in &case.drivers {
        facts.extend(around::facts(&fed.scene));
        facts.push(fact("channel", channel(&fed.channel, &format!("\"{}\"", fed.scene.driver.name))));
        facts.push(fact("driver from", frequencies(&fed.scene.frequencies)));
    }
    facts.extend(measured(case).into_iter().map(|text| fact("measured", text)));
    facts.push(fact("spread", words::spread(&scene.spread)));
    if let Some(floor) = scene.receivers.floor {
        let text =
            format!("{} below the panel's lower edge, reflects {}", mm(-floor.y), short(floor.reflection));
        facts.push(fact("floor", text));
    }
    facts.push(fact("air", air(&scene.air)));
    facts
}

/// What is in a case about a driver, and what will be computed of it.
pub fn describe_driver(case: &DriverCase) -> Vec<Fact> {
    let scene = &case.scene;
    let fact = |subject, text| Fact { subject, text };
    let mut facts: Vec<Fact> = std::iter::once(scene).chain(&case.others).flat_map(around::facts).collect();
    facts.extend(seats_before(scene).into_iter().map(|text| fact("seat", text)));
    facts.push(fact("near", format!("a microphone {} before the driver's front", mm(scene.near))));
    facts.push(fact("polar", polar(&scene.arc)));
    facts.push(fact("frequencies", frequencies(&scene.frequencies)));
    facts.push(fact("mesh", format!("{} elements per wavelength", short(scene.elements_per_wavelength))));
    facts.push(fact("air", air(&scene.air)));
    facts
}

fn air(air: &Air) -> String {
    let (celsius, percent) = (short(air.temperature - 273.15), short(air.humidity * 100.0));
    format!("{celsius} °C, {percent} % humidity, {:.1} kPa", air.static_pressure / 1e3)
}

fn mm(metres: f64) -> String {
    format!("{:.0} mm", metres * 1e3)
}

fn panel(case: &Case) -> String {
    let panel = &case.scene.panel;
    let (width, height) = panel.outline.bounding_box();
    let section = &panel.section;
    format!(
        "{}{:.0} × {:.0} mm{}, {}, {:.2} kg/m², {:.2} kg, loss factor {}",
        words::shape(&panel.outline),
        width * 1e3,
        height * 1e3,
        words::holes(&panel.outline),
        words::makeup(&case.material.makeup, section.thickness),
        section.surface_mass,
        section.surface_mass * panel.outline.area(),
        short((section.bending_loss.at(1000.0) * 1e5).round() / 1e5),
    )
}

fn exciter(exciter: &Exciter) -> String {
    let [x, y] = exciter.position;
    let mount = match exciter.mount {
        Mount::Floating => "floating",
        Mount::Braced => "braced",
    };
    let reversed = if exciter.reversed { ", reversed" } else { "" };
    let name = &exciter.name;
    format!("\"{name}\", {} from the left, {} from the bottom, {mount}{reversed}", mm(x), mm(y))
}

/// The exciters on a channel, and how they are joined.
fn driven(channel: &Channel, scene: &Scene) -> String {
    let names: Vec<_> = channel.exciters.iter().map(|e| format!("\"{}\"", scene.exciters[*e].name)).collect();
    let wiring = match (names.len(), channel.wiring) {
        (1, _) => "",
        (_, Wiring::Series) => " in series",
        (_, Wiring::Parallel) => " in parallel",
    };
    names.join(", ") + wiring
}

/// What was measured of which part, seat by seat.
fn measured(case: &Case) -> Vec<String> {
    let one = |measured: &Measured| {
        let part = match measured.source {
            MeasuredPart::Panel => PANEL,
            MeasuredPart::Driver { driver, .. } => &case.drivers[driver].scene.driver.name,
        };
        let seat = &case.scene.receivers.seats[measured.seat].name;
        let [from, to] = measured.range().map(|f| filter_words::hertz(f.round()));
        format!("\"{part}\" at \"{seat}\", {from} to {to}, from {}", measured.file)
    };
    case.measured.iter().map(one).collect()
}

/// What a channel does to what it drives.
fn channel(channel: &Channel, driven: &str) -> String {
    let gain = 20.0 * channel.gain.abs().log10();
    let gain = if gain.abs() < 5e-4 { String::new() } else { format!(", {} dB", short(gain)) };
    let delay = if channel.delay > 0.0 {
        format!(", {} ms later", short(channel.delay * 1e3))
    } else {
        String::new()
    };
    let reversed = if channel.gain < 0.0 { ", reversed" } else { "" };
    let filters: String =
        filter_words::filters(&channel.filters).iter().map(|phrase| format!(", {phrase}")).collect();
    format!("\"{}\", {} V{gain}{delay}{reversed}{filters}: {driven}", channel.name, short(channel.voltage))
}

fn seats(scene: &Scene) -> Vec<String> {
    let [x, y] = scene.panel.outline.centre();
    scene.receivers.seats.iter().map(|s| seat(s, [x, y, 0.0], "panel's centre")).collect()
}

fn seats_before(scene: &DriverScene) -> Vec<String> {
    scene.seats.iter().map(|s| seat(s, scene.driver.place, "driver")).collect()
}

fn seat(seat: &Seat, origin: [f64; 3], whose: &str) -> String {
    let [right, above, front] = [0, 1, 2].map(|k| seat.position[k] - origin[k]);
    let sideways = aside(right, "to the right", "to the left");
    let height = aside(above, "above", "below");
    format!("\"{}\", {front:.2} m in front of the {whose}{sideways}{height}", seat.name)
}

fn aside(metres: f64, positive: &str, negative: &str) -> String {
    if metres.abs() < 5e-4 {
        return String::new();
    }
    format!(", {:.2} m {}", metres.abs(), if metres > 0.0 { positive } else { negative })
}

fn map(scene: &Scene) -> String {
    let map = &scene.receivers.map;
    let (width, height) = scene.panel.outline.bounding_box();
    let along = |side: f64| ((side + 2.0 * map.margin) / map.spacing).round() + 1.0;
    let (columns, rows) = (along(width), along(height));
    format!("about {columns:.0} × {rows:.0} microphones, {} in front of the panel", mm(map.distance))
}

fn polar(arc: &PolarArc) -> String {
    let angles = (std::f64::consts::PI / arc.step).round() + 1.0;
    format!("horizontal and vertical, {angles:.0} angles each, levels at {:.2} m", arc.distance)
}

fn frequencies(frequencies: &[f64]) -> String {
    let (Some(first), Some(last)) = (frequencies.first(), frequencies.last()) else { return "none".into() };
    let show = |f: f64| if f < 1000.0 { format!("{f:.1} Hz") } else { format!("{:.2} kHz", f / 1000.0) };
    format!("{} from {} to {}", frequencies.len(), show(*first), show(*last))
}
