//! The frame of every page: head, masthead, contents, sections, data and script. Nothing outside the results folder is ever fetched.

use super::chart::colour;
use super::format;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use serde_json::Value;

const STYLE: &str = include_str!("style.css");
const SCRIPT: &str = include_str!("script.js");
/// Errors are kept in the document, where a test can find them.
const ERROR_COLLECTOR: &str = "document.documentElement.dataset.errors='';\
    addEventListener('error',e=>document.documentElement.dataset.errors+=e.message+';');\
    addEventListener('unhandledrejection',e=>document.documentElement.dataset.errors+=e.reason+';');";

/// What a page is made of.
pub struct Document<'a> {
    /// Title of the case.
    pub title: &'a str,
    /// A line above the title.
    pub kicker: &'a str,
    /// Name of the case.
    pub case_name: &'a str,
    /// Version of the program.
    pub version: &'a str,
    /// When it was computed, as people read it.
    pub computed_at: &'a str,
    /// How long it took [s].
    pub seconds: f64,
    /// Name and title of every section.
    pub contents: &'a [(&'a str, &'a str)],
    /// The sections.
    pub sections: Markup,
    /// The last words.
    pub footer: Markup,
    /// Maps for the script, by key.
    pub maps: Value,
}

impl Document<'_> {
    /// The page.
    pub fn render(&self) -> Markup {
        html! {
            (DOCTYPE)
            html lang="en" data-view="0" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="generator" content={ "panelwright " (self.version) };
                    title { (self.title) " – panelwright" }
                    script { (PreEscaped(ERROR_COLLECTOR)) }
                    style { (PreEscaped(STYLE)) (PreEscaped(line_styles())) }
                }
                body {
                    (self.masthead())
                    main { (self.sections) }
                    footer { "panelwright " (self.version) ". " (self.footer) }
                    (self.data())
                    script { (PreEscaped(SCRIPT)) }
                }
            }
        }
    }

    fn masthead(&self) -> Markup {
        html! {
            header {
                p.kicker { (self.kicker) }
                h1 { (self.title) }
                p.byline { "Case " em { (self.case_name) } ", computed " (self.computed_at) " in " (format::quantity(self.seconds, "s")) "." }
                nav aria-label="Contents" {
                    @for (id, title) in self.contents { a href={ "#" (id) } { (title) } }
                }
            }
        }
    }

    fn data(&self) -> Markup {
        let json = serde_json::json!({ "maps": self.maps }).to_string();
        // `<` never occurs in numbers and keys; escaped all the same so that no text can ever end the element.
        html! { script #data type="application/json" { (PreEscaped(json.replace('<', "\\u003c"))) } }
    }
}

/// Colour and dash pattern of every line.
fn line_styles() -> String {
    let line = |index: usize| {
        let (hex, dash) = (colour::categorical(index).hex(), colour::DASHES[index]);
        format!(
            ".s{index}{{stroke:{hex};stroke-dasharray:{dash}}}.area.s{index}{{fill:{hex}}}.ink{index}{{fill:{hex}}}"
        )
    };
    (0..colour::categories()).map(line).collect()
}
