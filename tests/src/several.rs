//! A panel and two drivers.

const CASE: &str = include_str!("../data/small-blend.toml");

/// The small case with a second, smaller driver beside the first.
pub fn three_way() -> String {
    let at = |table: &str| CASE.find(table).expect("the table is there");
    let (start, end) = (at("[driver]"), at("[[surround]]"));
    let driver = &CASE[start..end];
    let second = driver
        .replace("\"tweeter\"", "\"super\"")
        .replace("channel = \"treble\"", "channel = \"top\"")
        .replace("[\"50 %\", \"260 mm\"]", "[\"75 %\", \"260 mm\"]");
    let surrounds = "[[surround]]\nname = \"bare\"\nshape = \"bare\"\ndriver = \"tweeter\"\n\n\
        [[surround]]\nname = \"bare\"\nshape = \"bare\"\ndriver = \"super\"\n\n\
        [[surround]]\nname = \"baffle\"\nshape = \"baffle\"\ndriver = \"super\"\nwidth = \"80 mm\"\nheight = \"80 mm\"\nthickness = \"3 mm\"\n\n";
    let rest = &CASE[at("[[seat]]")..];
    let channels = CASE[..start]
        .replace(
            "high_pass = \"Linkwitz-Riley 4 at 1 kHz\"",
            "high_pass = \"Linkwitz-Riley 4 at 700 Hz\"\nlow_pass = \"Linkwitz-Riley 4 at 1.6 kHz\"",
        )
        .replace("low_pass = \"Linkwitz-Riley 4 at 1 kHz\"", "low_pass = \"Linkwitz-Riley 4 at 700 Hz\"")
        .replace("name = \"one\"", "name = \"one\"\nchannel = \"bass\"");
    let top = "[[channel]]\nname = \"top\"\nhigh_pass = \"Linkwitz-Riley 4 at 1.6 kHz\"\n\n";
    format!(
        "{channels}{top}{}{}{surrounds}{rest}",
        driver.replace("[driver]", "[[driver]]"),
        second.replace("[driver]", "[[driver]]")
    )
}
