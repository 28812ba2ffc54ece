//! The numbers of the variants for the page's script, which shows the one that is pointed at in every picture.

use super::{StudyInput, axis};
use crate::study::Aspect;
use serde_json::{Value, json};

/// Variants whose numbers are on the page.
const MOST: usize = 5000;
/// The first so many are among them in any case.
const FIRST: usize = 1000;

/// Aspects with their scales, and the numbers of the variants that can be pointed at, best first.
pub fn of(input: &StudyInput) -> Value {
    let (findings, best_first) = (input.findings, &input.findings.ranking.best_first);
    let shown = shown(best_first.len(), |place| best_first[place].on_the_front);
    let numbers: Vec<usize> = shown.iter().map(|&place| best_first[place].number).collect();
    let aspects: Vec<Value> = findings.aspects.iter().map(|aspect| of_aspect(aspect, &shown)).collect();
    json!({ "variants": { "of": best_first.len(), "place": shown, "number": numbers, "aspects": aspects } })
}

fn of_aspect(aspect: &Aspect, shown: &[usize]) -> Value {
    let scale = axis(aspect).scale;
    let values: Vec<Value> = shown.iter().map(|&place| short(aspect.values[place])).collect();
    json!({
        "name": aspect.name, "unit": aspect.unit, "words": aspect.words, "log": scale.logarithmic, "low": scale.low, "high": scale.high,
        "flip": aspect.less_is_better(), "v": values,
    })
}

/// Five digits: more than a picture or a reader can use.
fn short(value: f64) -> Value {
    let rounded: f64 = format!("{value:.4e}").parse().unwrap_or(f64::NAN);
    if rounded.is_finite() { json!(rounded) } else { Value::Null }
}

/// Places in the ranking: all if they are few; else the first, the front, and of the others every so many.
fn shown(count: usize, on_the_front: impl Fn(usize) -> bool) -> Vec<usize> {
    let every = count.div_ceil(MOST - FIRST).max(1);
    (0..count).filter(|&place| place < FIRST || on_the_front(place) || place % every == 0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_are_all_there_and_of_many_the_best_the_front_and_every_so_many() {
        assert_eq!(shown(24, |_| false), (0..24).collect::<Vec<_>>());
        let many = shown(100_000, |place| place == 77_777);
        assert!(many.len() < MOST && many[..1000] == (0..1000).collect::<Vec<_>>()[..]);
        assert!(many.contains(&77_777) && many.contains(&50_000) && !many.contains(&77_778));
    }

    #[test]
    fn numbers_are_short_and_none_is_null() {
        assert_eq!((short(0.123456789), short(f64::NAN)), (json!(0.12346), Value::Null));
    }
}
