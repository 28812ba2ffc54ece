//! What feeds the driver: a channel of its own, or a plain voltage.

use crate::case::build::{drive, filters, names};
use crate::case::problem::Problem;
use crate::case::section::Section;
use panelwright_solver::scene::Channel;

/// The channel of the driver; `None` if `problems` holds an error about it.
pub fn build(case: &Section, driver: &Section, problems: &mut Vec<Problem>) -> Option<Channel> {
    let Some(wanted) = driver.text("channel") else {
        let plain = || {
            let (voltage, resistance) = (driver.number("voltage")?, driver.number("source_resistance")?);
            Some(drive::plain("driver", voltage, resistance))
        };
        return if driver.mentions("channel") { None } else { plain() };
    };
    let said_twice = ["voltage", "source_resistance"].map(|key| stands_there(driver, key, wanted, problems));
    let sections = case.tables("channel")?;
    // With a panel the panel's channels are looked through, and duplicates told, elsewhere.
    let alone = !case.mentions("panel");
    let mut told_elsewhere = vec![];
    let names = names(sections, "channel", if alone { problems } else { &mut told_elsewhere });
    let words: Vec<_> = names.iter().map(String::as_str).collect();
    let Some(index) = words.iter().position(|name| *name == wanted) else {
        problems.push(drive::unknown(driver, wanted, &words));
        return None;
    };
    let fed = drive::fed(case);
    let idle =
        |(i, (_, name)): &(usize, (&Section, &String))| alone && *i != index && !fed.contains(&name.as_str());
    let others = sections.iter().zip(&names).enumerate().filter(idle);
    others.for_each(|(_, (section, name))| drive::drives_nothing(section, name, problems));
    let section = &sections[index];
    let single = no_wiring(section, wanted, problems);
    let filters = filters::build(section, problems);
    said_twice.into_iter().chain([single]).collect::<Option<Vec<_>>>()?;
    drive::channel(section, wanted, vec![], filters?)
}

/// A key of the driver that belongs to its channel.
fn stands_there(driver: &Section, key: &str, channel: &str, problems: &mut Vec<Problem>) -> Option<()> {
    if !driver.mentions(key) {
        return Some(());
    }
    let message = format!("the driver has a `channel` and a `{key}` of its own");
    let problem = Problem::error(driver.place(key), message).because("which one holds?");
    let help = format!("take this line out; `{key}` of channel \"{channel}\" holds");
    problems.push(problem.instead(help));
    None
}

/// Wiring says how exciters are joined, and a channel that feeds a driver has none.
fn no_wiring(section: &Section, channel: &str, problems: &mut Vec<Problem>) -> Option<()> {
    if !section.mentions("wiring") {
        return Some(());
    }
    let message = format!("`wiring` has no effect on channel \"{channel}\", which feeds a driver");
    let help = "take this line out; if the channel is meant for exciters, give the driver another one: a crossover needs two";
    problems.push(
        Problem::error(section.place("wiring"), message).because("a driver has one coil").instead(help),
    );
    None
}
