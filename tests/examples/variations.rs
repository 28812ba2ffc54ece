//! Predicts a case with and without variations, prints what they cost and how wide the bands are, and writes the results:
//! `cargo run --release -p panelwright-tests --example variations -- CASE FOLDER [SAMPLES]`.

#![allow(clippy::print_stdout)] // an example is there to report

use panelwright::case;
use panelwright::results::ResultsFolder;
use panelwright_solver::listening::LevelBand;
use panelwright_solver::scene::{FactorRange, Scene, Spread, ThicknessSpread};
use panelwright_solver::{Prediction, predict};
use std::path::Path;
use std::time::Instant;

/// Spread of a careful workshop; round figures for trying out, no source.
fn workshop(samples: usize) -> Spread {
    Spread {
        samples,
        along_x: FactorRange::about_one(0.15),
        along_y: FactorRange::about_one(0.15),
        twist: FactorRange::about_one(0.15),
        shear: FactorRange::about_one(0.2),
        surface_mass: FactorRange::about_one(0.05),
        thickness: ThicknessSpread {
            range: FactorRange::about_one(0.03),
            stiffness: [3.0, 3.0, 3.0, 1.0],
            surface_mass: 1.0,
        },
        loss: FactorRange { low: 0.7, high: 1.4 },
        supports: FactorRange { low: 0.5, high: 2.0 },
        position: 2e-3,
    }
}

fn timed(scene: &Scene) -> Result<(Prediction, f64), Box<dyn std::error::Error>> {
    let start = Instant::now();
    let prediction = predict(scene, &|_| {})?;
    Ok((prediction, start.elapsed().as_secs_f64()))
}

/// Mean width of the inner eight tenths from `from` to `to` [Hz].
fn width(frequencies: &[f64], band: &LevelBand, from: f64, to: f64) -> f64 {
    let widths = band.tenth.iter().zip(&band.ninetieth).map(|(low, high)| high - low);
    let inside: Vec<f64> =
        frequencies.iter().zip(widths).filter(|(f, _)| (from..to).contains(*f)).map(|(_, w)| w).collect();
    inside.iter().sum::<f64>() / inside.len() as f64
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    panelwright_solver::single_threaded_blas();
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [case, folder, rest @ ..] = &arguments[..] else { return Err("which case, which folder?".into()) };
    let samples = rest.first().map_or(Ok(64), |text| text.parse())?;
    let path = Path::new(case);
    let text = std::fs::read_to_string(path)?;
    let mut case = case::parse(&text, path).map_err(|problems| format!("{:?}", problems.list()))?;

    let (_, alone) = timed(&case.scene)?;
    case.scene.spread = workshop(samples);
    let (prediction, together) = timed(&case.scene)?;
    println!(
        "without {alone:.2} s, with {samples} variations {together:.2} s: {:.2} s more",
        together - alone
    );

    let findings = &prediction.findings;
    for seat in &findings.seats {
        let bands =
            seat.band.iter().chain(seat.smoothed.iter().filter_map(|smoothed| smoothed.band.as_ref()));
        let widths = bands.map(|band| {
            [(50.0, 200.0), (200.0, 2e3), (2e3, 2e4)]
                .map(|(from, to)| format!("{:.1}", width(&findings.frequencies, band, from, to)))
                .join(" ")
        });
        println!("{}: {}", seat.name, widths.collect::<Vec<_>>().join(" | "));
        println!("  {:?}", seat.usable.iter().map(|usable| usable.lower_spread).collect::<Vec<_>>());
    }
    println!("sensitivity {:.2} {:?}", findings.sensitivity.mean, findings.sensitivity.mean_spread);
    for spot in &findings.dead_spots {
        println!("{:>7} Hz {:5.1} dB {:?}", spot.band.nominal, spot.depth, spot.stability);
    }
    ResultsFolder::prepare(Path::new(folder))
        .and_then(|results| results.write(&case, &prediction, together))
        .map_err(|failure| format!("{failure:?}"))?;
    Ok(())
}
