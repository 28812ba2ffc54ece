//! Computes the variants of a shard that are not finished, several at a time, and writes each down as soon as it is.
//!
//! ```text
//! next variant ─▶ worker (one thread)      ─▶ channel ─▶ journal, synced ─▶ progress
//!                                                              └▶ results file, block by block
//! ```
//!
//! Workers compute one variant each, on one thread: results cannot depend on how many there are, and no worker waits for another's parts.

use super::folder::Held;
use super::record::{Record, VariantResult};
use crate::failure::Failure;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::thread;
use std::time::{Duration, Instant};

/// LAPACK needs deeper stacks than the usual 2 MiB.
const STACK: usize = 16 << 20;
/// Least time between blocks of the results file.
const BLOCK: Duration = Duration::from_secs(30);
/// Records that may wait for the disk; then workers wait.
const WAITING: usize = 256;

/// Computes one variant.
pub type Evaluate<'a> = &'a (dyn Fn(usize) -> VariantResult + Sync);

/// What a run has to do.
#[derive(Clone, Copy, Debug)]
pub struct Pending<'a> {
    /// Variants that are not finished, in the order in which they are computed.
    pub numbers: &'a [usize],
    /// How many were finished earlier.
    pub finished: usize,
    /// Places in `numbers` where what the variants before had in common is of no more use, ascending.
    pub renewals: &'a [usize],
}

/// What a run tells while it goes on.
#[derive(Clone, Copy, Debug)]
pub struct Status {
    /// Variants on the disk, those of earlier runs among them.
    pub finished: usize,
    /// Of those, computed by this run.
    pub fresh: usize,
    /// All variants of the shard.
    pub total: usize,
    /// Of the fresh ones, those that failed.
    pub failed: usize,
    /// Time since the run began.
    pub elapsed: Duration,
    /// How many were fresh, and when, once every worker had finished one: what the first ones leave behind for the others is not their pace.
    pub warm: Option<(usize, Duration)>,
    /// How often what variants have in common was worked out anew since then, and how often it still will be.
    pub renewals: [usize; 2],
}

impl Status {
    /// Time that the rest will take at the pace so far; `None` as long as there is none. What variants have in common takes each time as long as the first.
    pub fn time_left(&self) -> Option<Duration> {
        let (count, since) = self.warm.filter(|(count, _)| self.fresh > *count)?;
        let [done, to_come] = self.renewals.map(|renewals| renewals as f64);
        let after = self.elapsed.saturating_sub(since).as_secs_f64();
        let first = since.as_secs_f64();
        let common = if done > 0.0 { first.min(after / done) } else { first };
        let each = (after - done * common) / (self.fresh - count) as f64;
        let left = each * (self.total - self.finished) as f64 + to_come * common;
        Some(Duration::from_secs_f64(left.max(0.0)))
    }
}

/// Where finished records go besides the journal.
pub trait Results {
    /// Takes note of so many more records in the journal.
    fn take(&mut self, count: usize);

    /// True when so much is waiting that a block is worth its writing.
    fn is_due(&self) -> bool;

    /// Makes all that the journal holds readable.
    ///
    /// # Errors
    /// When that fails; nothing that was readable before is lost.
    fn flush(&mut self) -> Result<(), Failure>;
}

