//! Work that is done once: whatever was found is kept under a digest of everything that it depends on.
//!
//! The solver says what is to be kept and under which [`Key`]; where it lies is the business of whoever implements [`KeptWork`]. A question is
//! plain data: what the answer depends on, and nothing else (no names, no titles), so that it is found again whatever else has changed. Everything
//! that costs minutes can be kept so: modes, transfers, boundary solutions.
//!
//! Answers come back bit for bit: numbers are kept as the eight bytes that they are.

use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fmt;

/// Digest of a question: BLAKE3 of its kind and its plain data.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key([u8; 32]);

impl Key {
    /// The key of a question; `kind` keeps questions of different kinds apart.
    pub fn of(kind: &str, question: &impl Serialize) -> Self {
        let bytes = postcard::to_stdvec(&(kind, question)).expect("plain data of known length");
        Self(blake3::hash(&bytes).into())
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

/// A place for finished work.
pub trait KeptWork {
    /// What was kept under this key, byte for byte; `None` when there is nothing, or it is damaged.
    fn find(&self, key: &Key) -> Option<Vec<u8>>;

    /// Keeps it. Where that fails the work goes on without; to tell is the business of the place.
    fn keep(&self, key: &Key, work: &[u8]);
}

/// Nothing is kept.
#[derive(Clone, Copy, Debug)]
pub struct NothingKept;

impl KeptWork for NothingKept {
    fn find(&self, _: &Key) -> Option<Vec<u8>> {
        None
    }

    fn keep(&self, _: &Key, _: &[u8]) {}
}

/// An answer, and where it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer<T> {
    /// The answer.
    pub work: T,
    /// True when it was kept, false when it was made now.
    pub taken_over: bool,
}

/// The answer that was kept under `key`, or the one that `make` makes, which is kept.
///
/// # Errors
/// Those of `make`.
pub fn once<T, E>(kept: &dyn KeptWork, key: &Key, make: impl FnOnce() -> Result<T, E>) -> Result<Answer<T>, E>
where
    T: Serialize + DeserializeOwned,
{
    if let Some(work) = kept.find(key).and_then(|bytes| postcard::from_bytes(&bytes).ok()) {
        return Ok(Answer { work, taken_over: true });
    }
    let work = make()?;
    if let Ok(bytes) = postcard::to_stdvec(&work) {
        kept.keep(key, &bytes);
    }
    Ok(Answer { work, taken_over: false })
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use num_complex::Complex64;
    use std::cell::RefCell;
    use std::collections::HashMap;
    use std::convert::Infallible;

    /// Keeps in memory.
    #[derive(Default)]
    pub(crate) struct InMemory(pub RefCell<HashMap<Key, Vec<u8>>>);

    impl KeptWork for InMemory {
        fn find(&self, key: &Key) -> Option<Vec<u8>> {
            self.0.borrow().get(key).cloned()
        }

        fn keep(&self, key: &Key, work: &[u8]) {
            self.0.borrow_mut().insert(*key, work.to_vec());
        }
    }

    #[test]
    fn an_answer_is_made_once_and_comes_back_bit_for_bit() {
        let kept = InMemory::default();
        let key = Key::of("test", &(1.0, "a"));
        let numbers = [0.1, -0.0, f64::NAN, f64::MIN_POSITIVE / 3.0];
        let ask = |made: f64| {
            once(&kept, &key, || Ok::<_, Infallible>(numbers.map(|x| Complex64::new(x, made)).to_vec()))
        };
        let (Ok(first), Ok(second)) = (ask(1.0), ask(2.0));
        assert_eq!((first.taken_over, second.taken_over), (false, true));
        let bits = |list: &[Complex64]| -> Vec<_> {
            list.iter().map(|z| (z.re.to_bits(), z.im.to_bits())).collect()
        };
        assert_eq!(bits(&first.work), bits(&second.work));
    }

    #[test]
    fn an_answer_of_another_make_is_made_again() {
        let kept = InMemory::default();
        let key = Key::of("test", &());
        kept.keep(&key, &[7]);
        let Ok(answer) = once(&kept, &key, || Ok::<_, Infallible>((1.0, 2.0)));
        assert_eq!(answer, Answer { work: (1.0, 2.0), taken_over: false });
    }

    #[test]
    fn keys_differ_by_kind_and_by_the_last_bit() {
        let key = |kind: &str, x: f64| Key::of(kind, &x);
        assert_eq!(key("a", 1.0), key("a", 1.0));
        assert_ne!(key("a", 1.0), key("b", 1.0));
        assert_ne!(key("a", 1.0), key("a", 1.0 + f64::EPSILON));
        assert_eq!(key("a", 1.0).to_string().len(), 64);
    }
}
