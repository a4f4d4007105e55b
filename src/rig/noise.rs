//! Numbers that look random and are the same every time.

/// The `index`th number of the sequence `seed`, evenly spread over −1..1.
///
/// The mixing function of SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014;
/// constants from memory).
pub(super) fn even(seed: u64, index: u64) -> f64 {
    let mut z = seed.wrapping_add(index.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15));
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^= z >> 31;
    #[expect(clippy::cast_precision_loss, reason = "53 bits are exact")]
    let share = (z >> 11) as f64 / (1_u64 << 53) as f64;
    2.0 * share - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn is_even_and_repeats() {
        let numbers: Vec<f64> = (0..10_000).map(|index| even(7, index)).collect();
        let count = f64::from(10_000);
        let mean = numbers.iter().sum::<f64>() / count;
        let square = numbers.iter().map(|x| x * x).sum::<f64>() / count;
        assert!(mean.abs() < 0.02 && (square - 1.0 / 3.0).abs() < 0.01);
        assert!(numbers.iter().all(|x| (-1.0..1.0).contains(x)));
        assert_eq!(even(7, 3), numbers[3]);
        assert_ne!(even(8, 3), numbers[3]);
    }
}
