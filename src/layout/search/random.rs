//! Chance that repeats: the same seed gives the same numbers on every machine.

/// SplitMix64, after G. Steele, D. Lea and C. Flood, "Fast splittable pseudorandom number generators" (OOPSLA 2014).
pub(in crate::layout) struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Random {
        Random(seed)
    }

    pub fn next(&mut self) -> u64 {
        let before = self.0;
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        mixed(before)
    }

    /// A number below `end`, which is not 0.
    pub fn below(&mut self, end: usize) -> usize {
        (((self.next() >> 32) * end as u64) >> 32) as usize
    }

    /// Does something happen that happens `share` times in 65,536?
    pub fn chance(&mut self, share: u64) -> bool {
        self.next() & 0xffff < share
    }
}

/// A number made of this one that looks like chance.
pub(super) fn mixed(number: u64) -> u64 {
    let mut z = number.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
