//! Which varied values each objective depends on.

use super::StudyInput;
use crate::report::chart::colour;
use crate::report::figure;
use crate::report::format;
use crate::study::{Share, UNTOLD};
use maud::{Markup, html};

/// Cells darker than this have white figures.
const DARK: f64 = 0.68;
/// Standard error from which on shares are hardly more than a guess.
const GUESS: f64 = 0.2;

/// The section.
pub fn section(input: &StudyInput) -> Markup {
    let (study, findings) = (input.study, input.findings);
    if study.is_adaptive() {
        return figure::section("influence", "What matters", &[], &[], html! { p { (UNTOLD) } });
    }
    let rows = study.objectives.iter().zip(&findings.shares);
    let total = findings.shares.iter().flatten().flatten().any(|share| share.index.total.is_some());
    let errors = findings.shares.iter().flatten().flatten().filter_map(|share| share.error);
    let guessed = errors.fold(0.0, f64::max) > GUESS;
    let body = html! {
        @if guessed { (figure::note("Some shares are hardly more than a guess with so few variants: look at what stands behind ±.")) }
        div.wide { table.gains.shares {
            thead { tr { th { "%" } @for parameter in &study.parameters { th { (parameter.name) } } } }
            tbody { @for (judged, shares) in rows { tr {
                th scope="row" { (judged.name) }
                @match shares {
                    Some(shares) => { @for share in shares { (cell(share)) } }
                    None => { td colspan=(study.parameters.len()) { "nothing differs" } }
                }
            } } }
        } }
        p.definition { (method(total)) }
    };
    figure::section("influence", "What matters", &[], &[], body)
}

/// Shares between 0 and 1: an estimate may lie a little beyond.
fn cell(share: &Share) -> Markup {
    let percent = |share: f64| format::fixed(100.0 * share, 0);
    let alone = share.index.alone.clamp(0.0, 1.0);
    let colour = colour::diverging(0.5 - 0.5 * alone);
    html! {
        td.dark[colour.lightness < DARK] style={ "background:" (colour.hex()) } {
            (percent(alone))
            @if let Some(error) = share.error { small { " ± " (percent(error)) } }
            @if let Some(total) = share.index.total { br; small { "with others " (percent(total.clamp(0.0, 1.0))) } }
        }
    }
}

fn method(total: bool) -> &'static str {
    if total {
        "Share of the variance that a value explains by itself (first index, A. Saltelli et al., Comput. Phys. Commun. 181 (2010) 259) and with the others (total index, M. J. W. Jansen, Comput. Phys. Commun. 117 (1999) 35). \
         ±: standard error by leaving out a tenth of the variants in turn."
    } else {
        "Share of the variance that a value explains by itself: correlation ratio, the variance of the means over equal parts of its range, less what chance makes of it. What is missing to 100 % comes of several values \
         together, or of chance. ±: standard error by leaving out a tenth of the variants in turn."
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::Sensitivity;

    #[test]
    fn shares_are_darker_the_larger_they_are_and_never_beyond_everything() {
        let shown =
            |alone, total, error| cell(&Share { index: Sensitivity { alone, total }, error }).into_string();
        assert!(
            shown(0.97, None, Some(0.04)).contains("dark") && shown(0.97, None, Some(0.04)).contains("± 4")
        );
        assert!(!shown(0.1, None, None).contains("dark") && !shown(0.1, None, None).contains("±"));
        assert!(shown(1.2, Some(1.3), None).contains(">100<") && shown(-0.1, None, None).contains(">0<"));
    }
}
