//! The agenda: nodes that wait to be looked at, in the network's total order.

/// A set of ranks, lowest first.
#[derive(Debug, Clone, Default)]
pub(super) struct Agenda {
    words: Vec<u64>,
}

impl Agenda {
    /// An empty agenda for so many nodes.
    pub fn new(nodes: usize) -> Self {
        Self { words: vec![0; nodes.div_ceil(64)] }
    }

    /// Adds a rank.
    pub fn add(&mut self, rank: u16) {
        if let Some(word) = self.words.get_mut(usize::from(rank) / 64) {
            *word |= 1 << (rank % 64);
        }
    }

    /// Takes the lowest rank out.
    pub fn take(&mut self) -> Option<u16> {
        for (at, word) in self.words.iter_mut().enumerate() {
            if *word != 0 {
                let bit = word.trailing_zeros();
                *word &= *word - 1;
                return u16::try_from(at * 64 + usize::try_from(bit).ok()?).ok();
            }
        }
        None
    }
}

/// A set of nodes.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct NodeSet {
    words: Vec<u64>,
}

impl NodeSet {
    /// An empty set for so many nodes.
    pub fn new(nodes: usize) -> Self {
        Self { words: vec![0; nodes.div_ceil(64)] }
    }

    /// Whether a node is in it.
    pub fn has(&self, node: usize) -> bool {
        self.words.get(node / 64).is_some_and(|word| word & (1 << (node % 64)) != 0)
    }

    /// Puts a node in, or takes it out.
    pub fn set(&mut self, node: usize, is_in: bool) {
        if let Some(word) = self.words.get_mut(node / 64) {
            if is_in {
                *word |= 1 << (node % 64);
            } else {
                *word &= !(1 << (node % 64));
            }
        }
    }
}
