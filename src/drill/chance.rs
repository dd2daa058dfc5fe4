//! Chance that can be drawn again: PCG32 (O'Neill 2014, HMC-CS-2014-0905, PCG-XSH-RR 64/32).

/// Multiplier of the 64-bit step (O'Neill 2014, section 6.1; Knuth's MMIX constant).
const STEP: u64 = 6_364_136_223_846_793_005;

/// A stream of random numbers; the same seed and stream give the same numbers.
#[derive(Debug, Clone)]
pub struct Chance {
    state: u64,
    inc: u64,
}

impl Chance {
    /// The stream of a seed and a number of the stream.
    #[must_use]
    pub const fn new(seed: u64, stream: u64) -> Self {
        let mut chance = Self { state: 0, inc: (stream << 1) | 1 };
        chance.step();
        chance.state = chance.state.wrapping_add(seed);
        chance.step();
        chance
    }

    /// The stream of a seed and a name, so that two templates draw differently from one seed.
    #[must_use]
    pub fn named(seed: u64, name: &str) -> Self {
        // FNV-1a, 64 bit (Fowler, Noll and Vo; offset and prime from memory).
        let hash = name.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        Self::new(seed, hash)
    }

    const fn step(&mut self) {
        self.state = self.state.wrapping_mul(STEP).wrapping_add(self.inc);
    }

    /// The next 32 bits.
    pub fn bits(&mut self) -> u32 {
        let old = self.state;
        self.step();
        let low = |n: u64| u32::try_from(n & 0xffff_ffff).unwrap_or(0);
        low(((old >> 18) ^ old) >> 27).rotate_right(low(old >> 59))
    }

    /// A number from 0 up to and without 1.
    pub fn share(&mut self) -> f64 {
        f64::from(self.bits()) / 4_294_967_296.0
    }

    /// A place from 0 up to and without `count`; 0 if there is none.
    pub fn below(&mut self, count: usize) -> usize {
        let Ok(bound) = u32::try_from(count) else { return 0 };
        if bound < 2 {
            return 0;
        }
        // Without the first few values every place is equally likely.
        let least = bound.wrapping_neg() % bound;
        loop {
            let bits = self.bits();
            if bits >= least {
                return usize::try_from(bits % bound).unwrap_or(0);
            }
        }
    }

    /// One of some things.
    pub fn of<'a, T>(&mut self, all: &'a [T]) -> Option<&'a T> {
        let at = self.below(all.len());
        all.get(at)
    }

    /// One of some things by weight.
    pub fn weighed<'a, T>(&mut self, all: &'a [(T, f64)]) -> Option<&'a T> {
        let total: f64 = all.iter().map(|(_, weight)| weight).sum();
        let mut left = self.share() * total;
        for (thing, weight) in all {
            left -= weight;
            if left < 0.0 {
                return Some(thing);
            }
        }
        all.last().map(|(thing, _)| thing)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The demonstration run of the published C code (`pcg32-demo`, seed 42, stream 54): from memory.
    #[test]
    fn the_published_numbers_come_out() {
        let mut chance = Chance::new(42, 54);
        let drawn: Vec<u32> = (0..6).map(|_| chance.bits()).collect();
        let published =
            [0xa15c_02b7, 0x7b47_f409, 0xba1d_3330, 0x83d2_f293, 0xbfa4_784b, 0xcbed_606e];
        assert_eq!(drawn, published);
    }

    #[test]
    fn places_are_about_equally_likely() {
        let mut chance = Chance::named(7, "x");
        let mut seen = [0u32; 6];
        (0..6000).for_each(|_| seen[chance.below(6)] += 1);
        assert!(seen.iter().all(|n| (850..1150).contains(n)), "{seen:?}");
    }
}
