//! Random numbers, the same for the same seed on every machine.
//!
//! **Source** Steele, Lea, Flood, *Fast splittable pseudorandom number generators*, OOPSLA 2014 (SplitMix64).

pub struct Chance(u64);

impl Chance {
    pub fn new(seed: u64, number: u64) -> Self {
        let mut chance = Self(seed);
        Self(chance.number() ^ number.wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }

    pub fn number(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below a bound; 0 where the bound is 0.
    pub fn below(&mut self, bound: usize) -> usize {
        (self.number() % (bound.max(1) as u64)) as usize
    }

    pub fn between(&mut self, least: usize, most: usize) -> usize {
        least + self.below(most + 1 - least)
    }

    pub fn one_in(&mut self, many: usize) -> bool {
        self.below(many) == 0
    }

    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }
}
