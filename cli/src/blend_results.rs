//! The results folder of a blend: report, tables, HDF5 file, impulse responses, the advised crossover, findings as JSON, and a copy of the case.

use crate::case::{BlendCase, PANEL, filter_words};
use crate::cautions::CAUTIONS;
use crate::failure::Failure;
use crate::file_name::{FileNames, file_name};
use crate::rendering::Heard;
use crate::report::{self, blend::BlendInput};
use crate::results::{self, ResultsFolder};
use crate::store::{self, Provenance};
use crate::{tables, wav};
use panelwright_solver::blend::{BlendAdvice, BlendFindings};
use panelwright_solver::filters::Chain;
use panelwright_solver::listening::InTime;
use panelwright_solver::scene::{Channel, Filters, PassFilter};
use panelwright_solver::search::Feed;

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

/// The advised crossovers with every surround: lines for the case file, and biquads for a signal processor, the equaliser's among them.
fn crossovers(case: &BlendCase, findings: &BlendFindings) -> String {
    let mut text = String::from(
        "Advised crossovers. Lines for the case file first: they belong into the tables of these channels, in place of filters, gain, delay and polarity; keep what else stands there, such as voltage and wiring.\n",
    );
    for blended in &findings.surrounds {
        text += &format!("\n== with \"{}\" ==\n\n", blended.surround);
        text += &match &blended.advice {
            Some(advice) => format!("{}\n{}", case_lines(case, advice), biquads(findings, advice)),
            None => format!("{}.\n", blended.unadvised.as_deref().unwrap_or("nothing to advise")),
        };
    }
    text
}

/// The sections of every part's channel, and of an equaliser before all of them.
fn biquads(findings: &BlendFindings, advice: &BlendAdvice) -> String {
    let of = |filters: &Filters| Chain::new(filters).biquads(tables::USUAL_RATE);
    let feeds = advice.feeds();
    let mut channels: Vec<(&str, _)> =
        findings.parts.iter().zip(&feeds).map(|(part, feed)| (part.as_str(), of(&feed.filters))).collect();
    let equaliser = Filters { equaliser: advice.equaliser.bands.clone(), ..Filters::default() };
    if !equaliser.equaliser.is_empty() {
        channels.push(("equaliser before all channels, which may be left out", of(&equaliser)));
    }
    tables::biquads(&channels)
}

/// Channels of a case file with advised crossovers: those of the case, and new ones for parts that have none of their own.
pub(crate) fn case_lines(case: &BlendCase, advice: &BlendAdvice) -> String {
    let scene = &case.scene;
    let file: toml::Table = toml::from_str(&case.source).unwrap_or_default();
    let (there, fed) = (words(&file, "channel", "name"), words(&file, "driver", "channel"));
    let of_panel = |name: &String| there.contains(&Some(name.clone())) && !fed.contains(&Some(name.clone()));
    let channel = scene.panel.channels.first();
    let panel = (PANEL, channel, channel.is_some_and(|channel| of_panel(&channel.name)));
    let drivers = scene.drivers.iter().enumerate().map(|(d, driver)| {
        let own = fed.get(d).is_some_and(Option::is_some);
        (&driver.scene.driver.name[..], Some(&driver.channel), own)
    });
    let taken: Vec<String> = there.iter().flatten().cloned().collect();
    let lines =
        std::iter::once(panel).chain(drivers).zip(advice.feeds()).map(|((part, channel, own), feed)| {
            match channel.filter(|_| !own) {
                None => channel_lines(channel.map_or(part, |channel| &channel.name), None, &feed),
                Some(channel) => {
                    let name = unlike(part, &taken);
                    channel_lines(&name, Some(supply(channel, part, &name)), &feed)
                }
            }
        });
    lines.collect::<Vec<_>>().join("\n")
}

/// What the tables `[table]` or `[[table]]` of a case file have behind a key, in order.
fn words(file: &toml::Table, table: &str, key: &str) -> Vec<Option<String>> {
    let word = |table: &toml::Value| Some(table.get(key)?.as_str()?.to_owned());
    match file.get(table) {
        Some(toml::Value::Array(tables)) => tables.iter().map(word).collect(),
        Some(table) => vec![word(table)],
        None => vec![],
    }
}

/// A name like this one that is none of those.
fn unlike(name: &str, others: &[String]) -> String {
    let again = |name: &String| Some(format!("{name} too"));
    let mut names = std::iter::successors(Some(name.to_owned()), again);
    names.find(|name| !others.contains(name)).unwrap_or_default()
}

/// What else the new channel of a part has to say, and how the part gets it. Exciters join the only channel that feeds no driver by themselves.
fn supply(channel: &Channel, part: &str, name: &str) -> [String; 2] {
    let joined = match part {
        PANEL => "A new channel: it drives the exciters.".to_owned(),
        driver => format!(
            "A new channel: write channel = {name:?} into [driver] {driver:?}, in place of its channel, voltage and source_resistance."
        ),
    };
    let Channel { voltage, source_resistance, .. } = channel;
    [
        format!("# {joined}\n"),
        format!("voltage = \"{voltage} V\"\nsource_resistance = \"{source_resistance} Ω\"\n"),
    ]
}

/// A channel of a case file; corners in whole hertz.
fn channel_lines(name: &str, new: Option<[String; 2]>, feed: &Feed) -> String {
    let pass = |key: &str, filter: Option<PassFilter>| {
        let rounded = filter.map(|filter| PassFilter { corner: filter.corner.round(), ..filter });
        rounded.map(|filter| format!("{key} = \"{}\"\n", filter_words::pass(&filter)))
    };
    let [remark, supply] = new.unwrap_or_default();
    let name = toml::Value::String(name.to_owned());
    let lines = [
        Some(format!("{remark}[[channel]]\nname = {name}\n{supply}")),
        (feed.gain_db != 0.0).then(|| format!("gain = \"{:.2} dB\"\n", feed.gain_db)),
        pass("high_pass", feed.filters.high_pass),
        pass("low_pass", feed.filters.low_pass),
        feed.reversed.then(|| "polarity = \"reversed\"\n".to_owned()),
        (feed.delay > 5e-7).then(|| format!("delay = \"{:.3} ms\"\n", 1e3 * feed.delay)),
    ];
    lines.into_iter().flatten().collect()
}
