//! Spacing: when a skill is practised again, by the published FSRS algorithm, version 5 (19 parameters).
//!
//! Source of formulas and default parameters: the library `rs-fsrs` 1.2.1 (MIT licence, 2023 Open Spaced Repetition,
//! crates.io), files `parameters.rs` and `scheduler_longterm.rs`; its test vectors are those of the tests below.
//! The library itself reads the clock, so the few formulas stand here. Stability is in days: after so many days the
//! chance to recall is 90 %. A second go within a day moves the stability by the short-term formula.

use super::mark::Grade;
use crate::clock::Moment;

/// The default parameters of version 5.
pub const DEFAULT: [f64; 19] = [
    0.4072, 1.1829, 3.1262, 15.4722, 7.2102, 0.5316, 1.0651, 0.0234, 1.616, 0.1544, 1.0824, 1.9813,
    0.0953, 0.2975, 2.2042, 0.2407, 2.9466, 0.5034, 0.6567,
];

/// The exponent of the forgetting curve.
const DECAY: f64 = -0.5;
/// Makes the curve pass 90 % after one stability: 0.9^(1/DECAY) - 1.
const FACTOR: f64 = 19.0 / 81.0;
/// The chance to recall at which a skill is due.
const RETENTION: f64 = 0.9;
/// Nothing is put off for longer than a year: every winter asks for everything once.
const LONGEST_D: f64 = 365.0;

/// What is remembered of a skill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Memory {
    /// Days after which the chance to recall is 90 %.
    pub stability_d: f64,
    /// From 1, easy, to 10.
    pub difficulty: f64,
}

/// The formulas with their parameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spacing {
    w: [f64; 19],
}

impl Default for Spacing {
    fn default() -> Self {
        Self { w: DEFAULT }
    }
}

impl Spacing {
    /// The formulas with other parameters.
    #[must_use]
    pub const fn new(w: [f64; 19]) -> Self {
        Self { w }
    }

    fn w(&self, at: usize) -> f64 {
        self.w.get(at).copied().unwrap_or_default()
    }

    /// The chance to recall after so many days, 0 to 1.
    #[must_use]
    pub fn recall(&self, memory: Memory, days: f64) -> f64 {
        (FACTOR.mul_add(days.max(0.0) / memory.stability_d, 1.0)).powf(DECAY)
    }

    /// Days until it is due again.
    #[must_use]
    pub fn interval_d(&self, memory: Memory) -> f64 {
        let days = memory.stability_d / FACTOR * (RETENTION.powf(1.0 / DECAY) - 1.0);
        days.round().clamp(1.0, LONGEST_D)
    }

    /// What is remembered after a first go.
    #[must_use]
    pub fn first(&self, grade: Grade) -> Memory {
        let at = match grade {
            Grade::Again => 0,
            Grade::Hard => 1,
            Grade::Good => 2,
            Grade::Easy => 3,
        };
        Memory { stability_d: self.w(at).max(0.1), difficulty: self.first_difficulty(grade) }
    }

    fn first_difficulty(&self, grade: Grade) -> f64 {
        (self.w(4) - (self.w(5) * (number(grade) - 1.0)).exp() + 1.0).clamp(1.0, 10.0)
    }

    /// What is remembered after another go, so many days after the last one.
    #[must_use]
    pub fn next(&self, memory: Memory, days: f64, grade: Grade) -> Memory {
        let stability_d = if days < 1.0 {
            memory.stability_d * (self.w(17) * (number(grade) - 3.0 + self.w(18))).exp()
        } else if grade == Grade::Again {
            self.forgotten(memory, days).min(memory.stability_d)
        } else {
            self.recalled(memory, days, grade)
        };
        Memory { stability_d: stability_d.max(0.1), difficulty: self.difficulty(memory, grade) }
    }

    fn difficulty(&self, memory: Memory, grade: Grade) -> f64 {
        let next = self.w(6).mul_add(-(number(grade) - 3.0), memory.difficulty);
        let easy = self.first_difficulty(Grade::Easy);
        self.w(7).mul_add(easy, (1.0 - self.w(7)) * next).clamp(1.0, 10.0)
    }

    fn recalled(&self, memory: Memory, days: f64, grade: Grade) -> f64 {
        let modifier = match grade {
            Grade::Hard => self.w(15),
            Grade::Easy => self.w(16),
            Grade::Good | Grade::Again => 1.0,
        };
        let lost = 1.0 - self.recall(memory, days);
        let gain = self.w(8).exp()
            * (11.0 - memory.difficulty)
            * memory.stability_d.powf(-self.w(9))
            * (lost * self.w(10)).exp_m1();
        memory.stability_d * gain.mul_add(modifier, 1.0)
    }

