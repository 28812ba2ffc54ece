//! Who meets at every side.

use super::{Edge, Surface, edge};

/// One triangle at a side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Side {
    /// The two points, the smaller one first.
    pub edge: Edge,
    /// The triangle.
    pub triangle: u32,
    /// Which of its sides.
    pub side: u8,
    /// True if the triangle runs from the smaller to the larger point.
    pub forward: bool,
}

/// All sides, sorted: those of one edge stand together. Triangles that name a point twice have no sides.
pub(super) fn sides(surface: &Surface) -> Vec<Side> {
    let mut sides = Vec::with_capacity(3 * surface.triangles.len());
    for (triangle, corners) in surface.triangles.iter().enumerate() {
        if corners[0] == corners[1] || corners[1] == corners[2] || corners[2] == corners[0] {
            continue;
        }
        for side in 0..3 {
            let (a, b) = (corners[side], corners[(side + 1) % 3]);
            sides.push(Side {
                edge: edge(a, b),
                triangle: triangle as u32,
                side: side as u8,
                forward: a < b,
            });
        }
    }
    sides.sort_unstable();
    sides
}

/// Runs of [`sides`] with the same edge.
pub(super) fn by_edge(sides: &[Side]) -> impl Iterator<Item = &[Side]> {
    sides.chunk_by(|a, b| a.edge == b.edge)
}

/// For each triangle the triangle across each of its sides, where exactly two meet.
pub(super) fn neighbours(surface: &Surface) -> Vec<[Option<u32>; 3]> {
    let mut across = vec![[None; 3]; surface.triangles.len()];
    for run in by_edge(&sides(surface)) {
        if let [a, b] = run {
            across[a.triangle as usize][a.side as usize] = Some(b.triangle);
            across[b.triangle as usize][b.side as usize] = Some(a.triangle);
        }
    }
    across
}

/// Sets that are joined step by step; the smallest member names a set.
pub(super) struct Sets(Vec<u32>);

impl Sets {
    pub fn singles(count: usize) -> Self {
        Self((0..count as u32).collect())
    }

    pub fn of(&mut self, mut member: u32) -> u32 {
        while self.0[member as usize] != member {
            let up = self.0[self.0[member as usize] as usize];
            self.0[member as usize] = up;
            member = up;
        }
        member
    }

    pub fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.of(a), self.of(b));
        self.0[a.max(b) as usize] = a.min(b);
    }

    /// The set of every member, numbered from 0 by their smallest members, and how many there are.
    pub fn numbered(mut self) -> (Vec<usize>, usize) {
        let mut numbers = vec![0; self.0.len()];
        let mut count = 0;
        for member in 0..self.0.len() as u32 {
            let first = self.of(member);
            if first == member {
                numbers[member as usize] = count;
                count += 1;
            } else {
                numbers[member as usize] = numbers[first as usize];
            }
        }
        (numbers, count)
    }
}
