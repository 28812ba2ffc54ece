//! How far a varied value may be off when it is built.

use super::parameter::{Parameter, split};
use crate::case::Problem;
use crate::case::section::Section;
use crate::case::varied::SlotKind;

/// The tolerance of `parameter` in the unit of its numbers, `Some(None)` without one, `None` with its problem told.
pub(super) fn of(
    section: &Section,
    parameter: &Parameter,
    problems: &mut Vec<Problem>,
) -> Option<Option<f64>> {
    let Some(plain) = section.plain("tolerance") else {
        return (!section.mentions("tolerance")).then_some(None);
    };
    let refused = |message: String, label: &str, help: String| {
        Problem::error(plain.span.clone(), message).because(label).instead(help)
    };
    let path = &parameter.slot.path;
    if !can_be_off(parameter) {
        let message = format!("`{path}` has no tolerance: it is not a measure");
        problems.push(refused(message, "only numbers can be a little off", "take this line out".into()));
        return None;
    }
    let ((amount, unit), own) = (split(&plain.text), parameter.unit());
    if unit.trim() != own || !amount.is_finite() {
        let help = match own.as_str() {
            "" => "write a bare number".into(),
            own => format!("write it in the unit of its values: {own}"),
        };
        let message = format!("the tolerance of `{path}` cannot be \"{}\"", plain.text);
        problems.push(refused(message, "not in the unit of its values", help));
        return None;
    }
    if amount <= 0.0 {
        let message = format!("the tolerance of `{path}` cannot be \"{}\"", plain.text);
        let help = "write how far it may be off, up or down, a number above zero; or take this line out";
        problems.push(refused(message, "not above zero", help.into()));
        return None;
    }
    Some(Some(amount))
}

/// True for numbers that workmanship can miss: not for words, and not for counts.
fn can_be_off(parameter: &Parameter) -> bool {
    let measure =
        matches!(parameter.slot.kind, SlotKind::Quantity(..) | SlotKind::Coordinate | SlotKind::Number(_));
    measure && parameter.words().is_empty()
}
