//! The exciters that are placed.

use super::{PlaceError, PlaceOptions};
use crate::scene::{Channel, Exciter, Scene};
use crate::search::exciters::{Allowed, SearchError};

/// The exciters of one channel.
pub(super) struct Group<'a> {
    pub channel: &'a Channel,
    /// At least one, in the channel's order.
    pub exciters: Vec<&'a Exciter>,
}

impl<'a> Group<'a> {
    /// The exciters that `options` ask for.
    ///
    /// # Errors
    /// When there is none, or when two of them push against each other.
    pub fn of(scene: &'a Scene, options: &PlaceOptions) -> Result<Self, PlaceError> {
        let most = scene.channels.iter().map(|channel| channel.exciters.len()).max().unwrap_or(0);
        let chosen = match options.channel {
            Some(index) => scene.channels.get(index),
            None => scene.channels.iter().find(|channel| channel.exciters.len() == most),
        };
        let channel = chosen.filter(|channel| !channel.exciters.is_empty()).ok_or(SearchError::NoExciter)?;
        let exciters: Vec<&Exciter> = channel.exciters.iter().map(|&index| &scene.exciters[index]).collect();
        match exciters.iter().find(|exciter| exciter.reversed != exciters[0].reversed) {
            Some(turned) => {
                Err(PlaceError::Opposed { first: exciters[0].name.clone(), second: turned.name.clone() })
            }
            None => Ok(Self { channel, exciters }),
        }
    }

    pub fn len(&self) -> usize {
        self.exciters.len()
    }

    /// The exciter whose data all are taken to have.
    pub fn model(&self) -> &'a Exciter {
        self.exciters[0]
    }

    /// Where they are now [m].
    pub fn positions(&self) -> Vec<[f64; 2]> {
        self.exciters.iter().map(|exciter| exciter.position).collect()
    }

    /// What is allowed, the feet of all other exciters left out.
    pub fn allowed(&self, scene: &Scene, allowed: &Allowed) -> Allowed {
        let others = (scene.exciters.iter().enumerate())
            .filter(|(index, _)| !self.channel.exciters.contains(index))
            .map(|(_, exciter)| (exciter.position, exciter.foot_diameter));
        Allowed { taken: allowed.taken.iter().copied().chain(others).collect(), ..allowed.clone() }
    }

    /// The first exciter with other data than the model's.
    pub fn stranger(&self) -> Option<&'a Exciter> {
        let model = self.model();
        let alike = |exciter: &Exciter| {
            let same = Exciter {
                name: exciter.name.clone(),
                position: exciter.position,
                rated_power: exciter.rated_power,
                rated_excursion: exciter.rated_excursion,
                ..model.clone()
            };
            *exciter == same
        };
        self.exciters.iter().copied().find(|exciter| !alike(exciter))
    }

    /// `scene` with its exciters at `positions`.
    pub fn moved(&self, scene: &Scene, positions: &[[f64; 2]]) -> Scene {
        let mut moved = scene.clone();
        for (&index, &position) in self.channel.exciters.iter().zip(positions) {
            moved.exciters[index].position = position;
        }
        moved
    }

    /// `positions` in the order in which the exciters move least.
    pub fn assigned(&self, positions: &[[f64; 2]]) -> Vec<[f64; 2]> {
        let now = self.positions();
        let travel = |order: &Vec<usize>| -> f64 {
            let apart = |(from, &to): (&[f64; 2], &usize)| {
                (positions[to][0] - from[0]).hypot(positions[to][1] - from[1])
            };
            now.iter().zip(order).map(apart).sum()
        };
        let least = orders(positions.len()).into_iter().min_by(|a, b| travel(a).total_cmp(&travel(b)));
        least.unwrap_or_default().into_iter().map(|place| positions[place]).collect()
    }
}

/// All orders of `count` things; of more than six only the given one.
fn orders(count: usize) -> Vec<Vec<usize>> {
    const MOST: usize = 6;
    if count > MOST {
        return vec![(0..count).collect()];
    }
    (0..count).fold(vec![vec![]], |shorter: Vec<Vec<usize>>, next| {
        let with = |order: &Vec<usize>| {
            (0..=order.len()).map(|at| [&order[..at], &[next], &order[at..]].concat()).collect::<Vec<_>>()
        };
        shorter.iter().flat_map(with).collect()
    })
}
