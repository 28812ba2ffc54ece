//! What earlier variants left behind.

use crate::kept::{KeptWork, Key};
use quick_cache::sync::Cache;
use quick_cache::{OptionsBuilder, Weighter};
use rayon::{ThreadPool, ThreadPoolBuilder};
use std::any::Any;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// Kinds of work that are counted apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Modes of a panel with what is bonded to it.
    Modes,
    /// What a force anywhere on a panel with its air does where it is listened to.
    Reach,
    /// Boundary solutions of a driver with a surround.
    Boundary,
}

/// How often work of a kind was made, and how often taken over.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Count {
    /// Made.
    pub made: usize,
    /// Taken over from an earlier variant.
    pub taken_over: usize,
}

/// What a workbench has saved, and what it holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Reuse {
    /// By kind; kinds that were never asked for are missing.
    pub counts: BTreeMap<Kind, Count>,
    /// Memory of what is held [bytes].
    pub bytes: u64,
}

/// Something kept, and its size.
#[derive(Clone)]
struct Held {
    work: Arc<dyn Any + Send + Sync>,
    bytes: u64,
}

#[derive(Clone)]
struct Bytes;

impl Weighter<Key, Held> for Bytes {
    fn weight(&self, _: &Key, held: &Held) -> u64 {
        held.bytes
    }
}

/// Stack of the threads that measure [bytes].
const STACK: usize = 16 << 20;

/// What earlier variants left behind, for all workers: the least recently used goes when there is too much, and what one worker is
/// making is waited for by the others.
pub struct Workbench {
    held: Cache<Key, Held, Bytes>,
    counts: Mutex<BTreeMap<Kind, Count>>,
    /// Pools of one thread each that nobody is using.
    desks: Mutex<Vec<ThreadPool>>,
    /// All cores, for what others wait for; made when it is first wanted.
    together: OnceLock<ThreadPool>,
    /// See [`for_moving_exciters`](Self::for_moving_exciters).
    moving: bool,
}

impl Workbench {
    /// Holds at most so many bytes.
    pub fn new(limit_bytes: usize) -> Self {
        // One shard: a few large pieces share the whole limit.
        let options = OptionsBuilder::new()
            .shards(1)
            .estimated_items_capacity(1024)
            .weight_capacity(limit_bytes as u64)
            .build()
            .expect("all that the builder wants is there");
        let hasher = Default::default();
        Self {
            held: Cache::with_options(options, Bytes, hasher, Default::default()),
            counts: Mutex::default(),
            desks: Mutex::default(),
            together: OnceLock::new(),
            moving: false,
        }
    }

    /// For studies that move exciters on few panels: what a force anywhere does is worked out once per panel, which takes as long as some dozens of
    /// variants would, and then serves them all; see [`Reach`](crate::search::exciters::Reach) for what is approximated. The limit should hold it:
    /// 8 bytes by frequency, place that is listened at, and mode.
    ///
    /// Panels in a baffle or closed behind; others are measured as by [`new`](Self::new). So is what cannot be had from single places: beams and centres.
    pub fn for_moving_exciters(limit_bytes: usize) -> Self {
        Self { moving: true, ..Self::new(limit_bytes) }
    }

    pub(super) fn moves_exciters(&self) -> bool {
        self.moving
    }

    /// Runs `work`, which others wait for, on all cores.
    pub(super) fn together<T: Send>(&self, work: impl FnOnce() -> T + Send) -> T {
        self.together.get_or_init(|| pool(0)).install(work)
    }

    /// What has been made and taken over so far, and how much is held.
    pub fn reuse(&self) -> Reuse {
        let counts = self.counts.lock().unwrap_or_else(PoisonError::into_inner).clone();
        Reuse { counts, bytes: self.held.weight() }
    }

    /// The work under this key, or what `make` makes, with its size [bytes].
    pub(super) fn once<T, E>(
        &self,
        kind: Kind,
        key: &Key,
        make: impl FnOnce() -> Result<(T, usize), E>,
    ) -> Result<Arc<T>, E>
    where
        T: Any + Send + Sync,
    {
        let mut made = false;
        let held = self.held.get_or_insert_with(key, || {
            made = true;
            let (work, bytes) = make()?;
            Ok(Held { work: Arc::new(work), bytes: bytes.max(1) as u64 })
        })?;
        self.count(kind, made);
        Ok(held.work.downcast().expect("a key holds its kind, and each kind has one type"))
    }

    pub(super) fn count(&self, kind: Kind, made: bool) {
        let mut counts = self.counts.lock().unwrap_or_else(PoisonError::into_inner);
        let count = counts.entry(kind).or_default();
        if made { count.made += 1 } else { count.taken_over += 1 }
    }

    /// Runs `work` in a pool of a single thread, and blocks.
    ///
    /// Inside, nothing is stolen: a worker that waits for its own parts would otherwise begin another variant, which may wait for what this one is
    /// making. Nor do variants that run side by side get in each other's way.
    pub(super) fn apart<T: Send>(&self, work: impl FnOnce() -> T + Send) -> T {
        let desk = self.desks.lock().unwrap_or_else(PoisonError::into_inner).pop();
        let desk = desk.unwrap_or_else(|| pool(1));
        let result = match rayon::current_thread_index() {
            None => desk.install(work),
            // A worker of another pool that waited in `install` would steal; a thread of its own does not.
            Some(_) => std::thread::scope(|scope| {
                scope
                    .spawn(|| desk.install(work))
                    .join()
                    .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
            }),
        };
        self.desks.lock().unwrap_or_else(PoisonError::into_inner).push(desk);
        result
    }
}

/// So many threads; as many as there are cores for 0.
fn pool(threads: usize) -> ThreadPool {
    ThreadPoolBuilder::new().num_threads(threads).stack_size(STACK).build().expect("a few more threads")
}

/// Boundary solutions, byte for byte.
impl KeptWork for Workbench {
    fn find(&self, key: &Key) -> Option<Vec<u8>> {
        let found = self.held.get(key).and_then(|held| held.work.downcast::<Vec<u8>>().ok());
        self.count(Kind::Boundary, found.is_none());
        found.map(|bytes| bytes.as_ref().clone())
    }

    fn keep(&self, key: &Key, work: &[u8]) {
        self.held.insert(*key, Held { work: Arc::new(work.to_vec()), bytes: work.len() as u64 });
    }
}
