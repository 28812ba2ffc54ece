//! `[[channel]]` → amplifier channels and the exciters on each; that of the driver is built with it.

use super::{filters, names};
use crate::case::problem::Problem;
use crate::case::quantity::RESISTANCE;
use crate::case::schema::quoted;
use crate::case::section::Section;
use crate::case::suggest;
use panelwright_solver::scene::{Channel, Exciter, Filters, Wiring};

/// Voltage of the channel that drives everything when the case names none: 1 W into 8 Ω.
const USUAL_VOLTAGE: f64 = 2.83;

/// DC resistance [Ω] under which a channel is remarked on. Amplifiers are sold for loads of 4 Ω and more, and a 4 Ω part
/// has 3.2 Ω of DC resistance or a little more (common practice, no source).
const LOW_RESISTANCE: f64 = 3.0;

/// All channels; `None` if one could not be read or an exciter cannot be put on one. `exciters` are the ones built, if all were.
pub fn channels(
    case: &Section,
    exciters: Option<&[Exciter]>,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Channel>> {
    let (sections, driven) = (case.tables("channel")?, case.tables("exciter")?);
    let names = names(sections, "channel", problems);
    let fed = fed(case);
    let own = |(_, name): &(&Section, &String)| !fed.contains(&name.as_str());
    let (sections, names): (Vec<_>, Vec<_>) =
        sections.iter().zip(&names).filter(own).map(|(section, name)| (section, name.clone())).unzip();
    let joined: Vec<_> = driven.iter().map(|e| channel_of(e, &names, &fed, problems)).collect();
    let joined: Option<Vec<_>> = joined.into_iter().collect();
    let Some(first) = driven.first().filter(|_| sections.is_empty()) else {
        return given(&sections, &names, joined.as_deref(), exciters, problems);
    };
    let channel = usual(joined?.len());
    low_resistance(&channel, exciters, first, problems);
    Some(vec![channel])
}

/// Names of the channels that drivers ask for.
pub fn fed(case: &Section) -> Vec<&str> {
    case.tables("driver").into_iter().flatten().filter_map(|driver| driver.text("channel")).collect()
}

/// The channels of the file; `joined` is the channel of each exciter.
fn given(
    sections: &[&Section],
    names: &[String],
    joined: Option<&[usize]>,
    exciters: Option<&[Exciter]>,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Channel>> {
    let mut channels = Vec::with_capacity(sections.len());
    for (i, section) in sections.iter().enumerate() {
        let on = joined.map(|joined| (0..joined.len()).filter(|e| joined[*e] == i).collect::<Vec<_>>());
        if on.as_ref().is_some_and(Vec::is_empty) {
            drives_nothing(section, &names[i], problems);
        }
        let filters = filters::build(section, problems);
        let channel = on.zip(filters).and_then(|(on, filters)| channel(section, &names[i], on, filters));
        if let Some(channel) = &channel {
            low_resistance(channel, exciters, section, problems);
        }
        channels.push(channel);
    }
    channels.into_iter().collect()
}

/// All exciters in parallel on one amplifier.
fn usual(exciters: usize) -> Channel {
    Channel { exciters: (0..exciters).collect(), ..plain("amplifier", USUAL_VOLTAGE, 0.0) }
}

/// A channel without gain, delay and filters, of this voltage [V] and source resistance [Ω].
pub fn plain(name: &str, voltage: f64, source_resistance: f64) -> Channel {
    Channel {
        name: name.into(),
        voltage,
        gain: 1.0,
        delay: 0.0,
        filters: Filters::default(),
        source_resistance,
        wiring: Wiring::Parallel,
        exciters: vec![],
    }
}

/// The channel of a section, with what it drives and its filters.
pub fn channel(section: &Section, name: &str, exciters: Vec<usize>, filters: Filters) -> Option<Channel> {
    let sign = if section.text("polarity")? == "reversed" { -1.0 } else { 1.0 };
    Some(Channel {
        name: name.to_owned(),
        voltage: section.number("voltage")?,
        gain: sign * 10f64.powf(section.number("gain")? / 20.0),
        delay: section.number("delay")?,
        filters,
        source_resistance: section.number("source_resistance")?,
        wiring: if section.text("wiring")? == "series" { Wiring::Series } else { Wiring::Parallel },
        exciters,
    })
}

/// Index of the channel that drives an exciter.
fn channel_of(
    exciter: &Section,
    names: &[String],
    fed: &[&str],
    problems: &mut Vec<Problem>,
) -> Option<usize> {
    let words: Vec<_> = names.iter().map(String::as_str).collect();
    let Some(wanted) = exciter.text("channel") else {
        if exciter.mentions("channel") {
            return None;
        }
        let differ = names.iter().any(|name| *name != names[0]);
        if names.len() > 1 && !differ {
            return None; // two channels of one name are told by themselves
        }
        if differ {
            let problem = Problem::error(exciter.span.clone(), "which channel drives this exciter?")
                .because("names none");
            let help = format!(
                "add a line: channel = {}; one that feeds a driver is named in its [driver]",
                quoted(&words)
            );
            problems.push(Problem { missing: true, ..problem.instead(help) });
            return None;
        }
        return Some(0);
    };
    if fed.contains(&wanted) {
        let message = format!("channel \"{wanted}\" feeds a driver, so it cannot drive an exciter, too");
        let help = "give exciters and driver a channel each: a crossover needs two";
        let problem = Problem::error(exciter.place("channel"), message);
        problems.push(problem.because("belongs to a driver").instead(help));
        return None;
    }
    let found = names.iter().position(|name| name == wanted);
    if found.is_none() {
        problems.push(unknown(exciter, wanted, &words));
    }
    found
}

/// The problem of a part whose `channel` is none of `names`.
pub fn unknown(part: &Section, wanted: &str, names: &[&str]) -> Problem {
    let problem = Problem::error(part.place("channel"), format!("no channel is called \"{wanted}\""));
    let help = match (suggest::nearest(wanted, names.iter().copied()), names.is_empty()) {
        (Some(near), _) => format!("did you mean \"{near}\"?"),
        (None, true) => {
            format!("add a table [[channel]] with name = \"{wanted}\", or leave this line out")
        }
        (None, false) => format!("the case has {}", quoted(names)),
    };
    problem.because("unknown channel").instead(help)
}

/// The problem of a channel that nothing is joined to.
pub fn drives_nothing(section: &Section, name: &str, problems: &mut Vec<Problem>) {
    let problem = Problem::error(section.place("name"), format!("channel \"{name}\" drives no exciter"));
    let help = format!("add channel = \"{name}\" to an exciter, or take this channel out");
    problems.push(problem.because("nothing is joined to it").instead(help));
}

fn low_resistance(
    channel: &Channel,
    exciters: Option<&[Exciter]>,
    section: &Section,
    problems: &mut Vec<Problem>,
) {
    let Some(exciters) = exciters.filter(|_| !channel.exciters.is_empty()) else { return };
    let coils = channel.exciters.iter().map(|e| exciters[*e].coil_resistance);
    let resistance: f64 = match channel.wiring {
        Wiring::Series => coils.sum(),
        Wiring::Parallel => 1.0 / coils.map(|r| 1.0 / r).sum::<f64>(),
    };
    if resistance < LOW_RESISTANCE {
        let count = channel.exciters.len();
        let message =
            format!("channel \"{}\" sees a DC resistance of only {:.1} Ω", channel.name, resistance);
        let label = if count > 1 { format!("{count} exciters together") } else { "its one exciter".into() };
        let help = format!(
            "many amplifiers want {} or more of nominal load: ask the amplifier's data sheet, or wire exciters in series",
            RESISTANCE.show(4.0, "Ω")
        );
        problems.push(Problem::warning(section.span.clone(), message).because(label).instead(help));
    }
}
