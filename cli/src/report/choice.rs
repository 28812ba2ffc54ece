//! Controls with which a reader picks what a figure shows, and the marking of what belongs to which choice.
//!
//! The page is complete without script: what belongs to the first choice is visible, the rest carries the class `off`.
//! The script only moves that class.

use maud::{Markup, html};

/// A group of options.
pub struct Choice {
    /// Stable name; controls of the same group anywhere on the page follow each other.
    group: &'static str,
    legend: &'static str,
    labels: Vec<String>,
    chosen: Vec<usize>,
    many: bool,
    /// Options that deserve a dot, and what the dot means.
    dotted: Option<(Vec<bool>, &'static str)>,
    /// Class of the option's swatch, where options are coloured.
    swatches: Vec<String>,
}

/// When something is visible. The default is always.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct When {
    conditions: Vec<String>,
    hidden: bool,
}

impl Choice {
    /// One of several.
    pub fn one(group: &'static str, legend: &'static str, labels: Vec<String>, chosen: usize) -> Self {
        let (dotted, swatches) = (None, Vec::new());
        Self { group, legend, labels, chosen: vec![chosen], many: false, dotted, swatches }
    }

    /// Any of several.
    pub fn many(group: &'static str, legend: &'static str, labels: Vec<String>, chosen: Vec<usize>) -> Self {
        Self { chosen, many: true, ..Self::one(group, legend, labels, 0) }
    }

    /// Marks some options with a dot.
    pub fn dotted(self, dots: Vec<bool>, meaning: &'static str) -> Self {
        Self { dotted: Some((dots, meaning)), ..self }
    }

    /// Gives every option a coloured swatch (`#rrggbb`).
    pub fn coloured(self, swatches: Vec<String>) -> Self {
        Self { swatches, ..self }
    }

    /// The first option that is shown at the start.
    pub fn first(&self) -> usize {
        self.chosen.first().copied().unwrap_or(0)
    }

    /// Condition of what belongs to option `index`.
    pub fn when(&self, index: usize) -> When {
        self.when_any(&[index])
    }

    /// Condition of what belongs to any of these options.
    pub fn when_any(&self, indices: &[usize]) -> When {
        let values: Vec<String> = indices.iter().map(usize::to_string).collect();
        let hidden = !indices.iter().any(|i| self.chosen.contains(i));
        When { conditions: vec![format!("{}:{}", self.group, values.join("|"))], hidden }
    }

    /// The controls. `place` tells apart several sets of the same group. A single option needs no control.
    pub fn controls(&self, place: &str) -> Markup {
        if self.labels.len() < 2 {
            return html! {};
        }
        html! {
            fieldset.choice {
                legend { (self.legend) }
                @for (index, label) in self.labels.iter().enumerate() { (self.control(index, label, place)) }
                @if let Some((_, meaning)) = &self.dotted { span.hint { span.dot {} " " (meaning) } }
            }
        }
    }

    fn control(&self, index: usize, label: &str, place: &str) -> Markup {
        let dot = self.dotted.as_ref().is_some_and(|(dots, _)| dots.get(index).copied().unwrap_or(false));
        html! {
            label.pill {
                input type=(if self.many { "checkbox" } else { "radio" }) name={ (self.group) "-" (place) }
                    value=(index) data-group=(self.group) checked[self.chosen.contains(&index)] autocomplete="off";
                span {
                    @if let Some(colour) = self.swatches.get(index) { i.swatch style={ "background:" (colour) } {} }
                    (label)
                    @if dot { span.dot {} }
                }
            }
        }
    }
}

impl When {
    /// Both conditions at once.
    pub fn and(mut self, other: When) -> When {
        self.conditions.extend(other.conditions);
        self.hidden |= other.hidden;
        self
    }

    /// Value of the attribute `data-when`, `None` for what is always visible.
    pub fn attribute(&self) -> Option<String> {
        (!self.conditions.is_empty()).then(|| self.conditions.join(";"))
    }

    /// `off` for what is hidden at the start, else nothing.
    pub fn class(&self) -> &'static str {
        if self.hidden { "off" } else { "" }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_chosen_option_is_visible_at_the_start() {
        let choice = Choice::one("seat", "Seat", vec!["a".into(), "b".into()], 1);
        assert_eq!((choice.when(0).class(), choice.when(1).class()), ("off", ""));
        assert_eq!(choice.when_any(&[0, 1]).attribute().as_deref(), Some("seat:0|1"));
        assert_eq!(When::default().attribute(), None);
    }

    #[test]
    fn joined_conditions_must_all_hold() {
        let seat = Choice::one("seat", "", vec!["a".into(), "b".into()], 0);
        let smooth = Choice::one("smoothing", "", vec!["none".into(), "1/3".into()], 1);
        let both = seat.when(0).and(smooth.when(0));
        assert_eq!((both.class(), both.attribute().as_deref()), ("off", Some("seat:0;smoothing:0")));
    }
}
