//! Random draws that are the same on every run and every machine.

/// Splitmix64: G. Steele, D. Lea and C. Flood, *OOPSLA* 2014, "Fast splittable pseudorandom number generators".
pub struct Draws(u64);

impl Draws {
    pub fn new(seed: u64) -> Self {
        Draws(seed)
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        bits ^ (bits >> 31)
    }

    /// Anywhere above 0 and below 1.
    pub fn uniform(&mut self) -> f64 {
        ((self.bits() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Normal, with mean 0 and standard deviation 1: Box and Muller (1958).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * libm::log(self.uniform())).sqrt();
        radius * libm::cos(2.0 * std::f64::consts::PI * self.uniform())
    }
}

#[test]
fn the_generator_is_the_published_one() {
    // First outputs for the seed 1234567, as its reference implementation gives them (from memory).
    let mut draws = Draws::new(1_234_567);
    assert_eq!(draws.bits(), 6_457_827_717_110_365_317);
    assert_eq!(draws.bits(), 3_203_168_211_198_807_973);
}
