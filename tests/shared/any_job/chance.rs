//! Numbers at random that are the same everywhere.

/// A small generator (SplitMix64, Steele, Lea and Flood 2014), as the mutator's.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// What is drawn for one number of one seed does not depend on the numbers before it.
    pub fn new(seed: u64, number: u64) -> Chance {
        let mut mixed = Chance(seed.wrapping_mul(0xd134_2543_de82_ef95) ^ number);
        let first = mixed.random();
        Chance(first ^ number.rotate_left(32))
    }

    pub fn random(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 up to, not including, 1.
    pub fn share(&mut self) -> f64 {
        (self.random() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// True so often, of 1.
    pub fn odds(&mut self, of_one: f64) -> bool {
        self.share() < of_one
    }

    pub fn below(&mut self, end: usize) -> usize {
        if end == 0 { 0 } else { (self.random() % end as u64) as usize }
    }

    pub fn whole(&mut self, least: u32, most: u32) -> u32 {
        least + self.below((most - least + 1) as usize) as u32
    }

    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.share()
    }

    pub fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }
}
