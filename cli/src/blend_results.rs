//! The results folder of a blend: report, tables, HDF5 file, impulse responses, the advised crossover, findings as JSON, and a copy of the case.

use crate::case::{BlendCase, filter_words};
use crate::cautions::CAUTIONS;
use crate::failure::Failure;
use crate::file_name::{FileNames, file_name};
use crate::rendering::Heard;
use crate::report::{self, blend::BlendInput};
use crate::results::{self, ResultsFolder};
use crate::store::{self, Provenance};
use crate::{tables, wav};
use panelwright_solver::blend::BlendFindings;
use panelwright_solver::filters::Chain;
use panelwright_solver::listening::InTime;
use panelwright_solver::search::Crossover;

/// Name of the HDF5 file.
const STORE: &str = "blend.h5";

/// A finished blend.
pub struct Blend<'a> {
    /// The case.
    pub case: &'a BlendCase,
    /// What it says.
    pub findings: &'a BlendFindings,
    /// A recording as the seats would hear it, if one was given.
    pub heard: &'a [Heard],
    /// How long it took [s].
    pub seconds: f64,
}

/// Writes everything; results of an earlier run are replaced.
///
/// # Errors
/// When a file cannot be written.
pub fn write(folder: &ResultsFolder, blend: &Blend) -> Result<(), Failure> {
    let Blend { case, findings, heard, seconds } = *blend;
    let name = case.path.file_stem().map_or("case".into(), |stem| stem.to_string_lossy());
    folder.write_text("findings.json", &serde_json::to_string(findings).map_err(Failure::ours)?)?;
    folder.write_text("case.toml", &case.source)?;
    tables::write_blend(folder.path(), findings).map_err(Failure::ours)?;
    folder.forget(|name| name == "heard.csv" || forgotten(name, heard));
    if !heard.is_empty() {
        tables::write_heard(folder.path(), heard).map_err(Failure::ours)?;
    }
    let computed_at = results::now();
    let version = env!("CARGO_PKG_VERSION");
    let provenance =
        Provenance { version, case_name: &name, case_text: &case.source, computed_at: &computed_at };
    store::write_blend(&folder.path().join(STORE), findings, &case.scene, &provenance)
        .map_err(Failure::ours)?;
    impulses(folder, findings)?;
    folder.write_text("crossover.txt", &crossovers(case, findings))?;
    let input = BlendInput {
        case,
        findings,
        case_name: &name,
        version,
        computed_at: &results::as_written(&computed_at),
        seconds,
        heard,
        cautions: &CAUTIONS,
    };
    report::blend::write(folder.path(), &input).map(drop).map_err(Failure::ours)
}

/// True for a rendered recording of an earlier run.
fn forgotten(name: &str, heard: &[Heard]) -> bool {
    name.starts_with("heard-") && name.ends_with(".wav") && heard.iter().all(|own| own.file != name)
}

/// What every seat hears of a click, scaled to its largest sample.
fn impulses(folder: &ResultsFolder, findings: &BlendFindings) -> Result<(), Failure> {
    let mut names = FileNames::default();
    for blended in &findings.surrounds {
        for seat in &blended.seats {
            let InTime::Heard { sample_rate, impulse, .. } = &seat.in_time else { continue };
            let stem = format!("impulse-{}-at-{}", file_name(&blended.surround), file_name(&seat.seat));
            let bytes = wav::scaled(impulse, *sample_rate as u32).map_err(Failure::ours)?;
            folder.write_bytes(&names.free(&stem, "wav"), &bytes)?;
        }
    }
    Ok(())
}

/// The advised crossover of every surround: lines for the case file, and biquads for a signal processor.
fn crossovers(case: &BlendCase, findings: &BlendFindings) -> String {
    let mut text = String::from(
        "Advised crossovers. Lines for the case file first: put them into the channels in place of their filters, gains and delays.\n",
    );
    for blended in &findings.surrounds {
        let Some(advice) = &blended.advice else { continue };
        let crossover = &advice.crossover.crossover;
        let [low, high] = crossover.filters();
        let of = |filters| Chain::new(filters).biquads(tables::USUAL_RATE);
        text += &format!("\n== with \"{}\" ==\n\n{}\n", blended.surround, case_lines(case, crossover));
        text += &tables::biquads(&[("panel", of(&low)), (&findings.driver, of(&high))]);
    }
    text
}

/// Channels of a case file with a crossover.
pub(crate) fn case_lines(case: &BlendCase, crossover: &Crossover) -> String {
    let panel = case.scene.panel.channels.first();
    let driver = case.scene.drivers.first().map(|fed| &fed.channel);
    let rounded = Crossover { corner: crossover.corner.round(), ..*crossover };
    let [low, high] = rounded.filters();
    let pass = |key: &str, filter| {
        let written: Option<String> = Option::as_ref(filter).map(filter_words::pass);
        written.map_or_else(String::new, |words| format!("{key} = \"{words}\"\n"))
    };
    let delay = |seconds: f64| match seconds > 5e-7 {
        true => format!("delay = \"{:.3} ms\"\n", 1e3 * seconds),
        false => String::new(),
    };
    let [early, late] = rounded.delays();
    let name = |channel: Option<&panelwright_solver::scene::Channel>, usual: &str| {
        channel.map_or_else(|| usual.to_owned(), |channel| channel.name.clone())
    };
    let polarity = if rounded.reversed { "polarity = \"reversed\"\n" } else { "" };
    format!(
        "[[channel]]\nname = \"{}\"\n{}{}\n[[channel]]\nname = \"{}\"\ngain = \"{:.2} dB\"\n{}{polarity}{}",
        name(panel, "panel"),
        delay(early),
        pass("low_pass", &low.low_pass),
        name(driver, "driver"),
        rounded.gain_db,
        delay(late),
        pass("high_pass", &high.high_pass),
    )
}