/// Computes `pending` variants with so many workers, until all are finished or `stop` says so. `finished` were earlier.
///
/// # Errors
/// When a record or the results could not be written. What was written stays.
pub fn run(
    pending: &Pending,
    (held, results): (&mut Held, &mut dyn Results),
    (evaluate, workers): (Evaluate, usize),
    stop: &AtomicBool,
    tell: &mut dyn FnMut(Status),
) -> Result<Status, Failure> {
    let next = AtomicUsize::new(0);
    let (sender, receiver) = sync_channel(WAITING);
    let line = Line { pending: pending.numbers, next: &next, stop, evaluate };
    thread::scope(|scope| {
        for _ in 0..workers.max(1) {
            let (line, sender) = (line, sender.clone());
            thread::Builder::new()
                .stack_size(STACK)
                .spawn_scoped(scope, move || line.work(&sender))
                .map_err(|error| Failure::ours(format!("no thread to compute with: {error}")))?;
        }
        drop(sender);
        let begun = Instant::now();
        let status = Status {
            finished: pending.finished,
            fresh: 0,
            total: pending.finished + pending.numbers.len(),
            failed: 0,
            elapsed: Duration::ZERO,
            warm: None,
            renewals: [0, pending.renewals.len()],
        };
        let mut writing = Writing { status, renewals: pending.renewals, workers, begun, block: begun };
        let written = writing.all(&receiver, (held, results), tell);
        // Workers must not wait for a writer that is gone.
        stop.fetch_or(written.is_err(), Ordering::Relaxed);
        drop(receiver);
        written.map(|()| writing.status)
    })
}

/// What the workers share.
#[derive(Clone, Copy)]
struct Line<'a> {
    pending: &'a [usize],
    next: &'a AtomicUsize,
    stop: &'a AtomicBool,
    evaluate: Evaluate<'a>,
}

impl Line<'_> {
    fn work(&self, sender: &SyncSender<Record>) {
        while !self.stop.load(Ordering::Relaxed) {
            let Some(&number) = self.pending.get(self.next.fetch_add(1, Ordering::Relaxed)) else { return };
            if sender.send(self.one(number)).is_err() {
                return;
            }
        }
    }

    /// A variant that makes the program stumble is written down as failed; the others go on.
    fn one(&self, number: usize) -> Record {
        let begun = Instant::now();
        let result = catch_unwind(AssertUnwindSafe(|| (self.evaluate)(number))).unwrap_or_else(|_| {
            VariantResult::Failed("a fault of the program; please keep the case and report it".into())
        });
        Record { number: number as u64, seconds: begun.elapsed().as_secs_f32(), result }
    }
}

struct Writing<'a> {
    status: Status,
    renewals: &'a [usize],
    workers: usize,
    begun: Instant,
    /// When the last block was written.
    block: Instant,
}

