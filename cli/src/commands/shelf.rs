//! Solutions of the small driver that are kept for later runs.

use crate::args;
use crate::failure::Failure;
use crate::results::ResultsFolder;
use crate::store::KeptFolder;
use crate::terminal;
use panelwright_solver::kept::{KeptWork, NothingKept};
use std::path::PathBuf;

/// Where solutions are kept.
pub struct Shelf(Option<(PathBuf, KeptFolder)>);

impl Shelf {
    /// The folder `kept` of the results folder.
    ///
    /// # Errors
    /// When it cannot be used.
    pub fn open(folder: &ResultsFolder, options: &args::Kept) -> Result<Self, Failure> {
        let path = folder.path().join("kept");
        let failed = |error| {
            Failure::input(
                format!("{} cannot be used: {error}", path.display()),
                "Mend its permissions, or compute without it: --keep 0.",
            )
        };
        if options.afresh {
            KeptFolder::clear(&path).map_err(failed)?;
        }
        let limit = options.keep.saturating_mul(1_000_000);
        let kept = (limit > 0).then(|| KeptFolder::open(&path, limit)).transpose().map_err(failed)?;
        Ok(Self(kept.map(|kept| (path, kept))))
    }

    /// What is there.
    pub fn work(&self) -> &dyn KeptWork {
        self.0.as_ref().map_or(&NothingKept, |(_, kept)| kept)
    }

    /// Says how many of the `solved` solutions earlier runs contributed, and what went wrong.
    pub fn tell(&self, [solved, taken_over]: [usize; 2]) {
        let Some((path, kept)) = &self.0 else { return };
        if taken_over > 0 {
            let place = path.display();
            terminal::complain(&format!("{taken_over} of {solved} solutions taken over from {place}."));
        }
        kept.notes().iter().for_each(|note| terminal::complain(note));
    }
}
