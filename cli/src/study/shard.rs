//! Parts of a study, for several machines or at several times.

use std::ops::Range;
use std::path::Path;

/// A part of a study: number `index` (from 1) of `count`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Shard {
    /// From 1.
    pub index: usize,
    /// How many there are.
    pub count: usize,
}

impl Shard {
    /// The whole.
    pub const WHOLE: Self = Self { index: 1, count: 1 };
    /// Most parts of a study.
    pub const MOST: usize = 100_000;

    /// All of so many.
    pub fn all(count: usize) -> impl Iterator<Item = Self> {
        (1..=count).map(move |index| Self { index, count })
    }

    /// `3/64`.
    ///
    /// # Errors
    /// Says what is wrong with it.
    pub fn parse(text: &str) -> Result<Self, String> {
        let help = "write NUMBER/COUNT, such as 3/64";
        let (index, count) = text.split_once('/').ok_or(help)?;
        let number = |text: &str| text.trim().parse::<usize>().map_err(|_| help.to_owned());
        let shard = Self { index: number(index)?, count: number(count)? };
        match (1..=shard.count).contains(&shard.index) && shard.count <= Self::MOST {
            true => Ok(shard),
            false => {
                let most = Self::MOST;
                Err(format!("{help}: the number is between 1 and the count, which is at most {most}"))
            }
        }
    }

    /// Which of `total` things in a row are this shard's.
    pub fn range(&self, total: usize) -> Range<usize> {
        let end = |index: usize| (total as u128 * index as u128 / self.count as u128) as usize;
        end(self.index - 1)..end(self.index)
    }

    /// Name of its files, without their ending.
    pub(super) fn stem(&self) -> String {
        format!("shard-{}-of-{}", self.index, self.count)
    }

    /// Of the name of one of its files.
    pub(super) fn of_file(path: &Path) -> Option<Self> {
        let stem = path.file_stem()?.to_str()?;
        let (index, count) = stem.strip_prefix("shard-")?.split_once("-of-")?;
        Some(Self { index: index.parse().ok()?, count: count.parse().ok()? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shards_share_everything_out_once() {
        for total in [0, 1, 7, 64, 1000] {
            for count in [1, 3, 8, 64] {
                let ranges = || Shard::all(count).map(|shard| shard.range(total));
                let all: Vec<usize> = ranges().flatten().collect();
                assert_eq!(all, (0..total).collect::<Vec<_>>());
                let sizes: Vec<usize> = ranges().map(|range| range.len()).collect();
                assert!(sizes.iter().max().unwrap_or(&0) - sizes.iter().min().unwrap_or(&0) <= 1);
            }
        }
    }

    #[test]
    fn shards_are_read_as_they_are_written() {
        assert_eq!(Shard::parse("3/64"), Ok(Shard { index: 3, count: 64 }));
        for wrong in ["3", "0/4", "5/4", "a/4", "1/0", "-1/4"] {
            assert!(Shard::parse(wrong).is_err(), "{wrong}");
        }
        let shard = Shard { index: 3, count: 64 };
        assert_eq!(Shard::of_file(Path::new("x/shard-3-of-64.journal")), Some(shard));
    }
}