    fn forgotten(&self, memory: Memory, days: f64) -> f64 {
        let lost = 1.0 - self.recall(memory, days);
        self.w(11)
            * memory.difficulty.powf(-self.w(12))
            * ((memory.stability_d + 1.0).powf(self.w(13)) - 1.0)
            * (lost * self.w(14)).exp()
    }

    /// What is remembered after a row of goes, oldest first; with when the last one was.
    #[must_use]
    pub fn after(&self, goes: &[(Moment, Grade)]) -> Option<(Memory, Moment)> {
        let mut held: Option<(Memory, Moment)> = None;
        for (at, grade) in goes {
            let memory = match held {
                None => self.first(*grade),
                Some((memory, last)) => self.next(memory, at.hours_since(last) / 24.0, *grade),
            };
            held = Some((memory, *at));
        }
        held
    }
}

const fn number(grade: Grade) -> f64 {
    match grade {
        Grade::Again => 1.0,
        Grade::Hard => 2.0,
        Grade::Good => 3.0,
        Grade::Easy => 4.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The weights and the row of grades of the library's own tests (`rs-fsrs` 1.2.1, `src/tests.rs`).
    const WEIGHTS: [f64; 19] = [
        0.4197, 1.1869, 3.0412, 15.2441, 7.1434, 0.6477, 1.0007, 0.0674, 1.6597, 0.1712, 1.1178,
        2.0225, 0.0904, 0.3025, 2.1214, 0.2498, 2.9466, 0.4891, 0.6468,
    ];
    const GRADES: [Grade; 13] = [
        Grade::Good,
        Grade::Good,
        Grade::Good,
        Grade::Good,
        Grade::Good,
        Grade::Good,
        Grade::Again,
        Grade::Again,
        Grade::Good,
        Grade::Good,
        Grade::Good,
        Grade::Good,
        Grade::Good,
    ];

    /// `test_long_term_scheduler`: each go comes when the one before made it due.
    #[test]
    fn the_published_row_of_stabilities_and_difficulties_comes_out() {
        let stability = [
            3.0412, 13.0913, 48.1585, 154.9373, 445.0556, 1158.0778, 16.6306, 2.9888, 9.4633,
            26.9474, 73.9723, 189.7037, 457.4379,
        ];
        let difficulty = [
            4.4909, 4.2666, 4.0575, 3.8624, 3.6804, 3.5108, 5.219, 6.8122, 6.4314, 6.0763, 5.7452,
            5.4363, 5.1483,
        ];
        // The library puts nothing off by less than these days (its intervals, from the same test).
        let interval =
            [3.0, 13.0, 48.0, 155.0, 445.0, 1158.0, 17.0, 3.0, 9.0, 27.0, 74.0, 190.0, 457.0];
        let spacing = Spacing::new(WEIGHTS);
        let mut memory = spacing.first(GRADES[0]);
        for at in 0..GRADES.len() {
            if at > 0 {
                memory = spacing.next(memory, interval[at - 1], GRADES[at]);
            }
            assert!((memory.stability_d - stability[at]).abs() < 6e-5, "{at}: {memory:?}");
            assert!((memory.difficulty - difficulty[at]).abs() < 6e-5, "{at}: {memory:?}");
            let days = spacing.interval_d(memory);
            assert!((days - interval[at].min(LONGEST_D)).abs() < 0.5, "{at}: {days}");
        }
    }

    /// `test_basic_scheduler_interval`: with the default weights, goes on one day among the others.
    #[test]
    fn the_published_row_of_intervals_comes_out_with_goes_on_one_day() {
        let published = [0.0, 4.0, 15.0, 48.0, 136.0, 351.0, 0.0, 0.0, 7.0, 13.0, 24.0, 43.0, 77.0];
        let spacing = Spacing::default();
        let mut memory = spacing.first(GRADES[0]);
        for at in 1..GRADES.len() {
            memory = spacing.next(memory, published[at - 1], GRADES[at]);
            let days = spacing.interval_d(memory);
            // 0 stands for "again within the day", which the library keeps in minutes.
            if published[at] > 0.0 {
                assert!((days - published[at]).abs() < 0.5, "{at}: {days} for {}", published[at]);
            }
        }
    }

    #[test]
    fn recall_is_nine_in_ten_after_one_stability() {
        let memory = Memory { stability_d: 12.0, difficulty: 5.0 };
        assert!((Spacing::default().recall(memory, 12.0) - 0.9).abs() < 1e-12);
    }
}
