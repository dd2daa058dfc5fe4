//! Working memory: one value a fact, with where it came from.

use crate::facts::{FactId, Origin, Value};

/// One place of working memory.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Slot {
    pub value: Option<(Value, Origin)>,
}

/// The facts of one pool, an array indexed by fact.
#[derive(Debug, Clone, PartialEq)]
pub struct Memory {
    slots: Vec<Slot>,
}

impl Memory {
    /// An empty memory for so many facts.
    #[must_use]
    pub fn new(facts: usize) -> Self {
        Self { slots: vec![Slot::default(); facts] }
    }

    /// The value of a fact, if it is known.
    #[must_use]
    pub fn value(&self, id: FactId) -> Option<Value> {
        self.entry(id).map(|(value, _)| value)
    }

    /// The value of a fact and where it came from.
    #[must_use]
    pub fn entry(&self, id: FactId) -> Option<(Value, Origin)> {
        self.slots.get(id.index()).and_then(|slot| slot.value)
    }

    /// Every known fact, in order of id.
    pub fn known(&self) -> impl Iterator<Item = (FactId, Value, Origin)> {
        self.slots.iter().enumerate().filter_map(|(n, slot)| {
            let (value, origin) = slot.value?;
            Some((FactId(u16::try_from(n).ok()?), value, origin))
        })
    }

    /// Puts a value in its place, or takes it out; gives back what was there.
    pub(super) fn put(
        &mut self,
        id: FactId,
        value: Option<(Value, Origin)>,
    ) -> Option<(Value, Origin)> {
        let slot = self.slots.get_mut(id.index())?;
        std::mem::replace(&mut slot.value, value)
    }
}
