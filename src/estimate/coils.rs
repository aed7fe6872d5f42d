//! Loops cut from coils: each loop is one piece without a joint.

/// Coils that lay these loops, the longest first and each into the first coil that has room; nothing if a loop is
/// longer than a coil.
pub(super) fn coils(mut loops_m: Vec<f64>, coil_m: f64) -> Option<u32> {
    loops_m.sort_by(|a, b| b.total_cmp(a));
    let mut left_m: Vec<f64> = Vec::new();
    for length_m in loops_m {
        if length_m > coil_m {
            return None;
        }
        match left_m.iter_mut().find(|left_m| **left_m >= length_m) {
            Some(left_m) => *left_m -= length_m,
            None => left_m.push(coil_m - length_m),
        }
    }
    u32::try_from(left_m.len()).ok()
}

#[cfg(test)]
mod tests {
    use super::coils;

    #[test]
    fn never_joins_a_loop() {
        assert_eq!(coils(vec![63.2, 63.2], 200.0), Some(1));
        assert_eq!(coils(vec![90.0, 90.0, 90.0], 200.0), Some(2));
        assert_eq!(coils(vec![120.0, 80.0, 120.0, 80.0], 200.0), Some(2));
        assert_eq!(coils(vec![201.0], 200.0), None);
        assert_eq!(coils(vec![], 200.0), Some(0));
    }
}
