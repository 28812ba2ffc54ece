//! Short sides become points.

use super::Target;
use super::features::Kind;
use super::original::{Original, is_gentle};
use super::split::wanted;
use super::work::{Work, exchanged};
use crate::edge;

/// Sides shorter than this many wanted lengths are collapsed.
const SHORT: f64 = 0.8;
/// A collapse must not make a side longer than this many wanted lengths, or it would be split again.
const LONG: f64 = 4.0 / 3.0;

/// Collapses sides that are too short, the shortest first, one of their ends into the other.
pub fn short_sides(work: &mut Work, original: &Original, target: &Target) {
    let mut short: Vec<_> = (work.edges().into_iter())
        .filter(|&(length, edge)| length < SHORT * wanted(work, original, target, edge))
        .collect();
    short.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    for (_, [a, b]) in short {
        if work.beside([a, b]).is_empty()
            || work.length([a, b]) >= SHORT * wanted(work, original, target, [a, b])
        {
            continue;
        }
        for (gone, kept) in [(a, b), (b, a)] {
            if may_go(work, gone, kept)
                && stays_a_surface(work, gone, kept)
                && fits(work, original, target, gone, kept)
            {
                collapse(work, gone, kept);
                break;
            }
        }
    }
}

/// Free points may go anywhere, those of lines along their line, corners nowhere.
fn may_go(work: &Work, gone: u32, kept: u32) -> bool {
    match work.kinds[gone as usize] {
        Kind::Free(_) => true,
        Kind::Line(line) => work.lines.get(&edge(gone, kept)) == Some(&line),
        Kind::Corner => false,
    }
}

/// The link condition: the only common neighbours are the corners opposite the side; and more than a lens is left.
fn stays_a_surface(work: &Work, gone: u32, kept: u32) -> bool {
    let (of_gone, of_kept) = (work.neighbours(gone), work.neighbours(kept));
    let common: Vec<_> =
        of_gone.iter().filter(|point| of_kept.binary_search(point).is_ok()).copied().collect();
    let beside = work.beside([gone, kept]);
    let opposite = |point: &u32| beside.iter().any(|(_, corners)| corners.contains(point));
    // A corner opposite with three neighbours would be left with two.
    let enough = |point: &u32| work.around[*point as usize].len() > 3 || beside.len() == 1;
    common.len() == beside.len()
        && common.iter().all(|point| opposite(point) && enough(point))
        && of_kept.len() > 3
}

fn fits(work: &Work, original: &Original, target: &Target, gone: u32, kept: u32) -> bool {
    let line = match work.kinds[gone as usize] {
        Kind::Line(line) => Some(line),
        _ => None,
    };
    let line_fits = |point: u32| {
        let on = line.filter(|line| work.lines.get(&edge(gone, point)) == Some(line));
        on.is_none_or(|line| original.line_fits(line, [work.at(point), work.at(kept)]))
    };
    let mut others = work.neighbours(gone).into_iter().filter(|&point| point != kept);
    let not_long = |point: u32| {
        let length = work.length([point, kept]);
        length <= work.length([point, gone])
            || length <= LONG * wanted(work, original, target, edge(point, gone))
    };
    let changed: Vec<_> = (work.fan(gone).filter(|(_, corners)| !corners.contains(&kept)))
        .map(|(triangle, corners)| {
            (triangle, work.places(corners), work.places(exchanged(corners, gone, kept)))
        })
        .collect();
    // What costs little is asked first.
    others.all(|point| line_fits(point) && not_long(point))
        && changed.iter().all(|(_, before, after)| is_gentle(*before, *after))
        && changed
            .iter()
            .all(|(triangle, before, after)| original.fits(work.regions[*triangle as usize], *before, *after))
}

fn collapse(work: &mut Work, gone: u32, kept: u32) {
    let lines: Vec<_> = (work.neighbours(gone).into_iter())
        .filter_map(|point| Some((point, work.lines.remove(&edge(gone, point))?)))
        .collect();
    work.lines.extend(
        lines.into_iter().filter(|(point, _)| *point != kept).map(|(point, line)| (edge(kept, point), line)),
    );
    for (triangle, corners) in work.fan(gone).collect::<Vec<_>>() {
        if corners.contains(&kept) {
            work.remove(triangle);
        } else {
            work.replace(triangle, exchanged(corners, gone, kept));
        }
    }
}
