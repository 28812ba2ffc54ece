//! A doubt about the air on the panel: an iteration that did not get to its end.

use crate::Warning;
use crate::words::{hertz, trimmed};

/// The doubt about those `frequencies` [Hz] whose iteration stopped short, at the relative residual given; `None` when all got there.
pub(super) fn air_unfinished(frequencies: &[f64], shortfalls: &[Option<f64>]) -> Option<Warning> {
    let short =
        || frequencies.iter().zip(shortfalls).filter_map(|(&f, short)| short.map(|residual| (f, residual)));
    let (first, last) = (short().next()?.0, short().next_back()?.0);
    let worst = short().map(|(_, residual)| residual).fold(0.0, f64::max);
    let (count, total) = (short().count(), frequencies.len());
    let place = if count == 1 {
        format!("At {}", hertz(first))
    } else {
        format!("At {count} of {total} frequencies from {} to {}", hertz(first), hertz(last))
    };
    let percent = trimmed(100.0 * worst, if worst < 1e-3 { 3 } else { 1 });
    Some(Warning::new(
        "radiation",
        format!(
            "{place} the air on the panel was not solved to the end: a residual of {percent} % is left, and levels there may be off by \
             more than that. Give the space behind more loss, or a wall less reflection, or more distance."
        ),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn says_where_and_by_how_much() {
        let frequencies = [100.0, 200.0, 2500.0, 4000.0];
        assert_eq!(air_unfinished(&frequencies, &[None; 4]), None);
        let one =
            air_unfinished(&frequencies, &[None, Some(4e-4), None, None]).expect("one is short").message;
        assert!(one.starts_with("At 200 Hz ") && one.contains("0.04 %"), "{one}");
        let two = air_unfinished(&frequencies, &[None, Some(4e-4), Some(0.031), None])
            .expect("two are short")
            .message;
        assert!(two.contains("2 of 4 frequencies from 200 Hz to 2.5 kHz") && two.contains("3.1 %"), "{two}");
    }
}
