//! What an adaptive search has chosen, kept in the study's folder.
//!
//! The choice follows from the results, so it could be made again; kept, it stays what it was when weights are changed or failed variants are
//! computed again, and the next generation makes use of that.

use super::folder::StudyFolder;
use super::plan::Study;
use super::rank::merit;
use super::record::Record;
use crate::failure::Failure;
use std::collections::BTreeMap;
use std::io::ErrorKind;

/// Its file: points, and a digest of study and points.
const FILE: &str = "chosen.points";

type Kept = (Vec<Vec<f64>>, [u8; 32]);

impl Study {
    /// Takes over what was chosen when the study was run; nothing for other designs.
    ///
    /// # Errors
    /// When the file cannot be read or is damaged.
    pub fn resume(&mut self, folder: &StudyFolder) -> Result<(), Failure> {
        if !self.is_adaptive() {
            return Ok(());
        }
        let path = folder.file(FILE);
        let bytes = match std::fs::read(&path) {
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(()),
            read => read.map_err(|error| damaged(&path, &error))?,
        };
        let (points, digest): Kept = postcard::from_bytes(&bytes).map_err(|error| damaged(&path, &error))?;
        if digest != self.digest_of(&points) {
            return Err(damaged(&path, &"its digest does not fit its content"));
        }
        self.take_over(points);
        Ok(())
    }

    /// Chooses the next generations of an adaptive search as far as `records` allow, and keeps them before any is computed; true when there are new ones.
    ///
    /// # Errors
    /// When they cannot be written down.
    pub fn go_on(&mut self, folder: &StudyFolder, records: &BTreeMap<u64, Record>) -> Result<bool, Failure> {
        let before = self.points().len();
        let scores: Vec<Option<f64>> = (0..before as u64)
            .map(|number| records.get(&number).map(|record| merit(&self.objectives, &record.result)))
            .collect();
        self.choose(&scores);
        if self.points().len() == before {
            return Ok(false);
        }
        let kept: Kept = (self.points().to_vec(), self.digest_of(self.points()));
        folder.write(FILE, &postcard::to_stdvec(&kept).expect("plain numbers"))?;
        Ok(true)
    }

    fn digest_of(&self, points: &[Vec<f64>]) -> [u8; 32] {
        let bytes = postcard::to_stdvec(&(self.identity.digest(), points)).expect("plain numbers");
        blake3::hash(&bytes).into()
    }
}

fn damaged(path: &std::path::Path, why: &dyn std::fmt::Display) -> Failure {
    Failure::input(
        format!("what the search has chosen so far cannot be read from {}: {why}", path.display()),
        "Without it finished results cannot be told apart. Bring the file back from a copy, or begin again with `study run --anew`: the old study is moved aside, not lost.",
    )
}