impl Writing<'_> {
    fn all(
        &mut self,
        receiver: &Receiver<Record>,
        (held, results): (&mut Held, &mut dyn Results),
        tell: &mut dyn FnMut(Status),
    ) -> Result<(), Failure> {
        loop {
            let first = match receiver.recv_timeout(Duration::from_millis(200)) {
                Ok(record) => Some(record),
                Err(RecvTimeoutError::Timeout) => None,
                Err(RecvTimeoutError::Disconnected) => break,
            };
            let records: Vec<Record> = first.into_iter().chain(receiver.try_iter()).collect();
            self.write(records, (held, results))?;
            tell(self.status);
        }
        results.flush()
    }

    fn write(
        &mut self,
        records: Vec<Record>,
        (held, results): (&mut Held, &mut dyn Results),
    ) -> Result<(), Failure> {
        self.status.elapsed = self.begun.elapsed();
        if !records.is_empty() {
            held.journal.append(&records).map_err(|error| self.full(&error))?;
            self.status.finished += records.len();
            self.status.fresh += records.len();
            self.status.failed +=
                records.iter().filter(|record| matches!(record.result, VariantResult::Failed(_))).count();
            results.take(records.len());
            if self.status.fresh >= self.workers && self.status.warm.is_none() {
                self.status.warm = Some((self.status.fresh, self.status.elapsed));
            }
            self.status.renewals = self.renewals();
        }
        if self.block.elapsed() > BLOCK && results.is_due() {
            results.flush()?;
            self.block = Instant::now();
        }
        Ok(())
    }

    /// Renewals since the first ones were warm, and those to come.
    fn renewals(&self) -> [usize; 2] {
        let before = |count: usize| self.renewals.partition_point(|place| *place < count);
        let passed = before(self.status.fresh);
        let warm = self.status.warm.map_or(0, |(count, _)| before(count));
        [passed - warm.min(passed), self.renewals.len() - passed]
    }

    fn full(&self, error: &std::io::Error) -> Failure {
        Failure::input(
            format!("finished variants cannot be written down any more: {error}"),
            format!(
                "{} variants are finished and kept. Free some space or mend the permissions, and give the same command again: it goes on from there.",
                self.status.finished
            ),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::super::folder::StudyFolder;
    use super::super::shard::Shard;
    use super::*;

    /// How many records were taken, and how often they were made readable.
    struct Nowhere(usize, usize);

    impl Results for Nowhere {
        fn take(&mut self, count: usize) {
            self.0 += count;
        }

        fn is_due(&self) -> bool {
            true
        }

        fn flush(&mut self) -> Result<(), Failure> {
            self.1 += 1;
            Ok(())
        }
    }

    fn value(number: usize) -> VariantResult {
        assert!(number != 13, "the thirteenth stumbles");
        let values = vec![(number as f64).sqrt()];
        VariantResult::Measured { values, cost: 0.0, levels: vec![], missing: vec![] }
    }

    fn runs(workers: usize, stop_after: usize) -> Vec<Record> {
        let place = tempfile::tempdir().expect("a folder");
        let folder = StudyFolder::at(place.path());
        let all: Vec<usize> = (0..100).rev().collect();
        // Stopped after a few and gone on with, as often as it takes.
        for _ in 0..100 {
            let done = folder.records(&[3; 32]).unwrap_or_else(|_| panic!("sound"));
            let pending: Vec<usize> =
                all.iter().copied().filter(|number| !done.contains_key(&(*number as u64))).collect();
            let held = folder.hold(Shard::WHOLE, &[3; 32], &mut |_, _| ());
            let mut held = held.unwrap_or_else(|_| panic!("free"));
            let stop = AtomicBool::new(false);
            let mut results = Nowhere(0, 0);
            let mut tell = |status: Status| stop.store(status.fresh >= stop_after, Ordering::Relaxed);
            let todo = Pending { numbers: &pending, finished: done.len(), renewals: &[] };
            let ran = run(&todo, (&mut held, &mut results), (&value, workers), &stop, &mut tell);
            let status = ran.unwrap_or_else(|_| panic!("runs"));
            assert_eq!((status.total, results.0, results.1), (100, status.fresh, 1));
        }
        folder.records(&[3; 32]).unwrap_or_else(|_| panic!("sound")).into_values().collect()
    }

    #[test]
    fn every_variant_is_finished_once_however_often_it_stops_and_whoever_works() {
        let alone = runs(1, 1000);
        let together = runs(3, 7);
        assert_eq!(alone.len(), 100);
        assert!(alone.iter().zip(&together).all(|(a, b)| a.tells_the_same(b)) && together.len() == 100);
        assert!(
            matches!(&alone[13].result, VariantResult::Failed(why) if why.contains("fault of the program"))
        );
    }

    #[test]
    fn what_is_worked_out_anew_for_every_panel_is_in_the_time_left() {
        let seconds = Duration::from_secs;
        // Ten panels of a hundred variants: 8 s for each panel, then a tenth of a second for each variant.
        let at = |panels: usize, fresh: usize| Status {
            finished: fresh,
            fresh,
            total: 1000,
            failed: 0,
            elapsed: seconds(8) * panels as u32 + Duration::from_millis(100) * (fresh - 2) as u32,
            warm: Some((2, seconds(8))),
            renewals: [panels - 1, 10 - panels],
        };
        for (panels, fresh) in [(1, 12), (1, 90), (4, 350), (10, 990)] {
            let left = at(panels, fresh).time_left().expect("a pace");
            let exact = 8.0 * (10 - panels) as f64 + 0.1 * (1000 - fresh) as f64;
            approx::assert_relative_eq!(left.as_secs_f64(), exact, max_relative = 1e-6);
        }
        assert_eq!(Status { warm: None, ..at(1, 12) }.time_left(), None);
        // Quick renewals after a slow start: nothing is taken for less than no time.
        let quick = Status { elapsed: seconds(9), renewals: [5, 5], ..at(6, 600) };
        assert!(quick.time_left().is_some_and(|left| left <= seconds(2)));
    }
}
