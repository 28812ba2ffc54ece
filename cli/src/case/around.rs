//! The small driver and its surrounds in words, for `check`.

use super::describe::Fact;
use super::quantity::{LENGTH, VOLUME, short};
use panelwright_solver::scene::{
    Behind, Diaphragm, DiaphragmForm, DriverScene, FlareProfile, HousingBack, HousingFront, SmallDriver,
    Surround, SurroundForm,
};

fn mm(metres: f64) -> String {
    LENGTH.show((metres * 1e5).round() / 1e5, "mm")
}

fn degrees(radians: f64) -> String {
    format!("{}°", short((radians.to_degrees() * 10.0).round() / 10.0))
}

/// The driver, what is behind it and its surrounds, one fact each.
pub(crate) fn facts(scene: &DriverScene) -> Vec<Fact> {
    let fact = |subject, text| Fact { subject, text };
    let mut facts = vec![fact("driver", driver(&scene.driver)), fact("behind", behind(scene))];
    let reference = scene.surrounds.first().map(|s| s.name.as_str());
    facts.extend(scene.surrounds.iter().map(|surround| {
        let compared = if Some(surround.name.as_str()) == reference && scene.surrounds.len() > 1 {
            "; the others are compared with it"
        } else {
            ""
        };
        fact("surround", format!("\"{}\", {}{compared}", surround.name, self::surround(surround)))
    }));
    facts
}

fn driver(driver: &SmallDriver) -> String {
    format!(
        "\"{}\", {} in {}; {} Ω, {} N/A, {} g, {} N/mm, {} N s/m, at {} V",
        driver.name,
        diaphragm(&driver.diaphragm),
        housing(driver),
        short(driver.motor.coil_resistance),
        short(driver.motor.force_factor),
        short(driver.motor.moving_mass * 1e3),
        three(driver.motor.suspension_stiffness * 1e-3),
        three(driver.motor.mechanical_resistance),
        short(driver.voltage)
    )
}

fn three(value: f64) -> String {
    short(format!("{value:.2e}").parse().unwrap_or(value))
}

fn diaphragm(diaphragm: &Diaphragm) -> String {
    let size = mm(2.0 * diaphragm.radius);
    match &diaphragm.form {
        DiaphragmForm::Flat => format!("flat diaphragm of {size}"),
        DiaphragmForm::Cone { depth } => format!("cone of {size}, {} deep", mm(*depth)),
        DiaphragmForm::Dome { height } => format!("dome of {size}, {} high", mm(*height)),
        DiaphragmForm::Ring { inner_radius, coil_radius } => {
            format!("ring of {size}, inside {}, coil {}", mm(2.0 * inner_radius), mm(2.0 * coil_radius))
        }
        DiaphragmForm::BendingDisc { section, coil_radius, masses } => {
            let masses = match masses.len() {
                0 => String::new(),
                1 => ", with a ring of mass".into(),
                count => format!(", with {count} rings of mass"),
            };
            let mass = three(section.surface_mass);
            format!("bending disc of {size}, {mass} kg/m², coil {}{masses}", mm(2.0 * coil_radius))
        }
    }
}

fn housing(driver: &SmallDriver) -> String {
    let housing = &driver.housing;
    let depth = mm(housing.depth);
    let front = match housing.front {
        HousingFront::Round { radius } => format!("a round housing of {}, {depth} deep", mm(2.0 * radius)),
        HousingFront::Rectangular { width, height } => {
            format!("a housing of {} × {}, {depth} deep", mm(width), mm(height))
        }
        HousingFront::Ball { radius } => format!("a ball of {}", mm(2.0 * radius)),
    };
    let rounding = match housing.rounding {
        0.0 => String::new(),
        radius => format!(", edge rounded {}", mm(radius)),
    };
    let back = match housing.back {
        HousingBack::Sealed { volume } => format!("closed with {} of air", VOLUME.show(volume, "l")),
        HousingBack::Open { wall } => format!("open behind, wall {}", mm(wall)),
    };
    format!("{front}{rounding}, {back}")
}

fn behind(scene: &DriverScene) -> String {
    let [x, y, z] = scene.driver.place;
    let front = format!("the driver's front lies {} before it", mm(z));
    match scene.behind {
        Behind::Nothing => "nothing: free space".into(),
        Behind::Plane => format!("a rigid plane without end; {front}"),
        Behind::Board(_) => {
            format!("the panel as a rigid board; {front}, {} from the left, {} from the bottom", mm(x), mm(y))
        }
    }
}

fn surround(surround: &Surround) -> String {
    let lined = match surround.absorption {
        0.0 => String::new(),
        share => format!(", absorbs {} %", short((share * 1e3).round() / 10.0)),
    };
    shape(&surround.form) + &lined
}

fn shape(form: &SurroundForm) -> String {
    match form {
        SurroundForm::Bare => "just the driver".into(),
        SurroundForm::Wings { count, length, height, opening, thickness, gap, .. } => format!(
            "{count} wings of {} × {}, {} thick, opening {}, gap {}",
            mm(*length),
            mm(*height),
            mm(*thickness),
            degrees(*opening),
            mm(*gap)
        ),
        SurroundForm::Flare { profile, mouth_radius, length, wall, gap } => format!(
            "{} flare to {}, {} long, wall {}, gap {}",
            word(*profile),
            mm(2.0 * mouth_radius),
            mm(*length),
            mm(*wall),
            mm(*gap)
        ),
        SurroundForm::RoundOver { radius } => format!("housing rounded over by {}", mm(*radius)),
        SurroundForm::Baffle { width, height, thickness, gap, .. } => {
            let size = format!("{} × {}, {} thick", mm(*width), mm(*height), mm(*thickness));
            format!("baffle of {size}, gap {}", mm(*gap))
        }
        SurroundForm::Post { diameter, length, middle, turned } => {
            let [d, l, z] = [*diameter, *length, middle[2]].map(mm);
            format!("post of {d} × {l}, {z} in front, turned {}", degrees(*turned))
        }
        SurroundForm::Bracket { legs, thickness, width, corner } => {
            let [x, y, t, w, z] = [legs[0], legs[1], *thickness, *width, corner[2]].map(mm);
            format!("bracket of {x} × {y} × {t}, {w} from front to back, {z} in front")
        }
        SurroundForm::Part { surface, file } => {
            let [low, high] = surface.bounds();
            let [x, y, z] = [high.x - low.x, high.y - low.y, high.z - low.z].map(mm);
            format!("{file}: {x} × {y} × {z}, {} triangles", surface.triangles.len())
        }
    }
}

fn word(profile: FlareProfile) -> &'static str {
    match profile {
        FlareProfile::Conical => "conical",
        FlareProfile::Exponential => "exponential",
        FlareProfile::Elliptic => "elliptic",
    }
}
